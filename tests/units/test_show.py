"""What is shown can be typed again, says no more than it knows, and never prints a number that is none."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import NotShowable
from caskward.units import parse, show
from caskward.units.types import Dose, Gravity, Reading, Strength, UnitSystem

SYSTEMS: list[UnitSystem] = ["metric", "us"]
AMOUNTS = st.floats(0, 1e6, allow_subnormal=False)
ROUNDING = 1 + 1e-9

PAIRS: list[tuple[Callable[..., str], Callable[[str], float]]] = [
    (show.volume, parse.volume_l),
    (show.mass, parse.mass_kg),
    (show.power, parse.power_kw),
    (show.length, parse.length_m),
    (show.pressure, parse.pressure_kpa),
    (show.temperature_difference, parse.temperature_difference_k),
]


def half_a_digit(text: str) -> str:
    """Half a step in the last digit of the last number of the text, with its unit: `24.6 L` -> `0.05 L`."""
    found = re.fullmatch(r"(?:.* )?-?(\d+)(\.\d+)? (\D+)", text)
    assert found, text
    decimals = len(found[2]) - 1 if found[2] else 0
    return f"{0.5 * 10**-decimals:.{decimals + 1}f} {found[3]}"


@pytest.mark.parametrize(("shower", "parser"), PAIRS)
@pytest.mark.parametrize("system", SYSTEMS)
@given(value=AMOUNTS)
def test_what_is_shown_can_be_typed(
    shower: Callable[..., str], parser: Callable[[str], float], system: UnitSystem, value: float
) -> None:
    text = shower(value, system)
    allowed = parser(half_a_digit(text))
    if text.endswith("BTU/h"):  # three digits, as said, also above 1000
        allowed = max(allowed, value * 0.005)
    if re.fullmatch(r"\d lb", text):  # 3 lb and no tenth of an ounce
        allowed = parser("0.05 oz")
    assert abs(parser(text) - value) <= allowed * ROUNDING


@given(st.floats(-100, 1000), st.sampled_from(SYSTEMS))
def test_temperature_can_be_typed(temp_c: float, system: UnitSystem) -> None:
    allowed = 0.05 if system == "metric" else 0.05 / 1.8
    assert abs(parse.temperature_c(show.temperature(temp_c, system)) - temp_c) <= allowed * ROUNDING


@given(st.floats(0, 3e5))
def test_duration_can_be_typed(duration_h: float) -> None:
    day, month, year = 24, 730.5, 8766
    steps = [(1 / 60, 1 / 3600), (day, 1 / 60), (14 * day, 1), (90 * day, day), (2 * year, month)]
    step = next((step for limit, step in steps if duration_h < limit), year / 10)
    assert abs(parse.duration_h(show.duration(duration_h)) - duration_h) <= step / 2 * ROUNDING


@given(st.floats(0, 100), st.floats(0, 200), st.floats(0, 1))
def test_strength_proof_and_share_can_be_typed(pct_vol: float, proof_60f: float, fraction: float) -> None:
    for text in (show.strength(pct_vol), show.strength(pct_vol, "us")):
        read = parse.strength(text)
        assert read.basis == "pct_vol_20c"
        assert abs(read.value - pct_vol) <= 0.05 * ROUNDING
    read = parse.strength(show.strength(pct_vol, "us", proof_60f=proof_60f))
    assert read.basis == "us_proof_60f"
    assert abs(read.value - proof_60f) <= 0.05 * ROUNDING
    assert abs(parse.share(show.share(fraction)) - fraction) <= 0.0005 * ROUNDING


VALUES = st.one_of(
    st.builds(Strength, st.floats(0, 100), st.sampled_from(["pct_vol_20c", "us_proof_60f", "pct_mass"])),
    st.builds(Gravity, st.floats(0.7, 1.6), st.sampled_from(["sg_20_20", "sg_60_60F"])),
    st.builds(Gravity, st.floats(-10, 100), st.sampled_from(["plato", "brix"])),
    st.builds(Gravity, st.floats(700, 1600), st.just("density_kg_m3")),
)


@given(VALUES, st.none() | st.floats(-20, 100), st.sampled_from(SYSTEMS))
def test_reading_can_be_typed(value: Strength | Gravity, temp_c: float | None, system: UnitSystem) -> None:
    read = parse.reading(show.reading(Reading(value, temp_c), system))
    is_relative = isinstance(value, Gravity) and value.scale.startswith("sg")
    assert type(read.value) is type(value)
    assert abs(read.value.value - value.value) <= (0.00005 if is_relative else 0.05) * ROUNDING
    assert getattr(read.value, "basis", None) == getattr(value, "basis", None)
    assert getattr(read.value, "scale", None) == getattr(value, "scale", None)
    if temp_c is None:
        assert read.temp_c is None
    else:
        assert read.temp_c is not None
        assert abs(read.temp_c - temp_c) <= 0.05 * ROUNDING


@given(
    st.floats(0.001, 999),
    st.sampled_from(["ml_per_kg", "g_per_kg", "ml_per_kg_starch", "g_per_kg_starch", "ml_per_l"]),
)
def test_dose_can_be_typed(value: float, unit: str) -> None:
    read = parse.dose(show.dose(Dose(value, unit)))  # type: ignore[arg-type]
    assert read.unit == unit
    assert abs(read.value - value) <= max(0.0005, value * 0.005) * ROUNDING


@given(st.floats(0, 1e6), st.sampled_from(["EUR", "$", "€", "kr", ""]))
def test_money_can_be_typed(value: float, currency: str) -> None:
    assert abs(parse.money(show.money(value, currency)) - value) <= 0.005 * ROUNDING


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (show.volume(24.6), "24.6 L"),
        (show.volume(25), "25.0 L"),
        (show.volume(5.3), "5.30 L"),
        (show.volume(0.75), "750 mL"),
        (show.volume(0.9996), "1.00 L"),
        (show.volume(99.97), "100 L"),
        (show.volume(246.4), "246 L"),
        (show.volume(0), "0 L"),
        (show.volume(24.6, "us"), "6.50 gal"),
        (show.volume(0.75, "us"), "25.4 fl oz"),
        (show.mass(12.34), "12.3 kg"),
        (show.mass(0.42), "420 g"),
        (show.mass(0.0005), "500 mg"),
        (show.mass(0.5669904625, "us"), "1 lb 4 oz"),
        (show.mass(0.999 * 0.45359237, "us"), "1 lb"),
        (show.mass(11.793, "us"), "26.0 lb"),
        (show.temperature(31), "31.0 °C"),
        (show.temperature(31, "us"), "87.8 °F"),
        (show.temperature(-0.04), "0.0 °C"),
        (show.temperature_difference(5, "us"), "9.0 °F"),
        (show.strength(63), "63.0 %vol"),
        (show.strength(63, "us"), "63.0 %vol"),
        (show.strength(63, "us", proof_60f=126.1), "126.1 proof"),
        (show.proof(126), "126.0 proof"),
        (show.stated_strength(Strength(54, "pct_mass")), "54.0 %mass"),
        (show.gravity(Gravity(1.062, "sg_20_20")), "1.062 SG"),
        (show.gravity(Gravity(0.9312, "sg_20_20")), "0.9312 SG"),
        (show.gravity(Gravity(13.2, "brix")), "13.2 Bx"),
        (show.reading(Reading(Strength(47, "pct_vol_20c"), 28)), "47.0 %vol at 28.0 °C"),
        (show.dose(Dose(0.4, "ml_per_kg_starch")), "0.400 mL/kg starch"),
        (show.duration(1.5833), "1 h 35 min"),
        (show.duration(72), "3 d"),
        (show.duration(53), "2 d 5 h"),
        (show.duration(0.75), "45 min"),
        (show.duration(3), "3 h"),
        (show.duration(23.999), "1 d"),
        (show.duration(45 / 3600), "45 s"),
        (show.duration(0), "0 min"),
        (show.duration(21 * 24), "21 d"),
        (show.duration(13149), "18 months"),
        (show.duration(3 * 8766), "3 years"),
        (show.duration(-1.5), "-1 h 30 min"),
        (show.energy_kwh(12.36), "12.4 kWh"),
        (show.power(5.5), "5.50 kW"),
        (show.power(0.85), "850 W"),
        (show.power(5.2753, "us"), "18000 BTU/h"),
        (show.length(300), "300 m"),
        (show.length(365.76, "us"), "1200 ft"),
        (show.pressure(101.325), "101.3 kPa"),
        (show.pressure(101.325, "us"), "29.92 inHg"),
        (show.money(12.5, "EUR"), "12.50 EUR"),
        (show.money(12.5, "$"), "$12.50"),
        (show.money(-12.5, "$"), "-$12.50"),
        (show.money(-0.001, "$"), "$0.00"),
        (show.share(0.55), "55 %"),
        (show.share(1 / 3), "33.3 %"),
    ],
)
def test_shown(shown: str, expected: str) -> None:
    assert shown == expected


@pytest.mark.parametrize(
    ("probability", "words"),
    [
        (0.7, "7 in 10"), (0.8, "8 in 10"),
        (0.7999, "8 in 10"), (0.75, "75 in 100"), (0.06, "6 in 100"),
        (0.757, "75 in 100"), (0.82, "8 in 10"), (0.949, "94 in 100"), (0.96, "96 in 100"),
        (0.99, "99 in 100"), (0.991, "over 99 in 100"),
        (1.0, "over 99 in 100"), (0.04, "4 in 100"), (0.01, "1 in 100"), (0.009, "under 1 in 100"),
        (0.0, "under 1 in 100"),
    ],
)  # fmt: skip
def test_in_ten(probability: float, words: str) -> None:
    assert show.in_ten(probability) == words


@given(st.floats(0, 1), st.floats(0, 1))
def test_more_confidence_never_reads_as_less(one: float, other: float) -> None:
    def claimed(words: str) -> float:
        first, last = re.findall(r"\d+", words)
        beyond = {"over": 0.5, "under": -0.5}.get(words.split(maxsplit=1)[0], 0)
        return (float(first) + beyond) / float(last)

    low, high = sorted((one, other))
    assert claimed(show.in_ten(low)) <= claimed(show.in_ten(high))
    # Two hundredths where tenths are said; a hundredth, rounded down, elsewhere.
    assert abs(claimed(show.in_ten(low)) - low) <= 0.02 * ROUNDING


def test_band() -> None:
    us_volume = partial(show.volume, system="us")
    assert show.band(22, 24.1, 25.9, show.volume) == "24.1 L (22.0–25.9)"
    assert show.band(0.95, 1.1, 1.3, show.volume) == "1.10 L (950 mL–1.30 L)"
    assert show.band(83.3, 91.2, 98.0, us_volume) == "24.1 gal (22.0–25.9)"
    assert show.band(1, 1.5, 2, show.duration) == "1 h 30 min (1 h–2 h)"
    assert show.band(59.1, 60, 61.2, show.strength) == "60.0 %vol (59.1–61.2)"
    with pytest.raises(NotShowable):
        show.band(25, 24, 26, show.volume)
    with pytest.raises(NotShowable):
        show.band(math.nan, 24, 26, show.volume)


FLOAT_SHOWERS: list[Callable[[float], str]] = [
    *(partial(shower, system=system) for shower, _ in PAIRS for system in SYSTEMS),
    *(partial(show.temperature, system=system) for system in SYSTEMS),
    *(partial(show.strength, system=system) for system in SYSTEMS),
    show.proof, show.duration, show.energy_kwh, show.money, partial(show.money, currency="$"),
    partial(show.money, currency="EUR"),
    lambda value: show.strength(63, "us", proof_60f=value),
    lambda value: show.stated_strength(Strength(value, "pct_mass")),
    lambda value: show.gravity(Gravity(value, "plato")),
    lambda value: show.gravity(Gravity(value, "sg_20_20")),
    lambda value: show.dose(Dose(value, "ml_per_kg")),
    lambda value: show.reading(Reading(Gravity(1.05, "sg_20_20"), value)),
]  # fmt: skip
FRACTION_SHOWERS = [show.share, show.in_ten]
UP_SHOWERS = [
    partial(shower, system=system)
    for shower in (show.weigh_out, show.measure_out, show.round_to_weigh, show.nice_volume)
    for system in SYSTEMS
]


@pytest.mark.parametrize("shower", [*FLOAT_SHOWERS, *FRACTION_SHOWERS, *UP_SHOWERS])
@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_no_number_is_never_shown(shower: Callable[[float], object], value: float) -> None:
    with pytest.raises(NotShowable) as caught:
        shower(value)
    assert str(value) in str(caught.value)


@pytest.mark.parametrize("shower", FRACTION_SHOWERS)
@pytest.mark.parametrize("value", [-0.01, 1.01])
def test_no_fraction_is_never_shown(shower: Callable[[float], str], value: float) -> None:
    with pytest.raises(NotShowable):
        shower(value)


@pytest.mark.parametrize("shower", FLOAT_SHOWERS)
@given(value=st.floats(-0.2, 0) | st.just(-0.0))
def test_zero_has_no_sign(shower: Callable[[float], str], value: float) -> None:
    text = shower(value)
    numbers = re.findall(r"-\$?(\d+(?:\.\d+)?)", text)
    assert all(float(number) > 0 for number in numbers), text


@pytest.mark.parametrize("shower", FLOAT_SHOWERS)
@given(value=st.floats(-1e6, 1e6))
def test_plain_signs_only(shower: Callable[[float], str], value: float) -> None:
    assert re.fullmatch(r"[-$]{0,2}[0-9A-Za-z°%/ .-]+", shower(value))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Mash above 60 °C scalds.", "Mash above 140 °F scalds."),
        ("lights from 26 °C, and burns", "lights from 78 °F, and burns"),
        ("a jar kept 10 °C warmer for 20 minutes", "a jar kept 18 °F warmer for 20 minutes"),
        ("at -5 °C or 37.5 °C", "at 23 °F or 99 °F"),
        (
            "is 226.667 °C, not between -5 and 105 °C.",
            "is 440 °F, not between 23 and 221 °F.",
        ),
        ("Keep it at 20 to 30 °C", "Keep it at 68 to 86 °F"),
        ("3 and 71 °C, 159 °F, is hardly", "3 and 71 °C, 159 °F, is hardly"),
        ("no spark, no flame", "no spark, no flame"),
    ],
)
def test_temperatures_in_a_sentence_are_the_maker_s_own(text, said):
    assert show.temperatures_in(text, "us") == said
    assert show.temperatures_in(text, "metric") == text
