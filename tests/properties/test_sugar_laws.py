"""What must hold of sugar solutions and of washes everywhere."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import OutOfRange
from caskward.properties import alcohol, sugar, wash, water

brixes = st.floats(-10.0, 85.0)
warm_c = st.floats(0.0, 80.0)
masses_kg = st.floats(0.01, 500.0)


@given(brixes, warm_c)
def test_density_and_back(brix: float, temp_c: float) -> None:
    assert sugar.brix_from_density(sugar.density(brix, temp_c), temp_c) == pytest.approx(brix, abs=1e-9)


@given(brixes)
def test_gravity_and_back(brix: float) -> None:
    assert sugar.brix_from_sg(sugar.sg_from_brix(brix)) == pytest.approx(brix, abs=1e-9)
    assert sugar.plato_from_sg(sugar.sg_from_plato(brix)) == pytest.approx(brix, abs=1e-9)


@given(st.floats(0.0, 70.0), st.floats(10.0, 30.0))
def test_refractive_index_and_back(brix: float, temp_c: float) -> None:
    index = sugar.refractive_index(brix, temp_c)
    assert sugar.brix_from_refractive_index(index, temp_c) == pytest.approx(brix, abs=1e-9)


@given(st.floats(0.0, 85.0))
def test_refractive_index_and_back_at_20(brix: float) -> None:
    assert sugar.brix_from_refractive_index(sugar.refractive_index(brix)) == pytest.approx(brix, abs=1e-9)


@given(brixes)
def test_instruments_are_true_where_they_were_made(brix: float) -> None:
    sg = sugar.sg_from_brix(brix)
    assert sugar.hydrometer_sg(sg, 20.0) == pytest.approx(sg, abs=1e-12)
    assert sugar.refractometer_brix(min(max(brix, 0.0), 70.0), 20.0) == min(max(brix, 0.0), 70.0)


@pytest.mark.parametrize("temp_c", [0.0, 10.0, 20.0, 40.0, 65.0, 80.0])
def test_more_sugar_is_heavier(temp_c: float) -> None:
    assert np.all(np.diff(sugar.density(np.linspace(-10, 85, 951), temp_c)) > 0.0)


def test_warmer_is_lighter() -> None:
    """From 5 °C, past the greatest density of water."""
    temps_c = np.linspace(5.0, 80.0, 151)
    for brix in (0.0, 12.0, 30.0, 60.0, 85.0):
        assert np.all(np.diff(sugar.density(brix, temps_c)) < 0.0)


def test_warm_samples_read_low() -> None:
    assert sugar.hydrometer_sg(1.050, 35.0) > 1.050 > sugar.hydrometer_sg(1.050, 10.0)
    assert sugar.refractometer_brix(15.0, 28.0) > 15.0 > sugar.refractometer_brix(15.0, 12.0)


def test_water_is_no_sugar() -> None:
    assert sugar.sg_from_brix(0.0) == 1.0
    assert sugar.density(0.0, 55.0) == water.density(55.0)


@given(masses_kg, masses_kg, st.floats(0.0, 40.0))
def test_wash_without_solubles_is_spirit(water_kg: float, ethanol_kg: float, temp_c: float) -> None:
    ours = wash.liquid_volume_l(water_kg, ethanol_kg, 0.0, temp_c)
    assert ours == pytest.approx(alcohol.volume_l(water_kg, ethanol_kg, temp_c), rel=1e-12)


@given(masses_kg, st.floats(0.0, 0.8), st.floats(0.0, 40.0))
def test_wash_without_ethanol_is_syrup(mass_kg: float, share: float, temp_c: float) -> None:
    ours = wash.liquid_volume_l(mass_kg * (1.0 - share), 0.0, mass_kg * share, temp_c)
    syrup = 1000.0 * mass_kg / sugar.density(100.0 * share, temp_c)
    assert ours == pytest.approx(syrup, rel=5e-6)  # the two formulas have each their own water


@given(masses_kg, st.floats(0.0, 50.0), st.floats(0.0, 50.0), st.floats(0.0, 100.0))
def test_wash_volume_is_proportional_to_amount(w: float, e: float, s: float, temp_c: float) -> None:
    s = min(s, 5.0 * w)
    once = wash.volume_l(w, e, s, 1.0, temp_c)
    twice = wash.volume_l(2.0 * w, 2.0 * e, 2.0 * s, 2.0, temp_c)
    assert twice == pytest.approx(2.0 * once, rel=1e-12)


@given(st.floats(60.0, 100.0), st.floats(0.0, 12.0), st.floats(0.0, 25.0))
def test_tabarie(water_kg: float, ethanol_kg: float, solubles_kg: float) -> None:
    """SG of wash = SG of its distillate + SG of its residue - 1, both made up to the wash's volume.

    The old relation of wine analysis (from memory). Half a point, a tenth of a hydrometer's division.
    """
    litres = wash.liquid_volume_l(water_kg, ethanol_kg, solubles_kg)
    base = alcohol.WATER_DENSITY_20C

    def made_up(ethanol: float, solubles: float) -> float:
        """Gravity of this much solute in so much water that it fills the wash's volume."""
        low, high = 0.0, 2.0 * litres
        for _ in range(80):
            middle = 0.5 * (low + high)
            if wash.liquid_volume_l(middle + 1e-9, ethanol, solubles) < litres:
                low = middle
            else:
                high = middle
        return (middle + ethanol + solubles) / litres * 1000.0 / base

    sg = wash.specific_gravity(water_kg, ethanol_kg, solubles_kg)
    assert sg == pytest.approx(made_up(ethanol_kg, 0.0) + made_up(0.0, solubles_kg) - 1.0, abs=0.0005)


