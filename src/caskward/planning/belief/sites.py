"""Readings of any kind as Gaussians in what they read: expectation propagation, a few dozen sums.

Each reading's likelihood is stood in for by a Gaussian in its expected value, chosen so that, against all the
others, mean and spread come out as with the likelihood itself. A reading far from what all others say keeps
little weight of its own accord, for its tails are long.
Source: Minka (2001), expectation propagation, from memory; the tests hold the outcome.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from caskward.planning.belief.proposals import Gaussian
from caskward.planning.belief.weighing import Number, Seen
from caskward.stages.stream import Worlds

_ROUNDS: Final = 12
_NEAR: Final = np.linspace(-6.0, 6.0, 73)
_SHARP: Final = np.concatenate([np.linspace(-40.0, -6.0, 18)[:-1], _NEAR, np.linspace(6.0, 40.0, 18)[1:]])
_SETTLED: Final = 1e-4


def with_sites(seen: Sequence[Seen], before: Gaussian) -> tuple[Gaussian, Worlds]:
    """What the expected values are once their readings are in, and the precision each reading had in it.

    Args:
        seen: one reading for each expected value.
        before: of the expected values, (readings,) and (readings, readings).
    """
    count = len(seen)
    precision, shift = np.zeros(count), np.zeros(count)
    now = before
    for _ in range(_ROUNDS):
        last = now
        for j, reading in enumerate(seen):
            precision[j], shift[j] = _site(reading, now, j, float(precision[j]), float(shift[j]))
            now = _joined(before, precision, shift)
        moved = np.abs(now.mean - last.mean) / np.sqrt(np.maximum(np.diag(before.cov), 1e-300))
        if float(moved.max()) < _SETTLED:
            break
    return now, precision


def _joined(before: Gaussian, precision: Worlds, shift: Worlds) -> Gaussian:
    """Prior times sites. With root = sqrt(precision): cov - cov root (1 + root cov root)^-1 root cov."""
    root = np.sqrt(precision)
    inner = np.eye(root.size) + root[:, None] * before.cov * root
    half = np.linalg.solve(inner, root[:, None] * before.cov)
    cov = before.cov - (before.cov * root) @ half
    gap = shift - precision * before.mean
    return Gaussian(before.mean + cov @ gap, 0.5 * (cov + cov.T))


def _site(reading: Seen, now: Gaussian, j: int, precision: float, shift: float) -> tuple[float, float]:
    """One reading's Gaussian, against all others: (precision, precision times mean)."""
    variance = max(float(now.cov[j, j]), 1e-300)
    left = max(1.0 / variance - precision, 1e-9 / variance)
    away = (float(now.mean[j]) / variance - shift) / left
    mean, spread = _moments(reading, away, 1.0 / left)
    # A reading that widens the belief (an outlier between two minds) is left out rather than counted against.
    found = max(1.0 / spread - left, 0.0)
    return found, (mean / spread - away * left) if found > 0.0 else 0.0


def _moments(reading: Seen, mean: float, variance: float) -> tuple[float, float]:
    """Mean and variance of a Gaussian times a likelihood, by sums over points where either has weight."""
    sd = np.sqrt(variance)
    points = mean + sd * _NEAR
    if isinstance(reading, Number):
        points = np.sort(np.concatenate([points, reading.value + reading.sd * _SHARP]))
    log = reading.log_like(points) - 0.5 * np.square((points - mean) / sd)
    weight = np.exp(log - log.max()) * np.gradient(points)
    whole = float(weight.sum())
    first = float(weight @ points) / whole
    return first, max(float(weight @ np.square(points - first)) / whole, 1e-12 * variance)
