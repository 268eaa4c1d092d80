"""`caskward proof`: how much water, said first; and one sentence where nothing can be said."""

from __future__ import annotations

import json
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.cli import main
from caskward.properties import alcohol

from .test_wrong_inputs import is_one_line

WATER = alcohol.reduce(20.0, 71.3, 63.0)
LIFTED = 1.0 - alcohol.AIR_DENSITY_KG_M3 / alcohol.WATER_DENSITY_20C
SHOWN_KG = WATER.water_kg * LIFTED / (1.0 - alcohol.AIR_DENSITY_KG_M3 / alcohol.WEIGHT_DENSITY_KG_M3)
"""What a scale in air shows of that water."""


@pytest.mark.parametrize(
    "words",
    [
        ["20", "L", "71.3%", "to", "63%"],
        ["20 L 71.3% to 63%"],
        ["20 L 71.3%", "--to", "63%"],
        ["--spirit", "20 L 71.3 %", "--to=63"],
    ],
)
def test_how_much_water_comes_first(ask, words):
    code, out, err = ask("proof", *words)
    assert (code, err) == (0, "")
    first = " ".join(out.split("\n\n")[0].split())
    assert first == (
        f"Add {SHOWN_KG:.3f} kg of water ({WATER.water_l:.3f} L) to 20.00 L of spirit at 71.3 %vol: "
        f"that makes {WATER.final_l:.2f} L at 63.00 ± 0.08 %vol, taking the strength of spirit as exact."
    )


def test_it_says_why_to_weigh_and_what_contracts(ask):
    out = ask("proof", "20 L 71.3% to 63%").out
    assert "Weigh it in" in out
    lost_ml = 1000.0 * (20.0 + WATER.water_l - WATER.final_l)
    shown = re.search(r"Lost to contraction +([\d.]+) mL", out)
    assert shown
    assert float(shown[1]) == pytest.approx(lost_ml, abs=0.06)
    assert "Caution" in out


def test_a_mass_a_volume_to_make_and_several_spirits(ask):
    assert "17.62 kg on a scale, 19.99 L" in ask("proof", "17.62 kg 71.3% to 63%").out
    assert "that makes 50.00 L at 60.00 ± 0.02 %vol" in " ".join(
        ask("proof", "71.3 % to 60 %", "--make", "50L").out.split()
    )
    assert "46.00 kg on a scale" in ask("proof", "71.3 % to 60 %", "--make", "46kg").out
    several = ask("proof", "--spirit", "12 L 71.3 %", "--spirit", "5 L 64 %", "--to", "63%").out
    assert "Take spirit 1" in several
    assert re.search(r"11\.7[56]\d* ± [\d.]+ LPA", several)


def test_other_things_to_add(ask):
    backset = ask("proof", "20 L 71.3% to 40%", "--with", "backset").out
    assert "of backset" in backset
    assert "distil a sample" in " ".join(backset.split())
    some = ask("proof", "20 L 71.3% to 40%", "--with", "8 L low wines 24 %").out
    assert "8.000 L of low wines" in " ".join(some.split())
    assert "of spirit at 70 %" in ask("proof", "10 L 38 % to 40 %", "--with", "70 %").out
    assert ask("proof", "20 L 63 %", "--add", "5 L water").out.startswith(
        "That makes 24.81 L at 50.79 ± 0.16 %vol, "
    )
    inverse = " ".join(ask("proof", "71% and 24% to 50 L of 60%").out.split())
    assert "12.14 L) to 38.15 L of spirit at 71.0 %vol: that makes 50.00 L" in inverse


def test_over_days_each_addition_and_where_it_rests(ask):
    out = ask("proof", "20 L 71.3% to 63%", "--days", "5").out
    rows = re.findall(r"^   day (\d) +([\d.]+) g +([\d.]+) mL +([\d.]+) %vol$", out, re.MULTILINE)
    assert [row[0] for row in rows] == ["1", "2", "3", "4", "5"]
    assert sum(float(row[1]) for row in rows) == pytest.approx(1000.0 * SHOWN_KG, abs=0.3)
    assert [row[3] for row in rows] == ["69.64", "67.98", "66.32", "64.66", "63.0"]
    steps = ask("proof", "20 L 71.3% to 63%", "--steps", "3", "--rest", "2d").out
    assert re.findall(r"day (\d)", steps) == ["1", "3", "5"]