@given(masses_kg, st.floats(0.1, 50.0), st.floats(0.0, 50.0))
def test_more_alcohol_is_lighter_more_sugar_heavier(w: float, e: float, s: float) -> None:
    s = min(s, 3.0 * w)
    more = s + 0.1 * w
    gravity = wash.specific_gravity(w, e, s)
    assert wash.specific_gravity(w, e * 1.1, s) < gravity < wash.specific_gravity(w, e, more)


def test_warm_mash_takes_more_room() -> None:
    volumes = wash.volume_l(75.0, 0.0, 15.0, 10.0, np.linspace(5.0, 100.0, 96))
    assert np.all(np.diff(volumes) > 0.0)


@pytest.mark.parametrize("share", [0.1, 0.2, 0.3])
def test_hot_mash_against_the_formula_for_syrup(share: float) -> None:
    """Above 40 °C the wash grows as water does; the syrup formula knows better, and is 0.1 % away at most."""
    for temp_c in (50.0, 65.0, 80.0):
        syrup = 1000.0 / sugar.density(100.0 * share, temp_c)
        assert wash.liquid_volume_l(1.0 - share, 0.0, share, temp_c) == pytest.approx(syrup, rel=0.001)


def test_nothing_is_safe() -> None:
    assert wash.volume_l(0.0, 0.0, 0.0, 0.0, 65.0) == 0.0
    assert wash.specific_gravity(0.0, 0.0, 0.0) == 1.0
    assert wash.strength_pct_vol(0.0, 0.0, 0.0) == 0.0
    assert wash.brix(0.0, 0.0, 0.0) == pytest.approx(0.0, abs=1e-12)
    some = np.array([0.0, 80.0])
    none = np.zeros(2)
    assert wash.volume_l(some, none, none, none)[0] == 0.0
    assert wash.specific_gravity(some, none, none) == pytest.approx([1.0, 1.0], abs=5e-6)
    assert wash.strength_pct_vol(some, none, none) == pytest.approx([0.0, 0.0])
    assert wash.liquid_volume_l(0.0, 1.0, 0.0) == pytest.approx(alcohol.volume_l(0.0, 1.0))


def test_a_dry_wash_reads_below_zero() -> None:
    assert wash.brix(90.0, 9.0, 0.0) < 0.0 < wash.brix(90.0, 9.0, 10.0)
    assert wash.strength_pct_vol(90.0, 9.0, 0.0) == pytest.approx(alcohol.pct_vol(9.0 / 99.0))


