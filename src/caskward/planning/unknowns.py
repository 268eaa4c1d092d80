"""What is not known: named distributions with an owner and a source, and worlds drawn from them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from caskward.planning.sobol import sobol
from caskward.stages.stream import Worlds

Owner = Literal["material", "gear", "method", "reading"]
Scale = Literal["share", "positive", "real"]

_Z_OF_TENTH = 1.2815515655446004
"""Standard normal deviate of the 90th percentile."""
_EDGE = 5e-4


@dataclass(frozen=True)
class Unknown:
    """One thing not known: what a maker meets 8 times in 10 lies between `low` and `high`.

    On an unbounded scale (log odds for a share, logarithm for a positive figure) it is a normal split
    at `likely`, its median, with a spread of its own on each side. `moves_with` names an unknown that
    shares its deviate, where both are one thing seen twice (the same still in two runs).
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

    @property
    def certain(self) -> bool:
        """True where there is nothing to draw."""
        return self.low == self.high

    def at(self, z: Worlds) -> Worlds:
        """Value where the standard normal deviate is z."""
        if self.certain:
            return np.full_like(z, self.likely)
        low, likely, high = (self._unbounded(v) for v in (self.low, self.likely, self.high))
        spread = np.where(z < 0.0, likely - low, high - likely) / _Z_OF_TENTH
        return self._bounded(likely + spread * z)

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
    """Worlds: one value of every unknown in each, and the deviates they came from."""

    seed: int
    values: Mapping[str, Worlds]
    deviates: NDArray[np.float64]

    def __getitem__(self, name: str) -> Worlds:
        """Values of one unknown over all worlds."""
        return self.values[name]

    @property
    def count(self) -> int:
        """Number of worlds."""
        return int(self.deviates.shape[0])


def draw(unknowns: Sequence[Unknown], count: int, seed: int) -> Draw:
    """Draw worlds by scrambled Sobol points, evenly spread over all unknowns together.

    Args:
        unknowns: what to draw, in an order that belongs to the seed.
        count: number of worlds; a power of two keeps the points balanced.
        seed: the same seed gives the same worlds.

    Source: Sobol points with a linear matrix scramble; the normal's inverse by Wichura's AS 241, as in
    the standard library.
    """
    points = sobol(count, max(len(_free(unknowns)), 1), seed)
    normal = NormalDist()
    deviates = np.array([normal.inv_cdf(p) for p in points.ravel().tolist()]).reshape(points.shape)
    return _worlds(unknowns, deviates, seed)


def likely_world(unknowns: Sequence[Unknown]) -> Draw:
    """The single world in which every unknown has its likely value."""
    return _worlds(unknowns, np.zeros((1, max(len(_free(unknowns)), 1))), 0)


def _free(unknowns: Sequence[Unknown]) -> list[Unknown]:
    """Unknowns with a deviate of their own, in the order of the deviates' columns."""
    names = {u.name for u in unknowns if not u.certain}
    return [u for u in unknowns if not u.certain and u.moves_with not in names]


def _worlds(unknowns: Sequence[Unknown], deviates: NDArray[np.float64], seed: int) -> Draw:
    column = {u.name: np.ascontiguousarray(deviates[:, i]) for i, u in enumerate(_free(unknowns))}
    nothing = np.zeros(deviates.shape[0])
    values = {
        u.name: u.at(nothing if u.certain else column[u.name if u.name in column else u.moves_with])
        for u in unknowns
    }
    return Draw(seed, values, deviates)
