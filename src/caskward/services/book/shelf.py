"""What stands where at this moment, place by place: casks with their level, other liquids, lots; batches.

Read from what the book keeps up to date, so that it costs the same in a book of any length.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from caskward.book.accounts import BULK, family_of, name_of, root_of
from caskward.book.amounts import Liquid
from caskward.book.holdings import Holdings
from caskward.book.stock import OPEN, LiquidHeld, Stock, open_differences, stock_of
from caskward.book.words import name_in_words, said
from caskward.services.book import words
from caskward.services.book.asked import PLACE_ROOTS
from caskward.services.book.opened import Book
from caskward.units.types import UnitSystem

__all__ = [
    "NOTHING",
    "OPEN",
    "Batch",
    "Lot",
    "Place",
    "Shelf",
    "batches",
    "place_at",
    "shelf",
    "unexplained",
]

_VESSELS = ("vessel", "jar")


@dataclass(frozen=True, slots=True)
class Place:
    """A place and the liquid in it, in the maker's units.

    account: as in the book, `cask/2`; name: as it is called, `cask 2`. level: how full it is, 0 to 1, None
    where its volume was never declared; room: what it takes in all, ullage: what still goes in.
    """

    account: str
    name: str
    liquid: str
    strength: str
    pure: str
    level: float | None
    room: str
    ullage: str
    pieces: int = 0


@dataclass(frozen=True, slots=True)
class Lot:
    """Materials or dry goods in one lot: its account and name, what it is, how much."""

    account: str
    name: str
    what: str
    amount: str


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch of the book: its name, whether it is open."""

    name: str
    is_open: bool


@dataclass(frozen=True, slots=True)
class Shelf:
    """All that there is: casks, other vessels (empty ones too), bottles, lots, what nobody has explained.

    `pure` is all pure alcohol in all places.
    """

    casks: tuple[Place, ...]
    vessels: tuple[Place, ...]
    bottles: tuple[Place, ...]
    materials: tuple[Lot, ...]
    goods: tuple[Lot, ...]
    unexplained: tuple[Lot, ...]
    pure: str


def shelf(book: Book, system: UnitSystem) -> Shelf:
    """What is there now."""
    balances: dict[str, dict[str, int]] = {}
    for prefix in (*(f"{root}/" for root in PLACE_ROOTS), OPEN):
        balances.update(book.balances(prefix))
    with book.holdings() as holdings:
        declared = tuple(holdings.names("declared"))
        rooms = _rooms(holdings, {*declared, *balances})
    held = stock_of({name: there for name, there in balances.items() if root_of(name).holds}, rooms)
    return Shelf(
        casks=_places(held, ("cask",), declared, rooms, system),
        vessels=_places(held, _VESSELS, declared, rooms, system),
        bottles=_places(held, ("bottles",), (), rooms, system),
        materials=_lots(held, "lot", system),
        goods=_lots(held, "goods", system),
        unexplained=_unexplained(balances, system),
        pure=said(held.alcohol_ul, "alcohol", system),
    )


def batches(book: Book) -> tuple[Batch, ...]:
    """Every batch, the open ones first, each kind by its name."""
    with book.holdings() as holdings:
        every = [Batch(name, standing == "open") for name, standing in holdings.standings().items()]
    return tuple(sorted(every, key=lambda one: (not one.is_open, one.name)))


def unexplained(book: Book, system: UnitSystem) -> tuple[Lot, ...]:
    """Differences that a reason is still asked for."""
    return _unexplained(book.balances(OPEN), system)


def place_at(book: Book, account: str, system: UnitSystem) -> Place:
    """One place and the liquid in it, if any."""
    with book.holdings() as holdings:
        there, room_ul = holdings.contents(account), holdings.room_ul(account)
    held = stock_of({account: there}, {account: room_ul} if room_ul else {}).liquids
    return _place(held[0] if held else LiquidHeld(account, Liquid(0, 0), room_ul), system)


def _rooms(holdings: Holdings, accounts: set[str]) -> dict[str, int]:
    return dict(holdings.rooms_of(account for account in accounts if root_of(account).liquid))


def _places(
    held: Stock,
    roots: tuple[str, ...],
    declared: tuple[str, ...],
    rooms: Mapping[str, int],
    system: UnitSystem,
) -> tuple[Place, ...]:
    """Places of these roots in the order of their names, declared ones even when they are empty."""
    full = {row.account: row for root in roots for row in held.of(root)}
    empty = [name for name in declared if root_of(name).name in roots and name not in full]
    rows = [*full.values(), *(LiquidHeld(name, Liquid(0, 0), rooms.get(name)) for name in empty)]
    return tuple(_place(row, system) for row in sorted(rows, key=lambda row: _in_order(row.account)))


def _in_order(account: str) -> tuple[str, int, str]:
    """`cask/12` after `cask/2`."""
    name = name_of(account)
    digits = name.rpartition(" ")[2]
    return (name.removesuffix(digits), int(digits), name) if digits.isdecimal() else (name, 0, name)


def _place(row: LiquidHeld, system: UnitSystem) -> Place:
    liquid, room_ul = row.liquid, row.room_ul
    ullage = row.ullage_ul
    return Place(
        account=row.account,
        name=words.place(row.account),
        liquid=said(liquid.bulk_ul, BULK, system) if liquid.bulk_ul else "",
        strength=words.strength(liquid, system) if 0 < liquid.alcohol_ul <= liquid.bulk_ul else "",
        pure=said(liquid.alcohol_ul, "alcohol", system) if liquid.alcohol_ul else "",
        level=None if not room_ul else min(1.0, liquid.bulk_ul / room_ul),
        room=said(room_ul, BULK, system) if room_ul else "",
        ullage=said(ullage, BULK, system) if ullage and ullage > 0 else "",
        pieces=row.pieces,
    )


def _lots(held: Stock, root: str, system: UnitSystem) -> tuple[Lot, ...]:
    rows = [row for row in held.goods if root_of(row.account).name == root]
    return tuple(
        Lot(
            row.account, name_of(row.account), name_in_words(row.commodity),
            said(row.amount, row.commodity, system),
        )
        for row in sorted(rows, key=lambda row: (name_in_words(row.commodity), row.account))
    )  # fmt: skip


def _unexplained(balances: Mapping[str, Mapping[str, int]], system: UnitSystem) -> tuple[Lot, ...]:
    """Differences that a reason is still asked for: the liquid where there is some, else the alcohol."""
    rows = open_differences(balances)
    with_liquid = {row.place for row in rows if family_of(row.commodity) == BULK}
    return tuple(
        Lot(
            f"{OPEN}{row.place}",
            row.place,
            name_in_words(row.commodity),
            f"{said(abs(row.amount), row.commodity, system)} {'missing' if row.amount > 0 else 'too much'}",
        )
        for row in rows
        if family_of(row.commodity) == BULK or row.place not in with_liquid
    )


NOTHING = Shelf((), (), (), (), (), (), "")
"""A shelf before anything was recorded."""
