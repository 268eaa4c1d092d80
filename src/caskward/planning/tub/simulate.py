"""The whole tub side of a plan, hour by hour, for one tub; corrected by what was read of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from caskward.errors import SetPointOutOfReach
from caskward.planning.mash_forecast import truth_of
from caskward.planning.readings import Reading, of_quantity
from caskward.planning.sizing import Sized
from caskward.planning.tub.additions import Added, add_in_turn
from caskward.planning.tub.brew import Brew, Kept, Pitch, ferment_tub, grid, pitch_of, pitched_at_c
from caskward.planning.tub.brew_doubts import course_worlds
from caskward.planning.tub.cooking import CookedTub, Together, bring_together, cook_tub, lands, wall_of
from caskward.planning.tub.draining import Drained, drain
from caskward.planning.tub.fits import DRIVES, JUDGES, Fit, weighed, weighted_band
from caskward.planning.tub.mash import mash_through, start_of
from caskward.planning.tub.pitching import pitching_c
from caskward.planning.tub.rests import Cooled, Fading, cooled_between, fading, landed
from caskward.planning.tub.schedule import Allowed, MashSchedule, Planned, mash_schedule, off_as_logged
from caskward.planning.unknowns import Draw
from caskward.stages.iodine import TestTimes, when_to_test
from caskward.stages.landing import Landing, WaysToCool, ways_to_cool
from caskward.stages.mashing import MashCourse
from caskward.stages.stream import Stream, Worlds

MASH_STEP_H: Final = 1.0 / 6.0
STRAYS_K: Final = 4.0
"""How far outside its window a set-point may lie: further, the yeast is another matter; *common practice*."""
_LEAST_DAYS, _DAYS_OVER = 7.0, 1.5
_MORE_WORLDS, _MOST_WORLDS = 2, 8192


@dataclass(frozen=True)
class Setup:
    """How one tub is kept and what was read: room and set-point [°C], days to follow, readings.

    at_h: hours of the ferment to have points at, too.
    """

    room_c: float
    set_point_c: float | None = None
    days: float | None = None
    readings: tuple[Reading, ...] = ()
    at_h: tuple[float, ...] = ()


@dataclass(frozen=True)
class TubCourse:
    """One tub from pot to wash in every world; `weights` are how well each explains the readings.

    `landed` is the mash as it lies against its window: all together, or as warm as it was then logged.
    `cooled`, `fading`: what is cooled between the rests, and what grows too cool in them. `unread` is the
    ferment as it would be expected with no reading at all.
    """

    sized: Sized
    worlds: Draw
    setup: Setup
    cooked: CookedTub | None
    together: Together
    schedule: MashSchedule | None
    landed: Stream
    landing: Landing | None
    cooled: tuple[Cooled, ...]
    fading: tuple[Fading, ...]
    mash: MashCourse | None
    test: TestTimes | None
    added: tuple[Added, ...]
    cooling: WaysToCool
    pitch: Pitch
    kept: Kept
    brew: Brew
    unread: Brew
    drained: Drained
    weights: Worlds
    fits: tuple[Fit, ...]
    unused: tuple[Reading, ...]

    @property
    def worlds_that_fit(self) -> float:
        """How many worlds the weights amount to."""
        return float(1.0 / np.sum(self.weights**2))


def simulate(sized: Sized, setup: Setup) -> TubCourse:
    """Carry one tub of a plan through every hour.

    Raises:
        SetPointOutOfReach: a set-point that the yeast is not kept at. InputError: a pot too weak, and so on.
    """
    _check_set_point(sized, setup)
    worlds = course_worlds(sized.intent, _count(sized, setup))
    in_pots = () if sized.course.mash.schedule is None else sized.course.mash.schedule.doses
    cooked = cook_tub(sized, worlds, in_pots, setup.room_c)
    together = bring_together(sized, worlds, cooked)
    schedule = _schedule(sized, together)
    tub = _Tub(sized, setup, worlds, together, schedule)
    way = tub.followed(setup.readings)
    drives = any(r.quantity in DRIVES[r.stage] for r in setup.readings)
    unread = tub.followed(()) if drives else way
    weights, fits = weighed(setup.readings, (way.mash, way.brew), (unread.mash, unread.brew), worlds.count)
    wall = wall_of(sized, worlds, setup.room_c)
    lies = landed(together.mash, schedule, way.mash, setup.readings)
    return TubCourse(
        sized=sized,
        worlds=worlds,
        setup=setup,
        cooked=cooked,
        together=together,
        schedule=schedule,
        landed=lies,
        landing=None
        if schedule is None
        else lands(sized, lies, wall, next_window(schedule, sized).window_c, schedule.rests[0].temp_c),
        cooled=cooled_between(schedule, way.mash, wall, sized.intent.site.water_c),
        fading=fading(schedule, way.mash, wall),
        mash=way.mash,
        test=None if way.mash is None else when_to_test(way.mash),
        added=way.added,
        cooling=ways_to_cool(way.wash, way.pitch.temp_c, wall, sized.intent.site.water_c),
        pitch=way.pitch,
        kept=way.kept,
        brew=way.brew,
        unread=unread.brew,
        drained=drain(sized, worlds, way.brew.end),
        weights=weights,
        fits=fits,
        unused=tuple(r for r in setup.readings if not _used(r)),
    )


@dataclass(frozen=True)
class _Way:
    """A mash, what is added to it, and its ferment, by some readings."""

    mash: MashCourse | None
    added: tuple[Added, ...]
    wash: Stream
    pitch: Pitch
    kept: Kept
    brew: Brew


@dataclass(frozen=True)
class _Tub:
    """Everything of one tub that no reading changes."""

    sized: Sized
    setup: Setup
    worlds: Draw
    together: Together
    schedule: MashSchedule | None

    def followed(self, readings: Sequence[Reading]) -> _Way:
        """The tub from its rests to the last hour of its ferment, as warm and sour as it was read.

        Its points in time are those of every reading of the setup, whichever are followed.
        """
        sized, setup, worlds, together = self.sized, self.setup, self.worlds, self.together
        mash = None if self.schedule is None else self._mash(self.schedule, readings)
        base = mash.end if mash is not None else None
        tub, added = add_in_turn(sized, together.brought, base, worlds)
        wash = tub if tub is not None else together.mash
        kept = Kept(setup.room_c, setup.set_point_c, _logged(readings))
        intent, method = sized.intent, sized.method
        at_c = pitching_c(intent, method, replace(kept, logged=()), sized.course.mash.tub)
        pitch = pitch_of(sized, worlds, wash, pitched_at_c(kept, at_c))
        times = [*setup.at_h, *(r.at_h for r in setup.readings if r.stage == "ferment")]
        brew = ferment_tub(intent, worlds, wash, pitch, kept, _until_h(sized, setup, times), times)
        return _Way(mash, added, wash, pitch, kept, brew)

    def _mash(self, schedule: MashSchedule, readings: Sequence[Reading]) -> MashCourse:
        """The mash over its rests, or as long as it was read; logged warmth and pH are followed."""
        intent, worlds, together = self.sized.intent, self.worlds, self.together
        own = [r for r in readings if r.stage == "mash"]
        moments = [r.at_h for r in self.setup.readings if r.stage == "mash"]
        hours = schedule.grid(MASH_STEP_H, max(moments, default=0.0), moments)
        truth = replace(truth_of(intent, worlds), swollen_share=together.swollen_of_plan)
        start = start_of(intent, schedule, together.stirred, truth)
        warmer = _off(own, "temperature", schedule.temp_c, schedule.allowed_c, hours)
        warmer_k = worlds["mash.warmer_k"][None, :] if warmer is None else warmer[:, None]
        sourer = _off(own, "ph", schedule.ph, schedule.allowed_ph, hours)
        ph = schedule.ph(hours) if sourer is None else schedule.ph(hours) + sourer
        temp_c = schedule.temp_c(hours)[:, None] + warmer_k
        return mash_through(start, hours, np.clip(temp_c, 0.0, 105.0), np.clip(ph, 1.0, 12.0))


def _count(sized: Sized, setup: Setup) -> int:
    """Readings leave few worlds that fit: then more are drawn."""
    count = sized.intent.worlds
    judged = any(r.quantity in JUDGES[r.stage] for r in setup.readings)
    return max(count, min(_MOST_WORLDS, _MORE_WORLDS * count)) if judged else count


@dataclass(frozen=True)
class Next:
    """What the mash should land in, all together: whose window it is, and the window [°C]."""

    whose: str
    window_c: tuple[float, float]


def next_window(schedule: MashSchedule, sized: Sized) -> Next:
    """The window of what goes into the tub first: a product's own, or malt's thinning enzyme's."""
    first = next((d.label for d in schedule.doses if not d.in_pot), None)
    if first is not None:
        return Next(first.name, first.window_c)
    malt = sized.intent.malt_enzymes
    if malt and any(i.material.enzymes for i in sized.intent.bill):
        return Next("malt's own enzymes", (malt[0].window_c.low, malt[0].window_c.high))
    rest_c = schedule.rests[0].temp_c
    return Next("the rest", (rest_c - 2.0, rest_c + 2.0))


