"""A mash from rest to rest: where it lies, what is cooled before each, and what grows too cool in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from caskward.planning.readings import Reading, of_quantity
from caskward.planning.tub.schedule import LEAST_COOLED_K, MashSchedule, PlannedDose
from caskward.stages.landing import WaysToCool, ways_to_cool
from caskward.stages.mashing import MashCourse
from caskward.stages.stream import Stream, Worlds
from caskward.stages.tub_heat import TubWall, hot_water_l, loss_kw

HOT_WATER_C = 95.0


@dataclass(frozen=True)
class Cooled:
    """A step down between two rests: before which, when [h], from [°C], and every way to take it."""

    words: str
    at_h: float
    from_c: Worlds
    volume_l: Worlds
    ways: WaysToCool


@dataclass(frozen=True)
class Fading:
    """A product's rest that grows too cool for its label.

    low_c: its label's lower end. at_h: when the likely mash falls under it. end_c: at the end of its hold.
    loss_kw: what the tub loses there. hot_water_l: of near the boil, back from there to the rest.
    """

    name: str
    low_c: float
    rest_c: float
    at_h: float
    end_c: float
    loss_kw: Worlds
    hot_water_l: Worlds


def landed(
    together: Stream, schedule: MashSchedule | None, mash: MashCourse | None, readings: Sequence[Reading]
) -> Stream:
    """The mash as it lies against its first window: all together, or as last logged within the first rest."""
    at_h = logged_h(schedule, readings)
    if mash is None or at_h is None:
        return together
    return together.at(np.broadcast_to(mash.temp_c[_at(mash, at_h)], together.temp_c.shape))


def logged_h(schedule: MashSchedule | None, readings: Sequence[Reading]) -> float | None:
    """When a mash was last logged within its first rest [h]; None where it was not."""
    if schedule is None:
        return None
    own = of_quantity((r for r in readings if r.stage == "mash"), "temperature")
    within = [r.at_h for r in own if r.at_h <= schedule.rests[0].to_h + 1e-6]
    return max(within, default=None)


def cooled_between(
    schedule: MashSchedule | None, mash: MashCourse | None, wall: TubWall, water_c: float
) -> tuple[Cooled, ...]:
    """Every step down after the first rest, from what is then in the tub."""
    if schedule is None or mash is None:
        return ()
    found = []
    for step in (s for s in schedule.steps_down if s.at_h > 0.0):
        stream = mash.stream(_at(mash, step.at_h))
        if float(np.median(stream.temp_c)) - step.to_c > LEAST_COOLED_K:
            ways = ways_to_cool(stream, step.to_c, wall, water_c)
            hot_l = stream.volume_at(stream.temp_c)
            found.append(Cooled(step.words, step.at_h, stream.temp_c, hot_l, ways))
    return tuple(found)


def fading(schedule: MashSchedule | None, mash: MashCourse | None, wall: TubWall) -> tuple[Fading, ...]:
    """Products of the tub whose hold the likely mash begins inside their label's window and ends under it."""
    if schedule is None or mash is None:
        return ()
    every = (_fades(schedule, dose, mash, wall) for dose in schedule.doses if not dose.in_pot)
    return tuple(one for one in every if one is not None)


def _fades(schedule: MashSchedule, dose: PlannedDose, mash: MashCourse, wall: TubWall) -> Fading | None:
    rest, low_c = schedule.rest_of(dose), dose.label.window_c[0]
    within = np.flatnonzero((mash.hours >= rest.from_h - 1e-6) & (mash.hours <= rest.to_h + 1e-6))
    likely_c = np.median(mash.temp_c.reshape(len(mash.hours), -1), axis=1)[within]
    under = np.flatnonzero(likely_c < low_c)
    if not under.size or under[0] == 0:
        return None
    k = int(under[0])
    part = (likely_c[k - 1] - low_c) / (likely_c[k - 1] - likely_c[k])
    at_h = mash.hours[within[k - 1]] + part * (mash.hours[within[k]] - mash.hours[within[k - 1]])
    stream = mash.stream(int(within[k])).at(np.asarray(low_c))
    return Fading(
        name=dose.label.name,
        low_c=low_c,
        rest_c=float(likely_c[0]),
        at_h=float(at_h),
        end_c=float(likely_c[-1]),
        loss_kw=loss_kw(low_c, wall.holding(stream.volume_l)),
        hot_water_l=hot_water_l(stream, HOT_WATER_C, float(likely_c[0])),
    )


def _at(mash: MashCourse, at_h: float) -> int:
    return int(np.argmin(np.abs(mash.hours - at_h)))
