"""Tempering by way of a stand-in: the same belief, in fewer runs of the target.

Source of the checks: the linear Gaussian posterior in closed form; long random-walk chains.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from caskward.planning.belief.by_surface import temper_by_surface
from caskward.planning.belief.surrogate import surface_of
from caskward.planning.belief.tempering import Evaluated, temper
from caskward.planning.belief.weighing import Above, Number, Seen, YesNo, equal

WORLDS, D = 2048, 12
Shown = Callable[[np.ndarray], np.ndarray]


def worlds(seed: int = 1, d: int = D) -> np.ndarray:
    return np.random.default_rng(seed).standard_normal((WORLDS, d))


def target_of(seen: list[Seen], shown: Shown) -> Callable[[np.ndarray], Evaluated]:
    def target(z: np.ndarray) -> Evaluated:
        expected = shown(z)
        parts = [r.log_like(row) for r, row in zip(seen, expected, strict=True)]
        return Evaluated(np.sum(parts, axis=0), {"shown": expected}, expected)

    return target


def chain_of(seen: list[Seen], shown: Shown, step: float, d: int = D) -> np.ndarray:
    """Random-walk Metropolis, many chains side by side, from worlds that a short run has brought near."""
    rng, target = np.random.default_rng(11), target_of(seen, shown)
    z, kept = rng.standard_normal((128, d)), []
    log = target(z).log_like - 0.5 * np.square(z).sum(axis=1)
    for at in range(16000):
        to = z + step * rng.choice([0.2, 1.0], size=(128, 1)) * rng.normal(size=z.shape)
        log_to = target(to).log_like - 0.5 * np.square(to).sum(axis=1)
        taken = np.log(rng.random(128)) < log_to - log
        z, log = np.where(taken[:, None], to, z), np.where(taken, log_to, log)
        if at > 4000 and at % 10 == 0:
            kept.append(z)
    return np.concatenate(kept)


def wash(z: np.ndarray) -> np.ndarray:
    """Litres, strength and an answer: products and shares, bent in every unknown that they hang on."""
    litres = 300.0 * np.exp(0.08 * z[:, 0] - 0.03 * np.abs(z[:, 1])) * (1.0 - 0.1 / (1.0 + np.exp(-z[:, 2])))
    alcohol = 22.0 * np.exp(0.06 * z[:, 3] + 0.05 * z[:, 4]) / (1.0 + np.exp(-1.5 - 0.5 * z[:, 5]))
    return np.array([litres, 100.0 * alcohol / litres, 1.0 / (1.0 + np.exp(-2.0 * z[:, 5]))])


READ: list[Seen] = [Number(300.0, 3.0), Number(5.2, 0.1), YesNo(yes=False)]
CUT: list[Seen] = [Above(310.0, 3.0), Number(5.2, 0.1), YesNo(yes=True)]


@pytest.mark.parametrize("seen", [READ, CUT], ids=["read", "cut off"])
def test_bent_readings_end_where_a_long_chain_does(seen: list[Seen]) -> None:
    chain = chain_of(seen, wash, 0.25)
    found = temper_by_surface(target_of(seen, wash), seen, worlds(), seed=3)
    assert found.whole
    sd = chain.std(axis=0)
    np.testing.assert_array_less(np.abs(found.z.mean(axis=0) - chain.mean(axis=0)) / sd, 0.1)
    np.testing.assert_array_less(np.abs(found.z.std(axis=0) / sd - 1.0), 0.08)


def test_sharp_bent_readings_need_fewer_runs_than_without() -> None:
    seen: list[Seen] = [Number(300.0, 1.0), Number(5.2, 0.03), YesNo(yes=False)]
    target, z = target_of(seen, wash), worlds()
    by_surface, without = temper_by_surface(target, seen, z, seed=3), temper(target, z, seed=3)
    assert by_surface.whole
    assert by_surface.evaluations <= 6
    assert without.evaluations > 2 * by_surface.evaluations


def test_straight_readings_give_the_students_posterior() -> None:
    """One number: the belief along it is a normal times a t, summed on a fine grid here."""
    slope = np.random.default_rng(3).normal(size=D) / 2.0
    size, seen = float(np.linalg.norm(slope)), [Number(1.4, 0.1)]
    target = target_of(list(seen), lambda z: (z @ slope)[None, :])
    found = temper_by_surface(target, seen, worlds(), seed=1)
    at = np.linspace(-8.0, 8.0, 40001)
    weight = np.exp(seen[0].log_like(size * at) - 0.5 * at * at)
    weight /= weight.sum()
    mean, sd = weight @ at, np.sqrt(weight @ (at - weight @ at) ** 2)
    along = found.z @ slope / size
    assert along.mean() == pytest.approx(mean, abs=0.1 * sd)
    assert along.std() == pytest.approx(sd, rel=0.08)
    assert found.evaluations <= 3


def test_a_stand_in_that_is_wrong_costs_runs_and_not_the_answer() -> None:
    """A ripple that no bent surface follows: the runs of the target put it right."""

    def rippled(z: np.ndarray) -> np.ndarray:
        return (z[:, 0] + 0.4 * np.sin(6.0 * z[:, 0]) + 0.5 * z[:, 1])[None, :]

    seen: list[Seen] = [Number(0.8, 0.2)]
    chain = chain_of(seen, rippled, 0.4, d=3)
    found = temper_by_surface(target_of(seen, rippled), seen, worlds(d=3), seed=5)
    sd = chain.std(axis=0)
    np.testing.assert_array_less(np.abs(found.z.mean(axis=0) - chain.mean(axis=0)) / sd, 0.1)
    np.testing.assert_array_less(np.abs(found.z.std(axis=0) / sd - 1.0), 0.08)


def test_payload_and_seed() -> None:
    target = target_of(READ, wash)
    one, same = (temper_by_surface(target, READ, worlds(), seed=2) for _ in range(2))
    np.testing.assert_array_equal(one.z, same.z)
    np.testing.assert_allclose(one.payload["shown"], wash(one.z), rtol=1e-12)
    np.testing.assert_allclose(one.log_like, target(one.z).log_like, rtol=1e-9)


def test_a_bent_surface_is_found_whole() -> None:
    z = worlds()
    bent = 3.0 + z[:, 0] - 0.5 * np.abs(z[:, 1]) + 0.3 * z[:, 2] ** 2 + 0.4 * z[:, 0] * z[:, 3]
    surface = surface_of([Number(0.0, 0.1)], z, bent[None, :], equal(WORLDS))
    fresh = worlds(seed=9)
    expected = 3.0 + fresh[:, 0] - 0.5 * np.abs(fresh[:, 1]) + 0.3 * fresh[:, 2] ** 2
    np.testing.assert_allclose(
        surface.expected(fresh)[0], expected + 0.4 * fresh[:, 0] * fresh[:, 3], atol=1e-5
    )
    assert surface.spread[0] < 1e-5


def test_a_target_without_expected_values_is_refused() -> None:
    with pytest.raises(ValueError, match="no expected"):
        temper_by_surface(lambda z: Evaluated(np.zeros(len(z))), READ, worlds())


def test_the_target_is_not_asked_about_worlds_that_nobody_meets() -> None:
    """A model may refuse a figure that is far out; no proposal may bring it to that."""
    seen: list[Seen] = [Number(9.0, 0.5)]
    farthest = []

    def target(z: np.ndarray) -> Evaluated:
        farthest.append(float(np.abs(z).max()))
        expected = 2.0 * z[:, :1].T + z[:, 1]
        return Evaluated(seen[0].log_like(expected[0]), None, expected)

    for found in (temper(target, worlds(), seed=1), temper_by_surface(target, seen, worlds(), seed=1)):
        assert np.abs(found.z).max() <= 4.5
        assert found.z[:, 0].mean() > 2.0
    assert max(farthest) == 4.5
