"""Limits: how far each vessel, store and strength is used, and which binds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from caskward.planning.intent import StillGear
from caskward.planning.sizing import NEARLY_ALL, Sized
from caskward.planning.strengths import said
from caskward.stages.stream import Worlds

LimitKind = Literal[
    "tub", "cook pot", "strip still", "spirit still", "still minimum", "stock", "yeast", "heart"
]

_SOME_WORLDS = 0.2
"""Share of worlds that may stall on strength before the plan is called impossible."""

MOST_RUNS = 24
"""Cooks, strips or runs in a row for one cask that are still one batch; *common practice, no source*."""
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
        found.append(Limit("cook pot", f"cooks in the {pot.name}", sized.method.cooks, MOST_RUNS, "times"))
    return found


def _stills(sized: Sized) -> list[Limit]:
    """How often each still is filled, and whether it stays covered to the end of a run."""
    gear, course, method = sized.intent.gear, sized.course, sized.method
    kinds: tuple[tuple[LimitKind, StillGear, int, Worlds, Worlds], ...] = (
        ("strip still", gear.strip_still, method.strips, course.wash.volume_l, course.low_wines.volume_l),
        (
            "spirit still",
            gear.spirit_still,
            method.spirit_runs,
            course.charge.volume_l,
            course.spirit.receivers.volume_l,
        ),
    )
    found = []
    for kind, still, runs, charged_l, taken_l in kinds:
        what = "strips" if kind == "strip still" else "spirit runs"
        found.append(Limit(kind, f"{what} in the {still.name}", runs, MOST_RUNS, "times"))
        if still.minimum_charge_l > 0:
            left_l = float(np.quantile((charged_l - taken_l) / runs, 1.0 - NEARLY_ALL))
            words = f"left in the {still.name} at the end of a {what[:-1]}"
            found.append(Limit("still minimum", words, still.minimum_charge_l, left_l, "L"))
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
    heart_words = (
        f"of the charge's alcohol in a heart at {said(sized.method.entry_pct_vol, sized.intent.show)} or more"
    )
    return [
        Limit("yeast", "strength the yeast can stand", stalls, _SOME_WORLDS, "share"),
        Limit("heart", heart_words, _LEAST_HEART, share, "share"),
    ]
