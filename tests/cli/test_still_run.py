"""`caskward still run` as a maker types it, wrong words and other units among them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

CHARGE = ("still", "run", "60 L 28 %")
RUN = (*CHARGE, "--power", "6 kW", "--limit", "110 L")
US = ("still", "run", "16 gal 56 proof", "--power", "6 kW", "--limit", "29 gal")


def test_a_charge_s_safety_comes_before_advice_on_power(ask):
    refused = ask("still", "run", "60 L 55 %")
    assert refused.code == 2
    assert "strong charges burn far worse" in refused.err
    assert "--power" not in refused.err
    assert "--power" in ask(*CHARGE).err


@pytest.mark.parametrize("name", ["--csv", "--svg", "--pdf"])
def test_a_place_that_cannot_be_written_is_named_before_anything_is_worked_out(
    ask, monkeypatch, tmp_path, name
):
    monkeypatch.setattr("caskward.services.still_run.run", lambda _: 1 / 0)
    mine = tmp_path / f"mine{name.replace('--', '.')}"
    mine.write_text("my notes of years", encoding="utf-8")
    for place, why in (
        (tmp_path / "no" / f"x{mine.suffix}", "there is no folder"),
        (mine, "is there already"),
    ):
        code, out, err = ask(*RUN, name, str(place))
        assert (code, out) == (2, "")
        assert why in err
    assert mine.read_text(encoding="utf-8") == "my notes of years"


def test_what_bares_the_element_stands_first_with_the_stop_that_does_not(ask):
    code, out, _ = ask(*RUN, "--element", "--least", "40 L")
    assert code == 0
    (first, *_) = re.findall(r"^Caution  (.+)", out, re.MULTILINE)
    assert first.startswith("This run of 60 L boils down to")
    stop = re.search(r'--stop "([\d.]+ L)"', " ".join(out.split()))
    assert stop is not None
    assert out.index("and bares the") < out.index("pure alcohol in the charge")
    assert "bares the" not in ask(*RUN, "--element", "--least", "40 L", "--stop", stop[1]).out


def test_a_us_maker_gets_no_litre_and_no_degree_celsius(ask, monkeypatch):
    """Congeners stay in g/hL and mg/L, as laboratories state them; energy in kWh, as it is billed."""
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask(*US, "--receivers", "foreshots 10 fl oz, 3 x 1 qt, hearts to 125 proof, tails")
    assert code == 0
    rest = re.sub(r"g/hL|mg/L|%vol", "", out.replace("at most 40 %vol (79.9 proof)", ""))
    assert not re.search(r"\d L\b|\bL/h\b|litres|°C|\d m\b|\d kW\b", rest)
    for unit in ("gal/h", "°F", "PG", "BTU/h", "proof", "gal"):
        assert unit in out
    refused = ask("still", "run", "16 gal 120 proof", "--limit", "29 gal").err
    assert re.search(r"add [\d.]+ gal of water", refused)
    assert not re.search(r"\d L\b", refused)
    assert "gal" in ask(*US, "--stop", "20 gal").err


@pytest.mark.parametrize("style", ["fruit", "pomace", "cider", "pears", "grape pomace"])
def test_fruit_pomace_and_cider_are_told_that_no_cut_removes_methanol(ask, style):
    out = " ".join(ask(*RUN, "--style", style).out.split())
    assert "Cuts do not remove methanol" in out
    assert "laboratory test" in out
    assert out.index("Cuts do not remove methanol") < out.index("What runs, against")


@pytest.mark.parametrize("more", [("--bill", "60 kg pears"), ("--from", "cider")])
def test_so_is_whoever_names_the_material_otherwise(ask, more):
    out = ask("still", "run", "60 L 6 %", "--power", "6 kW", "--limit", "110 L", *more).out
    assert "Cuts do not remove methanol" in out
    assert "Cuts do not remove methanol" not in ask(*RUN).out


def test_a_laboratory_s_figures_stand_in_the_answer(ask, tmp_path: Path):
    (tmp_path / "lab.csv").write_text("ethyl acetate, 120 g/hL, 12\n", encoding="utf-8")
    lab = (
        "--congener",
        "methanol=850g/hL",
        "--congener",
        "furfural 1 g/hL",
        "--lab",
        str(tmp_path / "lab.csv"),
    )
    out = ask(*RUN, *lab).out
    assert out.count("   your laboratory's figure  ") == 3
    assert "methanol 850 g/hL, no doubt stated" in out
    assert "ethyl acetate 120 g/hL ± 12" in out
    read = json.loads(ask(*RUN, *lab, "--json").out)["laboratory"]
    assert [(one["congener"], one["doubt_g_hl"]) for one in read] == [
        ("methanol", None),
        ("furfural", None),
        ("ethyl acetate", 12.0),
    ]
    assert "two laboratory figures" in ask(*RUN, *lab, "--congener", "furfural 2 g/hL").err


def test_any_receiver_can_be_looked_into(ask):
    plan = ("--receivers", "foreshots 0.3 L, 4 x 0.5 L, heart to 60 % of the alcohol, rest")
    assert "Congeners in heart" in ask(*RUN, *plan).out
    assert "Congeners in jar 2" in ask(*RUN, *plan, "--look-in", "Jar 2").out
    assert "This plan has: foreshots, jar 1" in ask(*RUN, *plan, "--look-in", "barrel").err
    assert "if cut by the trade's habit" in ask(*RUN).out


def test_a_wash_run_once_says_what_it_is(ask):
    out = " ".join(ask("still", "run", "100 L 8.5 %", "--power", "6 kW", "--limit", "110 L").out.split())
    assert out.startswith("100 L of wash at 8.5 %vol give")
    assert "This is a wash run once" in out
    assert "heart of this one run" in out


@pytest.mark.parametrize(
    "more",
    [
        ("--receivers", "a very long name for what is first thrown away 0.3 L, 30 x 0.5 L, the rest of it"),
        ("--style", "pomace", "--bill", "60 kg sweet grape pomace, 20 kg pears"),
        ("--plates", "6", "--reflux-ratio", "4", "--altitude", "2000 m"),
        ("--stop", "77.5 %"),
    ],
)
@pytest.mark.parametrize("shown", ["metric", "us"])
def test_nothing_is_wider_than_80_columns_and_nothing_is_minus_nought(ask, monkeypatch, more, shown):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask(*RUN, *more, "--show", shown)
    assert code == 0
    assert max(map(len, out.splitlines())) <= 80
    assert not re.search(r"(?<![\d.])-0(\.0+)?(?![\d.])", out)
    assert not re.search(r"\de[+-]\d", out)


@pytest.mark.parametrize("stop", ["banana", "24 banana", "12", "half past two"])
def test_a_stop_that_is_none_gets_examples_of_every_kind(ask, stop):
    err = ask(*RUN, "--stop", stop).err
    for example in ("at the spout", "in the pot", "24 L", "vapour", "of the alcohol", "6 h"):
        assert example in err


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--least", "5", "5 gal or 5 L"),
        ("--limit", "30", "30 gal or 30 L"),
        ("--working-volume", "32.5", "32.5 gal or 32.5 L"),
        ("--altitude", "4500", "4500 ft or 4500 m"),
    ],
)
def test_a_bare_number_beside_gallons_is_asked_back(ask, option, value, said):
    """Five litres would not cover an element that needs five gallons, and nothing would tell."""
    still = ("still", "run", "16 gal 56 proof", "--power", "6 kW", "--element")
    code, out, err = ask(*still, option, value)
    assert (code, out) == (2, "")
    assert f"Write {said}." in err
    assert ask("still", "run", "60 L 28 %", "--power", "6 kW", "--limit", "110").code == 0
