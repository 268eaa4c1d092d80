"""Strengths, gravities, readings and doses keep the basis they were stated on."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.units import names, parse
from caskward.units.types import Dose, Gravity, Reading, Strength


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("63 %", Strength(63, "pct_vol_20c")),
        ("63%", Strength(63, "pct_vol_20c")),
        ("63 %vol", Strength(63, "pct_vol_20c")),
        ("63 % Vol.", Strength(63, "pct_vol_20c")),
        ("63% abv", Strength(63, "pct_vol_20c")),
        ("63 % ABV", Strength(63, "pct_vol_20c")),
        ("63 vol%", Strength(63, "pct_vol_20c")),
        ("63 % v/v", Strength(63, "pct_vol_20c")),
        ("63 % alc/vol", Strength(63, "pct_vol_20c")),
        ("63 % by volume", Strength(63, "pct_vol_20c")),
        ("62,5 %", Strength(62.5, "pct_vol_20c")),
        ("62,125 %", Strength(62.125, "pct_vol_20c")),
        ("63", Strength(63, "pct_vol_20c")),
        (63, Strength(63, "pct_vol_20c")),
        ("60 %vol at 20 °C", Strength(60, "pct_vol_20c")),
        ("126 proof", Strength(126, "us_proof_60f")),
        ("126 Proof", Strength(126, "us_proof_60f")),
        ("126° proof", Strength(126, "us_proof_60f")),
        ("120 proof at 60 F", Strength(120, "us_proof_60f")),
        ("200 proof", Strength(200, "us_proof_60f")),
        ("54 %mass", Strength(54, "pct_mass")),
        ("54 % w/w", Strength(54, "pct_mass")),
        ("54 % by weight", Strength(54, "pct_mass")),
        ("54 wt%", Strength(54, "pct_mass")),
    ],
)
def test_strength(text: str | float, expected: Strength) -> None:
    assert parse.strength(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1.062", Gravity(1.062, "sg_20_20")),
        ("1,062", Gravity(1.062, "sg_20_20")),
        (1.062, Gravity(1.062, "sg_20_20")),
        ("0.9312", Gravity(0.9312, "sg_20_20")),
        ("1.054 SG", Gravity(1.054, "sg_20_20")),
        ("SG 1.054", Gravity(1.054, "sg_20_20")),
        ("s.g. 1,054", Gravity(1.054, "sg_20_20")),
        ("1.054 SG 20/20 °C", Gravity(1.054, "sg_20_20")),
        ("1.054 SG 60/60F", Gravity(1.054, "sg_60_60F")),
        ("1.054 sg 60/60 °F", Gravity(1.054, "sg_60_60F")),
        ("15.2 P", Gravity(15.2, "plato")),
        ("15.2°P", Gravity(15.2, "plato")),
        ("15,2 plato", Gravity(15.2, "plato")),
        ("-1.5 P", Gravity(-1.5, "plato")),
        ("13.2 Bx", Gravity(13.2, "brix")),
        ("13.2 °Brix", Gravity(13.2, "brix")),
        ("0 Bx", Gravity(0, "brix")),
        ("931.2 kg/m3", Gravity(931.2, "density_kg_m3")),
        ("931.2 kg/m³", Gravity(931.2, "density_kg_m3")),
        ("931,2 g/L", Gravity(931.2, "density_kg_m3")),
    ],
)
def test_gravity(text: str | float, expected: Gravity) -> None:
    assert parse.gravity(text) == expected


@pytest.mark.parametrize(
    ("text", "density_kg_m3"),
    [("0.9312 g/ml", 931.2), ("0.9312 g/cm³", 931.2), ("0,9312 kg/L", 931.2), ("7.8 lb/gal", 934.6461)],
)
def test_density(text: str, density_kg_m3: float) -> None:
    read = parse.gravity(text)
    assert read.scale == "density_kg_m3"
    assert read.value == pytest.approx(density_kg_m3, abs=0.00005)


@pytest.mark.parametrize(
    ("text", "value", "temp_c"),
    [
        ("47 % at 28C", Strength(47, "pct_vol_20c"), 28),
        ("26.0 % at 31 C", Strength(26, "pct_vol_20c"), 31),
        ("47 % ABV at 28\u00ba C", Strength(47, "pct_vol_20c"), 28),
        ("47,5 %, 28,5 °C", Strength(47.5, "pct_vol_20c"), 28.5),
        ("47%28C", Strength(47, "pct_vol_20c"), 28),
        ("47 % at -2 C", Strength(47, "pct_vol_20c"), -2),
        ("63 %vol 20C", Strength(63, "pct_vol_20c"), 20),
        ("126 proof 82.4F", Strength(126, "us_proof_60f"), 28),
        ("126 proof @ 50 °F", Strength(126, "us_proof_60f"), 10),
        ("1.054 @ 31 C", Gravity(1.054, "sg_20_20"), 31),
        ("1.054@31C", Gravity(1.054, "sg_20_20"), 31),
        ("1,054 at 31,5 C", Gravity(1.054, "sg_20_20"), 31.5),
        ("1.054 59F", Gravity(1.054, "sg_20_20"), 15),
        ("SG 1.054 at 31 C", Gravity(1.054, "sg_20_20"), 31),
        ("1.054 SG 60/60F at 31 C", Gravity(1.054, "sg_60_60F"), 31),
        ("1.054 SG 60/60F", Gravity(1.054, "sg_60_60F"), None),
        ("1.054 SG", Gravity(1.054, "sg_20_20"), None),
        ("13.2 Bx", Gravity(13.2, "brix"), None),
        ("13.2 Bx at 31 C", Gravity(13.2, "brix"), 31),
        ("0.9312", Gravity(0.9312, "sg_20_20"), None),
        (0.9312, Gravity(0.9312, "sg_20_20"), None),
        ("931.2 kg/m3 20°C", Gravity(931.2, "density_kg_m3"), 20),
        ("54 %mass; 20 C", Strength(54, "pct_mass"), 20),
        ("126.4 proof", Strength(126.4, "us_proof_60f"), None),
    ],
)
def test_reading(text: str | float, value: Strength | Gravity, temp_c: float | None) -> None:
    read = parse.reading(text)
    assert read.value == value
    assert read.temp_c == (None if temp_c is None else pytest.approx(temp_c, abs=1e-9))


@given(
    st.decimals(0, 100, places=1),
    st.decimals(-20, 99, places=1),
    st.sampled_from([" at ", " @ ", "@", ", ", " "]),
)
def test_any_reading_comes_back(pct_vol: object, temp_c: object, between: str) -> None:
    expected = Reading(Strength(float(str(pct_vol)), "pct_vol_20c"), float(str(temp_c)) + 0.0)
    assert parse.reading(f"{pct_vol} %{between}{temp_c} C") == expected
    assert parse.reading(f"{pct_vol} %vol{between}{temp_c}°C".replace(".", ",")) == expected


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("0.4 mL/kg", "ml_per_kg", 0.4),
        ("0.4 ML/KG", "ml_per_kg", 0.4),
        ("0,4 ml per kg", "ml_per_kg", 0.4),
        ("0.3 L/t", "ml_per_kg", 0.3),
        ("0.5 g/kg grain", "g_per_kg", 0.5),
        ("0.5 g/kg of malt", "g_per_kg", 0.5),
        ("500 mg/kg", "g_per_kg", 0.5),
        ("1 oz/lb", "g_per_kg", 62.5),
        ("0.6 kg/t starch", "g_per_kg_starch", 0.6),
        ("0.6 g/kg dry starch", "g_per_kg_starch", 0.6),
        ("0.4 ml/kg starch", "ml_per_kg_starch", 0.4),
        ("1 ml/L", "ml_per_l", 1),
        ("1 ml/l wash", "ml_per_l", 1),
        ("10 ml/hL", "ml_per_l", 0.1),
        ("1 tsp/gal", "ml_per_l", 1000 / 768),
    ],
)
def test_dose(text: str, unit: str, value: float) -> None:
    read = parse.dose(text)
    assert isinstance(read, Dose)
    assert read.unit == unit
    assert read.value == pytest.approx(value, rel=1e-12)


def test_every_name_of_a_strength_or_gravity_can_be_typed() -> None:
    for name, basis in names.STRENGTH.exact.items():
        assert parse.strength(f"54 {name}") == Strength(54, basis), name
    for name, (scale, factor) in names.GRAVITY.exact.items():
        number = {"plato": 15.2, "brix": 13.2, "density_kg_m3": 1000 / factor}.get(scale, 1.054)
        assert parse.gravity(f"{number!r} {name}").scale == scale, name
