"""When: what a plan's cards say of time, from the courses of its tub; by the first worlds of the plan."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from caskward.planning.mash_forecast import truth_of
from caskward.planning.plan import Band
from caskward.planning.sizing import Sized
from caskward.planning.tub.brew import Kept, ferment_tub, first_draw, first_worlds, pitch_of
from caskward.planning.tub.brew_doubts import course_worlds
from caskward.planning.tub.mash import Stirred, mash_through, start_of
from caskward.planning.tub.pitching import pitching_c
from caskward.stages.iodine import TestTimes, when_to_test
from caskward.stages.stream import Worlds

WORLDS: Final = 256
FIRST_DROP_H: Final = 0.25
"""Nobody takes a drop sooner than this [h]; *common practice, no source*."""
_FERMENT_STEP_H, _MASH_STEP_H = 6.0, 1.0 / 6.0
_LEAST_DAYS, _DAYS_OVER = 7.0, 1.5


@dataclass(frozen=True)
class Dry:
    """Days until the tub is dry, pitched at a temperature and left to its room; the share of worlds that is.

    Where under nine worlds in ten are dry by the last day followed, the band ends there.
    """

    days: Band
    pitched_c: float
    room_c: float
    share: float
    followed_days: float


def dry(sized: Sized) -> Dry:
    """When a tub is dry that is pitched so that it stays in its yeast's window, and left to itself."""
    intent, count = sized.intent, min(WORLDS, sized.intent.worlds)
    kept = Kept(intent.site.room_c)
    pitched_c = pitching_c(intent, sized.method, kept, sized.course.mash.tub)
    last_h = 24.0 * np.ceil(max(_LEAST_DAYS, _DAYS_OVER * intent.yeast.ferment_days.high))
    worlds = course_worlds(intent, count)
    wash = first_worlds(sized.course.mash.tub, count).scaled(1.0 / sized.method.ferments)
    pitch = pitch_of(sized, worlds, wash, pitched_c)
    brew = ferment_tub(intent, worlds, wash, pitch, kept, float(last_h), step_h=_FERMENT_STEP_H)
    days = float(last_h) / 24.0
    share = float(np.mean(np.isfinite(brew.dry_h)))
    return Dry(capped_band(brew.dry_h / 24.0, days), pitched_c, kept.room_c, share, days)


def capped_band(values: Worlds, most: float) -> Band:
    """The band of values of which some are endless: those count as the most."""
    low, mid, high = np.quantile(np.minimum(values, most), (0.1, 0.5, 0.9))
    return Band(float(low), float(mid), float(high))


def starch_test(sized: Sized) -> TestTimes | None:
    """When to take a drop of the planned mash; None without starch."""
    mash, count = sized.course.mash, min(WORLDS, sized.intent.worlds)
    if mash.schedule is None:
        return None
    worlds = first_draw(sized.worlds, count)
    truth = truth_of(sized.intent, worlds)
    start = start_of(sized.intent, mash.schedule, _first(mash.stirred, count), truth)
    hours = mash.schedule.grid(_MASH_STEP_H)
    temp_c = np.clip(mash.schedule.temp_c(hours)[:, None] + worlds["mash.warmer_k"], 0.0, 105.0)
    return when_to_test(mash_through(start, hours, temp_c, mash.schedule.ph(hours)))


def _first(stirred: Stirred, count: int) -> Stirred:
    return replace(
        stirred,
        cooked=None if stirred.cooked is None else first_worlds(stirred.cooked, count),
        rest=None if stirred.rest is None else first_worlds(stirred.rest, count),
        portions=tuple(replace(p, starch_kg=p.starch_kg[:count]) for p in stirred.portions),
    )
