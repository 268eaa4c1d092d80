"""What is not known: named distributions with an owner and a source, and worlds drawn from them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal
from zlib import crc32

import numpy as np

from caskward.errors import TooManyUnknowns
from caskward.planning.sobol import MOST_DIMENSIONS, sobol
from caskward.stages.stream import Worlds

Owner = Literal["material", "gear", "method", "reading"]
Scale = Literal["share", "positive", "real"]

_Z_OF_TENTH = 1.2815515655446004
"""Standard normal deviate of the 90th percentile."""
_EDGE = 5e-4


@dataclass(frozen=True)
class Taught:
    """Where earlier batches put an unknown in its band, as a deviate: 0 and 1 are the band's own.

    Its deviate is `mean` plus `own` times one drawn for it alone plus weights times those of others, which
    were learned together with it.
    """

    mean: float = 0.0
    own: float = 1.0
    others: tuple[tuple[str, float], ...] = ()

    @property
    def sd(self) -> float:
        """Spread of the deviate, where the band's own is 1."""
        return float(np.sqrt(self.own**2 + sum(weight**2 for _, weight in self.others)))


@dataclass(frozen=True)
class Unknown:
    """One thing not known: what a maker meets 8 times in 10 lies between `low` and `high`.

    On an unbounded scale (log odds for a share, logarithm for a positive figure) it is a normal split
    at `likely`, its median, with a spread of its own on each side. `moves_with` names an unknown that
    shares its deviate, where both are one thing seen twice (the same still in two runs). Where the
    likely value is nought, half the worlds have nought and the rest rise in proportion. `taught` moves and
    narrows its draws within the band. A mishap is `met` in few worlds: in all others it is nought, and where
    it is met it rises towards 1, four times in five to no more than `high`.
    """

    name: str
    words: str
    owner: Owner
    scale: Scale
    low: float
    likely: float
    high: float
    source: str
    moves_with: str = ""
    taught: Taught = Taught()
    met: float = 0.0

    @property
    def mishap(self) -> bool:
        """True for what is met in few batches and is nought in all others."""
        return self.met > 0.0

    @property
    def certain(self) -> bool:
        """True where there is nothing to draw."""
        return self.low == self.high

    def at(self, z: Worlds) -> Worlds:
        """Value where the standard normal deviate is z."""
        if self.certain:
            return np.full_like(z, self.likely)
        if self.mishap:
            return self._mishap(z)
        if self.likely <= 0.0 and self.scale != "real":
            return np.minimum(
                self.high * np.maximum(z, 0.0) / _Z_OF_TENTH, 1.0 if self.scale == "share" else np.inf
            )
        low, likely, high = (self._unbounded(v) for v in (self.low, self.likely, self.high))
        spread = np.where(z < 0.0, likely - low, high - likely) / _Z_OF_TENTH
        return self._bounded(likely + spread * z)

    def _mishap(self, z: Worlds) -> Worlds:
        """From nought where it is first met, without a jump: a reading finds it step by step."""
        first, high = (NormalDist().inv_cdf(1.0 - part * self.met) for part in (1.0, 0.2))
        over = np.maximum(z - first, 0.0) / (high - first)
        return np.asarray(-np.expm1(np.log1p(-self.high) * over))

    def log_density(self, value: Worlds) -> Worlds:
        """Log of how dense its draws lie at a value, but for a constant; -inf where none can be.

        Not for a mishap: most of its draws are one value.
        """
        if self.certain:
            return np.where(np.asarray(value) == self.likely, 0.0, -np.inf)
        at, per_unit = self._stretched(np.asarray(value, dtype=float))
        low, likely, high = (self._unbounded(v) for v in (self.low, self.likely, self.high))
        spread = np.where(at < likely, likely - low, high - likely) / _Z_OF_TENTH
        deviate = ((at - likely) / spread - self.taught.mean) / self.taught.sd
        return np.asarray(-0.5 * deviate**2 - np.log(self.taught.sd * spread) + np.log(per_unit))

    def _stretched(self, value: Worlds) -> tuple[Worlds, Worlds]:
        """A value on the unbounded scale, and how much that scale is stretched there."""
        if self.scale == "share":
            inside = np.clip(value, _EDGE, 1.0 - _EDGE)
            return np.log(inside / (1.0 - inside)), 1.0 / (inside * (1.0 - inside))
        if self.scale == "positive":
            some = np.maximum(value, 1e-9)
            return np.log(some), 1.0 / some
        return value, np.ones_like(value)

    def _unbounded(self, value: float) -> float:
        if self.scale == "share":
            inside = min(max(value, _EDGE), 1.0 - _EDGE)
            return float(np.log(inside / (1.0 - inside)))
        if self.scale == "positive":
            return float(np.log(max(value, 1e-9)))
        return value

    def _bounded(self, value: Worlds) -> Worlds:
        if self.scale == "share":
            return np.asarray(1.0 / (1.0 + np.exp(-value)))
        if self.scale == "positive":
            return np.asarray(np.exp(value))
        return value


