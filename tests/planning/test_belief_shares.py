"""Whose doubt an outcome's doubt is, and what a reading would settle, against closed forms.

Source of the checks: Sobol's g function, whose indices are known (Saltelli and Sobol 1995); sums and
products of standard normals; the linear Gaussian and the sign of a normal, in closed form.
"""

from __future__ import annotations

import math
from functools import cache
from statistics import NormalDist

import numpy as np
import pytest

from caskward.planning.belief.settling import best_first, settles, settles_yes_or_no
from caskward.planning.belief.shares import moving_together, shares
from caskward.planning.unknowns import Unknown, draw

WORLDS, D = 2048, 40
NAMES = [f"u{i}" for i in range(D)]
CDF = np.vectorize(NormalDist().cdf)


def worlds(d: int = D, seed: int = 3) -> np.ndarray:
    return _drawn(d, seed).copy()


@cache
def _drawn(d: int, seed: int) -> np.ndarray:
    unknowns = [Unknown(name, "", "material", "real", -1.0, 0.0, 1.0, "") for name in NAMES[:d]]
    deviates = draw(unknowns, WORLDS, seed).deviates
    return np.array([deviates[name] for name in NAMES[:d]]).T


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_sobols_g(seed: int) -> None:
    a = np.array([0.0, 1.0, 4.5, 9.0, 99.0, 99.0])
    z = worlds(seed=seed)
    outcome = np.prod((np.abs(4.0 * CDF(z[:, :6]) - 2.0) + a) / (1.0 + a), axis=1)
    alone = 1.0 / (3.0 * np.square(1.0 + a))
    expected = alone / (np.prod(1.0 + alone) - 1.0)
    found = shares(outcome, z, NAMES)
    for name, share in zip(NAMES[:6], expected, strict=True):
        assert found.of.get(name, 0.0) == pytest.approx(share, abs=0.03)
    assert found.together == pytest.approx(1.0 - expected.sum(), abs=0.04)
    assert sum(share for name, share in found.of.items() if name not in NAMES[:6]) < 0.01


def test_a_sum_of_curves_has_their_variances() -> None:
    z = worlds()
    outcome = 2.0 * z[:, 0] + (np.square(z[:, 1]) - 1.0) + np.exp(0.5 * z[:, 2])
    parts = np.array([4.0, 2.0, (math.exp(0.25) - 1.0) * math.exp(0.25)])
    found = shares(outcome, z, NAMES)
    for name, part in zip(NAMES[:3], parts / parts.sum(), strict=True):
        # The sampling error of a variance ratio from 2,048 worlds with heavy tails.
        assert found.of[name] == pytest.approx(part, abs=0.04)
    assert found.together < 0.01


def test_what_two_make_only_together_goes_with_neither() -> None:
    z = worlds()
    found = shares(z[:, 0] * z[:, 1], z, NAMES)
    assert found.together > 0.98


def test_noise_is_nobodys() -> None:
    for seed in range(10):
        rng = np.random.default_rng(100 + seed)
        found = shares(rng.standard_normal(WORLDS), worlds(seed=seed), NAMES)
        assert sum(found.of.values()) < 0.04
        assert all(share < 0.015 for share in found.of.values())


def test_a_certain_outcome_has_no_shares() -> None:
    assert shares(np.full(WORLDS, 3.0), worlds(), NAMES).of == {}


def test_weighted_worlds_stand_for_the_belief() -> None:
    """Weights that halve the variance of one unknown: a normal times a normal, in closed form."""
    z = worlds()
    found = shares(2.0 * z[:, 0] + z[:, 1], z, NAMES, weights=np.exp(-0.5 * np.square(z[:, 0])))
    assert found.of["u0"] == pytest.approx(2.0 / 3.0, abs=0.05)
    assert found.of["u1"] == pytest.approx(1.0 / 3.0, abs=0.05)


def test_worlds_that_a_reading_has_tied_still_share_to_a_whole() -> None:
    """Two unknowns whose sum is nearly known: what is left in their difference belongs to both alike."""
    rng = np.random.default_rng(4)
    z = worlds()
    z[:, 1] = -z[:, 0] + 0.1 * rng.standard_normal(WORLDS)
    found = shares(z[:, 0] - z[:, 1], z, NAMES)
    assert found.of["u0"] == pytest.approx(0.5, abs=0.05)
    assert found.of["u1"] == pytest.approx(0.5, abs=0.05)


def test_groups_are_counted_as_one() -> None:
    z = worlds()
    outcome = z[:, 0] + z[:, 1] + math.sqrt(2.0) * z[:, 2]
    found = shares(outcome, z, NAMES, groups={"u0": "grain", "u1": "grain"})
    assert found.of["grain"] == pytest.approx(0.5, abs=0.03)
    assert "u0" not in found.of


def test_unknowns_that_move_together_are_named_together() -> None:
    def unknown(name: str, high: float = 0.3, moves_with: str = "") -> Unknown:
        return Unknown(name, "", "gear", "share", 0.1, 0.2, high, "", moves_with)

    several = (
        unknown("a"),
        unknown("b", moves_with="a"),
        unknown("c"),
        Unknown("d", "", "gear", "share", 1, 1, 1, ""),
    )
    assert moving_together(several) == {"a": ("a", "b"), "c": ("c",)}
    assert set(moving_together(several)) == set(draw(several, 2, 1).deviates)


@pytest.mark.parametrize("sd", [0.1, 0.5, 2.0])
def test_a_straight_reading_settles_the_closed_form(sd: float) -> None:
    z = worlds(3)
    outcome, observable = z[:, 0] + 0.5 * z[:, 1], z[:, 0] + 0.3 * z[:, 2]
    share = 1.0 / (1.25 * (1.09 + sd * sd))
    found = settles(outcome, observable, sd)
    assert found.share == pytest.approx(share, abs=0.03)
    width = 2.0 * NormalDist().inv_cdf(0.9) * math.sqrt(1.25)
    assert found.width == pytest.approx(width, rel=0.05)
    assert found.width_after == pytest.approx(width * math.sqrt(1.0 - share), rel=0.06)


def test_a_crooked_reading_settles_what_a_line_would_miss() -> None:
    """An outcome that is the square of what is read: a straight line would say that nothing is settled."""
    z = worlds(2)
    found = settles(np.square(z[:, 0]), z[:, 0], 0.01)
    assert found.share > 0.97


def test_reading_what_has_no_bearing_settles_nothing() -> None:
    for seed in range(5):
        z = worlds(2, seed)
        assert settles(z[:, 0], z[:, 1], 0.1).share < 0.012
        assert settles_yes_or_no(z[:, 0], (z[:, 1] > 0.0).astype(float)).share < 0.006
    assert settles(z[:, 0], np.full(WORLDS, 20.0), 0.5).share < 0.012


@pytest.mark.parametrize("slip", [0.0, 0.1])
def test_a_yes_or_no_settles_the_closed_form(slip: float) -> None:
    """The sign of a normal takes 2/pi of its variance; slips thin that by (1 - 2 slip)²."""
    z = worlds(1)[:, 0]
    found = settles_yes_or_no(z, (z > 0.0).astype(float), slip=slip)
    assert found.share == pytest.approx(2.0 / math.pi * (1.0 - 2.0 * slip) ** 2, abs=0.02)


def test_the_reading_that_settles_most_comes_first() -> None:
    z = worlds(3)
    outcome = z[:, 0] + 0.4 * z[:, 1]
    found = [settles(outcome, z[:, 2], 0.1), settles(outcome, z[:, 0], 0.3), settles(outcome, z[:, 1], 0.1)]
    assert best_first(found) == [1, 2, 0]
