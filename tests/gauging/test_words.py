"""Answers in words: the figure first, as many digits as its doubt leaves, whole sentences after it."""

from __future__ import annotations

import re

import pytest

from caskward.gauging.figure import figure
from caskward.properties import alcohol
from caskward.services.gauging import (
    Answer,
    GaugeAsk,
    LabelAsk,
    LiquidAsk,
    MixAsk,
    ReadingAsk,
    ReduceAsk,
    WashAsk,
    check_label,
    gauge,
    gauge_wash,
    mix,
    reduce,
)
from caskward.services.gauging_figures import exact_mass, exact_volume, temperature, with_doubt
from caskward.services.gauging_words import Words, words
from caskward.units.types import UnitSystem

OIML = ReadingAsk("47 % at 28 C", instrument="oiml-2")
TWO = (
    ReadingAsk("45.0 % at 20 C", instrument="oiml-1"),
    ReadingAsk("939.34 kg/m3", instrument="density-meter"),
)
FAR = (
    ReadingAsk("47.0 % at 20 C", instrument="oiml-1"),
    ReadingAsk("939.34 kg/m3", instrument="density-meter"),
)


@pytest.mark.parametrize(
    ("value", "standard", "said"),
    [
        (43.919, 0.0, "43.92 %vol"),
        (43.919, 0.6687, "43.9 ± 1.3 %vol"),
        (43.919, 0.1398, "43.92 ± 0.27 %vol"),
        (43.919, 0.25, "43.9 ± 0.5 %vol"),
        (43.919, 0.0164, "43.92 ± 0.03 %vol"),
        (43.919, 6.4, "44 ± 13 %vol"),
        (0.2, 0.5, "0.2 %vol (0.0 to 1.2)"),
        (0.1, 0.0002, "0.10 %vol"),
    ],
)
def test_digits_follow_the_doubt(value: float, standard: float, said: str) -> None:
    assert with_doubt(figure(value, standard, 0.0, 100.0), "%vol") == said


@pytest.mark.parametrize(
    ("shown", "said"),
    [
        (exact_mass(7.72703, "metric"), "7.727 kg"),
        (exact_mass(0.35127, "metric"), "351.3 g"),
        (exact_mass(246.549, "metric"), "246.5 kg"),
        (exact_mass(7.72703, "us"), "17.04 lb"),
        (exact_mass(0.2, "us"), "7.055 oz"),
        (exact_volume(7.74911, "metric"), "7.749 L"),
        (exact_volume(0.29736, "metric"), "297.4 mL"),
        (exact_volume(7.74911, "us"), "2.047 gal"),
        (exact_volume(0.0, "metric"), "0 L"),
        (temperature(20.0, "metric"), "20 °C"),
        (temperature(15.5556, "us"), "60 °F"),
    ],
)
def test_amounts_to_weigh_and_measure(shown: str, said: str) -> None:
    assert shown == said


def answers() -> list[Answer]:
    spirits = (LiquidAsk("70 % at 25 C", volume="10 L"),)
    return [
        gauge(GaugeAsk((OIML,))),
        gauge(GaugeAsk((OIML,), volume="20 L")),
        gauge(GaugeAsk((OIML,), mass="18 kg", residue="0.175 g from 25 mL")),
        gauge(GaugeAsk(TWO)),
        gauge(GaugeAsk(FAR)),
        gauge_wash(WashAsk(gravity=ReadingAsk("1.062 at 24 C"))),
        gauge_wash(WashAsk(ReadingAsk("1.062 at 24 C"), ReadingAsk("1.010 @ 31 C"))),
        gauge_wash(WashAsk(ReadingAsk("1.062"), ReadingAsk("1.010"), ReadingAsk("7.6 Bx"))),
        reduce(ReduceAsk(spirits, "40 %", steps=3)),
        reduce(ReduceAsk((LiquidAsk("40 %", volume="5 L"),), "40 %")),
        reduce(ReduceAsk((LiquidAsk("5 %", volume="5 L"),), "4 %", add=LiquidAsk("1 %", name="backset"))),
        mix(MixAsk((*spirits, LiquidAsk("0 %", volume="5 L", name="water")))),
        check_label(LabelAsk("40 %", "eu", spirit=GaugeAsk((ReadingAsk("40.1 % at 20 C"),)))),
        check_label(
            LabelAsk("40 %", "au-nz", spirit=GaugeAsk((ReadingAsk("40 % at 20 C", instrument="oiml-1"),)))
        ),
        check_label(
            LabelAsk("40 %", "us", spirit=GaugeAsk((ReadingAsk("43 % at 20 C", instrument="oiml-1"),)))
        ),
    ]


