"""Whatever cannot be used ends in one plain sentence that names the field, and in nothing else."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from caskward.errors import (
    InputError,
    NotAnAmount,
    NothingGiven,
    NotUnderstood,
    OutOfRange,
    UnclearValue,
    WrongKind,
)
from caskward.units import names, parse
from caskward.units.types import Dose, Gravity, Reading, Strength

AMOUNTS: list[Callable[..., Any]] = [
    parse.volume_l, parse.mass_kg, parse.duration_h, parse.power_kw, parse.length_m, parse.pressure_kpa,
    parse.temperature_difference_k, parse.heat_loss_w_k, parse.share, parse.money,
]  # fmt: skip
PARSERS = [*AMOUNTS, parse.temperature_c, parse.strength, parse.gravity, parse.reading, parse.dose]

WRONG: list[tuple[Callable[..., Any], object, type[InputError], list[str]]] = [
    (parse.volume_l, "20 kg", WrongKind, ["mass", "a volume", "20 L"]),
    (parse.volume_l, "63 %", WrongKind, ["share", "a volume"]),
    (parse.volume_l, "31 C", WrongKind, ["temperature"]),
    (parse.volume_l, "5 PG", WrongKind, ["pure alcohol"]),
    (parse.volume_l, "8 oz", UnclearValue, ["8 fl oz"]),
    (parse.volume_l, "1,200 L", UnclearValue, ["1200 L", "1.200 L"]),
    (parse.volume_l, "3 bbl", NotUnderstood, ["20 L"]),
    (parse.volume_l, "20-25 L", NotUnderstood, ["20 L"]),
    (parse.volume_l, "1,2,3 L", NotUnderstood, ["20 L"]),
    (parse.volume_l, "1/0 L", NotUnderstood, ["20 L"]),
    (parse.volume_l, "3 5/4 gal", NotUnderstood, ["20 L"]),
    (parse.volume_l, "\u0663 L", NotUnderstood, ["20 L"]),  # a digit of another script
    (parse.volume_l, "20 L 5 kg", WrongKind, ["20 L"]),
    (parse.volume_l, "5 qt 1 gal", NotUnderstood, ["20 L"]),
    (parse.mass_kg, "5 m", WrongKind, ["length"]),
    (parse.mass_kg, "3 ton", UnclearValue, ["3 t", "3 short ton"]),
    (parse.mass_kg, "3 MG", UnclearValue, ["3 mg", "3 Mg"]),
    (parse.mass_kg, "4 oz 1 lb", NotUnderstood, ["1 lb 4 oz"]),
    (parse.mass_kg, "1 lb 4", NotUnderstood, ["1 lb 4 oz"]),
    (parse.mass_kg, "-1 lb 4 oz", NotAnAmount, ["below zero"]),
    (parse.temperature_c, "31 °", UnclearValue, ["31 °C", "31 °F"]),
    (parse.temperature_c, "31 kg", WrongKind, ["mass"]),
    (parse.temperature_c, "-300 C", OutOfRange, ["-273.15"]),
    (parse.temperature_c, "-500 F", OutOfRange, ["-273.15"]),
    (parse.temperature_c, "31000 C", OutOfRange, ["1500"]),
    (parse.temperature_difference_k, "-3 K", NotAnAmount, ["below zero"]),
    (parse.duration_h, "1:30", NotUnderstood, ["1 h 30 min"]),
    (parse.duration_h, "90 M", UnclearValue, ["90 min", "90 months"]),
    (parse.duration_h, "30 min 1 h", NotUnderstood, ["1 h 30 min"]),
    (parse.power_kw, "5 mw", UnclearValue, ["5 MW", "5 mW"]),
    (parse.power_kw, "5 kWh", WrongKind, ["energy"]),
    (parse.power_kw, "18,000 BTU/h", UnclearValue, ["18000 BTU/h"]),
    (parse.length_m, "1,200 ft", UnclearValue, ["1200 ft"]),
    (parse.pressure_kpa, "15 psig", NotUnderstood, ["101.3 kPa"]),
    (parse.pressure_kpa, "5 mpa", UnclearValue, ["5 MPa"]),
    (parse.heat_loss_w_k, "2.2 W", WrongKind, ["power", "2.2 W/K"]),
    (parse.share, "55", UnclearValue, ["55 %", "0.55"]),
    (parse.share, 55, UnclearValue, ["55 %", "0.55"]),
    (parse.share, 1.2, UnclearValue, ["1.2 %", "0.012"]),
    (parse.share, "150 %", OutOfRange, ["100 %"]),
    (parse.share, "9 in 8", OutOfRange, ["between 0 and 1"]),
    (parse.share, "55 %vol", WrongKind, ["strength"]),
    (parse.strength, "210 proof", OutOfRange, ["210 proof", "200"]),
    (parse.strength, "200.1 proof", OutOfRange, ["200"]),
    (parse.strength, "101 %", OutOfRange, ["100 %vol"]),
    (parse.strength, "100.5 %mass", OutOfRange, ["100 %mass"]),
    (parse.strength, "1.054 SG", WrongKind, ["gravity"]),
    (parse.strength, "63 % at 31 C", NotUnderstood, ["63 %"]),
    (parse.strength, "70 UK proof", NotUnderstood, ["126 proof"]),
    (parse.gravity, "1062", UnclearValue, ["1.062", "1062 kg/m3"]),
    (parse.gravity, 1062, UnclearValue, ["1.062", "1062 kg/m3"]),
    (parse.gravity, "1062 SG", UnclearValue, ["1.062"]),
    (parse.gravity, "13", UnclearValue, ["13 P", "13 Bx"]),
    (parse.gravity, "13 %", WrongKind, ["13.2 Bx"]),
    (parse.gravity, "2.5 SG", OutOfRange, ["1.6"]),
    (parse.gravity, "0.93 kg/m3", OutOfRange, ["700"]),
    (parse.gravity, "120 Bx", OutOfRange, ["100"]),
    (parse.reading, "126 proof at 82", UnclearValue, ["82 C", "82 F"]),
    (parse.reading, "47 at 28 C", UnclearValue, ["47 %", "47 Bx"]),
    (parse.reading, "1062 at 20 C", UnclearValue, ["1.062"]),
    (parse.reading, "20 L at 28 C", WrongKind, ["volume"]),
    (parse.reading, "47 % at 28 kg", WrongKind, ["mass", "temperature"]),
    (parse.reading, "47 % at", NothingGiven, ["temperature"]),
    (parse.reading, "47 % at 28 C at 29 C", NotUnderstood, ["temperature"]),
    (parse.reading, "210 proof at 20 C", OutOfRange, ["200"]),
    (parse.dose, "0.4", NotUnderstood, ["0.4 mL/kg"]),
    (parse.dose, "0.4 ml", WrongKind, ["volume"]),
    (parse.dose, "1 g/L", NotUnderstood, ["1 ml/L"]),
    (parse.dose, "0.4 ml/kg sugar", NotUnderstood, ["0.4 mL/kg"]),
    (parse.dose, "5 kg/kg", OutOfRange, ["1000 g/kg"]),
    (parse.dose, "-1 ml/kg", NotAnAmount, ["below zero"]),
    (parse.dose, 5, NotUnderstood, ["0.4 mL/kg"]),
    (parse.money, "5 lbs", WrongKind, ["mass"]),
    (parse.money, "1,200 $", UnclearValue, ["1200 $"]),
    (parse.money, "5 /", NotUnderstood, ["12.50"]),
    (parse.money, "$5 EUR", NotUnderstood, ["12.50"]),
    (parse.money, "-5 $", NotAnAmount, ["below zero"]),
]


def sentence(parser: Callable[..., Any], value: object, kind: type[InputError], **keywords: str) -> str:
    with pytest.raises(kind) as caught:
        parser(value, **keywords)
    assert type(caught.value) is kind
    assert caught.value.exit_code == 2
    text = str(caught.value)
    assert "\n" not in text
    assert text.endswith(".")
    assert 20 < len(text) < 250
    return text


@pytest.mark.parametrize(("parser", "value", "kind", "said"), WRONG)
def test_wrong_input_gets_its_sentence(
    parser: Callable[..., Any], value: object, kind: type[InputError], said: list[str]
) -> None:
    text = sentence(parser, value, kind)
    for part in said:
        assert part in text


@pytest.mark.parametrize("parser", PARSERS)
@pytest.mark.parametrize("value", ["", "   ", "\u00a0", "\u200b"])
def test_empty(parser: Callable[..., Any], value: str) -> None:
    text = sentence(parser, value, NothingGiven, what="the field of this test")
    assert "the field of this test" in text


@pytest.mark.parametrize("parser", PARSERS)
@pytest.mark.parametrize(
    "value", [None, True, False, [20], {"L": 20}, "much", "nan", "inf", "?", "L", "9" * 500]
)
def test_no_quantity_at_all(parser: Callable[..., Any], value: object) -> None:
    assert "the field of this test" in sentence(parser, value, NotUnderstood, what="the field of this test")


@pytest.mark.parametrize("parser", [parser for parser in PARSERS if parser is not parse.dose])
@pytest.mark.parametrize(
    "value", [math.inf, -math.inf, 2e9, 10**400, "2000000000", "9" * 60, "9" * 70 + ".5"]
)
def test_infinite_or_absurd(parser: Callable[..., Any], value: object) -> None:
    assert "far too large" in sentence(parser, value, NotAnAmount)


@pytest.mark.parametrize("parser", [parser for parser in PARSERS if parser is not parse.dose])
def test_not_a_number(parser: Callable[..., Any]) -> None:
    assert "not a number" in sentence(parser, math.nan, NotAnAmount)


@pytest.mark.parametrize("parser", [*AMOUNTS, parse.strength])
@pytest.mark.parametrize("value", [-1, -1e-9, "-1", "\u22121"])
def test_below_zero(parser: Callable[..., Any], value: object) -> None:
    assert "below zero" in sentence(parser, value, NotAnAmount)


def test_absurd_in_the_internal_unit() -> None:
    assert parse.mass_kg("2000000000 ug") == 2
    assert "far too large" in sentence(parse.volume_l, "900000000 m3", NotAnAmount)
    assert "far too large" in sentence(parse.volume_l, "1e400 L", NotAnAmount)
    assert "far too large" in sentence(parse.money, "2000000000 EUR", NotAnAmount)
    assert "far too large" in sentence(parse.duration_h, "900000000 years", NotAnAmount)


# Anything that can be typed -----------------------------------------------------------------------

_UNITS = sorted({name for kind in (names.VOLUME, names.MASS, names.DURATION, names.GRAVITY, names.STRENGTH,
                                   names.TEMPERATURE, names.POWER) for name in kind.exact})  # fmt: skip
_PIECES = st.one_of(
    st.sampled_from(_UNITS),
    st.sampled_from(
        [" ", " at ", "@", ",", ".", "/", "-", "'", "+", "e", "1/2", "\u00bd", "°", "%", "1,200", "starch"]
    ),
    st.from_regex(r"[0-9]{1,4}([.,][0-9]{1,3})?", fullmatch=True),
)
_TYPED = st.one_of(st.text(max_size=30), st.lists(_PIECES, max_size=7).map("".join))


def _is_usable(result: object) -> bool:
    match result:
        case Strength() | Dose():
            return 0 <= result.value <= 1000
        case Gravity():
            return -10 <= result.value <= 1600
        case Reading():
            return _is_usable(result.value) and (result.temp_c is None or -273.15 <= result.temp_c <= 1500)
        case float():
            return math.isfinite(result) and -273.15 <= result <= 1e9
    return False


@pytest.mark.parametrize("parser", PARSERS)
@given(typed=_TYPED)
@example(typed="1 200/3 gal")
@example(typed="1h30m20")
@example(typed="5 e 3")
def test_any_text_is_usable_or_gets_a_sentence(parser: Callable[..., Any], typed: str) -> None:
    outcome: object
    try:
        outcome = parser(typed)
    except InputError as error:
        outcome = str(error)
    if isinstance(outcome, str):
        assert "\n" not in outcome
        assert outcome.endswith(".")
    else:
        assert _is_usable(outcome)