@dataclass(frozen=True)
class Draw:
    """Worlds: one value of every unknown in each, and the deviates they came from, before any teaching."""

    seed: int
    count: int
    values: Mapping[str, Worlds]
    deviates: Mapping[str, Worlds]

    def __getitem__(self, name: str) -> Worlds:
        """Values of one unknown over all worlds."""
        return self.values[name]


def draw(unknowns: Sequence[Unknown], count: int, seed: int) -> Draw:
    """Draw worlds by scrambled Sobol points, evenly spread over all unknowns together.

    Args:
        unknowns: what to draw, in any order: an unknown's draws go by its name.
        count: number of worlds; a power of two keeps the points balanced.
        seed: the same seed gives the same worlds.

    Source: Sobol points with a linear matrix scramble; the normal's inverse by Wichura's AS 241, as in
    the standard library.
    """
    points = sobol(count, MOST_DIMENSIONS, seed)
    normal = NormalDist()
    deviates = {
        name: np.array([normal.inv_cdf(p) for p in points[:, column].tolist()])
        for name, column in _columns(unknowns).items()
    }
    return draw_of(unknowns, deviates, count, seed)


def likely_world(unknowns: Sequence[Unknown]) -> Draw:
    """The single world in which every unknown has its likely value."""
    return draw_of(unknowns, {name: np.zeros(1) for name in _columns(unknowns)}, 1, 0)


def _columns(unknowns: Sequence[Unknown]) -> dict[str, int]:
    """A dimension for each unknown that has a deviate of its own, found from its name.

    By name, not by place in the list: the same unknown has the same draws in a changed intent, so two
    plans differ by the change and not by chance.
    """
    free = {u.name for u in unknowns if not u.certain}
    own = sorted(u.name for u in unknowns if not u.certain and u.moves_with not in free)
    if len(own) > MOST_DIMENSIONS:
        raise TooManyUnknowns(len(own), MOST_DIMENSIONS)
    taken: dict[int, str] = {}
    for name in own:
        column = crc32(name.encode()) % MOST_DIMENSIONS
        while column in taken:
            column = (column + 1) % MOST_DIMENSIONS
        taken[column] = name
    return {name: column for column, name in taken.items()}


def draw_of(unknowns: Sequence[Unknown], deviates: Mapping[str, Worlds], count: int, seed: int) -> Draw:
    """Worlds from their deviates: every unknown at its own, or at that of the one it moves with."""
    nothing = np.zeros(count)
    placed = placed_of(unknowns, deviates)
    values = {
        u.name: u.at(nothing if u.certain else placed[u.name if u.name in placed else u.moves_with])
        for u in unknowns
    }
    return Draw(seed, count, values, deviates)


def placed_of(unknowns: Sequence[Unknown], deviates: Mapping[str, Worlds]) -> dict[str, Worlds]:
    """The deviates of the bands: those drawn, where earlier batches put them."""
    taught = {u.name: u.taught for u in unknowns if u.name in deviates and u.taught != Taught()}
    placed = dict(deviates)
    for name, place in taught.items():
        others = (weight * deviates[other] for other, weight in place.others)
        placed[name] = place.mean + place.own * deviates[name] + sum(others)
    return placed