@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_answer_is_whole_sentences(system: str) -> None:
    for answer in answers():
        told = words(answer, system)  # type: ignore[arg-type]
        for sentence in (told.headline, *told.notes, *told.cautions):
            assert re.fullmatch(r"[A-Z0-9].*[.!]", sentence), sentence
            assert not re.search(r"nan|inf\b|None|-0\.0|  |_", sentence), sentence
        for name, value in told.lines:
            assert name
            assert value
            assert not re.search(r"nan|inf\b|None|_", value), value


def test_the_strength_comes_first() -> None:
    assert words(gauge(GaugeAsk((OIML,)))).headline == "This is 43.92 ± 0.28 %vol."
    assert words(gauge(GaugeAsk((OIML,))), "us").headline.startswith("This is 87.7 ± 0.6 proof")
    with_amount = words(gauge(GaugeAsk((OIML,), volume="20 L"))).headline
    assert with_amount.endswith("19.88 ± 0.23 L at 20 °C with 8.73 ± 0.11 L of pure alcohol.")


def test_how_much_water_comes_first() -> None:
    told = words(reduce(ReduceAsk((LiquidAsk("70 %", volume="10 L"),), "40 %")))
    assert told.headline == (
        "Add 7.727 kg of water (7.749 L) to 10.00 L of spirit at 70.0 %vol: that makes 17.50 L "
        "at 40.00 ± 0.20 %vol, taking the strength of spirit as exact."
    )
    assert any(note.startswith("Weigh it in") for note in told.notes)
    assert ("Lost to contraction", "249.1 mL") in told.lines
    assert any("flame" in caution for caution in told.cautions)


def test_weak_mixtures_carry_no_fire_warning() -> None:
    told = words(reduce(ReduceAsk((LiquidAsk("8 %", volume="5 L"),), "4 %")))
    assert told.cautions == ()
    assert any(name == "Gained on mixing" for name, _ in told.lines)


def test_readings_that_disagree_are_told() -> None:
    told = words(gauge(GaugeAsk(FAR)))
    assert any("disagree beyond doubt" in note for note in told.notes)
    assert any("The readings agree" in note for note in words(gauge(GaugeAsk(TWO))).notes)


def test_solids_are_told_with_what_the_law_asks() -> None:
    def told(residue: str, system: UnitSystem = "metric") -> Words:
        reading = ReadingAsk("42.0 % at 20 C", instrument="oiml-1")
        return words(gauge(GaugeAsk((reading,), residue=residue)), system)

    def notes(residue: str, system: UnitSystem = "metric") -> str:
        return " ".join(told(residue, system).notes)

    proof = float(alcohol.proof_60f(42.0))
    assert "hide 2.0 proof by the US rule" in notes("500 mg/100 mL", "us")
    assert f"taken for {proof:.1f} proof" in notes("500 mg/100 mL", "us")
    assert "hide 1.00 %vol by the US rule" in notes("500 mg/100 mL")
    assert told("300 mg/100 mL", "us").headline.startswith("This is 85.1")
    assert told("300 mg/100 mL", "us").headline.endswith(f"for a US record it is {proof:.1f} proof.")
    assert "record" not in told("500 mg/100 mL", "us").headline
    assert "adds what is hidden" in notes("500 mg/100 mL")
    assert "leaves the hydrometer's proof" in notes("300 mg/100 mL")
    assert "only distilling a sample" in notes("700 mg/100 mL")


def test_a_law_from_memory_says_so() -> None:
    reading = GaugeAsk((ReadingAsk("40 % at 20 C", instrument="oiml-1"),))
    assert any(
        "check your local rule" in c
        for c in words(check_label(LabelAsk("40 %", "au-nz", spirit=reading))).cautions
    )
    assert not any(
        "check your local" in c for c in words(check_label(LabelAsk("40 %", "eu", spirit=reading))).cautions
    )


def test_an_open_verdict_names_what_would_tell() -> None:
    told = words(check_label(LabelAsk("40 %", "eu", spirit=GaugeAsk((ReadingAsk("40.1 % at 20 C"),)))))
    assert told.headline.startswith("This reading cannot tell")
    assert re.match(
        r"An alcoholometer of class II with a thermometer good to 0\.1 K would tell", told.notes[0]
    )