def _check_set_point(sized: Sized, setup: Setup) -> None:
    yeast, set_c = sized.intent.yeast, setup.set_point_c
    if set_c is None:
        return
    low, high = yeast.window_c.low - STRAYS_K, yeast.window_c.high + STRAYS_K
    if not low <= set_c <= high:
        raise SetPointOutOfReach(set_c, yeast.name, low, high, sized.intent.show)


def _schedule(sized: Sized, together: Together) -> MashSchedule | None:
    if not together.stirred.portions or not np.any(together.mash.starch_kg > 0.0):
        return None
    stirred_c, capacity, litres = (
        float(np.median(part))
        for part in (together.mash.temp_c, together.mash.heat_capacity_kj_k, together.mash.volume_l)
    )
    return mash_schedule(sized.intent, sized.method, stirred_c, capacity, litres)


def _off(
    readings: Sequence[Reading], quantity: str, planned: Planned, allowed: Allowed, hours: Worlds
) -> Worlds | None:
    """How far the logged readings lie from the plan, over the grid; None where nothing was logged."""
    logged = of_quantity(readings, quantity)
    if not logged:
        return None
    at_h, read = np.array([r.at_h for r in logged]), np.array([r.value for r in logged])
    return off_as_logged(at_h, read, planned, allowed, hours)


