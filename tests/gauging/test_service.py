"""What a maker types, all the way to the answer: understood, corrected, or refused in one sentence."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from caskward.errors import (
    CaskwardError,
    HeavierThanWater,
    HotSample,
    MissingValue,
    NoSuchBlend,
    NotEnoughSpirit,
    NotUnderstood,
    OptionsClash,
    OutOfRange,
    PerhapsProof,
    TemperatureNotSaid,
    UnclearValue,
    UnknownName,
    WrongKind,
)
from caskward.gauging.readings import SpiritReading
from caskward.properties import alcohol
from caskward.services.gauging import (
    GaugeAsk,
    LabelAsk,
    LiquidAsk,
    MixAsk,
    ReadingAsk,
    ReduceAsk,
    WashAsk,
    as_json,
    check_label,
    gauge,
    gauge_wash,
    instruments,
    is_of_a_wash,
    mix,
    reduce,
    rules,
)


def spirit(reading: str, **more: object) -> GaugeAsk:
    return GaugeAsk((ReadingAsk(reading, **more),))  # type: ignore[arg-type]


def of(ask: GaugeAsk) -> float:
    return gauge(ask).gauged.pct_vol.value


# Readings -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ask", "pct_vol"),
    [
        (spirit("47 % at 28C"), alcohol.true_strength(47.0, 28.0)),
        (spirit("47 %", temp="82.4 F"), alcohol.true_strength(47.0, 28.0)),
        (spirit("47 % at 28 C", calibrated_at="15 C"), alcohol.true_strength(47.0, 28.0, 15.0)),
        (spirit("47 % at 28 C", calibrated_at="60 F"), alcohol.true_strength(47.0, 28.0, alcohol.TEMP_60F_C)),
        (
            spirit("126.4 proof 82 F"),
            alcohol.true_strength(63.2, (82.0 - 32.0) / 1.8, alcohol.TEMP_60F_C),
        ),
        (
            spirit("931.2 kg/m3 at 22 C", instrument="density-meter"),
            alcohol.pct_vol(alcohol.mass_fraction_from_density(931.2, 22.0)),
        ),
        (
            spirit("0.9312 g/mL at 22 C", instrument="density-meter", in_air=True),
            alcohol.pct_vol(alcohol.mass_fraction_from_density(alcohol.density_air_to_vacuum(931.2), 22.0)),
        ),
        (spirit("40 %mass at 20 C"), alcohol.pct_vol(0.40)),
    ],
)
def test_what_was_typed_is_what_is_gauged(ask: GaugeAsk, pct_vol: float) -> None:
    assert of(ask) == pytest.approx(float(pct_vol), abs=1e-9)


def test_a_density_meter_without_a_temperature_holds_20() -> None:
    answer = gauge(spirit("931.2 kg/m3", instrument="density-meter"))
    assert answer.readings[0].temp_c == 20.0
    assert any("20 °C" in sentence for sentence in answer.assumed)


@pytest.mark.parametrize(
    ("reading", "key"),
    [
        ("47 % at 20 C", "glass-wide"),
        ("47.2 % at 20 C", "glass-narrow"),
        ("94 proof at 20 C", "proof-wide"),
        ("94.4 proof at 20 C", "proof-narrow"),
        ("0.9312 at 20 C", "wash-hydrometer-fine"),
        ("0.931 at 20 C", "wash-hydrometer"),
    ],
)
def test_the_digits_tell_the_instrument(reading: str, key: str) -> None:
    answer = gauge(spirit(reading))
    read = answer.readings[0]
    assert isinstance(read, SpiritReading)
    assert read.instrument.key == key
    assert any(read.instrument.name in sentence for sentence in answer.assumed)


def test_a_bare_density_says_what_it_was_taken_for() -> None:
    """0.9312 relative to water at 20 °C is 0.9295 g/mL, 0.8 %vol away from 0.9312 g/mL."""
    bare = gauge(spirit("0.9312 at 20 C"))
    as_g_ml = of(spirit("0.9312 g/mL at 20 C"))
    assert bare.gauged.pct_vol.value - as_g_ml == pytest.approx(0.8, abs=0.15)
    said = next(one for one in bare.assumed if "relative to water at 20 °C" in one)
    assert f"as g/mL it would be {as_g_ml:.1f} %vol" in said
    for plain in ("0.9312 SG at 20 C", "0.9312 g/mL at 20 C"):
        assert not any("relative to water" in one for one in gauge(spirit(plain)).assumed)
    meter = gauge(spirit("0.9312 at 20 C", instrument="density-meter"))
    assert meter.gauged.pct_vol.value == pytest.approx(as_g_ml, abs=1e-9)
    assert any("taken as g/mL" in one for one in meter.assumed)


def test_a_named_instrument_or_limit_counts() -> None:
    fine = gauge(spirit("47 % at 20 C", instrument="oiml-1", thermometer="thermometer-fine"))
    own = gauge(spirit("47 % at 20 C", error="± 0.2 %", thermometer="thermometer-fine"))
    assert fine.gauged.pct_vol.standard < own.gauged.pct_vol.standard < 0.15
    assert fine.assumed == ()


def test_a_mass_and_a_volume_are_a_reading() -> None:
    answer = gauge(GaugeAsk((ReadingAsk(mass="0.9300 kg", volume="1 L", temp="20 C"),)))
    density = alcohol.density_air_to_vacuum(930.0)
    assert answer.gauged.pct_vol.value == pytest.approx(
        float(alcohol.pct_vol(alcohol.mass_fraction_from_density(density, 20.0))), abs=1e-9
    )
    sloppy = gauge(GaugeAsk((ReadingAsk(mass="0.93 kg", volume="1 L", temp="20 C", instrument="cylinder"),)))
    assert sloppy.gauged.pct_vol.half_width > 5.0


def test_amounts_come_along() -> None:
    by_volume = gauge(GaugeAsk((ReadingAsk("63 % at 20 C"),), volume="20 L")).gauged.quantity
    assert by_volume
    assert by_volume.volume_20_l.value == pytest.approx(20.0, abs=1e-9)
    assert by_volume.lpa.value == pytest.approx(12.6, abs=1e-9)
    by_mass = gauge(GaugeAsk((ReadingAsk("63 % at 20 C"),), mass="18 kg")).gauged.quantity
    assert by_mass
    assert by_mass.shown_kg.value == pytest.approx(18.0, abs=1e-9)
    warm = gauge(GaugeAsk((ReadingAsk("63 % at 20 C"),), volume="20 L", volume_temp="30 C")).gauged.quantity
    assert warm
    assert warm.volume_20_l.value < 19.9


@pytest.mark.parametrize(
    "residue", ["0.125 g from 25 mL", "500 mg/100 mL", "5 g/L", "5 g per L", "0.5 g in 100 ml"]
)
def test_a_residue_in_any_terms(residue: str) -> None:
    hidden = gauge(GaugeAsk((ReadingAsk("42 % at 20 C"),), residue=residue)).gauged.hidden
    assert hidden
    assert hidden.mg_100ml == pytest.approx(500.0, abs=1e-9)
    assert hidden.hidden_proof == pytest.approx(2.0, abs=1e-9)


@pytest.mark.parametrize(
    ("reading", "wash"),
    [
        ("47 % at 28 C", False),
        ("126 proof", False),
        ("0.9312 at 20 C", False),
        ("931 kg/m3", False),
        ("0.995", True),
        ("1.054 @ 31 C", True),
        ("13.2 Bx", True),
        ("12 P", True),
        ("1050 kg/m3", True),
    ],
)
def test_a_wash_is_told_from_a_spirit(reading: str, wash: bool) -> None:
    assert is_of_a_wash(reading) is wash


@pytest.mark.parametrize(
    ("ask", "error", "says"),
    [
        (spirit("47 %"), TemperatureNotSaid, "Write it like 47 % at 22 C"),
        (spirit("126 % at 20 C"), PerhapsProof, "write 126 proof"),
        (spirit("926 % at 20 C"), OutOfRange, "between 0 and 100 %vol"),
        (spirit("250 proof at 60 F"), OutOfRange, "between 0 and 200 proof"),
        (spirit("1062 at 20 C"), UnclearValue, "Write 1.062 or 1062 kg/m3"),
        (spirit("1.062 at 20 C"), HeavierThanWater, "Gauge a wash by its gravity"),
        (spirit("13.2 Bx at 20 C"), WrongKind, "a sugar reading"),
        (spirit("47 % at 65 C"), HotSample, "Cool it"),
        (spirit("47 % at 82 C"), HotSample, "write 82 F"),
        (spirit("47 % at 82"), UnclearValue, "47 % at 82 C or 47 % at 82 F"),
        (
            spirit("998.0 kg/m3 at 20 C", instrument="density-meter", in_air=True),
            HeavierThanWater,
            "in vacuum",
        ),
        (spirit("788.5 kg/m3 at 20 C", instrument="density-meter"), CaskwardError, "density in air"),
        (spirit("47 % at 20 C", instrument="density-meter"), OptionsClash, "Name the instrument"),
        (spirit("47 % at 20 C", instrument="oiml-9"), UnknownName, "Did you mean"),
        (spirit("47 % at 20 C", thermometer="oiml-1"), UnknownName, "thermometer"),
        (spirit("47 % at 20 C", error="much"), NotUnderstood, "0.2"),
        (spirit("47 % at 20 C", calibrated_at="70 C"), OutOfRange, "stands on the instrument"),
        (GaugeAsk(), MissingValue, "at least one reading"),
        (GaugeAsk((ReadingAsk(),)), MissingValue, "both a mass and a volume"),
        (GaugeAsk((ReadingAsk(mass="1 kg", volume="1 L"),)), TemperatureNotSaid, "without the sample's"),
        (GaugeAsk((ReadingAsk("42 % at 20 C"),), residue="much"), NotUnderstood, "5 g/L"),
        (GaugeAsk((ReadingAsk("42 % at 20 C"),), volume="20 L", vessel="clay"), NotUnderstood, "steel"),
        (GaugeAsk((ReadingAsk("42 % at 20 C"),), volume="20 kg"), WrongKind, "20 L"),
    ],
)
def test_wrong_input_never_gives_a_number(ask: GaugeAsk, error: type[CaskwardError], says: str) -> None:
    with pytest.raises(error) as refusal:
        gauge(ask)
    assert says in str(refusal.value)
    assert refusal.value.exit_code == 2


# Washes -------------------------------------------------------------------------------------------


def test_one_reading_is_a_must_two_are_a_wash() -> None:
    must = gauge_wash(WashAsk(gravity=ReadingAsk("1.062 at 24 C")))
    assert must.must
    assert must.washed is None
    wash = gauge_wash(WashAsk(original=ReadingAsk("1.062 at 24 C"), gravity=ReadingAsk("1.010 @ 31 C")))
    assert wash.washed
    assert wash.must is None
    assert wash.washed.pct_vol.value == pytest.approx(6.6, abs=0.1)


def test_a_refractometer_by_its_place_or_by_its_name() -> None:
    place = WashAsk(gravity=ReadingAsk("1.010 at 20 C"), refractometer=ReadingAsk("7.6 Bx at 20 C"))
    named = WashAsk(
        original=ReadingAsk("15.2 Bx", instrument="refractometer-digital"),
        gravity=ReadingAsk("1.010 at 20 C"),
    )
    assert gauge_wash(place).washed
    assert gauge_wash(named).washed
    plain = ReadingAsk("7.6 Bx at 28 C", corrects_itself=False)
    corrected = gauge_wash(WashAsk(refractometer=plain)).must
    itself = gauge_wash(WashAsk(refractometer=ReadingAsk("7.6 Bx at 28 C"))).must
    assert corrected
    assert itself
    assert corrected.plato.value > itself.plato.value == pytest.approx(7.6, abs=1e-9)


@pytest.mark.parametrize(
    ("ask", "error"),
    [
        (WashAsk(), MissingValue),
        (WashAsk(gravity=ReadingAsk("47 % at 20 C")), WrongKind),
        (WashAsk(refractometer=ReadingAsk("1.050")), WrongKind),
        (WashAsk(gravity=ReadingAsk("1.050 at 70 C")), HotSample),
        (WashAsk(gravity=ReadingAsk("1062")), UnclearValue),
    ],
)
def test_a_wash_refuses_too(ask: WashAsk, error: type[CaskwardError]) -> None:
    with pytest.raises(error):
        gauge_wash(ask)


# Mixtures -----------------------------------------------------------------------------------------


def test_how_much_water() -> None:
    answer = reduce(ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "40 %"))
    published = alcohol.reduce(10.0, 70.0, 40.0)
    assert answer.mixture.add
    assert answer.mixture.add.mass_kg == pytest.approx(published.water_kg, rel=1e-9)
    assert answer.mixture.makes.volume_l == pytest.approx(published.final_l, rel=1e-9)


def test_a_reading_is_corrected_before_it_is_reduced() -> None:
    answer = reduce(ReduceAsk((LiquidAsk("70 % at 28 C", volume="10 L", instrument="oiml-2"),), "40 %"))
    true = float(alcohol.true_strength(70.0, 28.0))
    assert answer.gauged[0]
    assert answer.mixture.take[0].pct_vol == pytest.approx(true, abs=1e-9)
    assert answer.mixture.take[0].temp_c == 28.0
    assert answer.mixture.strength.standard > 0.05


def test_a_goal_in_proof_is_at_60_fahrenheit() -> None:
    answer = reduce(ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "80 proof"))
    assert alcohol.proof_60f(answer.to_pct_vol) == pytest.approx(80.0, abs=1e-9)


def test_top_up_low_wines_steps_and_a_stated_doubt() -> None:
    top_up = reduce(
        ReduceAsk((LiquidAsk("38 %", volume="10 L"),), "40 %", add=LiquidAsk("70 %", name="hearts"))
    )
    assert top_up.mixture.add
    assert top_up.mixture.add.name == "hearts"
    stepped = reduce(
        ReduceAsk(
            (LiquidAsk("70 %", volume="10 L", doubt="0.4"),), "40 %", steps=3, rest="2 d", by="scale-fine"
        )
    )
    assert [step.rest_days for step in stepped.steps] == [2.0, 2.0, 0.0]
    assert stepped.mixture.shares[0].name == "strength of spirit"
    down = reduce(
        ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "40 %", add=LiquidAsk("5 %", name="backset"))
    )
    water = reduce(ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "40 %"))
    assert down.mixture.makes.volume_l > water.mixture.makes.volume_l


def test_two_amounts_for_a_volume() -> None:
    answer = reduce(ReduceAsk((LiquidAsk("96 %"),), "40 %", add=LiquidAsk("20 %"), make_volume="5 L"))
    assert answer.mixture.makes.volume_l == pytest.approx(5.0, rel=1e-9)
    weighed = reduce(ReduceAsk((LiquidAsk("96 %"),), "40 %", make_mass="1 kg"))
    assert weighed.mixture.makes.shown_kg == pytest.approx(1.0, rel=1e-9)


def test_steps_of_a_part_take_only_that_part() -> None:
    answer = reduce(ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "40 %", make_volume="5 L", steps=2))
    assert answer.steps[-1].mixture.makes.volume_l == pytest.approx(5.0, rel=1e-9)


def test_what_results() -> None:
    answer = mix(MixAsk((LiquidAsk("70 %", volume="10 L"), LiquidAsk("0 %", mass="5 kg", name="water"))))
    assert 40.0 < answer.mixture.makes.pct_vol < 70.0
    assert answer.mixture.contraction_l > 0.0


@pytest.mark.parametrize(
    ("ask", "error", "code"),
    [
        (ReduceAsk((), "40 %"), MissingValue, 2),
        (ReduceAsk((LiquidAsk("70 %"),), "40 %"), MissingValue, 2),
        (ReduceAsk((LiquidAsk("", volume="10 L"),), "40 %"), MissingValue, 2),
        (ReduceAsk((LiquidAsk("70 %"), LiquidAsk("60 %")), "40 %", make_volume="5 L"), MissingValue, 2),
        (ReduceAsk((LiquidAsk("38 %", volume="10 L"),), "40 %"), NoSuchBlend, 3),
        (ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "40 %", make_volume="50 L"), NotEnoughSpirit, 3),
        (ReduceAsk((LiquidAsk("140 %", volume="10 L"),), "40 %"), PerhapsProof, 2),
        (ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "140 %"), PerhapsProof, 2),
        (ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "0 %"), OutOfRange, 2),
        (ReduceAsk((LiquidAsk("70 %", volume="-10 L"),), "40 %"), CaskwardError, 2),
        (ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "40 %", steps=0), OutOfRange, 2),
        (ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "40 %", temp="80 C"), HotSample, 2),
    ],
)
def test_a_reduction_that_cannot_be(ask: ReduceAsk, error: type[CaskwardError], code: int) -> None:
    with pytest.raises(error) as refusal:
        reduce(ask)
    assert refusal.value.exit_code == code
    assert str(refusal.value)[-1] in ".%L"


def test_what_results_needs_amounts() -> None:
    with pytest.raises(MissingValue):
        mix(MixAsk((LiquidAsk("70 %", volume="10 L"), LiquidAsk("20 %"))))
    with pytest.raises(MissingValue):
        mix(MixAsk())


# Labels -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("label", "rule", "reading", "verdict"),
    [
        (
            "40 %",
            "eu",
            ReadingAsk("40.1 % at 20 C", instrument="oiml-1", thermometer="thermometer-fine"),
            "passes",
        ),
        (
            "40 %",
            "eu",
            ReadingAsk("40.8 % at 20 C", instrument="oiml-1", thermometer="thermometer-fine"),
            "fails",
        ),
        ("40 %", "uk", ReadingAsk("40.1 % at 20 C"), "cannot be told"),
        ("80 proof", "us", ReadingAsk("948.0 kg/m3 at 20 C", instrument="density-meter"), "passes"),
        ("40 %", "other", ReadingAsk("40.1 % at 20 C", instrument="oiml-2"), "passes"),
    ],
)
def test_a_label(label: str, rule: str, reading: ReadingAsk, verdict: str) -> None:
    tolerance = "0.9 %" if rule == "other" else ""
    answer = check_label(LabelAsk(label, rule, tolerance, GaugeAsk((reading,))))
    assert answer.check.verdict == verdict
    assert bool(answer.check.tellers) is (verdict == "cannot be told")


@pytest.mark.parametrize(
    "ask", [LabelAsk("33 %mass"), LabelAsk("40 %", "nowhere"), LabelAsk("40 %", "other")]
)
def test_a_label_that_cannot_be(ask: LabelAsk) -> None:
    with pytest.raises(CaskwardError):
        check_label(LabelAsk(ask.label, ask.rule, ask.tolerance, GaugeAsk((ReadingAsk("40 % at 20 C"),))))


def test_lists_for_the_faces() -> None:
    assert {"oiml-1", "density-meter", "refractometer"} <= {each.key for each in instruments()}
    assert {"us", "eu", "uk", "au-nz"} <= {each.key for each in rules()}


def test_answers_are_json() -> None:
    told = json.loads(as_json(gauge(spirit("47 % at 28 C"))))
    assert told["gauged"]["pct_vol"]["value"] == pytest.approx(43.92, abs=0.01)
    assert set(told["gauged"]["pct_vol"]) == {"value", "standard", "low", "high"}
    made = json.loads(as_json(reduce(ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "40 %"))))
    assert made["mixture"]["makes"]["volume_l"] == pytest.approx(17.5, abs=0.01)


def test_one_reading_loads_no_planning_and_no_scipy() -> None:
    """So that the most frequent question is answered at once; `bench/gauging.py` times it."""
    ask = (
        "import sys; from caskward.services.gauging import GaugeAsk, ReadingAsk, gauge; "
        "from caskward.services.gauging_words import words; "
        "words(gauge(GaugeAsk((ReadingAsk('47 % at 28C'),)))); "
        "print([m for m in sys.modules if m.startswith(('scipy', 'caskward.planning', 'caskward.stages'))])"
    )
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
