"""`caskward gauge`: the answer first, with its doubt; for whatever is typed wrong one sentence, no number."""

from __future__ import annotations

import json
import os
import re
import subprocess

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from caskward.cli import main
from caskward.properties import alcohol

from .test_start import CASKWARD, loaded_by
from .test_wrong_inputs import is_one_line


def figure(text: str, name: str) -> float:
    """A figure of the answer by its name."""
    found = re.search(rf"^ +{re.escape(name)} +(-?[\d.]+)", text, re.MULTILINE)
    assert found, text
    return float(found[1])


@pytest.mark.parametrize(
    ("words", "pct_vol"),
    [
        (["47", "%", "at", "28C"], alcohol.true_strength(47.0, 28.0)),
        (["47%@28C"], alcohol.true_strength(47.0, 28.0)),
        (["47 %", "--temp", "82.4F"], alcohol.true_strength(47.0, 28.0)),
        (["47 % at 28C", "--calibrated=15C"], alcohol.true_strength(47.0, 28.0, 15.0)),
        (["47 % at 28C", "--no-glass"], alcohol.true_strength(47.0, 28.0, glass=False)),
        (["47", "%", "at", "-5", "C"], alcohol.true_strength(47.0, -5.0)),
        (["126.4", "proof", "82F"], alcohol.true_strength(63.2, 50.0 / 1.8, alcohol.TEMP_60F_C)),
        (
            ["931.2", "kg/m3", "20C", "--meter", "density-meter", "--in-air"],
            alcohol.pct_vol(alcohol.mass_fraction_from_density(alcohol.density_air_to_vacuum(931.2), 20.0)),
        ),
    ],
)
def test_a_reading_in_the_units_people_type(ask, words, pct_vol):
    code, out, err = ask("gauge", *words)
    assert (code, err) == (0, "")
    assert figure(out, "True strength at 20 °C") == pytest.approx(float(pct_vol), abs=0.051)


def test_the_answer_comes_first_then_what_was_taken_for_granted(ask):
    lines = ask("gauge", "47 % at 28C").out.splitlines()
    assert lines[0] == "This is 43.9 ± 1.3 %vol."
    assert any(line.startswith("Taken for granted") for line in lines)
    assert any("wide alcoholometer" in line for line in lines)
    named = ask("gauge", "47 % at 28C", "--meter", "oiml-2", "--thermometer", "0.2").out
    assert named.startswith("This is 43.92 ± 0.")
    assert "Taken for granted" not in named


def test_your_own_limits_count(ask):
    coarse = ask("gauge", "47.0 % at 20C", "--error", "0.5", "--thermometer", "1C").out
    fine = ask("gauge", "47.0 % at 20C", "--error", "0.1", "--thermometer", "0.2 F").out
    doubts = [float(re.search(r"± ([\d.]+)", out)[1]) for out in (coarse, fine)]
    assert doubts[0] > 4 * doubts[1]


@pytest.mark.parametrize("words", [["20 L of 47 % at 28 C"], ["47 % at 28 C", "--volume", "20L"]])
def test_an_amount_gives_pure_alcohol(ask, words):
    out = ask("gauge", *words).out
    true = float(alcohol.true_strength(47.0, 28.0))
    at_20 = float(alcohol.volume_at_20(20.0, true, 28.0))
    assert figure(out, "Volume at 20 °C") == pytest.approx(at_20, abs=0.005)
    assert figure(out, "Pure alcohol at 20 °C") == pytest.approx(at_20 * true / 100.0, abs=0.005)
    assert "Caution" in out


def test_a_mass_and_a_vessel_that_grows(ask):
    weighed = ask("gauge", "63 % at 20C", "--mass", "18kg", "--measured-by", "scale-fine").out
    assert figure(weighed, "Mass on a scale") == pytest.approx(18.0, abs=1e-6)
    plain, grown = (
        figure(
            ask("gauge", "63 % at 20C", "--volume", "200L", "--volume-temp", "31C", *more).out, "True mass"
        )
        for more in ([], ["--vessel", "plastic"])
    )
    assert plain < grown


def test_us_units_come_back_as_typed(ask):
    out = ask("gauge", "126.4 proof 82F", "--volume", "5.3gal").out
    assert out.startswith("This is 117.9 ± 0.9 proof, 5.24 ± 0.06 gal at 60 °F")
    assert ask("gauge", "126.4 proof 82F", "--show", "metric").out.startswith("This is 59.0 ± 0.4 %vol.")
    assert ask("gauge", "47 % at 28C", "--show", "us").out.startswith("This is 87.7")


def test_two_readings_are_combined_or_said_to_disagree(ask):
    both = ("--meter", "oiml-1", "--thermometer", "0.1")
    agree = ask("gauge", "45.1 % at 20C", "--and", "939.34 kg/m3 on density-meter", *both).out
    assert "The readings agree" in agree
    far = ask("gauge", "47.0 % at 20C", "--and", "45.0 % at 20C on oiml-1", *both).out
    assert "The readings disagree beyond doubt" in far
    middle, doubt = figure(far, "True strength at 20 °C"), float(re.search(r"± ([\d.]+)", far)[1])
    assert middle - doubt < 45.0
    assert 47.0 < middle + doubt < 50.0


