"""Sobol points and the inverse normal against the general library's."""

from __future__ import annotations

import numpy as np
import pytest

from caskward.planning.sobol import sobol
from caskward.planning.solve import NoRoot, rising_root
from caskward.planning.unknowns import Unknown, draw, likely_world


@pytest.mark.filterwarnings("ignore:The balance properties")
@pytest.mark.parametrize("dimensions", [1, 2, 7, 35, 128])
def test_unscrambled_points_are_the_library_s(dimensions: int) -> None:
    """Source: scipy.stats.qmc.Sobol (Joe and Kuo's direction numbers). Exact: both are dyadic fractions."""
    from scipy.stats import qmc

    theirs = qmc.Sobol(dimensions, scramble=False).random(512)
    ours = sobol(512, dimensions, None)
    key = lambda points: points[np.lexsort(points.T[::-1])]  # noqa: E731
    assert np.array_equal(key(ours), key(theirs))


@pytest.mark.parametrize("seed", [0, 1, 99])
def test_scrambled_points_stay_a_net(seed: int) -> None:
    """Every interval of 1/n holds one point in each dimension, and every 16 x 16 box of a pair one in 256."""
    points = sobol(256, 64, seed)
    assert np.all((points > 0) & (points < 1))
    for column in points.T:
        assert np.array_equal(np.sort((column * 256).astype(int)), np.arange(256))
    boxes = (points[:, 0] * 16).astype(int) * 16 + (points[:, 1] * 16).astype(int)
    assert np.array_equal(np.sort(boxes), np.arange(256))


def test_scrambled_points_are_as_even_as_the_library_s() -> None:
    """Centred discrepancy within a tenth of scipy's scrambled Sobol, and far under random points'."""
    from scipy.stats import qmc

    ours = np.mean([qmc.discrepancy(sobol(256, 6, s)) for s in range(5)])
    theirs = np.mean([qmc.discrepancy(qmc.Sobol(6, rng=s).random(256)) for s in range(5)])
    chance = np.mean([qmc.discrepancy(np.random.default_rng(s).random((256, 6))) for s in range(5)])
    assert ours == pytest.approx(theirs, rel=0.1)
    assert ours < 0.4 * chance


def test_too_many_dimensions_are_refused() -> None:
    with pytest.raises(ValueError, match="128"):
        sobol(8, 129, 1)


@pytest.mark.parametrize(
    ("scale", "low", "likely", "high"),
    [("share", 0.84, 0.92, 0.95), ("positive", 1.0, 2.8, 4.2), ("real", -1.0, 0.0, 1.0)],
)
def test_low_and_high_are_tenth_and_ninetieth(scale, low: float, likely: float, high: float) -> None:  # type: ignore[no-untyped-def]
    unknown = Unknown("x", "x", "gear", scale, low, likely, high, "test")
    values = draw([unknown], 4096, 3)["x"]
    assert np.quantile(values, [0.1, 0.5, 0.9]) == pytest.approx([low, likely, high], rel=2e-3, abs=3e-3)
    assert likely_world([unknown])["x"][0] == pytest.approx(likely)


def test_same_seed_same_worlds_and_certain_things_stay() -> None:
    unknowns = [
        Unknown("a", "a", "gear", "share", 0.2, 0.3, 0.5, "test"),
        Unknown("b", "b", "gear", "positive", 2.0, 2.0, 2.0, "test"),
    ]
    one, again, other = draw(unknowns, 64, 7), draw(unknowns, 64, 7), draw(unknowns, 64, 8)
    assert np.array_equal(one["a"], again["a"])
    assert not np.array_equal(one["a"], other["a"])
    assert np.all(one["b"] == 2.0)


def test_root_is_the_library_s() -> None:
    """Source: scipy.optimize.brentq. The bracket's width is the tolerance, and the root is never below."""
    from scipy.optimize import brentq

    def f(x: float) -> float:
        return x**1.3 - 55.0 + np.floor(x) * 0.01

    theirs = brentq(f, 1.0, 1000.0, xtol=1e-12)
    for guess in (1.5, 20.0, 900.0):
        ours = rising_root(f, guess, 1.0, 1000.0, within=1e-6)
        assert ours == pytest.approx(theirs, rel=2e-6)
        assert f(ours) >= -1e-9


def test_no_root_says_which_side() -> None:
    with pytest.raises(NoRoot) as above:
        rising_root(lambda x: x + 1.0, 1.0, 0.1, 10.0, within=1e-3)
    assert above.value.above
    with pytest.raises(NoRoot) as below:
        rising_root(lambda x: x - 100.0, 1.0, 0.1, 10.0, within=1e-3)
    assert not below.value.above


def test_one_thing_seen_twice_moves_together() -> None:
    unknowns = [
        Unknown("strip.reflux", "a", "gear", "share", 0.02, 0.05, 0.1, "test"),
        Unknown("spirit.reflux", "b", "gear", "share", 0.04, 0.1, 0.2, "test", moves_with="strip.reflux"),
        Unknown("other", "c", "gear", "share", 0.04, 0.1, 0.2, "test", moves_with="not there"),
    ]
    worlds = draw(unknowns, 256, 5)
    order = np.argsort(worlds["strip.reflux"])
    assert np.all(np.diff(worlds["spirit.reflux"][order]) >= 0)
    assert abs(np.corrcoef(worlds["other"], worlds["strip.reflux"])[0, 1]) < 0.2
    assert np.quantile(worlds["spirit.reflux"], 0.9) == pytest.approx(0.2, rel=0.02)


def test_a_mishap_is_met_as_often_as_it_says_and_mostly_under_its_high() -> None:
    """In 2 worlds of 100; of those one in five over 0.8. Tolerance: Sobol points, 65,536 of them."""
    mishap = Unknown("m", "", "method", "share", 0.0, 0.0, 0.8, "", met=0.02)
    values = draw([mishap], 65_536, 1)["m"]
    assert np.mean(values > 0.0) == pytest.approx(0.02, abs=1e-4)
    assert np.mean(values[values > 0.0] > 0.8) == pytest.approx(0.2, abs=0.005)
    assert 0.0 <= values.min() <= values.max() < 1.0
    assert float(likely_world([mishap])["m"][0]) == 0.0


def test_a_mishap_rises_without_a_jump() -> None:
    """A reading finds it step by step from worlds without it."""
    mishap = Unknown("m", "", "method", "share", 0.0, 0.0, 0.8, "", met=0.02)
    values = mishap.at(np.linspace(-4.5, 4.5, 9001))
    assert np.all(np.diff(values) >= 0.0)
    assert np.max(np.diff(values)) < 0.005
