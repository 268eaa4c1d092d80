"""A stand-in for a target that is dear to run: what readings would show, as a bent surface in the deviates.

Where readings are much sharper than what was believed, worlds that fit them lie on a thin, bent sheet, and
proposals from a Gaussian mostly miss it. The stand-in costs little, so worlds are carried to what it says
first; the target then only has to put right what the stand-in has wrong: weights, and moves that are many
steps of the stand-in and one run of the target.
Source: Liu (2001), Monte Carlo Strategies in Scientific Computing, surrogate transitions; Christen and Fox
(2005), Journal of Computational and Graphical Statistics 14; both from memory, the tests hold the outcome.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caskward.planning.belief.proposals import Deviates, prior_log_density
from caskward.planning.belief.weighing import Seen, YesNo, effective, least_squares
from caskward.stages.stream import Worlds

_CROSSED: Final = 12
"""Unknowns whose products with each other are in the surface: those the readings hang on most."""
_WORLDS_EACH: Final = 1.5


@dataclass(frozen=True)
class Surface:
    """Expected values of readings by level, slope, kink at nought, bend, and products of a few unknowns.

    found: (rows, readings) coefficients in the order of `_rows`. crossed: columns of z whose products are in.
    spread: (readings,) sd of what the surface leaves.
    """

    found: Worlds
    crossed: NDArray[np.intp]
    bent: bool
    spread: Worlds

    def expected(self, z: Deviates) -> Worlds:
        """(readings, worlds); the rows are not built, for it is asked for many times."""
        d, k = z.shape[1], self.crossed.size
        straight = 1 + (3 * d if self.bent else d)
        shown = self.found[0] + z @ self.found[1 : d + 1]
        if self.bent:
            shown += (
                np.abs(z) @ self.found[d + 1 : 2 * d + 1] + np.square(z) @ self.found[2 * d + 1 : straight]
            )
        if k > 1:
            own, i_j = z[:, self.crossed], np.triu_indices(k, 1)
            for j in range(shown.shape[1]):
                products = np.zeros((k, k))
                products[i_j] = self.found[straight:, j]
                shown[:, j] += np.einsum("ij,ij->i", own @ products, own)
        return np.asarray(shown.T)


def surface_of(seen: Sequence[Seen], z: Deviates, expected: Worlds, weights: Worlds) -> Surface:
    """Weighted least squares over worlds already run; expected: (readings, worlds)."""
    count, d = effective(weights), z.shape[1]
    slopes = least_squares(_rows(z, np.arange(0), bent=False), expected.T, weights)[1:]
    scale = np.array([1.0 if isinstance(r, YesNo) else r.sd for r in seen])
    most = np.argsort(-np.abs(slopes / scale).sum(axis=1), kind="stable")
    bent = _WORLDS_EACH * (1 + 3 * d) < count
    spare = (count / _WORLDS_EACH - 1 - 3 * d) if bent else 0.0
    few = min(_CROSSED, d, int(0.5 + np.sqrt(max(2.0 * spare, 0.0))))
    crossed = most[:few]
    rows = _rows(z, crossed, bent=bent)
    found = least_squares(rows, expected.T, weights)
    left = weights @ np.square(expected.T - rows @ found)
    return Surface(found, crossed, bent, np.sqrt(left / max(1.0 - rows.shape[1] / count, 0.2)))


def stand_in(seen: Sequence[Seen], surface: Surface) -> Callable[[Deviates], Worlds]:
    """Log likelihood of all readings by the surface, each as wide again as the surface is unsure."""
    wider = [
        r if isinstance(r, YesNo) else replace(r, sd=float(np.hypot(r.sd, s)))
        for r, s in zip(seen, surface.spread, strict=True)
    ]

    def log_like(z: Deviates) -> Worlds:
        parts = [r.log_like(row) for r, row in zip(wider, surface.expected(z), strict=True)]
        return np.asarray(np.sum(parts, axis=0))

    return log_like


def density_of(log_like: Callable[[Deviates], Worlds]) -> Callable[[Deviates], Worlds]:
    """The prior times a likelihood, but for a constant."""
    return lambda z: prior_log_density(z) + log_like(z)


def _rows(z: Deviates, crossed: NDArray[np.intp], *, bent: bool) -> Deviates:
    parts = [np.ones((len(z), 1)), z]
    if bent:
        parts += [np.abs(z), np.square(z)]
    if crossed.size > 1:
        i, j = np.triu_indices(crossed.size, 1)
        own = z[:, crossed]
        parts.append(own[:, i] * own[:, j])
    return np.hstack(parts)
