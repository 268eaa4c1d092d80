"""Whatever the instrument shows, the true strength comes back; what cannot be is refused in one sentence."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from caskward.errors import (
    FrozenSample,
    HeavierThanWater,
    HotSample,
    InputError,
    LighterThanAlcohol,
    OptionsClash,
    ScaleCannotShow,
    UnknownName,
)
from caskward.gauging.freezing import freezing_c
from caskward.gauging.instruments import Instrument, instrument, instruments
from caskward.gauging.readings import SpiritReading, WeighedReading
from caskward.gauging.strength import gauge
from caskward.properties import alcohol
from caskward.sources import source
from tests.gauging.conftest import MakeReading

same_fixture = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


@same_fixture
@given(
    st.floats(5.0, 95.0),
    st.floats(2.0, 32.0),
    st.sampled_from([15.0, alcohol.TEMP_60F_C, 20.0]),
    st.sampled_from(["pct_vol", "us_proof", "pct_mass", "density_kg_m3", "sg"]),
    st.booleans(),
)
def test_reading_and_back(
    read_as: MakeReading, pct_vol: float, temp_c: float, made_for_c: float, scale: str, in_air: bool
) -> None:
    keys = {"density_kg_m3": "density-hydrometer", "sg": "wash-hydrometer"}
    reading = read_as(pct_vol, temp_c, scale, made_for_c, keys.get(scale, "oiml-2"), in_air and scale in keys)
    assert gauge([reading]).pct_vol.value == pytest.approx(pct_vol, abs=1e-9)


@same_fixture
@given(st.floats(1.0, 99.0), st.floats(-15.0, 39.0), st.booleans())
def test_density_meter_and_back(read_as: MakeReading, pct_vol: float, temp_c: float, in_air: bool) -> None:
    assume(temp_c >= freezing_c(pct_vol) + 0.01)
    reading = read_as(pct_vol, temp_c, "density_kg_m3", key="density-meter", in_air=in_air)
    assert gauge([reading]).pct_vol.value == pytest.approx(pct_vol, abs=1e-9)


def test_glass_alcoholometer_is_the_published_correction(read_as: MakeReading) -> None:
    """The same figures as `alcohol.true_strength`, which stands against Tralles and the Gauging Manual."""
    reading = SpiritReading(47.0, "pct_vol", 28.0, instrument("oiml-2"), instrument("thermometer"))
    assert gauge([reading]).pct_vol.value == pytest.approx(alcohol.true_strength(47.0, 28.0), abs=1e-9)


def test_every_form_of_the_answer_agrees(read_as: MakeReading) -> None:
    gauged = gauge([read_as(63.0, 12.0)])
    assert gauged.pct_mass.value == pytest.approx(100.0 * alcohol.mass_fraction(63.0))
    assert gauged.us_proof.value == pytest.approx(alcohol.proof_60f(63.0))
    density = alcohol.density(alcohol.mass_fraction(63.0), 20.0)
    assert gauged.density_20_kg_m3.value == pytest.approx(density)
    assert gauged.density_air_20_kg_m3.value == pytest.approx(alcohol.density_vacuum_to_air(density))


@given(st.floats(1.0, 98.0), st.floats(0.2, 60.0), st.floats(-10.0, 38.0))
def test_weighed_volume_and_back(pct_vol: float, volume_l: float, temp_c: float) -> None:
    assume(temp_c >= freezing_c(pct_vol) + 0.01)
    density = alcohol.density(alcohol.mass_fraction(pct_vol), temp_c)
    shown_kg = volume_l * alcohol.density_vacuum_to_air(density) / 1000.0
    devices = [instrument(key) for key in ("scale-fine", "flask", "thermometer")]
    reading = WeighedReading(float(shown_kg), volume_l, temp_c, *devices)
    assert gauge([reading]).pct_vol.value == pytest.approx(pct_vol, abs=1e-7)


def refused(value: float, scale: str, temp_c: float, in_air: bool = False, key: str = "") -> InputError:
    key = key or {"density_kg_m3": "density-meter", "us_proof": "proof-wide"}.get(scale, "oiml-2")
    reading = SpiritReading(
        value,
        scale,
        temp_c,
        instrument(key),
        instrument("thermometer"),
        20.0,
        in_air,  # type: ignore[arg-type]
    )
    with pytest.raises(InputError) as refusal:
        gauge([reading])
    assert str(refusal.value).endswith(".")
    return refusal.value


@pytest.mark.parametrize("temp_c", [40.01, 65.0, 99.0])
def test_a_hot_sample_is_to_be_cooled(temp_c: float) -> None:
    refusal = refused(40.0, "pct_vol", temp_c)
    assert isinstance(refusal, HotSample)
    assert "Cool it" in str(refusal)


def test_a_warm_day_in_fahrenheit_is_guessed() -> None:
    assert "If 82 °F was meant, write 82 F." in str(refused(40.0, "pct_vol", 82.0))
    assert "meant" not in str(refused(40.0, "pct_vol", 41.0))


def test_a_frozen_sample_is_to_be_warmed() -> None:
    assert isinstance(refused(40.0, "pct_vol", -21.0), FrozenSample)


@pytest.mark.parametrize(
    ("pct_vol", "begins_c"),
    [(0.0, 0.0), (10.0, -4.0), (20.0, -9.0), (30.0, -15.0), (40.0, -23.0), (50.0, -32.0), (60.0, -37.0)],
)
def test_where_spirit_begins_to_freeze(pct_vol: float, begins_c: float) -> None:
    """Freezing points of ethanol and water, from memory."""
    assert freezing_c(pct_vol) == begins_c
    assert freezing_c(pct_vol + 1.0) <= begins_c


@pytest.mark.parametrize(("pct_vol", "frozen_c", "liquid_c"), [(10.0, -4.5, -3.5), (25.0, -13.0, -11.0)])
def test_a_partly_frozen_sample_gives_no_number(
    read_as: MakeReading, pct_vol: float, frozen_c: float, liquid_c: float
) -> None:
    def meter(temp_c: float) -> SpiritReading:
        return read_as(pct_vol, temp_c, "density_kg_m3", key="density-meter")

    assert gauge([meter(liquid_c)]).pct_vol.value == pytest.approx(pct_vol, abs=1e-6)
    with pytest.raises(FrozenSample, match="partly frozen"):
        gauge([meter(frozen_c)])


def test_a_nan_is_refused() -> None:
    refused(float("nan"), "pct_vol", 20.0)
    refused(40.0, "pct_vol", float("nan"))


def test_heavier_than_water_points_to_sugar() -> None:
    refusal = refused(1003.0, "density_kg_m3", 15.0)
    assert isinstance(refusal, HeavierThanWater)
    assert "sugar" in str(refusal)


def test_air_and_vacuum_mixed_up_are_told() -> None:
    """Impossible one way and plausible the other."""
    light = refused(788.5, "density_kg_m3", 20.0)
    assert isinstance(light, LighterThanAlcohol)
    assert "fits as a density in air" in str(light)
    heavy = refused(998.0, "density_kg_m3", 20.0, in_air=True)
    assert isinstance(heavy, HeavierThanWater)
    assert "fits as a true density" in str(heavy)


def test_grams_per_millilitre_are_told() -> None:
    assert "write 0.914 g/mL" in str(refused(0.914, "density_kg_m3", 20.0))


@pytest.mark.parametrize(("value", "temp_c"), [(100.0, 0.0), (99.5, 5.0), (0.0, 30.0)])
def test_a_mark_that_no_spirit_shows(value: float, temp_c: float) -> None:
    refusal = refused(value, "pct_vol", temp_c)
    assert isinstance(refusal, ScaleCannotShow)
    assert "it can show" in str(refusal)


def test_the_ends_of_the_scale_named_are_true(read_as: MakeReading) -> None:
    """Just inside the end that the sentence names, the reading is taken."""
    said = str(refused(100.0, "pct_vol", 0.0))
    end = float(said.split(" to ")[1].split(" %vol", maxsplit=1)[0])
    reading = SpiritReading(end - 0.06, "pct_vol", 0.0, instrument("oiml-2"), instrument("thermometer"))
    assert gauge([reading]).pct_vol.value > 99.0


def test_an_instrument_of_another_kind_is_refused() -> None:
    with pytest.raises(OptionsClash, match="laboratory density meter"):
        gauge([SpiritReading(47.0, "pct_vol", 20.0, instrument("density-meter"), instrument("thermometer"))])


def test_an_unknown_instrument_names_the_nearest() -> None:
    with pytest.raises(UnknownName, match="oiml-2"):
        instrument("oiml2")


def test_every_instrument_has_a_source_and_limits() -> None:
    for each in instruments().values():
        assert source(each.source).key == each.source
        assert each.error > 0.0
        assert each.division >= 0.0
        assert each.standard_at(50.0) > 0.0


def test_finer_classes_are_finer() -> None:
    classes: list[Instrument] = [instrument(f"oiml-{number}") for number in (1, 2, 3)]
    assert classes[0].standard < classes[1].standard < classes[2].standard
