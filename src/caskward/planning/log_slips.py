"""Rows of a log that are simply wrong: a slip of the pen, °F for °C, a bad probe, a meter not set.

A tub's warmth and pH are followed as they were read, but one row in fifty is wrong, and then the course goes
on as its neighbours or the plan have it. What of a log to follow is a pattern: each row followed or not. How
likely each is follows by Bayes' rule from how far makers stray from their plan, with long tails, and from a
wrong row showing anything the instrument has; every world has one place on the scale of all patterns, so
later readings can tell which was right.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp, hypot, log, log1p, pi, sqrt
from statistics import NormalDist
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from caskward.planning.belief.weighing import DEGREES, SLIP
from caskward.planning.readings import QUANTITIES, Reading, Stage, of_quantity
from caskward.planning.unknowns import Draw, Unknown
from caskward.stages.stream import Worlds

_AGAIN: Final = 0.5
"""Chance that the next row of an instrument that was wrong is wrong again, and then that it is as far off;
*common practice, no source*."""
_BACK: Final = 0.5
"""Chance that a tub that was off its plan is back on it at a later row; *common practice, no source*."""
_KEPT: Final = 64
_LEAST: Final = log(1e-6)
"""A pattern less likely than this beside the likeliest is left out."""
_FAR_Z: Final = 8.0


class Row(NamedTuple):
    """One row of a log: hours, the value, and whether it was read by another instrument."""

    at_h: float
    value: float
    second: bool = False


@dataclass(frozen=True)
class Log:
    """A quantity that is followed, and how far makers stray from their plan in it.

    name: of the unknown that says which rows are right. first, second: its quantities, by the usual
    instrument and by another. strays: scale of Student's t about the plan, in the quantity's unit; error: of
    two readings at one moment; back_h: hours in which it may be back on its plan; all three *common practice,
    no source*.
    """

    name: str
    words: str
    stage: Stage
    first: str
    second: str
    strays: float
    error: float
    back_h: float

    @property
    def over(self) -> float:
        """How wide the values lie that a wrong row shows."""
        return QUANTITIES[self.first].high - QUANTITIES[self.first].low

    def holds(self, reading: Reading) -> bool:
        """True for a row of this log."""
        return reading.stage == self.stage and reading.quantity in (self.first, self.second)

    def rows(self, readings: Iterable[Reading]) -> tuple[Row, ...]:
        """Its rows in order of time."""
        own = of_quantity((r for r in readings if r.stage == self.stage), self.first, self.second)
        return tuple(sorted(self.row(r) for r in own))

    def row(self, reading: Reading) -> Row:
        """A reading as a row."""
        return Row(reading.at_h, reading.value, reading.quantity == self.second)


MASH_WARMTH: Final = Log(
    "your_log.mash_c",
    "whether the mash was as warm as it was logged",
    "mash",
    "temperature",
    "second_thermometer",
    strays=3.0,
    error=1.0,
    back_h=0.5,
)
MASH_PH: Final = Log(
    "your_log.mash_ph",
    "whether the mash was as sour as it was logged",
    "mash",
    "ph",
    "ph_checked",
    strays=0.3,
    error=0.2,
    back_h=0.5,
)
FERMENT_WARMTH: Final = Log(
    "your_log.tub_c",
    "whether the tub was as warm as it was logged",
    "ferment",
    "temperature",
    "second_thermometer",
    strays=3.0,
    error=1.0,
    back_h=12.0,
)
LOGS: Final = (MASH_WARMTH, MASH_PH, FERMENT_WARMTH)


def log_of(reading: Reading) -> Log | None:
    """The log that a reading is a row of; None for one that is judged."""
    return next((of for of in LOGS if of.holds(reading)), None)


def log_unknowns(readings: Sequence[Reading]) -> tuple[Unknown, ...]:
    """An unknown for each log that has rows: a standard normal, the place of a world on its patterns.

    The names come last in the alphabet, so that a draw with them leaves every other unknown as it was.
    """
    edge = NormalDist().inv_cdf(0.9)
    return tuple(
        Unknown(of.name, of.words, "reading", "real", -edge, 0.0, edge, "common-practice")
        for of in LOGS
        if any(of.holds(r) for r in readings)
    )


@dataclass(frozen=True)
class Patterns:
    """What of a log to follow: (patterns, rows), the most followed first, and how likely each is."""

    followed: NDArray[np.bool_]
    chances: Worlds

    def of(self, name: str, worlds: Draw) -> NDArray[np.intp]:
        """The pattern of each world; where a draw knows nothing of the log, every row is followed."""
        z = worlds.deviates.get(name)
        if z is None:
            return np.full(worlds.count, int(np.argmax(self.followed.sum(axis=1))))
        return np.searchsorted(self._ends_z(), z, side="right")

    def _ends_z(self) -> Worlds:
        """Deviates at which one pattern ends and the next begins."""
        ends = np.cumsum(self.chances)[:-1]
        normal = NormalDist()
        return np.array([normal.inv_cdf(p) if 0.0 < p < 1.0 else _FAR_Z for p in ends.tolist()])

    def middle_z(self, pattern: int) -> float:
        """The deviate in the middle of a pattern."""
        before = float(self.chances[:pattern].sum())
        inside = before + 0.5 * float(self.chances[pattern])
        return NormalDist().inv_cdf(min(max(inside, 1e-9), 1.0 - 1e-9))


@lru_cache(maxsize=64)
def patterns(of: Log, rows: tuple[Row, ...], off: tuple[float, ...], outside: tuple[float, ...]) -> Patterns:
    """Which rows of a log are followed, and how likely that is before any other reading.

    Args:
        rows: in order of time. off: how far each lies off the plan. outside: how far off what the plan
            allows, for a step may be early or late.
    """
    paths = [_Path()]
    for row, off_plan, beside in zip(rows, off, outside, strict=True):
        both = [path.with_row(of, row, off_plan, beside, right) for path in paths for right in (True, False)]
        best = max(path.log for path in both)
        likely = [path for path in both if path.log > best + _LEAST]
        paths = sorted(likely, key=lambda path: -path.log)[:_KEPT]
    paths = sorted(paths, key=lambda path: (path.followed.count(False), path.followed))
    best = max(path.log for path in paths)
    weights = np.array([exp(path.log - best) for path in paths])
    followed = np.array([path.followed for path in paths], dtype=bool).reshape(len(paths), len(rows))
    return Patterns(followed, weights / weights.sum())


@dataclass(frozen=True)
class _Path:
    """A pattern so far: its log weight, the last row that was right, and wrong ones by instrument."""

    log: float = 0.0
    followed: tuple[bool, ...] = ()
    right: tuple[float, float] | None = None
    wrong: tuple[float | None, float | None] = (None, None)

    def with_row(self, of: Log, row: Row, off: float, outside: float, right: bool) -> _Path:
        """The pattern with one more row, right or wrong."""
        was = self.wrong[row.second]
        slips = SLIP if was is None else _AGAIN
        if right:
            density = (1.0 - slips) * self._as_made(of, row, off, outside)
        else:
            density = slips * _as_slipped(of, off, was)
        now = None if right else off
        return _Path(
            self.log + log(max(density, 1e-300)),
            (*self.followed, right),
            (row.at_h, off) if right else self.right,
            (self.wrong[0], now) if row.second else (now, self.wrong[1]),
        )

    def _as_made(self, of: Log, row: Row, off: float, outside: float) -> float:
        """Density of a right row: about the plan, or as far off it as the right one before."""
        by_plan = _t(outside, of.strays)
        if self.right is None:
            return by_plan
        if row.at_h == self.right[0]:  # a tub has one warmth at one moment: no long tails
            return _normal(off - self.right[1], of.error)
        gone = min((row.at_h - self.right[0]) / of.back_h, 1.0)
        same = _t(off - self.right[1], hypot(of.error, of.strays * sqrt(gone)))
        return (1.0 - _BACK * gone) * same + _BACK * gone * by_plan


def _as_slipped(of: Log, off: float, was: float | None) -> float:
    """Density of a wrong row: anything, or as far off as the wrong one before."""
    if was is None:
        return 1.0 / of.over
    return _AGAIN * _t(off - was, of.strays) + (1.0 - _AGAIN) / of.over


def _t(off: float, scale: float) -> float:
    """Density of Student's t with 4 degrees of freedom and a scale."""
    return 0.375 * exp(-0.5 * (DEGREES + 1.0) * log1p((off / scale) ** 2 / DEGREES)) / scale


def _normal(off: float, scale: float) -> float:
    return exp(-0.5 * (off / scale) ** 2) / (scale * sqrt(2.0 * pi))


def averaged(at_h: Worlds, values: Worlds) -> tuple[Worlds, Worlds]:
    """Rows of one moment as one, at their mean; values may have worlds along their last axis."""
    moments, place = np.unique(at_h, return_inverse=True)
    if len(moments) == len(at_h):
        return at_h, values
    sums = np.zeros((len(moments), *values.shape[1:]))
    np.add.at(sums, place, values)
    counts = np.bincount(place).reshape(-1, *([1] * (values.ndim - 1)))
    return moments, sums / counts
