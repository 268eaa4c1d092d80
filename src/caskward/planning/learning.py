"""Closing a batch: what its readings taught of gear, method and materials goes to the next.

A belief gives, for every deviate, where this batch lay. What lies on the maker's usual place is what a
linear Gaussian model says of it: as much as usual places explain of the batch, no more. Where readings said
nothing, nothing is learned: the mean is kept only along what readings tell of, and the spread is that of the
readings' own errors.
Source: the backward step of a Kalman smoother; precision from slopes (Gauss-Newton) with Student's t, any
text on state space models, from memory.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final
from zlib import crc32

import numpy as np

from caskward.errors import BatchLearnedAlready
from caskward.planning.belief.weighing import DEGREES, Number
from caskward.planning.doubts import thing_of
from caskward.planning.learned_gear import Floats, Habit, LearnedGear, as_rows, habits_of
from caskward.planning.likelihood import seen
from caskward.planning.observing import Watched, drives
from caskward.planning.plan import Band
from caskward.planning.readings import Reading
from caskward.planning.unknowns import Scale, Unknown, draw
from caskward.planning.update import Belief

TOLD: Final = 0.05
"""Least share of an unknown's variance that a batch takes away to count as one that told of it."""
MOVED_SD: Final = 0.25
"""A habit has moved when its middle is so far from the band's, in spreads of the band, or"""
NARROWED: Final = 0.9
"""when its spread is at most this part of the band's."""
_CLOUD: Final = 0.5
"""Spread of the worlds, in deviates, over which slopes are taken: as wide as a batch usually leaves them."""
_EIGEN_LEAST: Final = 1e-3


@dataclass(frozen=True)
class Told:
    """What one batch says of its own deviates, before any teaching: mean and covariance, by Belief.names."""

    mean: Floats
    covariance: Floats


def told(belief: Belief) -> Told:
    """Mean and covariance of a batch's deviates after its readings."""
    size = len(belief.names)
    judged = [r for r in belief.readings if not drives(r) and not r.bound]
    if belief.particles is None or not judged:
        return Told(np.zeros(size), np.eye(size))
    mean = belief.z.mean(axis=0)
    slopes = _slopes(belief, judged, mean)
    values, axes = np.linalg.eigh(slopes.T @ slopes)
    tells = axes[:, values > _EIGEN_LEAST]
    return Told(tells @ (tells.T @ mean), np.asarray(np.linalg.inv(np.eye(size) + slopes.T @ slopes)))


def _slopes(belief: Belief, judged: list[Reading], mean: Floats) -> Floats:
    """How each reading rises with each deviate, in its own errors as its long tails count them."""
    cloud = draw(belief.unknowns, len(belief.z), belief.sized.intent.seed)
    off = _CLOUD * np.column_stack([cloud.deviates[name] for name in belief.names])
    watched = Watched(belief.sized, belief.draw(mean + off), belief.readings)
    design = np.column_stack([np.ones(len(off)), off])
    rows = []
    for reading in judged:
        shown = np.asarray(watched.expected(reading), dtype=float)
        at, *rise = np.linalg.lstsq(design, shown, rcond=None)[0].tolist()
        rows.append(np.array(rise) * np.sqrt(_precision(reading, at)))
    return np.array(rows)


def _precision(reading: Reading, expected: float) -> float:
    """How much a reading tells where so much is expected: a doubtful one less, a yes or no by its chance."""
    likelihood = seen(reading)
    if not isinstance(likelihood, Number):
        chance = min(max(expected, _SLIPS), 1.0 - _SLIPS)
        return 1.0 / (chance * (1.0 - chance))
    off = (likelihood.value - expected) / likelihood.sd
    weight = min((DEGREES + 1.0) / (DEGREES + off**2), 1.0)
    return weight * (DEGREES + 1.0) / (DEGREES + 3.0) / likelihood.sd**2


_SLIPS: Final = 0.05


