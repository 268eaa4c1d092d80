"""What there is, what runs low, and what a plan needs beyond it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from caskward.book.accounts import ALCOHOL, BULK, ROOTS, family_of, root_of
from caskward.book.amounts import Liquid

OPEN = "unaccounted/open/"

Balances = Mapping[str, Mapping[str, int]]
"""Amounts that are not zero, by account and commodity: as a state has them, or a journal."""


@dataclass(frozen=True, slots=True)
class LiquidHeld:
    """Liquid in a place; `room_ul` is its declared volume [µL]."""

    account: str
    liquid: Liquid
    room_ul: int | None = None
    pieces: int = 0

    @property
    def ullage_ul(self) -> int | None:
        """Room left over [µL]."""
        return None if self.room_ul is None else self.room_ul - self.liquid.bulk_ul


@dataclass(frozen=True, slots=True)
class GoodsHeld:
    """Material or dry goods in a lot."""

    account: str
    commodity: str
    amount: int


@dataclass(frozen=True, slots=True)
class Stock:
    """All that is there, in the order of the roots and then of the names."""

    liquids: tuple[LiquidHeld, ...]
    goods: tuple[GoodsHeld, ...]

    def of(self, root: str) -> tuple[LiquidHeld, ...]:
        """Liquids in places of one root: `cask`, `bottles` ..."""
        return tuple(row for row in self.liquids if root_of(row.account).name == root)

    def totals(self) -> dict[str, int]:
        """The sum of each material or dry good over all lots."""
        sums: dict[str, int] = {}
        for row in self.goods:
            sums[row.commodity] = sums.get(row.commodity, 0) + row.amount
        return sums

    @property
    def alcohol_ul(self) -> int:
        """All pure alcohol in all places [µL]."""
        return sum(row.liquid.alcohol_ul for row in self.liquids)


@dataclass(frozen=True, slots=True)
class ToBuy:
    """What is needed of a commodity, what is there, and what is missing; `missing` is never below nothing."""

    commodity: str
    needed: int
    there: int

    @property
    def missing(self) -> int:
        """What to buy."""
        return max(self.needed - self.there, 0)


def stock_of(balances: Balances, rooms_ul: Mapping[str, int] | None = None) -> Stock:
    """Everything in every place."""
    by_root: dict[str, list[str]] = {}
    for account in balances:
        by_root.setdefault(account.partition("/")[0], []).append(account)
    liquids: list[LiquidHeld] = []
    goods: list[GoodsHeld] = []
    for root in (ROOTS[name] for name in ROOTS if name in by_root and ROOTS[name].holds):
        places = sorted(by_root[root.name])
        if root.liquid:
            found = (_liquid_in(account, balances[account], rooms_ul or {}) for account in places)
            liquids += (row for row in found if row is not None)
        else:
            goods += (GoodsHeld(at, *there) for at in places for there in sorted(balances[at].items()))
    return Stock(tuple(liquids), tuple(goods))


def shopping(stock: Stock, needed: Mapping[str, int]) -> tuple[ToBuy, ...]:
    """What a plan needs, against all lots together; in the plan's own order, what is there in full too."""
    totals = stock.totals()
    return tuple(ToBuy(what, amount, totals.get(what, 0)) for what, amount in needed.items())


def running_low(stock: Stock, marks: Mapping[str, int]) -> tuple[ToBuy, ...]:
    """What there is less of than the maker's own mark; a mark is the least that should be there."""
    return tuple(row for row in shopping(stock, marks) if row.missing)


@dataclass(frozen=True, slots=True)
class OpenDifference:
    """What gauges and runs found missing in a place, and nobody has explained; too much is below nothing.

    `place` is as in the account, with a space for the slash: `cask 12`.
    """

    place: str
    commodity: str
    amount: int


def open_differences(balances: Balances) -> tuple[OpenDifference, ...]:
    """Every difference that a reason is still asked for."""
    return tuple(
        OpenDifference(account.removeprefix(OPEN), commodity, amount)
        for account in sorted(balances)
        if account.startswith(OPEN)
        for commodity, amount in balances[account].items()
    )


def _liquid_in(account: str, there: Mapping[str, int], rooms_ul: Mapping[str, int]) -> LiquidHeld | None:
    liquid = Liquid(there.get(ALCOHOL, 0), there.get(BULK, 0))
    if not liquid.bulk_ul:
        return None
    pieces = sum(amount for commodity, amount in there.items() if family_of(commodity) == "piece")
    return LiquidHeld(account, liquid, rooms_ul.get(account), pieces)
