"""A mash that can be asked what is wrong: its causes' worlds, driven by what was read."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from caskward.errors import NothingToConvert
from caskward.planning.doses import dose_of
from caskward.planning.doubts import doubts
from caskward.planning.intent import Intent
from caskward.planning.mash_forecast import brought_together, forecast_mash, planned_rests
from caskward.planning.method import Method
from caskward.planning.readings import Reading, of_quantity
from caskward.planning.tub import mash_causes as known
from caskward.planning.tub.explain import Cause, Check
from caskward.planning.tub.mash import (
    MALT,
    MashStart,
    Stirred,
    Truth,
    mash_through,
    start_of,
)
from caskward.planning.tub.schedule import MashSchedule, off_as_logged
from caskward.planning.unknowns import Unknown, likely_world
from caskward.stages.iodine import starch_test_positive
from caskward.stages.mashing import MashCourse, mash_course
from caskward.stages.stream import Stream, Worlds

STEP_H: Final = 1.0 / 6.0
JAR_H: Final = 1.0 / 3.0
JAR_WARMER_K: Final = 10.0
JAR_DOSES: Final = 3.0
_NEAR: Final = {"temperature": 3.0, "ph": 0.5}
"""How near to the plan hands and instruments keep a mash [K], [pH]; *common practice, no source*."""
_GRITS_FROM, _GRITS_WIDTH = 0.10, 0.025
"""Share of starch that heat has not swollen at which a rubbed spoonful shows hard bits, and how sharply;
*common practice, no source*."""
_LABEL_FROM_K, _LABEL_WIDTH_K = 4.5, 0.6
"""How far off a window is noticed when its label is read again, and how sharply; *common practice*."""


@dataclass(frozen=True)
class MashModel:
    """One tub's mash as planned, and every way it may have gone otherwise."""

    intent: Intent
    stirred: Stirred
    schedule: MashSchedule
    base: tuple[Unknown, ...]
    causes: tuple[Cause, ...]
    full_doses: Mapping[str, tuple[float, str]]
    """A full dose of each product for one tub: amount, and mL or g."""
    checks: tuple[Check, ...]

    def drives(self, quantity: str) -> bool:
        """Temperature and pH as logged are followed, not judged."""
        return quantity in ("temperature", "ph")

    def follow(self, worlds: Mapping[str, Worlds], readings: Sequence[Reading], at_h: float) -> FollowedMash:
        """Carry the mash through every world as the readings drive it."""
        moments = [r.at_h for r in readings]
        hours = self.schedule.grid(STEP_H, max([at_h, *moments]), (at_h, *moments))
        warmer = self._off_plan(readings, "temperature", worlds[known.WARMER], hours)
        sourer = self._off_plan(readings, "ph", worlds[known.SOURER], hours)
        # What the instrument alone made of it is no part of the mash.
        told_c, told_ph = worlds[known.WARMTH_MISREAD] * warmer, worlds[known.PH_MISREAD] * sourer
        temp_c = self.schedule.temp_c(hours)[:, None] + warmer - told_c - worlds[known.THERMOMETER]
        ph = self.schedule.ph(hours)[:, None] + sourer - told_ph
        start = self._start(worlds)
        course = mash_through(start, hours, np.clip(temp_c, 0.0, 105.0), np.clip(ph, 1.0, 12.0))
        return FollowedMash(self, worlds, course, told_c, told_ph)

    def steering(self, readings: Sequence[Reading]) -> Worlds:
        """Log likelihood of how far the logged mash runs from the plan on average, under each cause."""
        out = np.zeros(len(self.causes))
        for quantity, name in (("temperature", known.WARMER), ("ph", known.SOURER)):
            off = self._off_the_plan(readings, quantity)
            if off.size:
                mean = np.asarray(float(np.mean(off)))
                out += [float(self.unknown_of(cause, name).log_density(mean)) for cause in self.causes]
        return out

    def steered_as_planned(self, readings: Sequence[Reading]) -> bool:
        """Whether warmth and pH as logged lie on the plan, or as near as hands keep them."""
        far = ((np.abs(self._off_the_plan(readings, q)), most) for q, most in _NEAR.items())
        return not any(np.any(off > most) for off, most in far)

    def _off_the_plan(self, readings: Sequence[Reading], quantity: str) -> Worlds:
        """How far a logged quantity was from what lies on the plan."""
        logged = of_quantity(readings, quantity)
        at_h, value = np.array([r.at_h for r in logged]), np.array([r.value for r in logged])
        allowed = self.schedule.allowed_c if quantity == "temperature" else self.schedule.allowed_ph
        least, most = allowed(at_h) if at_h.size else (at_h, at_h)
        return np.asarray(value - np.clip(value, least, most))

    def _off_plan(self, readings: Sequence[Reading], quantity: str, unread: Worlds, hours: Worlds) -> Worlds:
        """How far the mash runs from the plan on the grid: as logged, or as each world has it."""
        logged = of_quantity(readings, quantity)
        if not logged:
            return unread[None, :]
        at_h, read = np.array([r.at_h for r in logged]), np.array([r.value for r in logged])
        by = self.schedule
        planned, allowed = (by.temp_c, by.allowed_c) if quantity == "temperature" else (by.ph, by.allowed_ph)
        return off_as_logged(at_h, read, planned, allowed, hours)[:, None]

    def unknown_of(self, cause: Cause, name: str) -> Unknown:
        """An unknown as a cause has it."""
        return next(u for u in (*cause.changes, *self.base) if u.name == name)

    def _start(self, worlds: Mapping[str, Worlds]) -> MashStart:
        labels = [label.name for label in self.intent.enzymes if label.does in ("thin", "sweeten")]
        named = [name for name in (*labels, MALT) if known.lively(name) in worlds]
        truth = Truth(
            accessible=worlds[known.ACCESSIBLE],
            fermentable_share=worlds[known.FERMENTABLE],
            swollen_share=worlds[known.SWOLLEN],
            lively={name: worlds[known.lively(name)] for name in named},
            window_k={name: worlds[known.window(name)] for name in labels},
        )
        stirred = _with_more(self.stirred, worlds[known.STARCH], worlds[known.WATER])
        return start_of(self.intent, self.schedule, stirred, truth)


