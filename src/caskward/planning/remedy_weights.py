"""What a move takes, all together, as a share of what a whole batch takes; and whether it helps enough.

Money, hours, spirit and what is given up of the wish have no unit in common but the batch itself: so
much of its money, hours at the still, alcohol, cask. The parts are added as they are. That a tenth of each
weighs the same is *common practice, no source*; the parts stand beside it, for a maker to judge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.forecast import Chain
from caskward.planning.intent import SpiritStock
from caskward.planning.remedy_prices import Cost, still_h, still_kwh

_LEAST: Final = 0.01
"""What the smallest move takes: a decision, and a line in the log."""
_STORED: Final = 0.5
"""Worth of alcohol in feints, against alcohol in a heart; *common practice, no source*."""
AS_GOOD: Final = 0.02
"""A tenth is said where it is true to two in a hundred: nearer than that, both are said in the same words."""
_COUNTED_SD: Final = 2.0
_PART_OF_MISSING: Final = 0.25


@dataclass(frozen=True)
class Takes:
    """Shares of a whole batch that a move takes: money, hours, alcohol, and of the wish what it gives up."""

    money: float
    hours: float
    spirit: float
    wish: float

    @property
    def together(self) -> float:
        """All of it, never nothing."""
        return _LEAST + self.money + self.hours + self.spirit + self.wish


def takes_of(base: Chain, then: Chain, cost: Cost) -> Takes:
    """What a move takes, of what the batch takes as it stands; of alcohol at least a full cask's.

    A batch that has failed holds next to none, and beside that all spirit would look dear without end.
    """
    hours = max(cost.hours + cost.hands_h, 0.0) / max(float(np.median(still_h(base))), 1e-9)
    lpa = max(float(np.median(base.filled.reduced.lpa)), _lpa(base.method.fill_l, base.method.entry_pct_vol))
    return Takes(_money(base, then, cost), hours, _spirit_lpa(base, then) / lpa, _given_up(base, then))


def as_good(chance: float, aim: float, worlds: int) -> bool:
    """True where a chance is what was aimed for, as far as so many worlds can tell and a maker would say."""
    told = _COUNTED_SD * float(np.sqrt(aim * (1.0 - aim) / worlds))
    return chance >= aim - min(told, AS_GOOD)


def helps(before: float, after: float, aim: float) -> bool:
    """True for a move that gets there, or goes a quarter of the way and at least as far as can be told."""
    return after >= aim or after - before >= max(_PART_OF_MISSING * (aim - before), AS_GOOD)


def _money(base: Chain, then: Chain, cost: Cost) -> float:
    """Of sugar without a price, its share of the bill's mass."""
    prices, bill_kg = base.intent.prices, base.method.bill_kg
    whole = sum(prices.per_kg.get(key, 0.0) * kg for key, kg in bill_kg.items())
    if prices.energy_per_kwh is not None:
        whole += prices.energy_per_kwh * float(np.median(still_kwh(base)))
    share = max(cost.money or 0.0, 0.0) / whole if whole > 0.0 else 0.0
    sugar, was = then.method.late.sugar, base.method.late.sugar
    if sugar is not None and sugar.material.key in cost.unpriced:
        share += (sugar.kg - (0.0 if was is None else was.kg)) / base.method.total_kg
    return share


def _spirit_lpa(base: Chain, then: Chain) -> float:
    top_up, was = then.method.late.top_up, base.method.late.top_up
    poured = sum((1.0 if t is top_up else -1.0) * _lpa(t.volume_l, t.pct_vol) for t in (top_up, was) if t)
    stored = _stored_lpa(then.method.spirits_in) - _stored_lpa(base.method.spirits_in)
    return max(poured, 0.0) + _STORED * max(stored, 0.0)


def _stored_lpa(spirits: tuple[SpiritStock, ...]) -> float:
    return sum(_lpa(s.volume_l, s.pct_vol) for s in spirits)


def _lpa(volume_l: float, pct_vol: float) -> float:
    return volume_l * pct_vol / 100.0


def _given_up(base: Chain, then: Chain) -> float:
    """Of the cask's litres, of its strength, and of how early the heart was to end."""
    before, after = base.method, then.method
    parts = (
        (before.fill_l, after.fill_l),
        (before.entry_pct_vol, after.entry_pct_vol),
        (before.cuts.heart_end_pct_vol, after.cuts.heart_end_pct_vol),
    )
    return sum(max(1.0 - now / was, 0.0) for was, now in parts)
