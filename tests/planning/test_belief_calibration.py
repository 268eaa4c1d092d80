"""Simulation-based calibration: over truths drawn from the prior, beliefs hold what they say they hold.

Source of the method: Talts et al. (2018), ranks of the truth among independent draws of the belief are even.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from caskward.planning.belief.by_surface import temper_by_surface
from caskward.planning.belief.gauss_newton import preview
from caskward.planning.belief.tempering import Evaluated, temper, temper_from
from caskward.planning.belief.weighing import Below, Number, Seen

D, WORLDS = 30, 1024
_SLOPES = np.random.default_rng(42).normal(size=(4, D)) / np.sqrt(D)


def shown(z: np.ndarray) -> np.ndarray:
    """A toy of a batch: what four instruments show, none of them straight in the thirty unknowns."""
    a, b, c, d = _SLOPES @ z.T
    grain = 1.0 / (1.0 + np.exp(-1.5 * a - 0.3 * z[:, 0]))
    sugar = 100.0 * grain * np.exp(0.1 * b + 0.05 * z[:, 1])
    warm = 60.0 + 3.0 * c + 0.8 * np.abs(z[:, 2])
    wash = sugar * (0.6 + 0.05 * np.tanh(d + 0.1 * z[:, 3])) - 0.2 * np.maximum(warm - 62.0, 0.0)
    return np.array([sugar, warm, wash, wash + 2.0 * z[:, 4]])


def outcome(z: np.ndarray) -> np.ndarray:
    """What comes of it in the end: with unknowns that no instrument sees."""
    return np.asarray(shown(z)[2] * np.exp(0.08 * z[:, 5] + 0.03 * z[:, 6] ** 2))


SD = (4.0, 0.7, 1.5, 2.0)
CUT = 35.0


def readings_of(truth: np.ndarray, rng: np.random.Generator) -> list[Seen]:
    """Readings that err as the likelihood says; the last instrument ends at a value and says "over"."""
    told = shown(truth[None, :])[:, 0] + np.array(SD) * rng.standard_t(4, size=4)
    seen: list[Seen] = [Number(float(v), sd) for v, sd in zip(told[:3], SD, strict=False)]
    return [*seen, Below(CUT, SD[3]) if told[3] < CUT else Number(float(told[3]), SD[3])]


def replicate(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """The truth's outcome and unknowns, and the same in the worlds of the belief: (9,), (worlds, 9)."""
    rng = np.random.default_rng(seed)
    truth = rng.standard_normal(D)
    seen = readings_of(truth, rng)

    def target(z: np.ndarray) -> Evaluated:
        expected = shown(z)
        parts = [r.log_like(row) for r, row in zip(seen, expected, strict=True)]
        return Evaluated(np.sum(parts, axis=0), expected=expected)

    z = rng.standard_normal((WORLDS, D))
    if seed % 3 == 0:
        found = temper(target, z, seed=seed)
    elif seed % 3 == 1:
        found = temper_by_surface(target, seen, z, seed=seed)
    else:
        found = temper_from(target, preview(seen, shown(z), z).belief, WORLDS, seed=seed)

    def asked(at: np.ndarray) -> np.ndarray:
        return np.column_stack([outcome(at), at @ _SLOPES.T, at[:, [0, 2, 4, 20]]])

    return asked(truth[None, :])[0], asked(found.z)


def _ranks(replicates: int, seed: int) -> np.ndarray:
    """Share of the belief's worlds that lie under the truth: (replicates, 9)."""
    pairs = [replicate(seed + i) for i in range(replicates)]
    return np.array([(worlds < truth).mean(axis=0) for truth, worlds in pairs])


def test_bands_of_eight_in_ten_hold_eight_in_ten() -> None:
    replicates = 60
    ranks = _ranks(replicates, 1000)
    held = np.sum((ranks > 0.1) & (ranks < 0.9), axis=0)
    # Nine figures are asked for; limits for each so that all of them hold 99 times in 100.
    least, most = stats.binom.ppf([0.005 / 9, 1.0 - 0.005 / 9], replicates, 0.8)
    assert np.all((held >= least) & (held <= most)), held


@pytest.mark.slow
def test_ranks_of_the_truth_are_even() -> None:
    replicates, bins = 500, 20
    ranks = _ranks(replicates, 5000)
    for column in ranks.T:
        counts = np.histogram(column, bins=bins, range=(0.0, 1.0))[0]
        chance = stats.chisquare(counts).pvalue
        assert chance > 0.01 / ranks.shape[1], counts