@dataclass(frozen=True)
class FollowedMash:
    """A mash in every world of every cause."""

    model: MashModel
    worlds: Mapping[str, Worlds]
    course: MashCourse
    told_c: Worlds
    told_ph: Worlds
    """What thermometer and pH meter show beyond what is, over the grid, but for the usual error."""
    _seen: dict[tuple[str, float], Worlds] = field(default_factory=dict)

    def expected(self, quantity: str, at_h: float) -> Worlds:
        """What would be read, or the chance of a yes, at a moment of the grid."""
        key = (quantity, at_h)
        if key not in self._seen:
            self._seen[key] = self._expected(quantity, self.at(at_h))
        return self._seen[key]

    def at(self, at_h: float) -> int:
        """The point of the grid at a moment."""
        return int(np.argmin(np.abs(self.course.hours - at_h)))

    def _expected(self, quantity: str, i: int) -> Worlds:
        shows: dict[str, Callable[[int], Worlds]] = {
            "starch": lambda i: np.asarray(starch_test_positive(self.course.showing_share[i])),
            "gravity": lambda i: self._gravity(i) + self.worlds[known.HYDROMETER],
            "gravity_checked": self._gravity,
            "volume": lambda i: self.course.stream(i).volume_at(self.course.temp_c[i]),
            "second_thermometer": lambda i: self.course.temp_c[i],
            "temperature": lambda i: (
                self.course.temp_c[i] + self.worlds[known.THERMOMETER] + _row(self.told_c, i)
            ),
            "ph": lambda i: self.course.ph[i] + _row(self.told_ph, i),
            "ph_checked": lambda i: self.course.ph[i],
            "grits": self._grits,
            "glucose": lambda i: 1000.0 * self.course.sugar_kg[i] / self.course.stream(i).liquid_l,
            "label_thin": lambda _: self._label_as_entered("thin"),
            "label_sweeten": lambda _: self._label_as_entered("sweeten"),
            "jar_warmer": lambda i: self._jar(i, JAR_WARMER_K, 1.0),
            "jar_dosed": lambda i: self._jar(i, 0.0, JAR_DOSES),
        }
        return np.broadcast_to(shows[quantity](i), self.worlds[known.WATER].shape)

    def _gravity(self, i: int) -> Worlds:
        return self.course.stream(i).specific_gravity

    def _grits(self, i: int) -> Worlds:
        # What is out of reach in soft husk and crumbs is not felt between the fingers.
        raw = self.course.raw_kg[i] / np.maximum(self.course.glucan_kg, 1e-12)
        hard = raw - (1.0 - self.worlds[known.ACCESSIBLE])
        return _rises((hard - _GRITS_FROM) / _GRITS_WIDTH)

    def _label_as_entered(self, does: str) -> Worlds:
        """Chance that a label, read again, says what was entered; there may be none of that kind."""
        names = [label.name for label in self.model.intent.enzymes if label.does == does]
        off_k = [np.abs(self.worlds[known.window(name)]) for name in names]
        worst_k = np.max(off_k, axis=0) if off_k else np.zeros_like(self.worlds[known.WATER])
        return _rises((_LABEL_FROM_K - worst_k) / _LABEL_WIDTH_K)

    def _jar(self, i: int, warmer_k: float, doses: float) -> Worlds:
        """Chance that a jar taken now, kept warmer or dosed again, shows starch after its time."""
        stream, starch, alive = self.course.carried_on(i)
        temp_c = np.clip(self.course.temp_c[i] + warmer_k, 0.0, 100.0)
        # The dose is of the product whose turn it is: those that are in by now.
        fresh = () if doses == 1.0 else tuple(
            replace(dose, at_h=0.0, strength=np.asarray(dose.strength) * doses)
            for dose in self.course.doses
            if dose.at_h <= self.course.hours[i] + 1e-9 and not _is_malt(self, dose)
        )  # fmt: skip
        now = tuple(dose for dose in alive if dose.at_h <= 1e-9)
        hours = np.array([0.0, 0.5 * JAR_H, JAR_H])
        jar = mash_course(
            stream,
            starch,
            hours,
            temp_c[None].repeat(3, 0),
            self.course.ph[i][None].repeat(3, 0),
            (*now, *fresh),
        )
        return np.asarray(starch_test_positive(jar.showing_share[-1]))


