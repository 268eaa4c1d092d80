"""`caskward tub simulate` as a maker types it, wrong words and other units among them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest


def test_the_tub_has_its_questions(ask):
    code, out, _ = ask("tub")
    assert code == 0
    assert "simulate" in out
    assert "ask" in out
    refused = ask("tub", "simulat", "rye")
    assert refused.code == 2
    assert "Did you mean 'simulate'?" in refused.err


def test_without_a_file_it_says_what_it_needs(ask):
    code, out, err = ask("tub", "simulate")
    assert (code, out) == (2, "")
    assert "needs the file of a plan" in err
    assert "tub simulate rye" in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("nothere.toml",), "cannot be read"),
        (("rye", "--set-point", "55C"), "kept between 18 °C and 39 °C"),
        (("rye", "--days", "-3"), "must lie between"),
        (("rye", "--days", "soon"), "not understood as the number of days"),
        (("rye", "--room", "warm"), "not understood as the room"),
        (("rye", "--log", "none.txt"), "none.txt cannot be read"),
        (("rye", "--reading", "mash 2 h: bubbles no"), "no reading of a mash"),
        (("rye", "--reading", "cook 2 h: 60 C"), "not a known stage of a tub"),
        (("pears", "--reading", "mash 30 min: 62 C"), "holds no starch"),
        (("rye", "--show", "imperial"), "not a known system of units"),
        (("rye", "--svg", "tub.pdf"), "not the name of a .svg file"),
        (("rye", "--spoon", "3"), "not a known option"),
    ],
)
def test_what_cannot_be_used_ends_in_one_sentence(ask, tmp_path, monkeypatch, words, said):
    monkeypatch.chdir(tmp_path)
    code, out, err = ask("tub", "simulate", *words)
    assert (code, out) == (2, "")
    assert said in err
    assert len(err.strip().splitlines()) == 1


def test_the_sentence_comes_first_and_all_parts_follow_within_80_columns(ask, mine, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("tub", "simulate", mine())
    assert code == 0
    assert max(map(len, out.splitlines())) <= 80
    parts = (
        "is dry after",
        "Cook, one tub",
        "Stir in and land",
        "Mash, hours",
        "Pitch",
        "Ferment",
        "Separate",
    )
    places = [out.index(part) for part in parts]
    assert places == sorted(places)
    for caution in ("sticks to skin", "sensitise the lungs", "sinks and kills", "heavy and slippery"):
        assert caution in " ".join(out.split())


def test_a_us_maker_gets_no_litre_and_no_degree_celsius(ask, mine, monkeypatch):
    """Nitrogen stays in mg/L and cells per mL, as they are sold and read; a caution of the catalogue says
    60 °C."""
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("tub", "simulate", mine(('show = "metric"', 'show = "us"')), "--set-point", "84 F")
    assert code == 0
    assert max(map(len, out.splitlines())) <= 80
    rest = re.sub(r"mg/L|cells/mL|Mash above 60 °C", "", out)
    assert not re.search(r"\d L\b|\d mL\b|\bg/L|litre|°C|\d kg\b|\d g\b|m³|LPA", rest)
    for unit in ("gal", "°F", "PG", "cu ft", "oz/gal", "lb"):
        assert unit in out


def test_readings_move_the_dry_date(ask, mine):
    name = mine()
    slow = ("--reading", "ferment 2 d: 1.050, 24 C", "--reading", "ferment 3 d: 1.042")
    plain = json.loads(ask("tub", "simulate", name, "--json").out)["ferment"]
    code, out, _ = ask("tub", "simulate", name, "--json", *slow)
    assert code == 0
    after = json.loads(out)["ferment"]
    assert after["dry_d"]["mid"] is None or after["dry_d"]["mid"] > plain["dry_d"]["mid"] + 1.0
    assert [fit["value"] for fit in after["fits"]] == [1.05, 1.042]
    said = ask("tub", "simulate", name, *slow).out
    assert "before your readings" in said
    assert "Your readings" in said


def test_files_are_written_and_never_over_somebody_s_work(ask, mine, tmp_path):
    name = mine()
    files = {kind: tmp_path / f"tub.{kind}" for kind in ("csv", "svg", "pdf")}
    code, out, _ = ask("tub", "simulate", name, *(w for k, p in files.items() for w in (f"--{k}", str(p))))
    assert code == 0
    assert files["csv"].read_text("utf-8").startswith("hours,")
    assert files["svg"].read_text("utf-8").startswith("<svg")
    assert files["pdf"].read_bytes().startswith(b"%PDF")
    assert str(files["pdf"]) in out
    notes = Path(tmp_path / "notes.csv")
    notes.write_text("my notes of years", "utf-8")
    refused = ask("tub", "simulate", name, "--csv", str(notes))
    assert refused.code == 2
    assert notes.read_text("utf-8") == "my notes of years"


def test_pears_have_no_cook_and_say_why(ask, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("tub", "simulate", "pears", "--set-point", "16C", "--days", "5")
    assert code == 0
    assert "Cook, one tub" not in out
    assert "No cook and no mash" in out
    assert "Pectin enzyme" in out
    assert max(map(len, out.splitlines())) <= 80