def test_a_doubt_is_carried_to_the_result(ask):
    out = " ".join(ask("proof", "20 L 71.3% ± 0.4 to 63%").out.split())
    assert "that makes 22.63 L at 63.0 ± 0.4 %vol." in out
    assert re.search(r"Most of the doubt, 9\d %, comes from the strength of spirit\.", out)
    jug = ask("proof", "20 L 71.3% to 63%", "--measured-by", "cylinder").out
    assert "63.00 ± 0.12 %vol" in jug


def test_units_follow_the_amounts_typed(ask):
    assert "lb of water" in ask("proof", "5.3 gal 140 proof to 80 proof").out
    assert "kg of water" in ask("proof", "20 L 71.3% to 126 proof").out
    assert "lb of water" in ask("proof", "20 L 71.3% to 63%", "--show", "us").out
    assert "kg of water" in ask("proof", "5 imp gal 71.3% to 63%").out


def test_as_json(ask):
    made = json.loads(ask("proof", "20 L 71.3% to 63% over 2 days", "--json").out)
    assert made["mixture"]["add"]["mass_kg"] == pytest.approx(WATER.water_kg, rel=1e-9)
    assert len(made["steps"]) == 2
    mixed = json.loads(ask("proof", "20 L 63% and 5 L water", "--json").out)
    assert mixed["mixture"]["makes"]["lpa"] == pytest.approx(12.6, rel=1e-9)


WRONG = {
    "nothing": ([], "20 L 71.3% to 63%"),
    "no unit": (["20 71.3% to 63%"], "20 L or 20 kg"),
    "no percent": (["20 L 71.3 to 63%"], "71.3 % or 71.3 proof"),
    "no target": (["20 L 71.3%"], "a strength to reach"),
    "target stronger": (["20 L 71.3% to 80%"], "stronger than 80 %vol"),
    "too much to make": (["20 L 71.3% to 100 L of 63%"], "there are 20 L"),
    "too little to lift it": (["10 L 38% to 40% with 0.3 L 70%"], "there are 0.3 L"),
    "more than pure": (["20 L 140% to 63%"], "140 proof"),
    "proof over 200": (["5 gal 210 proof to 80 proof"], "between 0 and 200 proof"),
    "hot": (["20 L 71.3% to 63%", "--temp", "60C"], "Cool it"),
    "hot reading": (["20 L 71.3% at 60C to 63%"], "Cool it"),
    "a gravity for a target": (["20 L 71.3% to 1.054"], "1.054 %"),
    "a sugar reading": (["20 L 13 Bx to 40%"], "a sugar reading"),
    "two targets": (["20 L 71.3% to 63%", "--to", "60%"], "60%"),
    "two things to add": (["20 L 71.3% to 63% with backset", "--with", "24 %"], "Say once"),
    "no strength": (["20 L 71.3% to 63%", "--with", "juice"], "its strength"),
    "days in words": (["20 L 71.3% to 63%", "--days", "many"], "number of days"),
    "too many steps": (["20 L 71.3% to 63%", "--steps", "50"], "between 1 and 20"),
    "a jug that is none": (["20 L 71.3% to 63%", "--measured-by", "oiml-1"], "cylinder"),
    "misspelt option": (["20 L 71.3% to 63%", "--day", "5"], "'--days'"),
    "below zero": (["-3 L 71.3% to 63%"], "below zero"),
    "to nothing": (["20 L 71.3% to 0%"], "between 0.1 and 100"),
}


@pytest.mark.parametrize(("words", "says"), WRONG.values(), ids=WRONG.keys())
def test_what_is_typed_wrong_gets_one_sentence_and_no_number(ask, words, says):
    code, out, err = ask("proof", *words)
    assert (code, out) == (2, "")
    assert says in err
    assert is_one_line(err), err


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=12), max_size=5))
def test_whatever_is_typed_never_ends_in_a_fault(words):
    assert main(["proof", *words]) in (0, 2)


@pytest.mark.parametrize("width", ["60", "80", "100"])
def test_it_keeps_to_the_width(ask, monkeypatch, width):
    monkeypatch.setenv("COLUMNS", width)
    for words in (["20 L 71.3% to 63% over 5 days"], ["--help"], ["5.3 gal 140 proof to 80 proof"]):
        for line in ask("proof", *words).out.splitlines():
            assert len(line) <= int(width), line