def learn(
    belief: Belief, earlier: LearnedGear | None = None, saved: str = "", says: Told | None = None
) -> LearnedGear:
    """What is known of the maker's usual places after one more batch.

    Args:
        belief: the batch, closed, its plan made with what was learned earlier. earlier: what that was.
        saved: the day, ISO. says: what the batch says, where that is known already, such as by a preview.

    Raises:
        BatchLearnedAlready: these very readings are among those learned from earlier.
    """
    intent = belief.sized.intent
    mark = mark_of(belief.readings)
    if earlier is not None and mark in earlier.closed:
        raise BatchLearnedAlready(len(belief.readings))
    habits = habits_of(belief.unknowns, [thing_of(u.name, intent) for u in belief.unknowns])
    before = (earlier or LearnedGear()).with_new(habits)
    usual, spread = before.next_usual()
    index = [k for k in map(before.at, habits) if k is not None]
    batch = _of_habits(belief, habits, says or told(belief))
    prior = _of_habits(belief, habits, Told(np.zeros(len(belief.names)), np.eye(len(belief.names))))
    gain = np.linalg.solve(prior.covariance, spread[index]).T
    mean = usual + gain @ (batch.mean - prior.mean)
    covariance = spread - gain @ (prior.covariance - batch.covariance) @ gain.T
    left = np.diag(batch.covariance) / np.diag(prior.covariance)
    heard = Counter({k: int(part < 1.0 - TOLD) for k, part in zip(index, left, strict=True)})
    return LearnedGear(
        habits=tuple(replace(h, batches=h.batches + heard[k]) for k, h in enumerate(before.habits)),
        mean=tuple(mean.tolist()),
        covariance=as_rows(0.5 * (covariance + covariance.T)),
        batches=before.batches + 1,
        readings=before.readings + len(belief.readings),
        saved=saved,
        closed=(*before.closed, mark),
    )


def mark_of(readings: Sequence[Reading]) -> str:
    """By what a batch is known again: its readings, as numbers."""
    written = sorted(f"{r.stage} {r.quantity} {r.at_h:g} {r.at_l:g} {r.value:.6g}" for r in readings)
    return f"{crc32('; '.join(written).encode()):08x}"


def _of_habits(belief: Belief, habits: tuple[Habit, ...], at: Told) -> Told:
    """The same of the habits, on the deviates of their bands, where earlier batches put them."""
    column = {name: k for k, name in enumerate(belief.names)}
    taught = {u.name: u.taught for u in belief.unknowns}
    middle = np.array([taught[h.name].mean for h in habits])
    root = np.zeros((len(habits), len(belief.names)))
    for row, habit in enumerate(habits):
        root[row, column[habit.name]] = taught[habit.name].own
        for other, weight in taught[habit.name].others:
            root[row, column[other]] = weight
    return Told(middle + root @ at.mean, root @ at.covariance @ root.T)


@dataclass(frozen=True)
class Moved:
    """One unknown after its batches: the band that a plan begins with, and the one that it has now."""

    name: str
    words: str
    scale: Scale
    default: Band
    learned: Band
    mean: float
    sd: float
    batches: int


def moved(learned: LearnedGear) -> tuple[Moved, ...]:
    """Every unknown that batches have moved or narrowed, the farthest first."""
    habits, mean, covariance = learned.next_batch(learned.habits)
    found = [
        _moved(habit, float(at), float(np.sqrt(variance)))
        for habit, at, variance in zip(habits, mean, np.diag(covariance), strict=True)
    ]
    told_of = (m for m in found if m.batches and (abs(m.mean) >= MOVED_SD or m.sd <= NARROWED))
    return tuple(sorted(told_of, key=lambda m: -abs(m.mean)))


def _moved(habit: Habit, mean: float, sd: float) -> Moved:
    band = unknown_of(habit)
    low, likely, high = band.at(mean + sd * np.array([-_Z_OF_TENTH, 0.0, _Z_OF_TENTH])).tolist()
    return Moved(
        habit.name,
        habit.words,
        habit.scale,
        Band(habit.low, habit.likely, habit.high),
        Band(low, likely, high),
        mean,
        sd,
        habit.batches,
    )


_Z_OF_TENTH: Final = 1.2815515655446004


def unknown_of(habit: Habit) -> Unknown:
    """A habit as an unknown in its own band."""
    return Unknown(
        habit.name,
        habit.words,
        "method",
        habit.scale,
        habit.low,
        habit.likely,
        habit.high,
        "maker",
    )
