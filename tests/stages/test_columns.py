"""Head, plates and dephlegmator against a stepping of their own, and against what must hold for any still."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import OutOfRange
from caskward.stages.columns import Column, VapourPath
from caskward.stages.vapour import EquilibriumCurve, equilibrium_curve, fraction, ratio
from tests.support.stepping import SlowStill, levels, spout

CURVE = equilibrium_curve(101.325)

STILLS = [
    SlowStill(),
    SlowStill(head=0.1),
    SlowStill(dephlegmator=0.6),
    SlowStill(plates=1, reflux_ratio=1.0),
    SlowStill(plates=4, reflux_ratio=2.0),
    SlowStill(plates=3, dephlegmator=0.7),
    SlowStill(head=0.08, plates=6, reflux_ratio=1.5, dephlegmator=0.3),
    SlowStill(plates=15, reflux_ratio=4.0),
]


def path_of(slow: SlowStill, curve: EquilibriumCurve = CURVE) -> VapourPath:
    return VapourPath(curve, slow.head, Column(float(slow.plates), slow.reflux_ratio, slow.dephlegmator))


@pytest.mark.parametrize("slow", STILLS, ids=str)
@pytest.mark.parametrize("y", [0.02, 0.3, 0.6, 0.8])
def test_pot_under_a_spout(slow: SlowStill, y: float) -> None:
    """McCabe and Thiele's steps, taken in y and x with a root-finder over the bubble point itself.

    1e-5 relative: thirty times finer than 0.01 %vol, the last digit a still is ever read to.
    """
    _, boiled, x = levels(slow, y)
    path = path_of(slow)
    assert fraction(path.boiled_under(ratio(y))) == pytest.approx(boiled, rel=1e-5)
    assert fraction(path.pot_under(ratio(y))) == pytest.approx(x, rel=1e-5)


@pytest.mark.parametrize("slow", STILLS, ids=str)
@pytest.mark.parametrize("x", [0.001, 0.05, 0.2])
def test_spout_over_a_pot(slow: SlowStill, x: float) -> None:
    assert fraction(path_of(slow).spout_over(ratio(x))) == pytest.approx(spout(slow, x), rel=1e-5)


@pytest.mark.parametrize("plates", [1, 3, 8])
def test_total_reflux_is_fenske(plates: int) -> None:
    """y/(1-y) over the column is alpha^(N+1) times x/(1-x) in the pot, at a constant alpha.

    Source: Fenske (1932), from memory. With R sent back for each drawn off, a stage falls short by at most
    1/(x R) in the log: 1e-4 for x of 0.01 and more and R of a million.
    """
    alpha = 2.3
    liquid = np.linspace(-16.0, 12.0, 3001)
    made_up = EquilibriumCurve.through(101.325, liquid, liquid + np.log(alpha), 90.0 - liquid)
    path = VapourPath(made_up, 0.0, Column(plates, 1e6))
    pot = ratio(np.array([0.01, 0.1, 0.4]))
    assert path.spout_over(pot) - pot == pytest.approx((plates + 1) * np.log(alpha), abs=plates * 1e-4)


def test_no_column_beats_the_azeotrope() -> None:
    path = VapourPath(CURVE, 0.05, Column(40.0, 1000.0))
    over = fraction(path.spout_over(ratio(np.array([0.01, 0.1, 0.5]))))
    assert np.all(over < fraction(np.asarray(CURVE.richest)) + 1e-9)
    assert np.all(over > 0.89)


@given(
    st.floats(1e-4, 0.6), st.floats(0.0, 0.4), st.floats(0.0, 25.0), st.floats(0.0, 20.0), st.floats(0.0, 0.9)
)
def test_down_and_up_again(x: float, head: float, plates: float, ratio_: float, share: float) -> None:
    path = VapourPath(CURVE, head, Column(plates, ratio_, share))
    top = path.spout_over(ratio(x))
    assert np.asarray(path.pot_under(top)) == pytest.approx(float(ratio(x)), abs=1e-6)


@given(st.floats(0.01, 0.4), st.floats(0.1, 8.0))
def test_more_plates_never_do_worse(x: float, reflux: float) -> None:
    plates = np.linspace(0.0, 12.0, 49)
    over = VapourPath(CURVE, 0.0, Column(plates, reflux)).spout_over(np.full(49, ratio(x)))
    assert np.all(np.diff(over) > -1e-9)
    assert over[4] > over[0] + 1e-3


def test_worlds_with_columns_of_their_own() -> None:
    plates, reflux, share = np.array([0.0, 1.5, 4.0]), np.array([0.0, 3.0, 1.0]), np.array([0.5, 0.0, 0.2])
    pot = ratio(np.array([0.1, 0.2, 0.05]))
    together = VapourPath(CURVE, 0.05, Column(plates, reflux, share)).spout_over(pot)
    for k in range(3):
        alone = VapourPath(CURVE, 0.05, Column(plates[k], reflux[k], share[k])).spout_over(pot[k])
        assert together[k] == pytest.approx(float(alone), abs=1e-9)


def test_shares_of_what_boils() -> None:
    """One mole drawn off costs (1 + R) / ((1 - f_head) (1 - f_dephlegmator)) moles of vapour."""
    path = VapourPath(CURVE, 0.1, Column(3.0, 2.0, 0.25))
    assert path.through_share == pytest.approx(0.9 * 0.75 / 3.0)
    assert path.falls_share == pytest.approx(1.0 - 0.75 / 3.0)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"plates": -1.0}, "stages is -1"),
        ({"plates": 60.0}, "stages is 60"),
        ({"reflux_ratio": -0.5}, "reflux ratio is -0.5"),
        ({"dephlegmator_share": 1.0}, "vapour must pass"),
        ({"plates": np.array([2.0, np.nan])}, "stages is nan"),
    ],
)
def test_columns_that_cannot_be(wrong: dict[str, float], words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        Column(**wrong)