def test_mass_and_volume_are_a_reading(ask):
    words, options = (
        ask("gauge", "0.93 kg in 1 L at 20C").out,
        ask("gauge", "--mass=0.93kg", "--volume=1L", "--temp=20C").out,
    )
    assert words == options
    assert words.startswith("This is 49.5")


def test_what_solids_hide(ask):
    out = ask("gauge", "42.0 % at 20C", "--solids", "500mg/100mL", "--meter", "oiml-1").out
    assert "500 mg of solids in 100 mL hide 1.00 %vol by the US rule" in " ".join(out.split())
    sweet = ask("gauge", "30 % 20C", "--sugar", "20 g/L").out
    assert figure(sweet, "True strength at 20 °C") > 34.0


def test_a_must_and_a_wash(ask):
    must = ask("gauge", "1.054 @ 31 C").out
    assert must.startswith("This is a gravity of 1.0572")
    assert ask("gauge", "13.2", "Bx").out.startswith("This is a gravity of 1.0534")
    wash = ask("gauge", "1.012 at 24C", "--original", "15.2 P", "--refractometer", "7.4 Bx").out
    assert wash.startswith("There is 6.")
    by_light = ask("gauge", "--original", "15.2 P", "--refractometer", "7.4 Bx").out
    assert by_light.startswith("There is 6.")


def test_a_light_wash_alone_is_told_what_is_missing(ask):
    refused = ask("gauge", "0.985 at 20C")
    assert refused.code == 2
    assert "lighter than water" in refused.err
    assert "original gravity" in refused.err
    assert "lighter than water" not in ask("gauge", "1.005 at 20C").out
    assert ask("gauge", "0.985 at 20C", "--spirit").out.startswith("This is 11.2")


@pytest.mark.parametrize(
    ("reading", "verdict"),
    [
        ("40.0 %", "The label holds"),
        ("41.0 %", "The label does not hold"),
        ("40.3 %", "This reading cannot tell"),
    ],
)
def test_a_label(ask, reading, verdict):
    fine = ("--meter", "oiml-1", "--thermometer", "0.1")
    out = ask("gauge", f"{reading} at 20C", *fine, "--label", "40", "--rule", "EU", "--volume", "20L").out
    assert out.startswith(verdict)
    assert figure(out, "Pure alcohol at 20 °C") == pytest.approx(0.2 * float(reading[:4]), abs=0.005)


def test_a_label_by_the_country_it_is_written_for(ask):
    assert "(US)" in ask("gauge", "80.1 proof 60F", "--label", "80proof").out
    assert "(EU)" in ask("gauge", "40.1 % 20C", "--label", "40").out
    assert "(Australia and New Zealand)" in " ".join(
        ask("gauge", "40.1 % 20C", "--label", "40", "--rule", "NZ").out.split()
    )
    own = ask("gauge", "40.1 % 20C", "--label", "40", "--tolerance", "0.9").out
    assert "your local" in " ".join(own.split())
    assert "from memory" not in own


def test_a_second_reading_of_a_label_is_told(ask):
    out = ask("gauge", "47 % at 20C", "--and", "40 % at 20C on oiml-1", "--label", "47").out
    assert "disagree" in out


def test_as_json_it_is_the_answer_with_its_doubt(ask):
    code, out, err = ask("gauge", "47 % at 28C", "--json")
    assert (code, err) == (0, "")
    strength = json.loads(out)["gauged"]["pct_vol"]
    assert strength["value"] == pytest.approx(float(alcohol.true_strength(47.0, 28.0)), abs=1e-9)
    assert strength["low"] < strength["value"] < strength["high"]
    assert json.loads(ask("gauge", "13.2 Bx", "--json").out)["must"]["plato"]["value"] == pytest.approx(13.2)
    label = json.loads(ask("gauge", "40 % 20C", "--label", "40", "--json").out)
    assert label["check"]["verdict"] == "cannot be told"


def test_it_lists_what_a_meter_may_be(ask):
    out = ask("gauge", "--list").out
    for key in ("oiml-2", "density-meter", "refractometer", "thermometer-fine", "dip", "au-nz"):
        assert re.search(rf"\b{key}$", out, re.MULTILINE), key
    every = json.loads(ask("gauge", "--list", "--json").out)
    assert {"oiml-2", "scale"} <= {one["key"] for one in every["instruments"]}
    assert "eu" in {one["key"] for one in every["rules"]}


