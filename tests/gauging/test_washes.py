"""Musts and washes: corrected for temperature, solved from two or three readings, with doubt."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caskward.errors import HotSample, InputError, MissingValue, OutOfRange, TooSweetToTell
from caskward.gauging.attenuation import wash_now
from caskward.gauging.balling import balling_original
from caskward.gauging.gravity import GravityReading, RefractometerReading, must
from caskward.gauging.instruments import instrument
from caskward.gauging.refraction import ethanol_refractive_index, wash_refractive_index
from caskward.gauging.root import root
from caskward.properties import alcohol, sugar, wash
from caskward.services.gauging import WashAnswer
from caskward.services.gauging_words import words

HYDROMETER, THERMOMETER = instrument("wash-hydrometer-fine"), instrument("thermometer-fine")
LIGHT = instrument("refractometer-digital")


def hydrometer(alcohol_share: float, extract: float, temp_c: float) -> GravityReading:
    """What a glass hydrometer for 20 °C shows in a wash."""
    density = float(wash.density(1.0 - alcohol_share - extract, alcohol_share, extract, temp_c))
    mark = density / (1.0 - sugar.GLASS_EXPANSION_PER_K * (temp_c - 20.0))
    return GravityReading(mark / float(sugar.density(0.0)), "sg", temp_c, HYDROMETER, THERMOMETER)


def refractometer(alcohol_share: float, extract: float) -> RefractometerReading:
    index = wash_refractive_index(1.0 - alcohol_share - extract, alcohol_share, extract)
    return RefractometerReading(float(sugar.brix_from_refractive_index(index)), 20.0, LIGHT, THERMOMETER)


def original(alcohol_share: float, extract: float) -> GravityReading:
    plato = balling_original(100.0 * alcohol_share, 100.0 * extract)
    return GravityReading(
        plato, "plato", 20.0, instrument("saccharometer"), THERMOMETER, name="original gravity"
    )


shares = st.tuples(st.floats(0.01, 0.12), st.floats(0.005, 0.15))


@settings(max_examples=30)
@given(shares, st.floats(8.0, 35.0), st.sampled_from(["gr", "go", "ro", "gro"]))
def test_the_wash_comes_back(parts: tuple[float, float], temp_c: float, which: str) -> None:
    """From any two of the three readings, and from all three, at any temperature of the hydrometer."""
    alcohol_share, extract = parts
    found = wash_now(
        original=original(*parts) if "o" in which else None,
        gravity=hydrometer(*parts, temp_c) if "g" in which else None,
        refractometer=refractometer(*parts) if "r" in which else None,
    )
    assert found.pct_mass.value == pytest.approx(100.0 * alcohol_share, abs=1e-5)
    assert found.real_extract_plato.value == pytest.approx(100.0 * extract, abs=1e-5)
    assert found.original_plato.value == pytest.approx(
        balling_original(100.0 * alcohol_share, 100.0 * extract), abs=1e-4
    )
    strength = wash.strength_pct_vol(1.0 - alcohol_share - extract, alcohol_share, extract)
    assert found.pct_vol.value == pytest.approx(strength, abs=1e-4)
    assert 0.0 <= found.real_attenuation.value <= found.apparent_attenuation.value


def test_the_stated_doubt_is_what_the_readings_errors_do() -> None:
    """Moving each reading by its own standard uncertainty moves the alcohol as stated, within a tenth.

    The rest of the statement is the doubt of the models, which the readings do not show.
    """
    parts = (0.055, 0.03)
    gravity, light = hydrometer(*parts, 20.0), refractometer(*parts)
    base = wash_now(gravity=gravity, refractometer=light)
    heavier = replace(gravity, value=gravity.value + gravity.instrument.standard)
    richer = replace(light, value=light.value + light.instrument.standard)
    moved = [
        wash_now(gravity=heavier, refractometer=light).pct_vol.value - base.pct_vol.value,
        wash_now(gravity=gravity, refractometer=richer).pct_vol.value - base.pct_vol.value,
    ]
    by_readings = (moved[0] ** 2 + moved[1] ** 2) ** 0.5
    assert by_readings < base.pct_vol.standard < 2.0 * by_readings


def test_a_third_reading_narrows_and_checks() -> None:
    parts = (0.055, 0.03)
    two = wash_now(gravity=hydrometer(*parts, 20.0), refractometer=refractometer(*parts))
    three = wash_now(original(*parts), hydrometer(*parts, 20.0), refractometer(*parts))
    assert three.pct_vol.standard < two.pct_vol.standard
    assert (two.agreement, three.agreement) == ("unchecked", "agree")
    wrong = replace(original(*parts), value=original(*parts).value + 4.0)
    apart = wash_now(wrong, hydrometer(*parts, 20.0), refractometer(*parts))
    assert apart.agreement == "disagree"
    assert apart.pct_vol.standard > 2.0 * three.pct_vol.standard
    told = words(WashAnswer(None, apart, (), ()))
    assert told.headline.startswith("These readings do not belong together")


def test_a_dry_wash_is_no_fault() -> None:
    """No extract left but what the readings' doubt allows: a little below nothing is taken for nothing."""
    gravity = hydrometer(0.08, 0.0, 20.0)
    found = wash_now(
        gravity=replace(gravity, value=gravity.value - 0.0005), refractometer=refractometer(0.08, 0.0)
    )
    assert found.real_extract_plato.value >= 0.0
    assert found.pct_mass.value == pytest.approx(8.0, abs=0.3)


