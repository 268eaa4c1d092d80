"""What stands where at this moment, place by place: casks with their level, other liquids, lots; batches.

Thousands may stand there and a page shows a few: each is put in words when it is looked at, not before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar, overload

from caskward.book.accounts import ALCOHOL, BULK, family_of, name_of
from caskward.book.amounts import Liquid
from caskward.book.stock import OPEN, GoodsHeld, LiquidHeld, open_differences, stock_of
from caskward.book.words import name_in_words, said
from caskward.services.book import words
from caskward.services.book.at_hand import AtHand
from caskward.services.book.opened import Book
from caskward.units.types import UnitSystem

__all__ = [
    "OPEN",
    "Batch",
    "Lot",
    "Place",
    "Shelf",
    "batches",
    "place_at",
    "unexplained",
]

T = TypeVar("T")


class Worded(Sequence[T], Generic[T]):
    """Rows, each put in words when it is looked at."""

    def __init__(self, rows: Sequence[Any], say: Callable[[Any], T]) -> None:
        self._rows, self._say = rows, say

    def __len__(self) -> int:
        return len(self._rows)

    @overload
    def __getitem__(self, which: int) -> T: ...

    @overload
    def __getitem__(self, which: slice) -> tuple[T, ...]: ...

    def __getitem__(self, which: int | slice) -> T | tuple[T, ...]:
        if isinstance(which, slice):
            return tuple(self._say(row) for row in self._rows[which])
        return self._say(self._rows[which])


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
    """All that there is, in a maker's units: each part is read when it is asked for."""

    there: AtHand
    system: UnitSystem

    @property
    def casks(self) -> Sequence[Place]:
        """Every cask, empty ones too."""
        return self._places(self.there.lists["cask"])

    @property
    def filled(self) -> Sequence[Place]:
        """Casks that hold something."""
        return self._places([name for name in self.there.lists["cask"] if self.there.holds(name)])

    @property
    def empty(self) -> Sequence[Place]:
        """Casks that hold nothing."""
        return self._places([name for name in self.there.lists["cask"] if not self.there.holds(name)])

    @property
    def vessels(self) -> Sequence[Place]:
        """Vessels and jars, empty ones too."""
        return self._places(self.there.lists["vessel"])

    @property
    def liquids(self) -> Sequence[Place]:
        """Vessels and jars that hold something."""
        return self._places([name for name in self.there.lists["vessel"] if self.there.holds(name)])

    @property
    def bottles(self) -> Sequence[Place]:
        """Bottles that are here, lot by lot."""
        return self._places(self.there.lists["bottles"])

    @property
    def counted(self) -> Sequence[Place]:
        """Lots of bottles that are counted."""
        return self._places([name for name in self.there.lists["bottles"] if self.there.liquid(name).pieces])

    @property
    def materials(self) -> Sequence[Lot]:
        """Materials, lot by lot."""
        return self._lots(self.there.lists["lot"])

    @property
    def goods(self) -> Sequence[Lot]:
        """Dry goods, lot by lot."""
        return self._lots(self.there.lists["goods"])

    @property
    def unexplained(self) -> tuple[Lot, ...]:
        """Differences that a reason is still asked for."""
        return _unexplained(self.there.under("unaccounted"), self.system)

    @property
    def pure(self) -> str:
        """All pure alcohol in all places."""
        return said(self.there.alcohol_ul, ALCOHOL, self.system) if self.there.mark else ""

    def _places(self, accounts: Sequence[str]) -> Worded[Place]:
        return Worded(accounts, lambda account: _place(self.there.liquid(account), self.system))

    def _lots(self, pairs: Sequence[tuple[str, str]]) -> Worded[Lot]:
        return Worded(pairs, lambda pair: _lot(self.there.goods(pair), self.system))


def batches(there: AtHand) -> Sequence[Batch]:
    """Every batch, the open ones first, each kind by its name."""
    of_open = there.lists["open"]
    names = [*of_open, *there.lists["closed"]]
    return Worded(range(len(names)), lambda n: Batch(names[n], n < len(of_open)))


def unexplained(book: Book, system: UnitSystem) -> tuple[Lot, ...]:
    """Differences that a reason is still asked for."""
    return _unexplained(book.balances(OPEN), system)


def place_at(book: Book, account: str, system: UnitSystem) -> Place:
    """One place and the liquid in it, if any."""
    with book.holdings() as holdings:
        there, room_ul = holdings.contents(account), holdings.room_ul(account)
    held = stock_of({account: there}, {account: room_ul} if room_ul else {}).liquids
    return _place(held[0] if held else LiquidHeld(account, Liquid(0, 0), room_ul), system)


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


def _lot(row: GoodsHeld, system: UnitSystem) -> Lot:
    return Lot(
        row.account, name_of(row.account), name_in_words(row.commodity),
        said(row.amount, row.commodity, system),
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
