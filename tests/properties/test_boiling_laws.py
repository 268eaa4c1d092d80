"""What must hold of boiling, volatility and heat everywhere."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import OutOfRange, UnknownName
from caskward.properties import congeners, heat, vle

xs = st.floats(0.0, 1.0)
pressures_kpa = st.floats(30.0, 110.0)


@given(xs, pressures_kpa)
def test_bubble_point_balances_the_pressures(x: float, kpa: float) -> None:
    boiling = vle.bubble_point(x, kpa)
    ethanol, water = vle.vapour_pressure_kpa(boiling.celsius)
    first, second = vle.activity_coefficients(x, boiling.celsius)
    assert x * first * ethanol + (1.0 - x) * second * water == pytest.approx(kpa, rel=1e-10)
    assert boiling.y * kpa == pytest.approx(x * first * ethanol, rel=1e-10, abs=1e-300)


@given(pressures_kpa)
def test_pure_liquids(kpa: float) -> None:
    assert vle.bubble_point(0.0, kpa).y == 0.0
    assert vle.bubble_point(1.0, kpa).y == 1.0
    assert vle.vapour_pressure_kpa(vle.bubble_point(1.0, kpa).celsius)[0] == pytest.approx(kpa, rel=1e-10)
    assert vle.vapour_pressure_kpa(vle.bubble_point(0.0, kpa).celsius)[1] == pytest.approx(kpa, rel=1e-10)


@given(st.floats(0.001, 0.999), st.floats(45.0, 100.0))
def test_activity_coefficients_obey_gibbs_and_duhem(x: float, celsius: float) -> None:
    """x dln(gamma1)/dx + (1-x) dln(gamma2)/dx = 0 at constant temperature: no thermodynamic nonsense."""
    step = 1e-5 * min(x, 1.0 - x)
    above, below = (np.log(vle.activity_coefficients(x + s, celsius)) for s in (step, -step))
    slopes = (above - below) / (2.0 * step)
    assert x * slopes[0] + (1.0 - x) * slopes[1] == pytest.approx(0.0, abs=1e-4)


@pytest.mark.parametrize("kpa", [30.0, 60.0, 101.325, 110.0])
def test_vapour_is_richer_below_the_azeotrope_and_poorer_above(kpa: float) -> None:
    meeting = vle.azeotrope(kpa)
    x = np.linspace(1e-6, 1.0 - 1e-6, 4001)
    boiling = vle.bubble_point(x, kpa)
    assert np.all((boiling.y > x) == (x < meeting.x))
    assert np.all(np.diff(boiling.y) > 0.0)
    assert boiling.celsius.min() == pytest.approx(meeting.celsius, abs=1e-4)
    assert np.all(np.diff(boiling.celsius[x < meeting.x]) < 0.0)


@given(xs, st.floats(30.0, 109.0))
def test_more_pressure_boils_hotter(x: float, kpa: float) -> None:
    assert vle.bubble_point(x, kpa + 1.0).celsius > vle.bubble_point(x, kpa).celsius


@given(xs)
def test_mole_and_mass_and_back(fraction: float) -> None:
    again = vle.mass_fraction_from_mole(vle.mole_fraction(fraction))
    assert again == pytest.approx(fraction, abs=1e-12)


def test_pressure_falls_with_height() -> None:
    assert np.all(np.diff(vle.pressure_at_altitude(np.linspace(-400.0, 9000.0, 95))) < 0.0)
    assert vle.pressure_at_altitude(0.0) == vle.STANDARD_KPA


@given(st.lists(st.tuples(xs, pressures_kpa), min_size=1, max_size=10))
def test_array_is_a_loop_of_scalars(pairs: list[tuple[float, float]]) -> None:
    x, kpa = np.array(pairs).T
    boiling = vle.bubble_point(x, kpa)
    for index, pair in enumerate(pairs):
        alone = vle.bubble_point(*pair)
        assert isinstance(alone.celsius, float)
        assert isinstance(alone.y, float)
        assert boiling.celsius[index] == pytest.approx(alone.celsius, abs=1e-10)
        assert boiling.y[index] == pytest.approx(alone.y, abs=1e-12)


@pytest.mark.parametrize("congener", congeners.CONGENERS)
def test_volatilities_are_smooth_and_positive(congener: str) -> None:
    x = np.linspace(0.0, 0.9, 181)
    alpha = vle.relative_volatility(congener, x)
    assert np.all(alpha > 0.0)
    assert np.all(np.abs(np.diff(np.log(alpha))) < 0.2)
    assert alpha == pytest.approx([vle.relative_volatility(congener, float(one)) for one in x], rel=1e-13)
    band = vle.relative_volatility_band(congener, x)
    assert np.all(band >= 1.05)
    assert band == pytest.approx([vle.relative_volatility_band(congener, float(one)) for one in x], rel=1e-13)


@pytest.mark.parametrize("shape", [(), (1,), (0,), (3,), (2, 3)])
def test_shapes_are_kept(shape: tuple[int, ...]) -> None:
    half = np.full(shape, 0.5)
    outputs = [
        *vle.bubble_point(half),
        *vle.bubble_point(0.5, np.full(shape, 90.0)),
        *vle.activity_coefficients(half, 80.0),
        *vle.vapour_pressure_kpa(np.full(shape, 80.0)),
        vle.pressure_at_altitude(half),
        vle.mole_fraction(half),
        vle.mass_fraction_from_mole(half),
        vle.relative_volatility("methanol", half),
        vle.relative_volatility_band("methanol", half),
        heat.cp_ethanol_water(half),
        heat.cp_grain(half),
        heat.mash_heat_capacity_kj_k(half, half, half, half),
        heat.slaking_heat_kj(half, half),
        heat.mix_temperature_c(half, 20.0, 1.0, 60.0),
        heat.tub_temperature_c(65.0, 15.0, 2.0, 400.0, half),
        heat.tub_ua_w_k(65.0, 60.0, 15.0, np.full(shape, 400.0), 8.0),
        heat.boiling_kwh(half, half, 0.1),
        heat.cooling_water_l(half, 40.0),
        heat.boiling_point_water_c(np.full(shape, 90.0)),
    ]
    assert [np.shape(output) for output in outputs] == [shape] * len(outputs)


temps_c = st.floats(0.0, 100.0)
capacities = st.floats(1.0, 5000.0)


@given(capacities, temps_c, capacities, temps_c, st.floats(-500.0, 500.0))
def test_mixing_keeps_heat(c1: float, t1: float, c2: float, t2: float, released_kj: float) -> None:
    mixed = heat.mix_temperature_c(c1, t1, c2, t2, released_kj)
    assert (c1 + c2) * mixed == pytest.approx(c1 * t1 + c2 * t2 + released_kj, rel=1e-9, abs=1e-6)
    assert heat.needed_temperature_c(mixed, c1, c2, t2, released_kj) == pytest.approx(t1, abs=1e-6)


@given(st.floats(30.0, 95.0), st.floats(-10.0, 25.0), st.floats(0.1, 30.0), capacities, st.floats(0.1, 48.0))
def test_tub_cools_towards_the_room(
    start: float, room: float, ua: float, capacity: float, hours: float
) -> None:
    end = heat.tub_temperature_c(start, room, ua, capacity, hours)
    assert room <= end < start
    assert heat.tub_temperature_c(start, room, ua, capacity, 0.0) == pytest.approx(start, abs=1e-12)
    halfway = heat.tub_temperature_c(start, room, ua, capacity, hours / 2.0)
    assert heat.tub_temperature_c(halfway, room, ua, capacity, hours / 2.0) == pytest.approx(end, abs=1e-9)


@given(st.floats(0.1, 5.0), st.floats(100.0, 2000.0), st.floats(0.5, 24.0))
def test_tub_loss_is_learned_from_two_temperatures(ua: float, capacity: float, hours: float) -> None:
    end = heat.tub_temperature_c(66.0, 14.0, ua, capacity, hours)
    assert heat.tub_ua_w_k(66.0, end, 14.0, capacity, hours) == pytest.approx(ua, rel=1e-6)


def test_reflux_costs_heat() -> None:
    assert heat.boiling_kwh(1.0, 1.0, 0.5) == pytest.approx(2.0 * heat.boiling_kwh(1.0, 1.0))
    assert heat.heating_kwh(425.0, 80.0) == pytest.approx(425.0 * 80.0 / 3600.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda v: vle.bubble_point(v(1.1)),
        lambda v: vle.bubble_point(v(float("nan"))),
        lambda v: vle.bubble_point(0.1, v(20.0)),
        lambda v: vle.pressure_at_altitude(v(12_000.0)),
        lambda v: vle.mole_fraction(v(-0.1)),
        lambda v: vle.mass_fraction_from_mole(v(1.5)),
        lambda v: vle.relative_volatility("methanol", v(0.95)),
        lambda v: vle.activity_coefficients(0.5, v(200.0)),
        lambda v: vle.vapour_pressure_kpa(v(10.0)),
        lambda v: heat.cp_grain(v(12.0)),
        lambda v: heat.cp_ethanol_water(v(40.0)),
        lambda v: heat.mash_heat_capacity_kj_k(v(-1.0), 0.0, 0.0, 0.0),
        lambda v: heat.slaking_heat_kj(v(-1.0)),
        lambda v: heat.mix_temperature_c(v(0.0), 20.0, 0.0, 60.0),
        lambda v: heat.tub_temperature_c(65.0, 15.0, v(-2.0), 400.0, 1.0),
        lambda v: heat.tub_ua_w_k(v(65.0), 10.0, 15.0, 400.0, 1.0),
        lambda v: heat.boiling_kwh(1.0, 1.0, v(1.0)),
        lambda v: heat.cooling_water_l(1.0, v(0.0)),
        lambda v: heat.boiling_point_water_c(v(20.0)),
    ],
)
@pytest.mark.parametrize("wrap", [float, lambda value: np.array([[value]])])
def test_out_of_range_is_refused_with_a_sentence(call: object, wrap: object) -> None:
    with pytest.raises(OutOfRange, match="must lie between"):
        call(wrap)  # type: ignore[operator]


def test_azeotrope_refuses_other_pressures() -> None:
    with pytest.raises(OutOfRange, match="reduced to sea level"):
        vle.azeotrope(5.0)


def test_unknown_congener_names_the_nearest() -> None:
    with pytest.raises(UnknownName, match="'methanol'"):
        vle.relative_volatility("metanol", 0.1)