def test_plain_water_has_doubt_too() -> None:
    """At nothing the interval begins, and every figure stays a number."""
    found = wash_now(
        gravity=GravityReading(1.0, "sg", 20.0, HYDROMETER, THERMOMETER),
        refractometer=RefractometerReading(0.0, 20.0, LIGHT, THERMOMETER),
    )
    assert found.pct_vol.low == 0.0
    assert found.pct_vol.high > 0.1
    assert sum(share.share for share in found.shares) == pytest.approx(1.0)


def test_readings_that_no_wash_has() -> None:
    light = RefractometerReading(5.0, 20.0, LIGHT, THERMOMETER)
    heavy = GravityReading(1.050, "sg", 20.0, HYDROMETER, THERMOMETER)
    with pytest.raises(TooSweetToTell, match="less than no alcohol"):
        wash_now(gravity=heavy, refractometer=light)
    rich = RefractometerReading(28.0, 20.0, LIGHT, THERMOMETER)
    with pytest.raises(TooSweetToTell):
        wash_now(gravity=GravityReading(0.97, "sg", 20.0, HYDROMETER, THERMOMETER), refractometer=rich)


def test_one_reading_is_not_enough() -> None:
    with pytest.raises(MissingValue):
        wash_now(gravity=hydrometer(0.05, 0.03, 20.0))


@given(st.floats(0.0, 60.0), st.floats(2.0, 38.0), st.sampled_from([15.0, 15.5556, 20.0]))
def test_sugar_hydrometer_and_back(plato: float, temp_c: float, made_for_c: float) -> None:
    """A °Plato hydrometer made for any temperature, read at any other."""
    density = float(sugar.density(plato, temp_c)) / (
        1.0 - sugar.GLASS_EXPANSION_PER_K * (temp_c - made_for_c)
    )
    mark = float(sugar.brix_from_density(density, made_for_c))
    reading = GravityReading(mark, "plato", temp_c, instrument("saccharometer"), THERMOMETER, made_for_c)
    assert must(reading).plato.value == pytest.approx(plato, abs=1e-8)


@given(st.floats(1.0, 65.0), st.floats(11.0, 29.0))
def test_refractometer_without_its_own_correction(brix: float, temp_c: float) -> None:
    """A plain prism at 28 °C shows less; the table's correction brings it back."""
    shown = brix
    for _ in range(8):
        shown = brix - float(sugar.refractometer_correction(shown, temp_c))
    plain = RefractometerReading(shown, temp_c, LIGHT, THERMOMETER, corrects_itself=False)
    assert must(plain).plato.value == pytest.approx(brix, abs=1e-6)


def test_a_must_in_all_its_terms() -> None:
    found = must(GravityReading(1.062, "sg", 20.0, HYDROMETER, THERMOMETER))
    assert found.sg.value == pytest.approx(1.062, abs=1e-9)
    assert found.plato.value == pytest.approx(float(sugar.plato_from_sg(1.062)), abs=1e-9)
    assert found.sugar_g_l.value == pytest.approx(float(sugar.sugar_g_l(found.plato.value)))
    assert found.potential_pct_vol
    assert found.wine_rule_pct_vol
    assert found.potential_pct_vol.value == pytest.approx(10.0, abs=0.2)
    assert found.wine_rule_pct_vol.value == pytest.approx(found.sugar_g_l.value / 16.83)
    assert must(GravityReading(55.0, "plato", 20.0, HYDROMETER, THERMOMETER)).potential_pct_vol is None


@pytest.mark.parametrize("temp_c", [41.0, 65.0])
def test_a_hot_wash_is_to_be_cooled(temp_c: float) -> None:
    with pytest.raises(HotSample, match="Cool it"):
        must(GravityReading(1.05, "sg", temp_c, HYDROMETER, THERMOMETER))


@pytest.mark.parametrize("temp_c", [5.0, 36.0])
def test_a_refractometer_outside_its_table(temp_c: float) -> None:
    with pytest.raises(OutOfRange, match="Cool the sample"):
        must(RefractometerReading(12.0, temp_c, LIGHT, THERMOMETER))


def test_refraction_of_the_pairs_is_each_pair_alone() -> None:
    for share in (0.0, 0.05, 0.2, 0.35):
        alone = ethanol_refractive_index(share)
        assert wash_refractive_index(1.0 - share, share, 0.0) == pytest.approx(alone, abs=1e-12)
        syrup = float(sugar.refractive_index(100.0 * share))
        # The volumes of a wash rest on two formulas for water, 4 in a million apart.
        assert wash_refractive_index(1.0 - share, 0.0, share) == pytest.approx(syrup, abs=2e-6)


@pytest.mark.parametrize(
    "call",
    [
        lambda: ethanol_refractive_index(0.5),
        lambda: ethanol_refractive_index(-0.1),
        lambda: wash_refractive_index(0.0, 0.5, 0.5),
    ],
)
def test_refraction_out_of_range(call: object) -> None:
    with pytest.raises(InputError):
        call()  # type: ignore[operator]


def test_a_root_is_found_and_a_missing_one_is_the_nearer_end() -> None:
    assert root(lambda x: x**3 - 2.0, 0.0, 4.0) == pytest.approx(2.0 ** (1.0 / 3.0), abs=1e-11)
    assert root(lambda x: x + 1.0, 0.0, 1.0) == 0.0
    assert root(lambda x: x - 5.0, 0.0, 1.0) == 1.0


def test_alcohol_of_a_wash_never_exceeds_what_its_sugar_gives() -> None:
    """The potential strength of the original gravity stands above the strength at any attenuation."""
    for parts in ((0.03, 0.08), (0.06, 0.03), (0.09, 0.005)):
        found = wash_now(original(*parts), hydrometer(*parts, 20.0))
        could = must(original(*parts)).potential_pct_vol
        assert could
        assert found.pct_vol.value < could.value + 1e-9
        assert found.pct_vol.value < float(alcohol.pct_vol(1.0))