def _is_malt(followed: FollowedMash, dose: object) -> bool:
    count = (
        len(followed.model.intent.malt_enzymes) if any(p.malt for p in followed.model.stirred.portions) else 0
    )
    return count > 0 and any(dose is own for own in followed.course.doses[-count:])


def mash_model(intent: Intent, method: Method) -> MashModel:
    """The mash of one tub of a plan.

    Raises:
        NothingToConvert: the bill holds no starch.
    """
    schedule = planned_rests(intent, method)
    if schedule is None:
        raise NothingToConvert
    likely = brought_together(intent, method, likely_world(doubts(intent)))
    stirred = _one_tub(likely.stirred, 1.0 / method.ferments)
    products = [e.name for e in intent.enzymes if e.does in ("thin", "sweeten")]
    malt = MALT if any(p.malt and p.lintner > 0.0 for p in stirred.portions) else None
    counted_on = malt if not products else None
    cooks = any(p.cooked for p in stirred.portions)
    return MashModel(
        intent,
        stirred,
        schedule,
        known.base(products, malt, doubts(intent)),
        known.causes(products, counted_on, cooks),
        _full_doses(intent, method),
        known.checks(bool(products)),
    )


def _full_doses(intent: Intent, method: Method) -> dict[str, tuple[float, str]]:
    mash = forecast_mash(intent, method, likely_world(doubts(intent)))
    amounts = {label.name: dose_of(label, intent, method, mash) for label in intent.enzymes}
    return {name: (amount / method.ferments, unit) for name, (amount, unit) in amounts.items()}


def _one_tub(stirred: Stirred, share: float) -> Stirred:
    return replace(
        stirred,
        cooked=None if stirred.cooked is None else stirred.cooked.scaled(share),
        rest=None if stirred.rest is None else stirred.rest.scaled(share),
        portions=tuple(replace(p, starch_kg=p.starch_kg * share) for p in stirred.portions),
    )


def _with_more(stirred: Stirred, starch: Worlds, water: Worlds) -> Stirred:
    """So many times the starch, and so many times the water."""

    def more(stream: Stream | None) -> Stream | None:
        if stream is None:
            return None
        return stream.with_masses(starch_kg=stream.starch_kg * starch, water_kg=stream.water_kg * water)

    return replace(
        stirred,
        cooked=more(stirred.cooked),
        rest=more(stirred.rest),
        portions=tuple(replace(p, starch_kg=p.starch_kg * starch) for p in stirred.portions),
    )


def _row(grid: Worlds, i: int) -> Worlds:
    """A row of a grid that may be the same at every hour."""
    return np.asarray(grid[min(i, len(grid) - 1)])


def _rises(x: Worlds) -> Worlds:
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(x, -50.0, 50.0))))
