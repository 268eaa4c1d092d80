"""The preview: exact where all is straight, near the sampler's belief where it is not.

Source of the checks: the linear Gaussian posterior in closed form; the sampler, held by its own tests.
"""

from __future__ import annotations

import numpy as np
import pytest

from caskward.planning.belief.gauss_newton import preview
from caskward.planning.belief.proposals import Gaussian, gaussian_of
from caskward.planning.belief.tempering import Evaluated, Particles, temper
from caskward.planning.belief.weighing import Above, Below, Number, Seen, YesNo, equal, summary

WORLDS = 2048


def worlds(d: int, seed: int = 1) -> np.ndarray:
    return np.random.default_rng(seed).standard_normal((WORLDS, d))


def believed(seen: list[Seen], expected, z: np.ndarray) -> Particles:  # type: ignore[no-untyped-def]
    def target(at: np.ndarray) -> Evaluated:
        return Evaluated(np.sum([r.log_like(row) for r, row in zip(seen, expected(at), strict=True)], axis=0))

    return temper(target, z, seed=2)


def test_one_straight_reading_has_the_students_posterior() -> None:
    """One number of d: the belief along it is a normal times a t, summed on a fine grid here."""
    d = 40
    slope = np.random.default_rng(3).normal(size=d) / np.sqrt(d)
    size = float(np.linalg.norm(slope))
    reading = Number(1.4, 0.3)
    found = preview([reading], (worlds(d) @ slope)[None, :], worlds(d)).belief
    at = np.linspace(-8.0, 8.0, 20001)
    weight = np.exp(reading.log_like(size * at) - 0.5 * at * at)
    weight /= weight.sum()
    mean, sd = weight @ at, np.sqrt(weight @ (at - weight @ at) ** 2)
    unit = slope / size
    assert found.mean @ unit == pytest.approx(mean, abs=0.01 * sd)
    assert np.sqrt(unit @ found.cov @ unit) == pytest.approx(sd, rel=0.01)
    across = np.linalg.svd(unit[None, :])[2][1:]
    np.testing.assert_allclose(across @ found.mean, 0.0, atol=1e-6)
    np.testing.assert_allclose(across @ found.cov @ across.T, np.eye(d - 1), atol=1e-6)


def test_several_straight_readings_are_those_of_the_sampler() -> None:
    d, z = 12, worlds(12)
    slopes = np.random.default_rng(5).normal(size=(3, d)) / 2.0
    seen: list[Seen] = [Number(v, 0.2) for v in (0.8, -1.1, 0.3)]
    ours = preview(seen, slopes @ z.T, z).belief
    theirs = gaussian_of(believed(seen, lambda at: slopes @ at.T, z).z, equal(WORLDS))
    sd = np.sqrt(np.diag(theirs.cov))
    np.testing.assert_array_less(np.abs(ours.mean - theirs.mean) / sd, 0.1)
    np.testing.assert_array_less(np.abs(np.sqrt(np.diag(ours.cov)) / sd - 1.0), 0.08)


def crooked(z: np.ndarray) -> np.ndarray:
    """What a grain, its sugar and a warm rest might show, and the chance of a blue iodine drop."""
    grain = 1.0 / (1.0 + np.exp(-z[:, 0] - 0.5 * z[:, 1]))
    sugar = 100.0 * grain * np.exp(0.1 * z[:, 2])
    warm = 60.0 + 3.0 * z[:, 3] + 0.5 * np.abs(z[:, 0])
    return np.array([sugar, warm, sugar * 0.6 + z[:, 4], 1.0 / (1.0 + np.exp(2.0 * z[:, 3] + z[:, 5]))])


@pytest.mark.parametrize(
    "seen",
    [
        [Number(68.0, 2.0), Number(61.0, 0.7), Number(40.0, 1.0), YesNo(yes=False)],
        [Above(60.0, 2.0), Below(59.0, 0.5), Number(40.0, 1.0), YesNo(yes=True)],
    ],
    ids=["numbers", "over and under"],
)
def test_a_crooked_outcome_is_foretold_within_a_third_of_its_sd(seen: list[Seen]) -> None:
    z = worlds(10)
    exact = believed(seen, crooked, z)

    def outcome(at: np.ndarray) -> np.ndarray:
        return np.asarray(crooked(at)[0] * np.exp(0.1 * at[:, 6]) - 0.5 * crooked(at)[1])

    ours, theirs = preview(seen, crooked(z), z).outcome(outcome(z)), summary(outcome(exact.z))
    for name in ("mean", "low", "likely", "high"):
        assert abs(getattr(ours, name) - getattr(theirs, name)) < theirs.sd / 3.0
    assert ours.sd == pytest.approx(theirs.sd, rel=0.25)


def test_a_later_reading_starts_from_the_earlier_belief() -> None:
    d, z = 8, worlds(8)
    slopes = np.random.default_rng(7).normal(size=(2, d)) / 2.0
    seen: list[Seen] = [Number(0.7, 0.3), Number(-0.4, 0.3)]
    at_once = preview(seen, slopes @ z.T, z).belief
    first = believed(seen[:1], lambda at: slopes[:1] @ at.T, z).z
    now = gaussian_of(first, equal(WORLDS))
    then = preview(seen[1:], slopes[1:] @ first.T, first, now).belief
    sd = np.sqrt(np.diag(at_once.cov))
    np.testing.assert_array_less(np.abs(then.mean - at_once.mean) / sd, 0.1)
    np.testing.assert_array_less(np.abs(np.sqrt(np.diag(then.cov)) / sd - 1.0), 0.08)


def test_one_wrong_reading_of_five_counts_for_little() -> None:
    z = worlds(3)
    slopes = np.array([[1.0, 0.2, 0.0], [0.9, -0.1, 0.1], [1.1, 0.3, 0.0], [1.0, 0.0, 0.0], [1.0, 0.1, 0.1]])
    values = slopes @ np.array([0.4, -0.5, 0.2])
    right = preview([Number(v, 0.2) for v in values], slopes @ z.T, z)
    values[4] += 3.0
    led = preview([Number(v, 0.2) for v in values], slopes @ z.T, z)
    off = np.abs(led.belief.mean - right.belief.mean) / np.sqrt(np.diag(right.belief.cov))
    assert off.max() < 0.5
    assert led.precision[4] < 0.1 * led.precision[:4].min()


def test_a_reading_of_what_is_known_changes_nothing() -> None:
    z = worlds(5)
    found = preview([Number(3.0, 1.0)], np.full((1, WORLDS), 2.5), z).belief
    assert isinstance(found, Gaussian)
    np.testing.assert_allclose(found.mean, 0.0, atol=1e-6)
    np.testing.assert_allclose(found.cov, np.eye(5), atol=1e-6)
