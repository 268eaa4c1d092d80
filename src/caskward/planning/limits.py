"""Limits: how far each vessel, store and strength is used, and which binds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from caskward.planning.sizing import NEARLY_ALL, Sized
from caskward.stages.stream import Worlds

LimitKind = Literal[
    "tub", "cook pot", "strip still", "spirit still", "still minimum", "stock", "yeast", "heart"
]

_SOME_WORLDS = 0.2
"""Share of worlds that may stall on strength before the plan is called impossible."""

_LEAST_HEART = 0.15
"""Share of a charge's alcohol under which a heart is not worth a run (usual: 0.35 to 0.70); *common
practice, no source*."""


@dataclass(frozen=True)
class Limit:
    """One thing that could stop the batch: how much of it is used."""

    kind: LimitKind
    what: str
    used: float
    available: float
    unit: str

    @property
    def share(self) -> float:
        """Used over available; above 1 the limit is broken."""
        if self.available <= 0:
            return float("inf") if self.used > 0 else 0.0
        return self.used / self.available

    @property
    def broken(self) -> bool:
        """True where the batch does not fit."""
        return self.share > 1.0 + 1e-6


def limits(sized: Sized) -> tuple[Limit, ...]:
    """Every limit of a sized batch, the tightest first."""
    found = [*_vessels(sized), *_stills(sized), *_stores(sized), *_strengths(sized)]
    return tuple(sorted(found, key=lambda limit: -limit.share))


def _most(values: Worlds) -> float:
    return float(np.quantile(values, NEARLY_ALL))


def _vessels(sized: Sized) -> list[Limit]:
    intent, course = sized.intent, sized.course
    tub = intent.gear.tub
    count = min(sized.method.ferments, intent.most_ferments)
    each = f", each of {count} ferments" if count > 1 else ""
    mash_l = _most(course.mash.tub.volume_l) / count
    found = [Limit("tub", f"{tub.name}{each}", mash_l, tub.working_l, "L")]
    pot = intent.gear.cook_pot
    if course.mash.cook is not None and pot is not None:
        found.append(
            Limit("cook pot", pot.name, _most(course.mash.cook.pot_volume_l), pot.working_volume_l, "L")
        )
    return found


def _stills(sized: Sized) -> list[Limit]:
    gear, course = sized.intent.gear, sized.course
    strips, spirits = course.strip.effort, course.spirit.effort
    least_l = float(np.quantile(strips.charge_l, 1.0 - NEARLY_ALL))
    found = [
        Limit(
            "strip still",
            f"{gear.strip_still.name}, strip",
            _most(strips.charge_l),
            gear.strip_still.charge_limit_l,
            "L",
        ),
        Limit(
            "spirit still",
            f"{gear.spirit_still.name}, spirit run",
            _most(spirits.charge_l),
            gear.spirit_still.charge_limit_l,
            "L",
        ),
    ]
    if gear.strip_still.minimum_charge_l > 0:
        found.append(
            Limit(
                "still minimum",
                f"least charge of the {gear.strip_still.name}",
                gear.strip_still.minimum_charge_l,
                least_l,
                "L",
            )
        )
    return found


def _stores(sized: Sized) -> list[Limit]:
    stock = sized.intent.stock
    if stock.buys_more:
        return []
    names = {item.material.key: item.material.name for item in sized.intent.bill}
    return [
        Limit("stock", f"{names[key]} in store", kg, stock.materials_kg.get(key, 0.0), "kg")
        for key, kg in sized.method.bill_kg.items()
    ]


def _strengths(sized: Sized) -> list[Limit]:
    course = sized.course
    stalls = float(np.mean(course.ferment.stopped_by_strength))
    heart = course.spirit.receivers.heart.ethanol_kg / course.charge.ethanol_kg
    share = float(np.quantile(heart, 1.0 - sized.intent.confidence))
    heart_words = f"of the charge's alcohol in a heart at {sized.method.entry_pct_vol:.1f} %vol or more"
    return [
        Limit("yeast", "strength the yeast can stand", stalls, _SOME_WORLDS, "share"),
        Limit("heart", heart_words, _LEAST_HEART, share, "share"),
    ]
