"""Amounts to weigh and measure: never too little, never much more, on a step, printed in full."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import NotShowable
from caskward.units import parse, show
from caskward.units.types import UnitSystem

SYSTEMS: list[UnitSystem] = ["metric", "us"]
ROUNDERS = [show.round_to_weigh, show.nice_volume]
Rounder = Callable[[float, UnitSystem], float]
LB_KG = 0.45359237
OZ_KG = LB_KG / 16
GAL_L = 3.785411784


@pytest.mark.parametrize("rounder", ROUNDERS)
@pytest.mark.parametrize("system", SYSTEMS)
@given(value=st.floats(0, 1e5, allow_subnormal=False))
def test_never_too_little_and_settled(rounder: Rounder, system: UnitSystem, value: float) -> None:
    rounded = rounder(value, system)
    # 1e-10 is below any scale; it keeps 5 kg from becoming 5.1 kg for its last bit.
    assert rounded >= value * (1 - 1e-10) - 1e-10
    assert rounder(rounded, system) == pytest.approx(rounded, rel=1e-12)
    # A tenth from 1 g or 1 mL up, as the largest step promises; what is smaller grows by one step.
    assert rounded <= max(value * 1.1, value + 0.0003) * (1 + 1e-9)


@pytest.mark.parametrize("rounder", ROUNDERS)
@pytest.mark.parametrize("system", SYSTEMS)
@given(one=st.floats(0, 1e3), other=st.floats(0, 1e3))
def test_more_stays_more(rounder: Rounder, system: UnitSystem, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert rounder(low, system) <= rounder(high, system)


@pytest.mark.parametrize(
    ("mass_kg", "system", "expected_kg", "shown"),
    [
        (0.0, "metric", 0, "0 kg"),
        (0.00321, "metric", 0.0033, "3.3 g"),
        (0.0121, "metric", 0.013, "13 g"),
        (0.421, "metric", 0.425, "425 g"),
        (1.31, "metric", 1.35, "1.35 kg"),
        (4.96, "metric", 5, "5 kg"),
        (5.0, "metric", 5, "5 kg"),
        (12.31, "metric", 12.4, "12.4 kg"),
        (246.1, "metric", 246.5, "246.5 kg"),
        (0.3, "us", 11 * OZ_KG, "11 oz"),
        (2.3 * LB_KG, "us", 37 * OZ_KG, "2 lb 5 oz"),
        (12.1 * LB_KG, "us", 12.25 * LB_KG, "12.25 lb"),
        (55.1 * LB_KG, "us", 56 * LB_KG, "56 lb"),
    ],
)
def test_weighed(mass_kg: float, system: UnitSystem, expected_kg: float, shown: str) -> None:
    assert show.round_to_weigh(mass_kg, system) == pytest.approx(expected_kg, rel=1e-12)
    assert show.weigh_out(mass_kg, system) == shown


@pytest.mark.parametrize(
    ("volume_l", "system", "expected_l", "shown"),
    [
        (0.0032, "metric", 0.0032, "3.2 mL"),
        (0.0344, "metric", 0.035, "35 mL"),
        (1.31, "metric", 1.35, "1.35 L"),
        (24.1, "metric", 24.5, "24.5 L"),
        (0.35, "us", 12 * GAL_L / 128, "12 fl oz"),
        (2.11 * GAL_L, "us", 2.15 * GAL_L, "2.15 gal"),
        (24.1 * GAL_L, "us", 24.5 * GAL_L, "24.5 gal"),
    ],
)
def test_measured(volume_l: float, system: UnitSystem, expected_l: float, shown: str) -> None:
    assert show.nice_volume(volume_l, system) == pytest.approx(expected_l, rel=1e-12)
    assert show.measure_out(volume_l, system) == shown


@pytest.mark.parametrize("system", SYSTEMS)
@given(value=st.floats(0, 1e4, allow_subnormal=False))
def test_printed_in_full(system: UnitSystem, value: float) -> None:
    # The amounts lie on their steps, so that nothing but floating point may be lost in print.
    weighed_kg, measured_l = show.round_to_weigh(value, system), show.nice_volume(value, system)
    assert parse.mass_kg(show.weigh_out(value, system)) == pytest.approx(weighed_kg, rel=1e-9, abs=1e-12)
    assert parse.volume_l(show.measure_out(value, system)) == pytest.approx(measured_l, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("rounder", ROUNDERS)
def test_nothing_weighs_less_than_nothing(rounder: Rounder) -> None:
    with pytest.raises(NotShowable):
        rounder(-0.1, "metric")
