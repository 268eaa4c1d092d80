"""A belief in the blink of an eye, from worlds already run: one Gaussian, no run of the target.

What each reading should show is regressed on the deviates over the worlds, first over all of them, then over
those near the belief found; what the regression leaves is carried as spread of its own, common to readings
that share it. Near a straight line it is exact; otherwise a preview, and a good place to temper from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.belief.proposals import Deviates, Gaussian, normals
from caskward.planning.belief.sites import with_sites
from caskward.planning.belief.weighing import (
    Seen,
    Summary,
    effective,
    equal,
    least_squares,
    normalised,
    summary,
)
from caskward.stages.stream import Worlds

_PASSES: Final = 3
_HALVINGS: Final = 20
_PARTICLES_EACH: Final = 6.0
"""Effective worlds for each coefficient of a regression that is kept near the belief."""
_LEAST_SHARE: Final = 0.1


@dataclass(frozen=True)
class Preview:
    """A Gaussian belief.

    belief: of the deviates. precision: (readings,) how much each reading counted, 1 / variance; nought for
    one that was left out. near: weights of the worlds the regression was made on.
    """

    belief: Gaussian
    precision: Worlds
    near: Worlds
    z: Deviates
    now: Gaussian | None

    def outcome(self, values: Worlds, seed: int = 1) -> Summary:
        """Mean, sd and 80 % band of an outcome whose values in the same worlds are given.

        The outcome is regressed on the deviates and their squares near the belief; what that leaves is drawn
        from the worlds.
        """
        return summary(self.moved(values, seed))

    def moved(self, values: Worlds, seed: int = 1) -> Worlds:
        """The outcome in worlds of equal weight drawn from the belief."""
        rng = np.random.default_rng(seed)
        rows = np.hstack([_rows(self.z), np.square(self.z)])
        found = least_squares(rows, values[:, None], self.near)
        rest = values - (rows @ found)[:, 0]
        root = np.linalg.cholesky(self.belief.cov + 1e-12 * np.eye(self.belief.mean.size))
        to = self.belief.mean + normals(rng, *self.z.shape) @ root.T
        drawn = rng.choice(values.size, size=values.size, p=self.near)
        return np.asarray((np.hstack([_rows(to), np.square(to)]) @ found)[:, 0] + rest[drawn])


def preview(
    seen: Sequence[Seen], expected: Worlds, z: Deviates, now: Gaussian | None = None, passes: int = _PASSES
) -> Preview:
    """Belief about the deviates once readings are in.

    Args:
        seen: the readings that the worlds do not follow yet.
        expected: (readings, worlds) what each should show in each world; of a yes or no, the chance of a yes.
        z: (worlds, unknowns) the worlds' deviates. Leave worlds with a mishap out: a line through both kinds
            follows neither.
        now: what the worlds follow; None for the prior. passes: regressions, each nearer the belief.
    """
    count, directions = z.shape
    prior = now or Gaussian(np.zeros(directions), np.eye(directions))
    near = equal(count)
    for _ in range(passes):
        slope, level, rest = _lines(z, expected, near)
        through = prior.cov @ slope
        cov = slope.T @ through + rest
        before = Gaussian(level + prior.mean @ slope, 0.5 * (cov + cov.T))
        after, precision = with_sites(seen, before)
        belief = _carried(prior, through, before, after)
        predicted = Gaussian(level + belief.mean @ slope, slope.T @ belief.cov @ slope + rest)
        last, near = near, _near(z @ slope + level, predicted, directions)
    return Preview(belief, precision, last, z, now)


def _rows(z: Deviates) -> Deviates:
    return np.hstack([np.ones((len(z), 1)), z])


def _lines(z: Deviates, expected: Worlds, weights: Worlds) -> tuple[Worlds, Worlds, Worlds]:
    """Slopes (unknowns, readings), levels (readings,), and covariance of what the lines leave."""
    rows = _rows(z)
    found = least_squares(rows, expected.T, weights)
    off = expected.T - rows @ found
    spare = max(1.0 - rows.shape[1] / effective(weights), 0.1)
    return found[1:], found[0], (off * weights[:, None]).T @ off / spare


def _carried(prior: Gaussian, through: Worlds, before: Gaussian, after: Gaussian) -> Gaussian:
    """What is learned of the expected values, carried to the deviates by their covariance."""
    gain = np.linalg.lstsq(before.cov, through.T, rcond=1e-10)[0].T
    mean = prior.mean + gain @ (after.mean - before.mean)
    cov = prior.cov - gain @ (before.cov - after.cov) @ gain.T
    return Gaussian(mean, 0.5 * (cov + cov.T))


def _near(line: Worlds, predicted: Gaussian, directions: int) -> Worlds:
    """Weights of worlds whose expected values are near the belief, as near as leaves enough of them.

    By the lines, not by the expected values: to choose by these would flatten the slopes.
    """
    off = line - predicted.mean
    scale = np.maximum(np.diag(predicted.cov), 1e-300)
    far = np.square(off / np.sqrt(scale)).sum(axis=1)
    enough = min(max(_PARTICLES_EACH * (directions + 1), _LEAST_SHARE * len(line)), 0.9 * len(line))
    low, high = 0.0, 1.0
    if effective(normalised(-0.5 * far)) >= enough:
        return normalised(-0.5 * far)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if effective(normalised(-0.5 * middle * far)) >= enough else (low, middle)
    return normalised(-0.5 * low * far)
