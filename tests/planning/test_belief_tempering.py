"""Worlds moved by readings, against closed forms and against long chains of another kind.

Source of the checks: the linear Gaussian posterior in closed form; random-walk Metropolis, many steps.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest

from caskward.planning.belief.proposals import Gaussian
from caskward.planning.belief.tempering import Care, Evaluated, Particles, temper, temper_from
from caskward.planning.belief.weighing import Above, Below, Number, YesNo
from caskward.planning.unknowns import Unknown, draw

WORLDS = 2048


def prior_worlds(d: int, seed: int = 1, count: int = WORLDS) -> np.ndarray:
    unknowns = [Unknown(f"u{i}", "", "material", "real", -1.0, 0.0, 1.0, "") for i in range(d)]
    deviates = draw(unknowns, count, seed).deviates
    return np.array([deviates[u.name] for u in unknowns]).T


@dataclass(frozen=True)
class Linear:
    """Readings that are straight in the deviates, with Gaussian errors: the belief is a Gaussian."""

    slopes: np.ndarray
    values: np.ndarray
    sd: float

    @classmethod
    def made(cls, d: int, readings: int, sd: float, seed: int) -> Linear:
        rng = np.random.default_rng(seed)
        slopes = rng.normal(size=(readings, d)) * np.where(rng.random((readings, d)) < 0.3, 1.0, 0.1)
        truth = rng.normal(size=d)
        return cls(slopes, slopes @ truth + sd * rng.normal(size=readings), sd)

    def __call__(self, z: np.ndarray) -> Evaluated:
        shown = self.slopes @ z.T
        log_like = -0.5 * np.square((shown - self.values[:, None]) / self.sd).sum(axis=0)
        return Evaluated(log_like, {"shown": shown, "readings": len(self.values)})

    @property
    def belief(self) -> Gaussian:
        cov = np.linalg.inv(np.eye(self.slopes.shape[1]) + self.slopes.T @ self.slopes / self.sd**2)
        return Gaussian(cov @ self.slopes.T @ self.values / self.sd**2, cov)


def assert_as(found: Particles, belief: Gaussian) -> None:
    sd = np.sqrt(np.diag(belief.cov))
    np.testing.assert_array_less(np.abs(found.z.mean(axis=0) - belief.mean) / sd, 0.05)
    np.testing.assert_array_less(np.abs(found.z.std(axis=0) / sd - 1.0), 0.05)


@pytest.mark.parametrize(("d", "readings", "sd"), [(1, 1, 0.1), (5, 2, 0.2), (40, 1, 0.1), (40, 4, 0.3)])
def test_straight_readings_give_the_closed_form(d: int, readings: int, sd: float) -> None:
    target = Linear.made(d, readings, sd, seed=d + readings)
    found = temper(target, prior_worlds(d), seed=4)
    assert found.whole
    assert_as(found, target.belief)


def test_what_the_readings_read_has_the_closed_form_too() -> None:
    """Along a reading the belief is narrowest, and errors of a fit would show most."""
    target = Linear.made(40, 3, 0.1, seed=8)
    found = temper(target, prior_worlds(40), seed=4)
    across = target.slopes @ target.belief.cov @ target.slopes.T
    sd = np.sqrt(np.diag(across))
    off = (found.z @ target.slopes.T).mean(axis=0) - target.slopes @ target.belief.mean
    np.testing.assert_array_less(np.abs(off) / sd, 0.1)
    np.testing.assert_allclose((found.z @ target.slopes.T).std(axis=0), sd, rtol=0.06)


def test_readings_one_by_one_end_where_all_at_once_do() -> None:
    whole = Linear.made(12, 3, 0.3, seed=3)
    z, now = prior_worlds(12), None
    for count in (1, 2, 3):
        found = temper(Linear(whole.slopes[:count], whole.values[:count], whole.sd), z, now, seed=count)
        z, now = found.z, found.log_like
    assert_as(found, whole.belief)


def test_a_good_guess_needs_two_runs_and_a_bad_one_only_more() -> None:
    target = Linear.made(40, 1, 0.1, seed=5)
    good = temper_from(target, target.belief, WORLDS, seed=2)
    bad = temper_from(target, Gaussian(-target.belief.mean, np.eye(40)), WORLDS, seed=2)
    assert good.evaluations == 2
    assert bad.evaluations > good.evaluations
    for found in (good, bad):
        assert found.whole
        assert_as(found, target.belief)


def test_the_payload_is_kept_in_step() -> None:
    target = Linear.made(6, 2, 0.2, seed=1)
    found = temper(target, prior_worlds(6), seed=7)
    np.testing.assert_allclose(found.payload["shown"], target.slopes @ found.z.T, rtol=1e-12, atol=1e-12)
    np.testing.assert_allclose(found.log_like, target(found.z).log_like, rtol=1e-10)
    assert found.payload["readings"] == 2


def test_one_seed_one_answer() -> None:
    target = Linear.made(10, 2, 0.2, seed=1)
    one, same, other = (temper(target, prior_worlds(10), seed=s) for s in (7, 7, 8))
    np.testing.assert_array_equal(one.z, same.z)
    assert not np.array_equal(one.z, other.z)


@pytest.mark.parametrize("sd", [1.0, 0.1, 0.01])
def test_enough_particles_count_on_every_rung_and_few_stay_alike(sd: float) -> None:
    found = temper(Linear.made(40, 1, sd, seed=2), prior_worlds(40), seed=1)
    assert min(found.ess) >= 0.5 * WORLDS * (1.0 - 1e-6)
    assert found.ladder[-1] == 1.0
    assert list(found.ladder) == sorted(set(found.ladder))
    assert found.unique >= 0.9
    assert found.moved >= 0.6


def test_a_run_already_made_is_not_made_again() -> None:
    target = Linear.made(8, 1, 0.5, seed=2)
    z = prior_worlds(8)
    calls = []

    def counted(at: np.ndarray) -> Evaluated:
        calls.append(len(at))
        return target(at)

    found = temper(counted, z, seed=1, evaluated=target(z))
    assert found.evaluations == len(calls)
    assert found.evaluations == temper(target, z, seed=1).evaluations - 1


def test_used_up_runs_are_owned_up_to() -> None:
    target = Linear.made(40, 6, 0.02, seed=2)
    found = temper(target, prior_worlds(40), seed=1, care=Care(most_runs=4))
    assert found.evaluations <= 4
    assert not found.whole


def test_worlds_that_cannot_be_are_left() -> None:
    def target(z: np.ndarray) -> Evaluated:
        return Evaluated(np.where(z[:, 0] > 0.5, 0.0, np.nan))

    found = temper(target, prior_worlds(4), seed=1)
    assert found.z[:, 0].min() > 0.5
    # Mean of a standard normal over 0.5: density there over the chance of being there.
    assert found.z[:, 0].mean() == pytest.approx(0.352065 / 0.308538, abs=0.05 * 0.5)


def test_nothing_possible_is_refused() -> None:
    with pytest.raises(ValueError, match="no world"):
        temper(lambda z: Evaluated(np.full(len(z), -np.inf)), prior_worlds(3))


def test_one_wrong_reading_of_five_hardly_moves_the_belief() -> None:
    slopes = np.array([[1.0, 0.2], [0.9, -0.1], [1.1, 0.3], [1.0, 0.0], [1.0, 0.1]])
    values = slopes @ np.array([0.4, -0.5])
    wrong = values + np.array([0.0, 0.0, 0.0, 0.0, 3.0])

    def believed(shown: np.ndarray) -> Particles:
        seen = [Number(float(v), 0.2) for v in shown]

        def target(z: np.ndarray) -> Evaluated:
            return Evaluated(
                np.sum([r.log_like(row) for r, row in zip(seen, slopes @ z.T, strict=True)], axis=0)
            )

        return temper(target, prior_worlds(2), seed=1)

    right, led = believed(values), believed(wrong)
    off = np.abs(led.z.mean(axis=0) - right.z.mean(axis=0)) / right.z.std(axis=0)
    assert off.max() < 0.5


LogLike = Callable[[np.ndarray], np.ndarray]


def bent(z: np.ndarray) -> np.ndarray:
    """A curved ridge, and a second reading across it."""
    return Number(1.6, 0.3).log_like(z[:, 0] + 0.8 * (z[:, 1] ** 2 - 1.0)) + Number(0.5, 0.5).log_like(
        z[:, 2] * np.exp(0.4 * z[:, 1])
    )


def cut_off(z: np.ndarray) -> np.ndarray:
    """Over one value, under another, a number and a yes."""
    return (
        Above(1.2, 0.1).log_like(z[:, 0] + 0.5 * z[:, 1])
        + Below(-0.3, 0.2).log_like(z[:, 1] - 0.4 * z[:, 2])
        + Number(2.0, 0.2).log_like(np.exp(0.5 * z[:, 2]))
        + YesNo(yes=True).log_like(1.0 / (1.0 + np.exp(-3.0 * z[:, 3])))
    )


def two_minds(z: np.ndarray) -> np.ndarray:
    """Two places that fit as well."""
    return Number(1.5, 0.3).log_like(z[:, 0] ** 2)


def long_chain(log_like: LogLike, d: int, step: float, steps: int = 12000, chains: int = 128) -> np.ndarray:
    """Random-walk Metropolis from wide starts, many chains side by side; every tenth step kept."""
    rng = np.random.default_rng(11)
    z = 1.5 * rng.normal(size=(chains, d))
    log = log_like(z) - 0.5 * np.square(z).sum(axis=1)
    kept = []
    for at in range(steps):
        # A change of sign now and then lets chains cross between places that mirror each other.
        signs = np.where(rng.random((chains, d)) < 0.1, -1.0, 1.0)
        to = signs * z + step * rng.normal(size=z.shape)
        log_to = log_like(to) - 0.5 * np.square(to).sum(axis=1)
        taken = np.log(rng.random(chains)) < log_to - log
        z = np.where(taken[:, None], to, z)
        log = np.where(taken, log_to, log)
        if at > steps // 6 and at % 10 == 0:
            kept.append(z)
    return np.concatenate(kept)


@pytest.mark.parametrize(
    ("log_like", "step"),
    [(bent, 0.5), (cut_off, 0.6), (two_minds, 0.5)],
    ids=["bent", "cut off", "two minds"],
)
def test_crooked_beliefs_are_those_of_a_long_chain(log_like: LogLike, step: float) -> None:
    """Four starts together: where two places fit, one start of 2,048 worlds has 0.04 sd of chance in it."""
    d = 4
    chain = long_chain(log_like, d, step)
    found = [temper(lambda z: Evaluated(log_like(z)), prior_worlds(d, s), seed=s) for s in (1, 2, 3, 4)]
    z = np.concatenate([one.z for one in found])
    sd = chain.std(axis=0)
    assert all(one.whole for one in found)
    np.testing.assert_array_less(np.abs(z.mean(axis=0) - chain.mean(axis=0)) / sd, 0.1)
    np.testing.assert_array_less(np.abs(z.std(axis=0) / sd - 1.0), 0.08)
    for share in (0.1, 0.5, 0.9):
        off = np.quantile(z, share, axis=0) - np.quantile(chain, share, axis=0)
        if log_like is not two_minds or share != 0.5:  # the median lies in the gap between the two places
            np.testing.assert_array_less(np.abs(off) / sd, 0.1)
