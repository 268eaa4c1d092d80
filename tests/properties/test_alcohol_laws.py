"""What must hold of alcohol everywhere: round trips, monotony, shapes, refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import OutOfRange
from caskward.properties import alcohol

fractions = st.floats(0.0, 1.0)
strengths = st.floats(0.0, 100.0)
temps_c = st.floats(-20.0, 40.0)


@given(fractions, temps_c)
def test_density_and_back(fraction: float, temp_c: float) -> None:
    again = alcohol.mass_fraction_from_density(alcohol.density(fraction, temp_c), temp_c)
    assert again == pytest.approx(fraction, abs=1e-9)


@given(strengths)
def test_strength_and_back(strength: float) -> None:
    assert alcohol.pct_vol(alcohol.mass_fraction(strength)) == pytest.approx(strength, abs=1e-9)
    again = alcohol.pct_vol_20_from_proof(alcohol.proof_60f(strength))
    assert again == pytest.approx(strength, abs=1e-9)


@given(
    st.floats(3.0, 97.0),
    st.floats(0.0, 35.0),
    st.sampled_from([15.0, alcohol.TEMP_60F_C, 20.0]),
    st.booleans(),
)
def test_reading_and_back(strength: float, temp_c: float, calibrated_at: float, glass: bool) -> None:
    # From 3 to 96 %vol and 5 to 30 °C the reading stays on every one of these scales.
    shown = alcohol.indicated_strength(strength, temp_c, calibrated_at, glass)
    assert alcohol.true_strength(shown, temp_c, calibrated_at, glass) == pytest.approx(strength, abs=1e-9)


@given(strengths, temps_c, st.floats(1e-3, 1e6))
def test_volume_at_20_is_the_volume_at_20(strength: float, temp_c: float, volume: float) -> None:
    assert alcohol.volume_at_20(volume, strength, 20.0) == pytest.approx(volume, rel=1e-12)
    fraction = alcohol.mass_fraction(strength)
    mass = volume * alcohol.density(fraction, temp_c)
    same = alcohol.volume_at_20(volume, strength, temp_c) * alcohol.density(fraction, 20.0)
    assert same == pytest.approx(mass, rel=1e-12)


@given(st.floats(0.2, 100.0), st.floats(0.1, 1.0), temps_c, st.floats(0.0, 1e5))
def test_reducing_keeps_alcohol_and_mass(start: float, part: float, temp_c: float, volume_l: float) -> None:
    goal = max(0.1, start * part)
    made = alcohol.reduce(volume_l, start, goal, temp_c)
    before_kg = volume_l * alcohol.density(alcohol.mass_fraction(start), temp_c) / 1000.0
    after_kg = made.final_l * alcohol.density(alcohol.mass_fraction(goal), temp_c) / 1000.0
    assert after_kg == pytest.approx(before_kg + made.water_kg, rel=1e-12, abs=1e-12)
    ethanol = before_kg * alcohol.mass_fraction(start)
    assert after_kg * alcohol.mass_fraction(goal) == pytest.approx(ethanol, rel=1e-9, abs=1e-12)


@given(st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_mixing_contracts(water_kg: float, ethanol_kg: float) -> None:
    apart = alcohol.volume_l(water_kg, 0.0) + alcohol.volume_l(0.0, ethanol_kg)
    assert alcohol.volume_l(water_kg, ethanol_kg) <= apart + 1e-9


@given(st.floats(0.0, 1e6))
def test_litres_pure_alcohol_and_back(litres: float) -> None:
    assert alcohol.litres_pure_alcohol(alcohol.ethanol_kg(litres)) == pytest.approx(litres, rel=1e-12)


def test_pure_ethanol_is_100_pct_vol_200_proof_and_one_litre() -> None:
    assert alcohol.pct_vol(1.0) == pytest.approx(100.0, abs=1e-12)
    assert alcohol.proof_60f(100.0) == pytest.approx(200.0, abs=1e-9)
    assert alcohol.volume_l(0.0, alcohol.ethanol_kg(1.0)) == pytest.approx(1.0, rel=1e-12)


def test_nothing_fills_nothing() -> None:
    assert alcohol.volume_l(0.0, 0.0) == 0.0
    np.testing.assert_array_equal(alcohol.volume_l(np.array([0.0, 1.0]), np.zeros(2)) > 0.0, [False, True])


@pytest.mark.parametrize("temp_c", np.linspace(-20.0, 40.0, 25))
def test_density_falls_with_strength_at_every_temperature(temp_c: float) -> None:
    """So its inverse has one answer, also below 4 °C, where water itself is densest."""
    density = alcohol.density(np.linspace(0.0, 1.0, 2001), float(temp_c))
    assert np.all(np.diff(density) < 0.0)


def test_a_spirit_shrinks_in_the_cold() -> None:
    """Above 10 %vol; below that the water in it has a greatest density near 4 °C."""
    temps = np.linspace(0.0, 40.0, 161)
    for strength in (20.0, 40.0, 63.0, 96.0):
        assert np.all(np.diff(alcohol.density(alcohol.mass_fraction(strength), temps)) < 0.0)


def test_warm_spirit_reads_strong() -> None:
    assert alcohol.indicated_strength(60.0, 30.0) > 60.0 > alcohol.indicated_strength(60.0, 10.0)


@given(st.lists(st.tuples(fractions, temps_c), min_size=1, max_size=20))
def test_array_is_a_loop_of_scalars(pairs: list[tuple[float, float]]) -> None:
    fraction, temp_c = np.array(pairs).T
    density = alcohol.density(fraction, temp_c)
    for index, (one, temp) in enumerate(pairs):
        alone = alcohol.density(one, temp)
        assert isinstance(alone, float)
        assert density[index] == pytest.approx(alone, rel=1e-13)
    back = alcohol.mass_fraction_from_density(density, temp_c)
    again = [
        alcohol.mass_fraction_from_density(float(d), t) for d, (_, t) in zip(density, pairs, strict=True)
    ]
    np.testing.assert_allclose(back, again, rtol=0, atol=1e-10)


def test_long_arrays_are_the_same_block_by_block() -> None:
    rng = np.random.default_rng(7)
    fraction, temp_c = rng.random(50_001), rng.uniform(-20.0, 40.0, 50_001)
    density = alcohol.density(fraction, temp_c)
    np.testing.assert_allclose(density[::997], alcohol.density(fraction[::997], temp_c[::997]), rtol=1e-14)
    np.testing.assert_allclose(alcohol.mass_fraction_from_density(density, temp_c), fraction, atol=1e-10)


@pytest.mark.parametrize("shape", [(), (1,), (0,), (3,), (2, 3), (2, 1, 4)])
def test_shapes_are_kept(shape: tuple[int, ...]) -> None:
    fraction = np.full(shape, 0.3)
    density = alcohol.density(fraction, 20.0)
    outputs = [
        density,
        alcohol.density(0.3, np.full(shape, 10.0)),
        alcohol.mass_fraction_from_density(density, 20.0),
        alcohol.mass_fraction_from_density(density, np.full(shape, 20.0)),
        alcohol.pct_vol(fraction),
        alcohol.mass_fraction(np.full(shape, 40.0)),
        alcohol.true_strength(np.full(shape, 40.0), 25.0),
        alcohol.indicated_strength(np.full(shape, 40.0), 25.0),
        alcohol.volume_at_20(np.full(shape, 5.0), 40.0, 25.0),
        *alcohol.reduce(np.full(shape, 5.0), 60.0, 40.0),
        alcohol.proof_60f(np.full(shape, 40.0)),
        alcohol.pct_vol_20_from_proof(np.full(shape, 80.0)),
        alcohol.litres_pure_alcohol(fraction),
        alcohol.volume_l(fraction, fraction),
    ]
    assert [np.shape(output) for output in outputs] == [shape] * len(outputs)


def test_arguments_broadcast() -> None:
    grid = alcohol.density(np.linspace(0, 1, 3)[:, np.newaxis], np.linspace(0, 40, 4))
    assert grid.shape == (3, 4)
    assert alcohol.mass_fraction_from_density(grid, np.linspace(0, 40, 4)).shape == (3, 4)


def test_whole_numbers_are_numbers() -> None:
    assert alcohol.density(1, 20) == pytest.approx(alcohol.ETHANOL_DENSITY_20C, abs=1e-9)
    assert alcohol.mass_fraction(np.array([0, 100])) == pytest.approx([0.0, 1.0])


NAN = math.nan


@pytest.mark.parametrize(
    "call",
    [
        lambda v: alcohol.density(v(1.2), 20.0),
        lambda v: alcohol.density(v(NAN), 20.0),
        lambda v: alcohol.density(0.5, v(55.0)),
        lambda v: alcohol.density(0.5, v(-25.0)),
        lambda v: alcohol.mass_fraction_from_density(v(1010.0), 20.0),
        lambda v: alcohol.mass_fraction_from_density(v(0.914), 20.0),
        lambda v: alcohol.mass_fraction_from_density(v(780.0), 20.0),
        lambda v: alcohol.mass_fraction_from_density(v(NAN), 20.0),
        lambda v: alcohol.mass_fraction(v(126.0)),
        lambda v: alcohol.pct_vol(v(-0.1)),
        lambda v: alcohol.true_strength(v(40.0), 65.0),
        lambda v: alcohol.true_strength(v(-1.0), 20.0),
        lambda v: alcohol.true_strength(v(100.0), 0.0),
        lambda v: alcohol.indicated_strength(v(100.0), 30.0),
        lambda v: alcohol.volume_at_20(v(-1.0), 40.0, 20.0),
        lambda v: alcohol.reduce(v(10.0), 40.0, 50.0),
        lambda v: alcohol.reduce(10.0, v(40.0), 0.0),
        lambda v: alcohol.pct_vol_20_from_proof(v(201.0)),
        lambda v: alcohol.litres_pure_alcohol(v(-1.0)),
        lambda v: alcohol.volume_l(v(-1.0), 1.0),
    ],
)
@pytest.mark.parametrize("wrap", [float, lambda value: np.array([[value]])])
def test_out_of_range_is_refused_with_a_sentence(call: object, wrap: object) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call(wrap)  # type: ignore[operator]
    sentence = str(refusal.value)
    assert "must lie between" in sentence
    assert sentence.endswith((".", "?"))


def test_the_refusal_names_the_worst_value() -> None:
    with pytest.raises(OutOfRange, match=r"52 °C, but must lie between -20 and 40 °C\. Bring the sample"):
        alcohol.density(0.5, np.array([20.0, 52.0, 39.0]))
    with pytest.raises(OutOfRange, match=r"density at 15 °C is 1003 kg/m³"):
        alcohol.mass_fraction_from_density(np.array([900.0, 1003.0]), np.array([20.0, 15.0]))