def _logged(readings: Sequence[Reading]) -> tuple[tuple[float, float], ...]:
    own = [r for r in readings if r.stage == "ferment"]
    return tuple((r.at_h, r.value) for r in of_quantity(own, "temperature"))


def _until_h(sized: Sized, setup: Setup, times: Sequence[float]) -> float:
    """How long the ferment is followed: the days asked for, or until nearly any is done."""
    usual = max(_LEAST_DAYS, _DAYS_OVER * sized.intent.yeast.ferment_days.high)
    days = setup.days if setup.days is not None else float(np.ceil(usual))
    return max(24.0 * days, *times, 0.0) if times else 24.0 * days


def _used(reading: Reading) -> bool:
    return reading.quantity in (*JUDGES[reading.stage], *DRIVES[reading.stage])


def hours_shown(course: TubCourse, also_h: Sequence[float] = ()) -> Worlds:
    """Hours of the ferment worth a row: half days at first, days later, to a day after nearly all are dry."""
    last = float(course.brew.hours[-1])
    dry_h = weighted_band(course.brew.dry_h, course.weights).high
    if course.setup.days is None and np.isfinite(dry_h):
        last = min(last, max(24.0 * np.ceil(dry_h / 24.0), 48.0, *also_h, 0.0))
    step = 12.0 if last <= 120.0 else 24.0 if last <= 240.0 else 48.0
    return grid(last, [h for h in also_h if h <= last], step)
