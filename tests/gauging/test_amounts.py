"""How much there is: volumes and masses balance, the air's buoyancy counts, the temperature is taken off."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import OutOfRange
from caskward.gauging.amounts import QUANTITIES, Amount, quantities, shown_kg, true_kg
from caskward.gauging.instruments import instrument
from caskward.gauging.strength import gauge
from caskward.properties import alcohol
from caskward.units import convert
from tests.gauging.conftest import MakeReading

THERMOMETER = instrument("thermometer")


@given(st.floats(0.001, 1e4), st.floats(780.0, 1000.0))
def test_scale_and_back(mass_kg: float, density_kg_m3: float) -> None:
    assert true_kg(shown_kg(mass_kg, density_kg_m3), density_kg_m3) == pytest.approx(mass_kg, rel=1e-12)


def test_a_scale_in_air_shows_a_thousandth_less() -> None:
    """A kilogram of water at 20 °C shows 998.95 g against weights of 8,000 kg/m³. Source: OIML R 111."""
    assert shown_kg(1.0, 998.2) == pytest.approx(0.99895, abs=0.00001)


@given(st.floats(0.0, 1e5), st.floats(0.1, 100.0))
def test_all_ways_of_saying_how_much_agree(mass_kg: float, pct_vol: float) -> None:
    said = dict(zip(QUANTITIES, quantities(mass_kg, pct_vol), strict=True))
    assert said["lpa"] == pytest.approx(said["volume_20_l"] * pct_vol / 100.0, rel=1e-9, abs=1e-12)
    gallons = convert.us_gallons_from_litres(said["volume_60f_l"])
    assert said["wine_gallons"] == pytest.approx(gallons)
    assert said["proof_gallons"] == pytest.approx(gallons * alcohol.proof_60f(pct_vol) / 100.0)
    # A proof gallon holds half a gallon of ethanol at 60 °F; its mass is the same at 20 °C.
    ethanol_60f_l = 0.5 * convert.US_GALLON_L * said["proof_gallons"]
    ethanol_kg = ethanol_60f_l * alcohol.density(1.0, alcohol.TEMP_60F_C) / 1000.0
    assert alcohol.litres_pure_alcohol(ethanol_kg) == pytest.approx(said["lpa"], rel=1e-9, abs=1e-12)


@given(st.floats(5.0, 90.0), st.floats(0.0, 38.0), st.floats(0.5, 500.0))
def test_a_volume_at_any_temperature_is_the_same_spirit(
    pct_vol: float, temp_c: float, volume_l: float
) -> None:
    amount = Amount("volume", volume_l, instrument("dip"), temp_c, THERMOMETER)
    mass_kg = amount.true_kg((volume_l, temp_c), pct_vol)
    volume_20_l = quantities(mass_kg, pct_vol)[0]
    assert volume_20_l == pytest.approx(alcohol.volume_at_20(volume_l, pct_vol, temp_c), rel=1e-9)


def test_mass_needs_no_temperature(read_as: MakeReading) -> None:
    """The doubt of pure alcohol by weight is the scale's and the strength's; by volume the dipstick's too."""
    reading = read_as(63.0, 25.0)
    scale, dip = instrument("scale"), instrument("dip")
    weighed = gauge([reading], Amount("mass", 18.0, scale, 25.0, THERMOMETER)).quantity
    dipped = gauge([reading], Amount("volume", 20.0, dip, 25.0, THERMOMETER)).quantity
    assert weighed
    assert dipped
    assert weighed.lpa.standard / weighed.lpa.value < 0.5 * dipped.lpa.standard / dipped.lpa.value
    expected = math.hypot(
        scale.standard, gauge([reading]).pct_mass.standard / gauge([reading]).pct_mass.value
    )
    assert weighed.lpa.standard / weighed.lpa.value == pytest.approx(expected, rel=0.02)


def test_a_vessel_grows_with_warmth() -> None:
    cold = Amount("volume", 100.0, instrument("dip"), 30.0, THERMOMETER)
    steel = Amount("volume", 100.0, instrument("dip"), 30.0, THERMOMETER, "steel")
    ratio = steel.true_kg((100.0, 30.0), 60.0) / cold.true_kg((100.0, 30.0), 60.0)
    assert ratio == pytest.approx(1.00048, abs=1e-6)


@pytest.mark.parametrize("value", [-1.0, 0.0, math.inf, math.nan])
def test_an_amount_that_is_none(read_as: MakeReading, value: float) -> None:
    with pytest.raises(OutOfRange):
        gauge([read_as(40.0, 20.0)], Amount("volume", value, instrument("dip"), 20.0, THERMOMETER))
