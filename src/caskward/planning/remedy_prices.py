"""What a remedy costs beside the plan, and what a maker should know before taking it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from caskward.planning.forecast import Chain
from caskward.planning.intent import Intent
from caskward.planning.plan import Unit
from caskward.planning.sizing import NEARLY_ALL
from caskward.stages.stream import Worlds

_WEAKEST_SPIRIT_PCT_VOL = 40.0
"""Weakest strength at which most whiskies may be bottled, *from memory*: check the local rule."""
_TUB_FULL = 0.95
_SOME_KWH = 0.01
_SOME_SHARE = 0.005
"""Half of one in a hundred: the least that is seen in a share."""
_LOWER_PCT_VOL = 0.3
"""Least that a maker would see on a meter."""
_AIR = 0.2
"""Share of a cask left as air from which the spirit ages faster and evaporates more; *common practice*."""

WarnedKey = Literal[
    "name",
    "tolerance",
    "tub",
    "charge",
    "settles lower",
    "under legal strength",
    "air",
    "cover",
    "more strips",
    "more runs",
    "tails",
    "other batch",
    "strong feints",
    "feints over limit",
]


@dataclass(frozen=True)
class Warned:
    """Something to know: the figure it comes to, and the one it is held against.

    name: the spirit's legal name may change. tolerance: share of worlds in which strength stops the yeast.
    tub: fullest tub against its working volume. charge: strength the charge is thinned to. settles lower: the
    cask against the wish. under legal strength: of the settled cask, against 40 %vol. air: share of the cask
    left as air. cover: water added so that the still stays covered. more strips, more runs: against the plan.
    tails: the heart's end against the lowest usual one. other batch: litres, for the account and the label.
    strong feints, feints over limit: the strongest that goes in, against the charge as it stood and against
    the strongest charge that the plan allows.
    """

    key: WarnedKey
    value: float
    limit: float
    unit: Unit


@dataclass(frozen=True)
class Cost:
    """What a remedy takes more than the plan, in the middle world; less than nothing is saved.

    money: what is priced, in the intent's currency; None where nothing is. unpriced: what has no price.
    hours: of hold and still together. hands_h: of hands. extra_lpa: what is gained at entry strength.
    """

    money: float | None
    unpriced: tuple[str, ...]
    energy_kwh: float
    hours: float
    hands_h: float
    extra_lpa: float


def cost_of(base: Chain, then: Chain) -> Cost:
    """The difference between two forecasts of one batch."""
    energy_kwh = _more(then, base, still_kwh)
    longer_h = (then.method.late.hold_h - base.method.late.hold_h) * then.method.ferments
    money, unpriced = _money(base, then, energy_kwh)
    return Cost(
        money=money,
        unpriced=unpriced,
        energy_kwh=energy_kwh,
        hours=_more(then, base, still_h) + longer_h,
        hands_h=_rinsing_h(base, then),
        extra_lpa=_more(then, base, lambda chain: chain.filled.reduced.lpa),
    )


def _more(then: Chain, base: Chain, of: Callable[[Chain], Worlds]) -> float:
    return float(np.median(of(then) - of(base)))


def still_kwh(chain: Chain) -> Worlds:
    """Heat of all strips and runs."""
    return np.asarray(chain.low_wines[1].effort.energy_kwh + chain.run[3].effort.energy_kwh)


def still_h(chain: Chain) -> Worlds:
    """Hours that the still is watched: the spirit run as slowly as the trade runs it."""
    strip, spirit = chain.low_wines[1].effort, chain.run[3].effort
    slow_h = np.maximum(spirit.running_h, chain.worlds["spirit.hours"] * spirit.runs)
    return np.asarray(strip.heat_up_h + strip.running_h + spirit.heat_up_h + slow_h)


def _rinsing_h(base: Chain, then: Chain) -> float:
    """A rinse is a straining once more, each time."""
    how = then.method.late.rinse
    if how is None or base.method.late.rinse is not None:
        return 0.0
    wet_kg = float(np.median(base.strained[1].wet_solids_kg))
    return how.steps * base.intent.gear.straining.hours_per_100_kg.likely * wet_kg / 100.0


def _money(base: Chain, then: Chain, energy_kwh: float) -> tuple[float | None, tuple[str, ...]]:
    prices = then.intent.prices
    parts: list[float] = []
    unpriced: list[str] = []
    sugar = then.method.late.sugar
    if sugar is not None and sugar != base.method.late.sugar:
        kg = sugar.kg - (0.0 if base.method.late.sugar is None else base.method.late.sugar.kg)
        price = prices.per_kg.get(sugar.material.key)
        on_shelf_kg = then.intent.stock.materials_kg.get(sugar.material.key, 0.0)
        used_kg = base.method.bill_kg.get(sugar.material.key, 0.0) + sugar.kg - kg
        bought_kg = max(kg - max(on_shelf_kg - used_kg, 0.0), 0.0)
        if price is not None:
            parts.append(price * bought_kg)
        elif bought_kg > 0.0:
            unpriced.append(sugar.material.key)
    if then.method.spirits_in != base.method.spirits_in:
        unpriced.append("spirits in store")
    if then.method.late.top_up != base.method.late.top_up:
        unpriced.append("spirit of another batch")
    if then.intent.cask.capacity_l != base.intent.cask.capacity_l:
        unpriced.append("cask")
    if abs(energy_kwh) > _SOME_KWH:
        if prices.energy_per_kwh is None:
            unpriced.append("energy")
        else:
            parts.append(prices.energy_per_kwh * energy_kwh)
    return (sum(parts) if parts else None), tuple(unpriced)


def warnings_of(base: Chain, then: Chain) -> tuple[Warned, ...]:
    """What changes for the worse, or comes near a limit."""
    return (*_of_tub(base, then), *_of_still(base, then), *_of_cask(base, then))


def _of_tub(base: Chain, then: Chain) -> list[Warned]:
    late, was = then.method.late, base.method.late
    if late.sugar == was.sugar or late.sugar is None:
        return []
    found = []
    bill = {item.material.key for item in then.intent.bill}
    if late.sugar.material.key not in bill:
        found.append(Warned("name", late.sugar.kg / (late.sugar.kg + then.method.total_kg), 0.0, "share"))
    stalls = float(np.mean(then.fermented[1].stopped_by_strength))
    if stalls > float(np.mean(base.fermented[1].stopped_by_strength)) + _SOME_SHARE:
        found.append(Warned("tolerance", stalls, 0.0, "share"))
    full_l = float(np.quantile(then.mash.tub.volume_l, NEARLY_ALL)) / then.method.ferments
    working_l = then.intent.gear.tub.working_l
    if full_l > _TUB_FULL * working_l:
        found.append(Warned("tub", full_l, working_l, "L"))
    return found


def _of_still(base: Chain, then: Chain) -> list[Warned]:
    found = []
    if then.method.strips > base.method.strips:
        found.append(Warned("more strips", then.method.strips, base.method.strips, "count"))
    if then.method.spirit_runs > base.method.spirit_runs:
        found.append(Warned("more runs", then.method.spirit_runs, base.method.spirit_runs, "count"))
    if then.method.spirits_in != base.method.spirits_in:
        found += _of_feints(base, then)
    cover_l = _cover_l(then)
    if cover_l > _cover_l(base) + 0.05:
        found.append(Warned("cover", cover_l, then.intent.gear.spirit_still.minimum_charge_l, "L"))
    end, usual = then.method.cuts.heart_end_pct_vol, then.intent.practice.heart_end_pct_vol.low
    if end < base.method.cuts.heart_end_pct_vol and end < usual:
        found.append(Warned("tails", end, usual, "pct_vol"))
    return found


def _of_feints(base: Chain, then: Chain) -> list[Warned]:
    found = []
    limit = then.method.charge_limit_pct_vol
    if _thinned(then) > _thinned(base):
        found.append(Warned("charge", limit, limit, "pct_vol"))
    added = then.method.spirits_in[len(base.method.spirits_in) :]
    strongest = max((s.pct_vol for s in added), default=0.0)
    charge = float(np.median(base.run[0].strength_pct_vol))
    if strongest >= limit:
        found.append(Warned("feints over limit", strongest, limit, "pct_vol"))
    elif strongest > charge:
        found.append(Warned("strong feints", strongest, charge, "pct_vol"))
    return found


def _thinned(chain: Chain) -> float:
    """Share of worlds in which the charge is thinned to its strength limit."""
    at_limit = chain.run[0].strength_pct_vol >= chain.method.charge_limit_pct_vol - 1e-6
    return float(np.mean(at_limit & (chain.run[1].water_kg > 0.0)))


def _cover_l(chain: Chain) -> float:
    """Water added to the charge beyond what its strength asks [L]."""
    return float(np.median(chain.run[0].volume_l - chain.run[1].unfilled_l))


def _of_cask(base: Chain, then: Chain) -> list[Warned]:
    found = []
    settled, was = (chain.filled.cask_record.settled_pct_vol for chain in (then, base))
    middle, before = float(np.median(settled)), float(np.median(was))
    wished = _wished(base.intent, before)
    if middle < before - _LOWER_PCT_VOL:
        found.append(Warned("settles lower", middle, wished, "pct_vol"))
    if float(np.quantile(settled, 0.1)) < _WEAKEST_SPIRIT_PCT_VOL:
        low = float(np.quantile(settled, 0.1))
        found.append(Warned("under legal strength", low, _WEAKEST_SPIRIT_PCT_VOL, "pct_vol"))
    air = 1.0 - then.method.fill_l / then.intent.cask.capacity_l
    if air > _AIR and then.method.fill_l < base.method.fill_l:
        found.append(Warned("air", air, _AIR, "share"))
    if then.method.late.top_up is not None and base.method.late.top_up is None:
        found.append(Warned("other batch", then.method.late.top_up.volume_l, 0.0, "L"))
    return found


def _wished(intent: Intent, before: float) -> float:
    """Strength the cask was to settle at: the wish's own, else as it stood."""
    return before if intent.cask.settle_pct_vol is None else intent.cask.settle_pct_vol
