"""What closed batches taught of gear, method and materials, as the prior of the next.

Every unknown of a batch lies around the maker's own usual place, and a batch strays from it: the band that a
plan begins with is both together. A batch teaches the usual place; the straying is new each time, so no
batch ever rules. From batch to batch the place itself may move a little, so older batches weigh less. All on
the deviates of the bands, in closed form.
Source: a Gaussian random effect with a first-order autoregressive mean, any text on state space models, from
memory. The shares are *common practice, no source*.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isclose
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caskward.planning.unknowns import Scale, Taught, Unknown

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Carry:
    """How an unknown passes from batch to batch.

    strays: share of the band's variance that is new in every batch (0..1). keeps: part of the usual place's
    deviate that is still there one batch later (0..1).
    """

    strays: float
    keeps: float


GEAR: Final = Carry(0.15, 0.98)
METHOD: Final = Carry(0.2, 0.98)
HEAD: Final = Carry(0.25, 0.98)
"""A still's head: one run strays by 0.8 of the band, the four or five of a batch together by less, and by as
much again for what they share."""
MATERIAL: Final = Carry(0.5, 0.9)
"""A material of the same name: mostly another lot."""
NOTHING: Final = Carry(1.0, 0.0)
"""Errors of one reading, wood of one cask."""


def carry_of(unknown: Unknown) -> Carry:
    """How an unknown passes on, by its owner; wood is that of one cask, a pitch is the maker's habit.

    A mishap is of one batch.
    """
    if unknown.mishap or unknown.owner == "reading" or unknown.name.startswith("wood."):
        return NOTHING
    if unknown.name.endswith(".reflux"):
        return HEAD
    if unknown.owner == "gear":
        return GEAR
    if unknown.owner == "method" or unknown.name.startswith(_PITCH):
        return METHOD
    return MATERIAL


_PITCH: Final = ("yeast.", "ferment.")


@dataclass(frozen=True)
class Habit:
    """One unknown that batches may teach: the band it was learned in, and how many batches told of it.

    of: the yeast or the enzymes it is of, else "". Another band or another yeast is another thing.
    """

    name: str
    words: str
    scale: Scale
    low: float
    likely: float
    high: float
    carry: Carry
    of: str = ""
    batches: int = 0

    def same(self, other: Habit) -> bool:
        """True where both are one thing: name, band, and what it is of."""
        mine, theirs = ((h.name, h.of, h.scale) for h in (self, other))
        ends = ((self.low, other.low), (self.likely, other.likely), (self.high, other.high))
        return mine == theirs and all(isclose(a, b, rel_tol=1e-5, abs_tol=1e-9) for a, b in ends)


def habits_of(unknowns: Sequence[Unknown], of: Sequence[str]) -> tuple[Habit, ...]:
    """What of these can be taught, in order of name; `of` says of each what it is of."""
    free = {u.name for u in unknowns if not u.certain}
    found = (
        Habit(u.name, u.words, u.scale, u.low, u.likely, u.high, carry_of(u), what)
        for u, what in zip(unknowns, of, strict=True)
        if not u.certain and u.moves_with not in free
    )
    return tuple(sorted((h for h in found if h.carry != NOTHING), key=lambda h: h.name))


@dataclass(frozen=True)
class LearnedGear:
    """The usual place of every habit after its batches, as deviates: mean and covariance.

    batches, readings: how many stand behind all of it. saved: ISO date. closed: a mark of
    each batch, by which one that is given again is known.
    """

    habits: tuple[Habit, ...] = ()
    mean: tuple[float, ...] = ()
    covariance: tuple[tuple[float, ...], ...] = ()
    batches: int = 0
    readings: int = 0
    saved: str = ""
    closed: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """How many batches stand behind it."""
        batches = "1 closed batch" if self.batches == 1 else f"{self.batches} closed batches"
        readings = "1 reading" if self.readings == 1 else f"{self.readings} readings"
        return f"Begins with what {batches} taught ({readings}, saved {self.saved})."

    def next_usual(self) -> tuple[Floats, Floats]:
        """Where the usual places are by the next batch: a step back to the band's middle, and wider."""
        keeps, own = np.array([(h.carry.keeps, 1.0 - h.carry.strays) for h in self.habits]).reshape(-1, 2).T
        covariance = np.array(self.covariance).reshape(len(own), len(own))
        wider = np.diag((1.0 - keeps**2) * own)
        return keeps * np.array(self.mean), np.outer(keeps, keeps) * covariance + wider

    def with_new(self, habits: Sequence[Habit]) -> LearnedGear:
        """The same, with habits that no batch has met yet at their bands' own place."""
        new = tuple(h for h in habits if self.at(h) is None)
        covariance = np.diag([1.0 - h.carry.strays for h in (*self.habits, *new)])
        old = len(self.habits)
        if old:
            covariance[:old, :old] = self.covariance
        return replace(
            self,
            habits=(*self.habits, *new),
            mean=(*self.mean, *(0.0 for _ in new)),
            covariance=as_rows(covariance),
        )

    def at(self, habit: Habit) -> int | None:
        """Which of the habits it is; None for one that no batch has met."""
        return next((k for k, own in enumerate(self.habits) if own.same(habit)), None)

    def next_batch(self, habits: Sequence[Habit]) -> tuple[tuple[Habit, ...], Floats, Floats]:
        """Of the habits given those that were met, with mean and covariance of their deviates next time."""
        met = tuple(h for h in habits if self.at(h) is not None)
        index = [k for k in map(self.at, met) if k is not None]
        mean, covariance = self.next_usual()
        strays = np.diag([h.carry.strays for h in met])
        return met, mean[index], covariance[np.ix_(index, index)] + strays


def as_rows(matrix: Floats) -> tuple[tuple[float, ...], ...]:
    """A matrix as plain rows."""
    return tuple(tuple(row) for row in matrix.tolist())


def with_taught(
    unknowns: Sequence[Unknown], of: Sequence[str], learned: LearnedGear | None
) -> tuple[Unknown, ...]:
    """The unknowns of a batch, each where earlier batches put it.

    Each leans only on those before it in the alphabet: a draw of some, the first of all, stays as it is
    when the rest come with it.
    """
    if learned is None or not learned.habits:
        return tuple(unknowns)
    met, mean, covariance = learned.next_batch(habits_of(unknowns, of))
    root = np.linalg.cholesky(covariance) if met else np.zeros((0, 0))
    places = {}
    for k, habit in enumerate(met):
        others = ((met[j].name, float(root[k, j])) for j in range(k))
        told = tuple((name, weight) for name, weight in others if abs(weight) > _NO_WEIGHT)
        places[habit.name] = Taught(float(mean[k]), float(root[k, k]), told)
    return tuple(replace(u, taught=places[u.name]) if u.name in places else u for u in unknowns)


_NO_WEIGHT: Final = 1e-6
