"""What stands where at this moment as plain figures, for programs: litres, kilograms, pieces.

Amounts are whole in the book (µL at 20 °C, mg, pieces), so that their litres and kilograms are exact to six
decimals.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from caskward.book.accounts import ALCOHOL, BULK, ROOTS, family_of, name_of, root_of
from caskward.book.amounts import UL_PER_L, Liquid
from caskward.book.stock import LiquidHeld, open_differences, stock_of
from caskward.book.words import name_in_words
from caskward.services.book import words
from caskward.services.book.at_hand import AtHand
from caskward.services.book.opened import Book

_PER_UNIT = 1_000_000
_UNITS = {"mass": "kg", "piece": "pieces"}


@dataclass(frozen=True, slots=True)
class Amount:
    """So much of something: `unit` is L (of liquids at 20 °C), kg or pieces."""

    of: str
    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class PlaceFigures:
    """A place and its liquid [L at 20 °C]; level is a share, 0 to 1; None where no volume was declared."""

    account: str
    name: str
    kind: str
    bulk_l: float
    alcohol_l: float
    strength_pct_vol: float | None
    room_l: float | None
    level: float | None
    pieces: int


@dataclass(frozen=True, slots=True)
class LotFigures:
    """Material or dry goods of one lot."""

    account: str
    name: str
    what: str
    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class Missing:
    """A difference that nobody has explained; too much is below nothing."""

    place: str
    of: str
    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class ShelfFigures:
    """Everything: every place with a liquid or a declared volume, every lot, what is unexplained."""

    places: tuple[PlaceFigures, ...]
    lots: tuple[LotFigures, ...]
    unexplained: tuple[Missing, ...]
    alcohol_l: float


def shelf_figures(there: AtHand) -> ShelfFigures:
    """What is there now."""
    held = stock_of(there.balances, there.rooms_ul)
    full = {row.account: row for row in held.liquids}
    empty = (
        LiquidHeld(name, Liquid(0, 0), room) for name, room in there.rooms_ul.items() if name not in full
    )
    return ShelfFigures(
        places=tuple(_place(row) for row in sorted((*full.values(), *empty), key=_in_order)),
        lots=tuple(_lot(row.account, row.commodity, row.amount) for row in held.goods),
        unexplained=_missing(there.under("unaccounted")),
        alcohol_l=held.alcohol_ul / UL_PER_L,
    )


def place_figures(book: Book, account: str) -> PlaceFigures:
    """One place."""
    with book.holdings() as holdings:
        there, room_ul = holdings.contents(account), holdings.room_ul(account)
    held = stock_of({account: there}, {account: room_ul} if room_ul else {}).liquids
    return _place(held[0] if held else LiquidHeld(account, Liquid(0, 0), room_ul))


def amount_of(commodity: str, amount: int) -> Amount:
    """An amount of the book in litres, kilograms or pieces."""
    unit = _UNITS.get(family_of(commodity), "L")
    return Amount(name_in_words(commodity), amount if unit == "pieces" else amount / _PER_UNIT, unit)


def amounts_of(there: Mapping[str, int]) -> tuple[Amount, ...]:
    """Everything that an account holds."""
    return tuple(amount_of(what, amount) for what, amount in sorted(there.items()))


def _in_order(row: LiquidHeld) -> tuple[int, str, int, str]:
    """`cask/12` after `cask/2`."""
    name = name_of(row.account)
    digits = name.rpartition(" ")[2]
    number = int(digits) if digits.isascii() and digits.isdigit() else 0
    root = list(ROOTS).index(root_of(row.account).name)
    return root, name.removesuffix(digits) if number else name, number, name


def _place(row: LiquidHeld) -> PlaceFigures:
    liquid, room_ul = row.liquid, row.room_ul
    return PlaceFigures(
        account=row.account,
        name=words.place(row.account),
        kind=root_of(row.account).name,
        bulk_l=liquid.bulk_ul / UL_PER_L,
        alcohol_l=liquid.alcohol_ul / UL_PER_L,
        strength_pct_vol=round(liquid.pct_vol, 4) if liquid.bulk_ul else None,
        room_l=room_ul / UL_PER_L if room_ul else None,
        level=min(1.0, liquid.bulk_ul / room_ul) if room_ul else None,
        pieces=row.pieces,
    )


def _lot(account: str, commodity: str, amount: int) -> LotFigures:
    found = amount_of(commodity, amount)
    return LotFigures(account, name_of(account), found.of, found.amount, found.unit)


def _missing(balances: Mapping[str, Mapping[str, int]]) -> tuple[Missing, ...]:
    rows = open_differences(balances)
    with_liquid = {row.place for row in rows if family_of(row.commodity) == BULK}
    found = [
        (row.place, amount_of(row.commodity, row.amount))
        for row in rows
        if family_of(row.commodity) != ALCOHOL or row.place not in with_liquid
    ]
    return tuple(Missing(place, one.of, one.amount, one.unit) for place, one in found)


NOTHING = ShelfFigures((), (), (), 0.0)
"""Before anything was recorded."""
