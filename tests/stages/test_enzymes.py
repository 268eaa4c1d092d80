"""An enzyme's speed, its loss, and what a label and a malt's power mean."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import OutOfRange
from caskward.stages.enzyme_labels import THINNED_SHARE, label_enzyme
from caskward.stages.enzymes import (
    FADE_K,
    HALF_SPEED_PH,
    Dose,
    half_life_h,
    loss_per_h,
    speed,
    thickness_share,
)
from caskward.stages.iodine import starch_test_positive
from caskward.stages.mashing import mash_course
from tests.support.mashes import cooked, hours, kinds, malt, mash_of, nature, product, windows

BOUGHT = ["thinning-hot", "thinning-mid", "sweetening", "fungal-amylase"]


@pytest.mark.parametrize("key", BOUGHT)
def test_the_hump_against_temperature(key: str) -> None:
    enzyme = product(key)
    middle_ph = 0.5 * (enzyme.low_ph + enzyme.high_ph)
    cold = speed(enzyme, np.linspace(5.0, float(enzyme.best_c), 30), middle_ph)
    assert np.all(np.diff(cold) > 0.0)
    assert cold[-1] == pytest.approx(1.0)
    hot = speed(enzyme, np.linspace(float(enzyme.high_c), float(enzyme.high_c) + FADE_K, 9), middle_ph)
    assert hot[0] == pytest.approx(1.0)
    assert np.all(np.diff(hot) < 0.0)
    assert hot[-1] == 0.0


def test_speed_below_the_best_temperature_by_hand() -> None:
    """55 kJ/mol from 60 to 50 °C: exp(-55 / 0.0083145 x (1/323.15 - 1/333.15)) = 0.541."""
    assert float(speed(product("sweetening"), 50.0, 4.5)) == pytest.approx(0.541, abs=0.001)


def test_outside_its_ph_window_it_slows_on_both_sides() -> None:
    enzyme = product("sweetening")
    inside = speed(enzyme, 60.0, np.array([3.8, 4.4, 5.0]))
    assert inside == pytest.approx(1.0)
    outside = speed(enzyme, 60.0, np.array([3.8 - HALF_SPEED_PH, 5.0 + HALF_SPEED_PH]))
    assert outside == pytest.approx(0.5)


@given(st.floats(20.0, 100.0), st.floats(0.1, 10.0))
def test_hotter_is_lost_sooner(at_c: float, more_k: float) -> None:
    enzyme = product("thinning-mid")
    assert float(loss_per_h(enzyme, at_c + more_k)) > float(loss_per_h(enzyme, at_c))
    assert float(half_life_h(enzyme, at_c) * loss_per_h(enzyme, at_c)) == pytest.approx(np.log(2.0))


@pytest.mark.parametrize("key", ["thinning-hot", "thinning-mid"])
@pytest.mark.parametrize("height", [0.5, 0.6, 2.0 / 3.0])
def test_a_label_thins_in_its_hold(key: str, height: float) -> None:
    """Full dose, right pH, from the middle of the window up: after the stated time a drop with iodine stays
    clear, which it would not with 98 % thinned."""
    kind = kinds()[key]
    at_c = kind.window_c.low + height * (kind.window_c.high - kind.window_c.low)
    start, last = cooked(), kind.hold_min.likely / 60.0
    doses = [Dose(product(key))]
    course = mash_course(mash_of(start), start, hours(last), at_c, kind.window_ph.likely, doses)
    left = float(course.long_share[-1] / course.long_share[0])
    assert left <= 1.0 - THINNED_SHARE + 1e-6
    assert float(starch_test_positive(left)) < 0.1
    assert float(starch_test_positive(0.02)) > 0.9


@pytest.mark.parametrize(("key", "reach"), [("sweetening", 1.0), ("fungal-amylase", 0.8)])
@pytest.mark.parametrize("height", [0.5, 0.6, 2.0 / 3.0])
def test_a_label_sweetens_in_its_hold(key: str, reach: float, height: float) -> None:
    """Thinned starch, a fifth of it branched: 95 % of what the kind can sweeten, in the stated time."""
    kind = kinds()[key]
    at_c = kind.window_c.low + height * (kind.window_c.high - kind.window_c.low)
    start = replace(cooked(0.0), branched_kg=0.2)
    mash = mash_of(start, dextrin_kg=1.0)
    last = kind.hold_min.likely / 60.0
    course = mash_course(mash, start, hours(last), at_c, kind.window_ph.likely, [Dose(product(key))])
    gone = 1.0 - float(course.dextrin_kg[-1])
    assert reach * 0.95 - 1e-6 <= gone <= reach * 0.995


def test_a_label_rules_over_its_kind() -> None:
    """A wide window: best at two thirds of it. A far hotter one than the kind stands: it lasts through."""
    usual = nature("sweetening")
    wide = label_enzyme(usual, (35.0, 58.0), (3.5, 5.5), 1.0)
    assert float(wide.best_c) == pytest.approx(35.0 + 23.0 * 2.0 / 3.0)
    hot = label_enzyme(nature("thinning-mid"), (75.0, 90.0), (5.3, 6.8), 1.0)
    assert float(half_life_h(hot, float(hot.best_c))) == pytest.approx(0.25)
    inside = label_enzyme(usual, (55.0, 65.0), (3.8, 5.0), 1.0)
    assert float(inside.best_c) == 60.0
    assert float(inside.half_life_h) == pytest.approx(usual.half_life_h)


def test_a_label_in_many_worlds() -> None:
    holds = np.array([0.5, 1.0, 1.5])
    many = label_enzyme(nature("sweetening"), *windows("sweetening"), holds)
    for k, hold_h in enumerate(holds):
        one = label_enzyme(nature("sweetening"), *windows("sweetening"), float(hold_h))
        assert float(many.rate_per_h[k]) == pytest.approx(float(one.rate_per_h), rel=1e-12)


def test_malt_brings_enzyme_by_the_kilogram() -> None:
    """100 kg at 100 degrees Lintner in 400 kg of grist are 25 degrees over the whole."""
    assert [float(d.strength) for d in malt(100.0, 0.25)] == pytest.approx([0.25, 0.25])
    assert [d.enzyme.does for d in malt()] == ["thin", "sweeten"]


def test_thirty_degrees_are_enough_and_ten_are_not() -> None:
    """*Common practice, no source*: 30 degrees Lintner over the whole grist is the least, 60 comfortable.

    An hour at 64 °C: what malt can sweeten (four fifths) all but done at 60, over 95 % at 30; at 10 a fifth
    is left.
    """
    start = cooked()
    done = [
        (1.0 - float(mash_course(mash_of(start), start, hours(1.0), 64.0, 5.4, malt(dp)).dextrin_kg[-1]))
        / 0.8
        for dp in (10.0, 30.0, 60.0)
    ]
    assert done[0] < 0.85
    assert done[1] > 0.95
    assert done[2] > 0.99


def test_a_thick_mash_is_slower_but_never_stands_still() -> None:
    shares = thickness_share(np.array([0.0, 2.0, 3.0, 8.0]), 0.3)
    assert shares == pytest.approx([0.2, 0.7, 1.0, 1.0])


@pytest.mark.parametrize("slowing", [-0.1, 0.6])
def test_a_slowing_that_cannot_be_is_refused(slowing: float) -> None:
    with pytest.raises(OutOfRange, match="slowing"):
        thickness_share(2.0, slowing)


def test_a_hold_of_nothing_is_refused() -> None:
    with pytest.raises(OutOfRange, match="hold"):
        label_enzyme(nature("sweetening"), *windows("sweetening"), 0.0)
