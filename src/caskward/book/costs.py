"""What the content of an account has cost, to the cent: by litre of pure alcohol and by bottle."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from caskward.book.accounts import ALCOHOL, family_of, name_of
from caskward.book.amounts import UL_PER_L, shared_out
from caskward.book.flow import MONEY, Flow, Pool


@dataclass(frozen=True, slots=True)
class CostLine:
    """So much of the cost is of one kind: rye, energy, a cask [minor units]."""

    what: str
    minor: int


@dataclass(frozen=True, slots=True)
class CostSheet:
    """What an account's content has cost in one currency.

    `lines` add up to `minor`; `alcohol_ul` [µL of pure alcohol] and `pieces` are what it holds.
    """

    account: str
    currency: str
    minor: int
    lines: tuple[CostLine, ...]
    alcohol_ul: int
    pieces: int

    @property
    def minor_per_lpa(self) -> Fraction | None:
        """Minor units by litre of pure alcohol, exactly; None if there is no alcohol."""
        return Fraction(self.minor * UL_PER_L, self.alcohol_ul) if self.alcohol_ul > 0 else None

    @property
    def minor_per_piece(self) -> Fraction | None:
        """Minor units by bottle, exactly; None if nothing is counted."""
        return Fraction(self.minor, self.pieces) if self.pieces > 0 else None

    def by_piece(self) -> tuple[int, ...]:
        """The cost of each bottle in whole minor units, which add up to all."""
        return shared_out(self.minor, [1] * self.pieces) if self.pieces > 0 else ()


def costs_of(flow: Flow, account: str) -> tuple[CostSheet, ...]:
    """A sheet for each currency; none if the content has cost nothing."""
    alcohol_ul = flow.held.get((account, ALCOHOL), 0)
    pieces = sum(
        n for (place, what), n in flow.held.items() if place == account and family_of(what) == "piece"
    )
    return tuple(
        CostSheet(account, currency, sum(line.minor for line in lines), lines, alcohol_ul, pieces)
        for currency, lines in _by_currency(flow.content(account, MONEY)).items()
    )


def spent(flow: Flow) -> dict[str, int]:
    """All money ever spent, by currency [minor units], wherever it is by now."""
    sums: dict[str, int] = {}
    for pool in (*flow.pools.values(), flow.unplaced):
        for tag, amount in pool.items():
            if family_of(tag.commodity) == MONEY:
                sums[name_of(tag.commodity)] = sums.get(name_of(tag.commodity), 0) + amount
    return sums


def not_placed(flow: Flow) -> tuple[CostLine, ...]:
    """Money that no content carries, since its entry moved nothing and named no place."""
    return tuple(
        CostLine(f"{tag.origin} (entry {tag.number})", amount) for tag, amount in flow.unplaced.items()
    )


def _by_currency(pool: Pool) -> dict[str, tuple[CostLine, ...]]:
    sums: dict[str, dict[str, int]] = {}
    for tag, amount in pool.items():
        own = sums.setdefault(name_of(tag.commodity), {})
        own[tag.origin] = own.get(tag.origin, 0) + amount
    return {currency: _lines(own.items()) for currency, own in sorted(sums.items())}


def _lines(rows: Iterable[tuple[str, int]]) -> tuple[CostLine, ...]:
    return tuple(CostLine(what, minor) for what, minor in sorted(rows, key=lambda row: (-row[1], row[0])))
