"""Exact factors, against `pint` as an independent table and against figures printed in the standards."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.units import convert

# Both tables hold exact factors, so all that may differ is the last bits of a product or quotient.
ROUNDING = 1e-14

FACTORS = [
    (convert.INCH_M, "inch", "m"),
    (convert.FOOT_M, "foot", "m"),
    (convert.YARD_M, "yard", "m"),
    (convert.MILE_M, "mile", "m"),
    (convert.US_GALLON_L, "US_liquid_gallon", "L"),
    (convert.US_QUART_L, "US_liquid_quart", "L"),
    (convert.US_PINT_L, "US_pint", "L"),
    (convert.US_CUP_L, "US_liquid_cup", "L"),
    (convert.US_FLUID_OUNCE_L, "US_fluid_ounce", "L"),
    (convert.US_TABLESPOON_L, "tablespoon", "L"),
    (convert.US_TEASPOON_L, "teaspoon", "L"),
    (convert.IMPERIAL_GALLON_L, "imperial_gallon", "L"),
    (convert.IMPERIAL_QUART_L, "imperial_quart", "L"),
    (convert.IMPERIAL_PINT_L, "imperial_pint", "L"),
    (convert.IMPERIAL_FLUID_OUNCE_L, "imperial_fluid_ounce", "L"),
    (convert.CUBIC_INCH_L, "inch**3", "L"),
    (convert.CUBIC_FOOT_L, "foot**3", "L"),
    (convert.POUND_KG, "pound", "kg"),
    (convert.OUNCE_KG, "ounce", "kg"),
    (convert.SHORT_TON_KG, "short_ton", "kg"),
    (convert.MINUTE_H, "minute", "hour"),
    (convert.SECOND_H, "second", "hour"),
    (convert.DAY_H, "day", "hour"),
    (convert.WEEK_H, "week", "hour"),
    (convert.MONTH_H, "month", "hour"),
    (convert.YEAR_H, "year", "hour"),
    (convert.BTU_J, "Btu_it", "joule"),
    (convert.KWH_J, "kWh", "joule"),
    (convert.BTU_PER_H_KW, "Btu_it/hour", "kW"),
    (convert.BTU_PER_H_F_W_K, "Btu_it/hour/delta_degF", "W/delta_degC"),
    (convert.KELVIN_PER_FAHRENHEIT, "delta_degF", "kelvin"),
    (convert.ATMOSPHERE_KPA, "atmosphere", "kPa"),
    (convert.BAR_KPA, "bar", "kPa"),
    (convert.PSI_KPA, "psi", "kPa"),
    (convert.MM_MERCURY_KPA, "mmHg", "kPa"),
    (convert.INCH_MERCURY_KPA, "inHg", "kPa"),
    (convert.TORR_KPA, "torr", "kPa"),
    (convert.POUND_PER_US_GALLON_KG_M3, "pound/US_liquid_gallon", "kg/m**3"),
    (convert.POUND_PER_CUBIC_FOOT_KG_M3, "pound/foot**3", "kg/m**3"),
]
BOTH_WAYS = [
    (convert.litres_from_us_gallons, convert.us_gallons_from_litres),
    (convert.litres_from_imperial_gallons, convert.imperial_gallons_from_litres),
    (convert.litres_from_us_fluid_ounces, convert.us_fluid_ounces_from_litres),
    (convert.kg_from_pounds, convert.pounds_from_kg),
    (convert.kg_from_ounces, convert.ounces_from_kg),
    (convert.celsius_from_fahrenheit, convert.fahrenheit_from_celsius),
    (convert.celsius_from_kelvin, convert.kelvin_from_celsius),
    (convert.kelvin_from_fahrenheit_difference, convert.fahrenheit_difference_from_kelvin),
    (convert.metres_from_feet, convert.feet_from_metres),
    (convert.kw_from_btu_per_hour, convert.btu_per_hour_from_kw),
    (convert.kpa_from_psi, convert.psi_from_kpa),
    (convert.kpa_from_inches_of_mercury, convert.inches_of_mercury_from_kpa),
]


@pytest.fixture(scope="module")
def ureg() -> pint.UnitRegistry[Any]:
    return pint.UnitRegistry()


@pytest.mark.parametrize(("factor", "unit", "internal"), FACTORS)
def test_factor_agrees_with_pint(
    ureg: pint.UnitRegistry[Any], factor: float, unit: str, internal: str
) -> None:
    assert factor == pytest.approx(ureg.Quantity(1.0, unit).to(internal).magnitude, rel=ROUNDING)


def test_every_factor_is_compared() -> None:
    numbers = {value for name, value in vars(convert).items() if name.isupper() and isinstance(value, float)}
    compared = {factor for factor, _, _ in FACTORS}
    assert numbers - compared == {convert.ZERO_CELSIUS_K, convert.FAHRENHEIT_OF_ICE}


@pytest.mark.parametrize(
    ("factor", "printed", "half_digit"),
    [
        # NIST SP 811 (2008) appendix B.8, as reprinted in the CRC Handbook's table of factors, *read*:
        # Btu(IT) 1.055 056 E+03 J, inch of mercury, conventional, 3.386 389 E+03 Pa.
        (convert.BTU_J, 1055.056, 0.0005),
        (convert.INCH_MERCURY_KPA * 1000, 3386.389, 0.0005),
        # Smithells Metals Reference Book, 8th ed., chapter 2, *read*: 1 Btu/lb = 2.326 J/g exactly.
        (convert.BTU_J / (convert.POUND_KG * 1000), 2.326, 1e-12),
        # 15 USC 205 (tables of 1866), *read*: kilogram 2.2046 lb, litre 1.0567 qt, hectolitre 26.417 gal.
        (1 / convert.POUND_KG, 2.2046, 0.00005),
        (1 / convert.US_QUART_L, 1.0567, 0.00005),
        (100 / convert.US_GALLON_L, 26.417, 0.0005),
        # NIST Handbook 44 appendix C, *read*: gallon 231 cubic inches, cup 8 fl oz, cubic foot 7.481 gal.
        (convert.US_GALLON_L / convert.CUBIC_INCH_L, 231, 1e-12),
        (convert.US_CUP_L / convert.US_FLUID_OUNCE_L, 8, 1e-12),
        (convert.CUBIC_FOOT_L / convert.US_GALLON_L, 7.481, 0.0005),
    ],
)
def test_factor_agrees_with_print(factor: float, printed: float, half_digit: float) -> None:
    assert abs(factor - printed) <= half_digit


def test_fixed_points_of_the_scales() -> None:
    # From memory: ice 32 °F = 0 °C = 273.15 K, steam 212 °F = 100 °C, equal at -40, 60 °F = 15.56 °C.
    assert convert.celsius_from_fahrenheit(32.0) == 0
    assert convert.celsius_from_fahrenheit(212.0) == 100
    assert convert.celsius_from_fahrenheit(-40.0) == -40
    assert convert.fahrenheit_from_celsius(100.0) == 212
    assert convert.celsius_from_kelvin(273.15) == 0
    assert round(convert.celsius_from_fahrenheit(60.0), 2) == 15.56


def test_a_difference_does_not_shift() -> None:
    assert convert.kelvin_from_fahrenheit_difference(9.0) == 5
    assert convert.celsius_from_fahrenheit(9.0) != 5


@pytest.mark.parametrize(("there", "back"), BOTH_WAYS)
@given(value=st.floats(-1e6, 1e6))
def test_there_and_back(
    there: Callable[[float], float], back: Callable[[float], float], value: float
) -> None:
    # Scales that shift lose the last bits of a small number beside 459.67.
    assert back(there(value)) == pytest.approx(value, rel=1e-12, abs=1e-12 * 500)


@pytest.mark.parametrize("function", [function for pair in BOTH_WAYS for function in pair])
def test_array_is_a_loop_of_scalars(function: Callable[..., Any]) -> None:
    values = np.array([[0.0, 1.0, 31.1], [-5.0, 100.0, 1e5]])
    result = function(values)
    assert isinstance(result, np.ndarray)
    assert result.shape == values.shape
    assert np.array_equal(result, [[function(float(value)) for value in row] for row in values])


def test_every_function_is_in_the_lists() -> None:
    functions = {
        f for _, f in inspect.getmembers(convert, inspect.isfunction) if f.__module__ == convert.__name__
    }
    assert functions == {function for pair in BOTH_WAYS for function in pair}
