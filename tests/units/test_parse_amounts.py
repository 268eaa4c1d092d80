"""Volumes, masses, temperatures, times and the like, as a maker types them."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.units import names, parse
from caskward.units.kind import Kind

ROUNDING = 1e-12  # a few floating-point operations
Parser = Callable[..., float]

# What is typed after the number, and the same unit by pint's name.
ORACLE: list[tuple[Parser, str, dict[str, str]]] = [
    (
        parse.volume_l,
        "L",
        {
            "L": "L", "ml": "mL", "cL": "cL", "hl": "hL", "µl": "µL", "m3": "m**3", "m³": "m**3",
            "cc": "cm**3", "gal": "US_liquid_gallon", "quarts": "US_liquid_quart", "pints": "US_pint",
            "cups": "US_liquid_cup", "fl oz": "US_fluid_ounce", "tbsp": "tablespoon", "tsp": "teaspoon",
            "imp gal": "imperial_gallon", "imp pt": "imperial_pint", "imp qt": "imperial_quart",
            "imp fl oz": "imperial_fluid_ounce",
            "in³": "inch**3", "cu ft": "foot**3",
        },
    ),
    (
        parse.mass_kg,
        "kg",
        {"kg": "kg", "g": "g", "mg": "mg", "µg": "µg", "t": "tonne", "lb": "pound", "oz": "ounce",
         "short tons": "short_ton"},
    ),
    (
        parse.duration_h,
        "hour",
        {"h": "hour", "min": "minute", "s": "second", "d": "day", "weeks": "week", "months": "month",
         "y": "year"},
    ),
    (
        parse.power_kw,
        "kW",
        {"kW": "kW", "W": "W", "MW": "MW", "mW": "mW", "BTU/h": "Btu_it/hour", "btu per hr": "Btu_it/hour"},
    ),
    (
        parse.length_m,
        "m",
        {"m": "m", "mm": "mm", "cm": "cm", "km": "km", "ft": "foot", "in": "inch", "yd": "yard",
         "miles": "mile"},
    ),
    (
        parse.pressure_kpa,
        "kPa",
        {"kPa": "kPa", "hPa": "hPa", "Pa": "Pa", "mbar": "mbar", "bar": "bar", "MPa": "MPa",
         "atm": "atmosphere", "psi": "psi", "mmHg": "mmHg", "inHg": "inHg", "torr": "torr"},
    ),
    (parse.temperature_difference_k, "kelvin", {"K": "kelvin", "C": "delta_degC", "°F": "delta_degF"}),
    (
        parse.heat_loss_w_k,
        "W/kelvin",
        {"W/K": "W/kelvin", "W/°C": "W/delta_degC", "kW/K": "kW/kelvin", "BTU/h/F": "Btu_it/hour/delta_degF",
         "BTU/(hr °F)": "Btu_it/hour/delta_degF"},
    ),
]  # fmt: skip
ALL_UNITS = [
    (parser, internal, typed, oracle) for parser, internal, units in ORACLE for typed, oracle in units.items()
]


@pytest.fixture(scope="module")
def ureg() -> pint.UnitRegistry[Any]:
    return pint.UnitRegistry()


@pytest.mark.parametrize(("parser", "internal", "typed", "oracle"), ALL_UNITS)
def test_unit_agrees_with_pint(
    ureg: pint.UnitRegistry[Any], parser: Parser, internal: str, typed: str, oracle: str
) -> None:
    one = ureg.Quantity(1.0, oracle).to(internal).magnitude

    @given(st.floats(0, 1e5, allow_subnormal=False))
    def agrees(value: float) -> None:
        assert parser(f"{value!r} {typed}") == pytest.approx(value * one, rel=ROUNDING)

    agrees()


@given(st.floats(-200, 1000))
def test_temperature_agrees_with_the_scales(value: float) -> None:
    assert parse.temperature_c(f"{value!r} C") == value
    assert parse.temperature_c(f"{value!r}°F") == pytest.approx((value - 32) / 1.8, rel=ROUNDING, abs=1e-9)
    assert parse.temperature_c(f"{value + 273.15!r} K") == pytest.approx(value, rel=ROUNDING, abs=1e-9)


@pytest.mark.parametrize(
    ("parser", "text", "expected"),
    [
        (parse.volume_l, "20 L", 20),
        (parse.volume_l, "20L", 20),
        (parse.volume_l, "  20   litres ", 20),
        (parse.volume_l, "5,3 L", 5.3),
        (parse.volume_l, "700 mL", 0.7),
        (parse.volume_l, "330 ml", 0.33),
        (parse.volume_l, "1 gal 2 qt", 1.5 * 3.785411784),
        (parse.volume_l, "1/2 gal", 0.5 * 3.785411784),
        (parse.volume_l, "1 1/2 gal", 1.5 * 3.785411784),
        (parse.volume_l, "12 fl. oz.", 12 * 3.785411784 / 128),
        (parse.volume_l, "1 U.S. gal", 3.785411784),
        (parse.mass_kg, "12 kg", 12),
        (parse.mass_kg, "1 lb 4 oz", 1.25 * 0.45359237),
        (parse.mass_kg, "1lb4oz", 1.25 * 0.45359237),
        (parse.mass_kg, "1 lb, 4 oz", 1.25 * 0.45359237),
        (parse.mass_kg, "1 lb and 4 1/2 oz", 20.5 / 16 * 0.45359237),
        (parse.temperature_c, "31 C", 31),
        (parse.temperature_c, "31 deg C", 31),
        (parse.temperature_c, "212 F", 100),
        (parse.temperature_c, "-5 C", -5),
        (parse.temperature_c, "-40 degrees fahrenheit", -40),
        (parse.duration_h, "90 min", 1.5),
        (parse.duration_h, "1 h 30 min", 1.5),
        (parse.duration_h, "1h30", 1.5),
        (parse.duration_h, "1h30m", 1.5),
        (parse.duration_h, "2 d 4 h 30 min", 52.5),
        (parse.power_kw, "1200 W", 1.2),
        (parse.length_m, "5 ft 6 in", 1.6764),
        (parse.length_m, "5'6\"", 1.6764),
        (parse.pressure_kpa, "1013 hPa", 101.3),
        (parse.share, "55 %", 0.55),
        (parse.share, "55%", 0.55),
        (parse.share, "0.55", 0.55),
        (parse.share, "12,5 %", 0.125),
        (parse.share, "100 %", 1),
        (parse.share, "1", 1),
        (parse.share, "8 in 10", 0.8),
        (parse.share, "1/4", 0.25),
    ],
)
def test_as_typed(parser: Parser, text: str, expected: float) -> None:
    assert parser(text) == pytest.approx(expected, rel=ROUNDING, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1200", 1200), ("1 200", 1200), ("1\u202f200", 1200), ("1\u00a0200", 1200), ("1'200", 1200),
        ("1,200.5", 1200.5), ("1.200,5", 1200.5), ("1,200,000", 1.2e6), ("1.200.000", 1.2e6),
        ("1 200,5", 1200.5), ("0,125", 0.125), ("1234,567", 1234.567), (".5", 0.5), (",5", 0.5),
        ("1.5e3", 1500), ("1e-3", 0.001), ("+5", 5), ("-0", 0), ("3/4", 0.75),
    ],
)  # fmt: skip
def test_number_as_written(text: str, expected: float) -> None:
    assert parse.volume_l(f"{text} L") == expected
    assert parse.volume_l(text) == expected


@pytest.mark.parametrize(
    ("parser", "fancy", "plain"),
    [
        (parse.temperature_c, "31\u00baC", "31 C"),  # masculine ordinal
        (parse.temperature_c, "31\u00b0\u00a0C", "31 C"),
        (parse.temperature_c, "31\u2103", "31 C"),
        (parse.temperature_c, "88\u2109", "88 F"),
        (parse.temperature_c, "\u22125 °C", "-5 C"),  # minus sign
        (parse.temperature_c, "\u20135 °C", "-5 C"),  # en dash
        (parse.volume_l, "20\u00a0L", "20 L"),
        (parse.volume_l, "\ufeff20 L\u200b", "20 L"),
        (parse.volume_l, "20 \u2113", "20 L"),
        (parse.volume_l, "500 \u00b5L", "500 ul"),  # micro sign
        (parse.volume_l, "500 \u03bcL", "500 ul"),  # Greek mu
        (parse.volume_l, "2 m\u00b3", "2 m3"),
        (parse.volume_l, "1\u00bd gal", "1.5 gal"),
        (parse.volume_l, "\u00bc gal", "0.25 gal"),
        (parse.volume_l, "1\u20442 gal", "0.5 gal"),  # fraction slash
        (parse.length_m, "5\u2032 6\u2033", "5 ft 6 in"),
        (parse.length_m, "5\u2019 6\u201d", "5 ft 6 in"),
        (parse.duration_h, "90\u2032", "90 min"),
        (parse.share, "55\uff05", "55 %"),
        (parse.heat_loss_w_k, "2.2 W/\u00b0C", "2.2 W/K"),
    ],
)
def test_printed_signs_read_like_plain_ones(parser: Parser, fancy: str, plain: str) -> None:
    assert parser(fancy) == parser(plain)


@pytest.mark.parametrize(
    ("parser", "one", "other"),
    [
        (parse.volume_l, "750 ML", "750 mL"),
        (parse.volume_l, "20 l", "20 L"),
        (parse.volume_l, "5 GAL", "5 gal"),
        (parse.mass_kg, "12 KG", "12 kg"),
        (parse.mass_kg, "26 LBS", "26 lb"),
        (parse.temperature_c, "31 c", "31 C"),
        (parse.temperature_c, "88 f", "88 F"),
        (parse.duration_h, "1 H 30 MIN", "1 h 30 min"),
        (parse.power_kw, "5 KW", "5 kW"),
        (parse.power_kw, "18000 btu/H", "18000 BTU/h"),
        (parse.pressure_kpa, "1013 HPA", "1013 hPa"),
    ],
)
def test_case_does_not_matter(parser: Parser, one: str, other: str) -> None:
    assert parser(one) == parser(other)


def test_case_matters_where_it_tells_units_apart() -> None:
    assert parse.power_kw("5 MW") == 5000
    assert parse.power_kw("5 mW") == 5e-6
    assert parse.pressure_kpa("5 MPa") == 5000
    assert parse.mass_kg("5 Mg") == 5000
    assert parse.mass_kg("5 mg") == 5e-6


@pytest.mark.parametrize(
    ("parser", "number"),
    [
        (parse.volume_l, 20.5), (parse.mass_kg, 12), (parse.temperature_c, -5.5), (parse.duration_h, 72),
        (parse.temperature_difference_k, 5), (parse.power_kw, 5.5), (parse.length_m, 300),
        (parse.pressure_kpa, 101.325), (parse.heat_loss_w_k, 2.2), (parse.share, 0.55), (parse.money, 12.5),
    ],
)  # fmt: skip
def test_number_is_in_the_internal_unit(parser: Parser, number: float) -> None:
    assert parser(number) == number
    assert parser(str(number)) == number
    assert parser(Decimal(str(number))) == number
    assert parser(np.float64(number)) == number
    assert isinstance(parser(np.float64(number)), float)


def test_difference_is_not_a_temperature() -> None:
    assert parse.temperature_difference_k("10 F") == pytest.approx(5.5556, abs=0.00005)
    assert parse.temperature_c("10 F") == pytest.approx(-12.2222, abs=0.00005)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("12.50", 12.5), ("12,50 EUR", 12.5), ("$12", 12), ("€ 12.50", 12.5), ("12.50 €", 12.5), ("5 eur", 5),
        ("1,200.50", 1200.5), ("1.200,50 €", 1200.5), ("1 200,50 kr", 1200.5), ("US$ 5", 5), ("0", 0),
        ("1'200.50 CHF", 1200.5),
    ],
)  # fmt: skip
def test_money(text: str, expected: float) -> None:
    assert parse.money(text) == expected


KINDS: list[tuple[Parser, Kind[names.Factor]]] = [
    (parse.volume_l, names.VOLUME),
    (parse.mass_kg, names.MASS),
    (parse.duration_h, names.DURATION),
    (parse.power_kw, names.POWER),
    (parse.length_m, names.LENGTH),
    (parse.pressure_kpa, names.PRESSURE),
    (parse.temperature_difference_k, names.DIFFERENCE),
    (parse.heat_loss_w_k, names.HEAT_LOSS),
    (parse.share, names.SHARE),
]


@pytest.mark.parametrize(("parser", "kind"), KINDS)
def test_every_name_of_a_unit_can_be_typed(parser: Parser, kind: Kind[names.Factor]) -> None:
    for name, (times, per) in kind.exact.items():
        assert parser(f"3 {name}") == 3 * times / per, name
        assert parser(f"3{name}") == 3 * times / per, name


def test_units_load_no_heavy_library() -> None:
    code = (
        "import sys; from caskward.units import convert, parse, show, types; "
        "print([name for name in ('numpy', 'scipy', 'pint', 'decimal', 'fractions') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
