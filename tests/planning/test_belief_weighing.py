"""Likelihoods of readings, weighted summaries, and readings that are hard to believe.

Source of the checks: Student's t of the general library scipy.stats; closed forms where named.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from caskward.planning.belief.doubting import chance_of, contradictions, doubted
from caskward.planning.belief.tempering import Evaluated, temper
from caskward.planning.belief.weighing import (
    Above,
    Below,
    Number,
    YesNo,
    effective,
    normalised,
    quantiles,
    summary,
    t4_log_cdf,
)
from caskward.planning.unknowns import Unknown, draw

FAR = np.concatenate([-np.logspace(8, -3, 60), [0.0], np.logspace(-3, 8, 60)])


def test_the_closed_form_is_students_t() -> None:
    np.testing.assert_allclose(np.exp(t4_log_cdf(FAR)), stats.t.cdf(FAR, 4), rtol=1e-12)


def test_a_tail_keeps_its_digits_far_out() -> None:
    # The density goes as 12 / x^5 for large x (3/8 of (x^2/4)^(-5/2)), so the chance under -x as 3 / x^4.
    np.testing.assert_allclose(np.exp(t4_log_cdf(np.array([-1e6]))), 3e-24, rtol=1e-9)


def test_a_number_has_the_density_of_a_t_on_its_own_scale() -> None:
    expected = np.linspace(60.0, 70.0, 11)
    np.testing.assert_allclose(
        Number(64.0, 0.5).log_like(expected), stats.t.logpdf(64.0, 4, expected, 0.5), rtol=1e-12
    )


def test_over_and_under_are_the_two_parts_of_one() -> None:
    expected = np.linspace(30.0, 50.0, 9)
    over, under = Above(40.0, 2.0).log_like(expected), Below(40.0, 2.0).log_like(expected)
    np.testing.assert_allclose(np.exp(over) + np.exp(under), 1.0, rtol=1e-12)
    np.testing.assert_allclose(np.exp(over), stats.t.sf(40.0, 4, expected, 2.0), rtol=1e-10)


@pytest.mark.parametrize("reading", [Above(40.0, 2.0, 0.02), Below(90.0, 2.0, 0.02)])
def test_over_and_under_may_be_a_slip(reading: Above | Below) -> None:
    """A slip says either, one time in two: 0.98 of the chance, and 0.01."""
    chance = np.exp(type(reading)(reading.value, reading.sd).log_like(FAR))
    np.testing.assert_allclose(np.exp(reading.log_like(FAR)), 0.98 * chance + 0.01, rtol=1e-12)
    np.testing.assert_allclose(np.exp(reading.log_chance(FAR)), chance, rtol=1e-12)


def test_a_number_with_slips_has_the_density_of_a_mixture_and_adds_up_to_one() -> None:
    """t with 0.98 of the weight, and 0.02 even over 0 to 100."""
    shown = np.linspace(0.0, 100.0, 20001)
    density = np.exp([Number(float(v), 0.5, 0.02, 100.0).log_like(np.array(60.0)) for v in shown])
    np.testing.assert_allclose(density, 0.98 * stats.t.pdf(shown, 4, 60.0, 0.5) + 0.0002, rtol=1e-9)
    assert float(np.trapezoid(density, shown)) == pytest.approx(1.0, abs=1e-5)


def test_far_outside_a_number_says_the_same_of_every_world() -> None:
    """Where plain tails would still prefer one world to another by a factor of (57 / 47)^5 = 2.6."""
    worlds = np.array([3.0, 13.0])
    plain, slips = Number(60.0, 1.0), Number(60.0, 1.0, 0.02, 100.0)
    assert np.ptp(plain.log_like(worlds)) > 0.9
    assert np.ptp(slips.log_like(worlds)) < 1e-3


def test_an_answer_may_be_a_slip() -> None:
    chance = np.array([0.0, 0.3, 1.0])
    np.testing.assert_allclose(np.exp(YesNo(yes=True, slip=0.02).log_like(chance)), [0.02, 0.308, 0.98])
    np.testing.assert_allclose(np.exp(YesNo(yes=False, slip=0.02).log_like(chance)), [0.98, 0.692, 0.02])


@pytest.mark.parametrize("reading", [YesNo(yes=True), Above(40.0, 1.0, 0.02), Number(9.0, 0.5, 0.02, 100.0)])
def test_what_no_world_gives_is_hard_to_believe_however_often_slips_are(
    reading: YesNo | Above | Number,
) -> None:
    none = np.zeros(50)
    assert chance_of(reading, none, np.full(50, 0.02)) < 1e-4


def test_weights_stand_for_copies() -> None:
    rng = np.random.default_rng(2)
    values = rng.normal(size=300)
    copies = rng.integers(0, 9, size=300)
    weighted, copied = summary(values, copies / copies.sum()), summary(np.repeat(values, copies))
    assert weighted.mean == pytest.approx(copied.mean, rel=1e-12)
    assert weighted.sd == pytest.approx(copied.sd, rel=1e-12)
    # A copied value is a step in one case and a ramp in the other: within a spacing of neighbours.
    assert [weighted.low, weighted.likely, weighted.high] == pytest.approx(
        [copied.low, copied.likely, copied.high], abs=0.05
    )


def test_equal_weights_give_hazens_quantiles() -> None:
    values = np.random.default_rng(1).normal(size=101)
    ours = quantiles(values, (0.1, 0.5, 0.9))
    np.testing.assert_allclose(ours, np.quantile(values, [0.1, 0.5, 0.9], method="hazen"), rtol=1e-12)


def test_effective_number() -> None:
    assert effective(np.full(50, 0.02)) == pytest.approx(50.0)
    assert effective(np.array([0.5, 0.5, 0.0, 0.0])) == pytest.approx(2.0)
    assert effective(normalised(np.array([-4000.0, -4000.0, np.nan, -np.inf]))) == pytest.approx(2.0)


def test_worlds_without_any_likelihood_are_refused() -> None:
    with pytest.raises(ValueError, match="no world"):
        normalised(np.array([-np.inf, np.nan]))


def _worlds(d: int, count: int = 2048) -> np.ndarray:
    unknowns = [Unknown(f"u{i}", "", "material", "real", -1.0, 0.0, 1.0, "") for i in range(d)]
    deviates = draw(unknowns, count, 5).deviates
    return np.array([deviates[u.name] for u in unknowns]).T


def _believed(seen: list[Number], slopes: np.ndarray) -> np.ndarray:
    """What each reading should show in worlds that follow all of them."""

    def target(z: np.ndarray) -> Evaluated:
        shown = slopes @ z.T
        return Evaluated(np.sum([r.log_like(row) for r, row in zip(seen, shown, strict=True)], axis=0))

    return np.asarray(slopes @ temper(target, _worlds(slopes.shape[1]), seed=3).z.T)


SLOPES = np.array([[1.0, 0.2, 0.0], [0.9, 0.0, 0.3], [1.0, 0.1, 0.1], [1.1, -0.2, 0.0], [0.0, 0.1, 1.0]])


def test_readings_that_agree_are_believed() -> None:
    seen = [Number(v, 0.2) for v in SLOPES @ np.array([0.5, -0.3, 0.8])]
    shown = _believed(seen, SLOPES)
    assert not any(d.hard for d in doubted(seen, shown))
    assert contradictions(seen, shown) == ()


def test_one_wrong_reading_is_the_one_that_is_hard_to_believe() -> None:
    values = SLOPES @ np.array([0.5, -0.3, 0.8])
    values[2] += 4.0
    seen = [Number(v, 0.2) for v in values]
    found = doubted(seen, _believed(seen, SLOPES))
    assert [d.hard for d in found] == [False, False, True, False, False]


def test_two_readings_that_cannot_both_be_right_are_found_as_a_pair() -> None:
    slopes = np.array([[1.0, 0.0, 0.0], [1.0, 0.0, 0.05], [0.0, 1.0, 0.0]])
    seen = [Number(0.9, 0.1), Number(-0.7, 0.1), Number(0.2, 0.1)]
    assert contradictions(seen, _believed(seen, slopes)) == ((0, 1),)