@pytest.mark.parametrize("shape", [(), (1,), (0,), (3,), (2, 3)])
def test_shapes_are_kept(shape: tuple[int, ...]) -> None:
    ten = np.full(shape, 10.0)
    outputs = [
        water.density(ten),
        sugar.density(ten),
        sugar.density(10.0, ten),
        sugar.brix_from_density(np.full(shape, 1040.0), 20.0),
        sugar.brix_from_density(1040.0, ten),
        sugar.sg_from_brix(ten),
        sugar.brix_from_sg(np.full(shape, 1.04)),
        sugar.sugar_g_l(ten),
        sugar.hydrometer_sg(np.full(shape, 1.04), 25.0),
        sugar.refractive_index(ten),
        sugar.refractive_index(10.0, ten),
        sugar.brix_from_refractive_index(np.full(shape, 1.35)),
        sugar.refractometer_brix(ten, 25.0),
        wash.liquid_volume_l(ten, ten, ten),
        wash.volume_l(ten, 0.0, 1.0, 1.0, 65.0),
        wash.volume_l(10.0, 0.0, 1.0, 1.0, ten),
        wash.density(ten, 0.5, 1.0),
        wash.specific_gravity(ten, 0.5, 1.0),
        wash.brix(ten, 0.5, 1.0),
        wash.strength_pct_vol(ten, 0.5, 1.0),
    ]
    assert [np.shape(output) for output in outputs] == [shape] * len(outputs)


@given(st.lists(st.tuples(brixes, warm_c), min_size=1, max_size=10))
def test_array_is_a_loop_of_scalars(pairs: list[tuple[float, float]]) -> None:
    brix, temp_c = np.array(pairs).T
    density = sugar.density(brix, temp_c)
    assert density == pytest.approx([sugar.density(b, t) for b, t in pairs], rel=1e-13)
    assert all(isinstance(sugar.density(b, t), float) for b, t in pairs)
    alone = [sugar.brix_from_density(float(d), t) for d, (_, t) in zip(density, pairs, strict=True)]
    assert sugar.brix_from_density(density, temp_c) == pytest.approx(alone, abs=1e-10)


@given(st.lists(st.tuples(masses_kg, st.floats(0, 20), st.floats(0, 20)), min_size=1, max_size=10), warm_c)
def test_wash_array_is_a_loop_of_scalars(rows: list[tuple[float, float, float]], temp_c: float) -> None:
    w, e, s = np.array(rows).T
    s = np.minimum(s, 4.0 * w)
    volumes = wash.liquid_volume_l(w, e, s, temp_c)
    alone = [
        wash.liquid_volume_l(float(a), float(b), float(c), temp_c) for a, b, c in zip(w, e, s, strict=True)
    ]
    assert volumes == pytest.approx(alone, rel=1e-12)


@pytest.mark.parametrize(
    "call",
    [
        lambda v: water.density(v(-1.0)),
        lambda v: water.density(v(101.0)),
        lambda v: sugar.density(v(86.0)),
        lambda v: sugar.density(10.0, v(95.0)),
        lambda v: sugar.brix_from_density(v(1.048)),
        lambda v: sugar.brix_from_density(v(1600.0)),
        lambda v: sugar.brix_from_sg(v(1048.0)),
        lambda v: sugar.brix_from_sg(v(float("nan"))),
        lambda v: sugar.refractive_index(v(90.0)),
        lambda v: sugar.refractive_index(v(75.0), 25.0),
        lambda v: sugar.refractive_index(10.0, v(45.0)),
        lambda v: sugar.brix_from_refractive_index(v(1.2)),
        lambda v: sugar.refractometer_brix(v(-1.0), 20.0),
        lambda v: sugar.hydrometer_sg(v(1.05), 90.0),
        lambda v: wash.volume_l(v(-1.0), 0.0, 0.0, 0.0),
        lambda v: wash.volume_l(1.0, 0.0, 0.0, v(-1.0)),
        lambda v: wash.liquid_volume_l(1.0, 0.0, v(20.0)),
        lambda v: wash.liquid_volume_l(1.0, 0.0, 0.0, v(120.0)),
        lambda v: wash.brix(1.0, v(1.0), 0.0),
    ],
)
@pytest.mark.parametrize("wrap", [float, lambda value: np.array([[value]])])
def test_out_of_range_is_refused_with_a_sentence(call: object, wrap: object) -> None:
    with pytest.raises(OutOfRange, match="must lie between"):
        call(wrap)  # type: ignore[operator]