WRONG = {
    "nothing": ([], "47 % at 28 C"),
    "no unit": (["47"], "47 % or 47 P or 47 Bx"),
    "no temperature": (["47 %"], "47 % at 22 C"),
    "temperature without unit": (["47 % at 28"], "28 C or 28 F"),
    "hot": (["47 % at 65C"], "Cool it"),
    "hot, or Fahrenheit": (["47 % at 82C"], "write 82 F"),
    "frozen": (["47 % at -25C"], "Warm it"),
    "hot wash": (["1.054 at 70C"], "Cool it"),
    "frozen wash": (["1.054 at -10C"], "Warm it"),
    "more than pure": (["126 % at 20C"], "write 126 proof"),
    "proof over 200": (["250 proof 60F"], "between 0 and 200 proof"),
    "gravity without its point": (["1062 at 20C"], "1.062 or 1062 kg/m3"),
    "heavier than water": (["1.062 at 20C", "--spirit"], "heavier than water"),
    "density in air": (["788.5 kg/m3 20C", "--meter", "density-meter"], "a density in air"),
    "density in vacuum": (["998 kg/m3 20C", "--meter", "density-meter", "--in-air", "--spirit"], "in vacuum"),
    "no such mark in the cold": (["99 % at 10C"], "no spirit shows"),
    "words": (["sheep"], "'sheep'"),
    "two temperatures": (["47 % at 28C", "--temp", "30C"], "once"),
    "misspelt option": (["47 % at 28C", "--metre", "oiml-2"], "'--meter'"),
    "unknown option": (["47 % at 28C", "--qqq"], "gauge --help"),
    "option without a value": (["47 % at 28C", "--temp"], "needs a value"),
    "option twice": (["47 %", "--temp", "28C", "--temp", "30C"], "Give it once"),
    "unknown meter": (["47 % at 28C", "--meter", "oiml-7"], "Did you mean"),
    "unknown thermometer": (["47 % at 28C", "--thermometer", "glass"], "thermometer-fine"),
    "thermometer far off": (["47 % at 28C", "--thermometer", "20C"], "between 0.001 and 5 K"),
    "mass for a volume": (["47 % at 28C", "--volume", "20kg"], "a mass"),
    "volume and mass": (["47 % at 28C", "--volume", "20L", "--mass", "18kg"], "--and"),
    "amount twice": (["20 L of 47 % at 28C", "--volume", "30L"], "once"),
    "solids and sugar": (["40 % 20C", "--solids", "5g/L", "--sugar", "5g/L"], "--sugar"),
    "volume of a wash": (["1.054", "--volume", "500L"], "only its strength"),
    "second reading of a wash": (["1.054", "--and", "1.053"], "--original"),
    "strength for a wash": (["47 % at 20C", "--original", "1.062"], "a strength"),
    "wash and spirit": (["1.01", "--wash", "--spirit"], "one of them"),
    "gravities swapped": (["1.062 at 20C", "--original", "1.010"], "swapped"),
    "rule without label": (["40 % 20C", "--rule", "EU"], "--label 40"),
    "unknown rule": (["40 % 20C", "--label", "40", "--rule", "ZZ"], "eu-macerated"),
    "rule of one's own": (["40 % 20C", "--label", "40", "--rule", "other"], "--tolerance 0.3"),
    "two tolerances": (["40 % 20C", "--label", "40", "--rule", "EU", "--tolerance", "1"], "one of them"),
    "units": (["47 % at 28C", "--show", "furlongs"], "metric, us"),
    "too sweet": (["20 % 20C", "--sugar", "350g/L"], "with that sugar"),
}


@pytest.mark.parametrize(("words", "says"), WRONG.values(), ids=WRONG.keys())
def test_what_is_typed_wrong_gets_one_sentence_and_no_number(ask, words, says):
    code, out, err = ask("gauge", *words)
    assert (code, out) == (2, "")
    assert says in err
    assert is_one_line(err), err


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=12), max_size=5))
def test_whatever_is_typed_never_ends_in_a_fault(words):
    assert main(["gauge", *words]) in (0, 2)


@pytest.mark.parametrize("width", ["60", "80", "100"])
def test_it_keeps_to_the_width(ask, monkeypatch, width):
    monkeypatch.setenv("COLUMNS", width)
    for words in (["47 % at 28C", "--volume", "20L"], ["40.1 % 20C", "--label", "40"], ["--help"], ["1.054"]):
        for line in ask("gauge", *words).out.splitlines():
            assert len(line) <= int(width), line


def test_a_reading_loads_little(ask):
    loaded = loaded_by("gauge", "47 % at 28C")
    assert "caskward.gauging.strength" in loaded
    assert loaded.isdisjoint({"scipy", "typer", "typst", "pydantic", "caskward.planning", "caskward.stages"})


def test_a_list_loads_no_numpy():
    assert "numpy" not in loaded_by("gauge", "--help")


def test_where_letters_are_missing_a_doubt_still_looks_like_one():
    ascii_only = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run(
        [*CASKWARD, "gauge", "47 % at 28C"], capture_output=True, env=ascii_only, check=True
    )
    assert done.stdout.startswith(b"This is 43.9 ~ 1.3 %vol.")
