"""`still learn`, `still methanol` and `still choose` as they are typed, and what goes wrong in one line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

LOG = """altitude = "140 m"
[[run]]
name = "12 March"
charge = "60 L 28 %"
power = "6 kW"
heat_up = "58 min"
from = "12 C"
points = [["1 L", "79.5 %"], ["5 L", "77.6 %"], ["10 L", "73.5 %"], ["15 L", "66 %"]]
[[run]]
charge = "65 L 27 %"
power = "6 kW"
points = [["2 L", "78.6 %"], ["8 L", "75 %"], ["14 L", "50 %"]]
"""
US_LOG = """[[run]]
charge = "16 gal 56 proof"
power = "6 kW"
points = [["1 qt", "159 proof"], ["2 gal", "120 proof"], ["3 gal", "143 proof"]]
"""
JARS = """name,volume,strength,mark,ethyl acetate
1,1 L,78 %,discard,
2,1 L,76 %,+1,30
3,1 L,70 %,+2,8
4,1 L,55 %,-2,2
"""
STILL = ("--power", "6 kW", "--limit", "110 L")


@pytest.fixture
def files(tmp_path: Path) -> Path:
    (tmp_path / "runs.toml").write_text(LOG, encoding="utf-8")
    (tmp_path / "us.toml").write_text(US_LOG, encoding="utf-8")
    (tmp_path / "jars.csv").write_text(JARS, encoding="utf-8")
    return tmp_path


def test_what_was_learned_is_kept_and_used(ask, files):
    out = str(files / "still.toml")
    code, said, err = ask("still", "learn", str(files / "runs.toml"), "--save", out)
    assert (code, err) == (0, "")
    assert "Hard to believe: run 2, at 14.0 L: 50.0 %vol was read where" in " ".join(said.split())
    assert f"Kept in {out}" in said.replace("\n", " ")
    run = ask("still", "run", "60 L 28 %", *STILL, "--learned", out)
    assert "Learned from 2 runs of this still" in " ".join(run.out.split())
    told = json.loads(ask("still", "strip", "100 L 8 %", *STILL, "--learned", out, "--json").out)
    assert told["learned"].startswith("Learned from 2 runs")
    usual = json.loads(ask("still", "strip", "100 L 8 %", *STILL, "--json").out)
    assert usual["learned"] == ""
    assert told["low_wines_pct_vol"]["mid"] > usual["low_wines_pct_vol"]["mid"]


def test_a_us_log_is_answered_in_gallons_and_proof(ask, files):
    said = " ".join(ask("still", "learn", str(files / "us.toml")).out.split())
    assert "at 2.00 gal: 120.0 proof was read where" in said
    metric = " ".join(ask("still", "learn", str(files / "us.toml"), "--show", "metric").out.split())
    assert "at 7.57 L: 60." in metric


@pytest.mark.parametrize(
    ("old", "new", "row"),
    [
        ('["14 L", "50 %"]', '["14 L", "98 %"]', "run 2, reading 3"),
        ('["14 L", "50 %"]', '["6 L", "50 %"]', "run 2, reading 3"),
        ('["14 L", "50 %"]', '["74 L", "50 %"]', "run 2, reading 3"),
        ('["14 L", "50 %"]', '["60 L", "60 %"]', "run 2, reading 3"),
        ('heat_up = "58 min"', 'heat_up = "5 min"', "12 March, heat-up"),
        ('heat_up = "58 min"', 'heat_up = "-5 min"', "below zero"),
        ('["14 L", "50 %"]', '["-14 L", "50 %"]', "below zero"),
        ('charge = "65 L 27 %"', 'name = "12 March"\ncharge = "65 L 27 %"', "Two runs are called"),
    ],
)
def test_a_log_that_cannot_be_is_refused(ask, files, old, new, row):
    assert old in LOG
    (files / "bad.toml").write_text(LOG.replace(old, new, 1), encoding="utf-8")
    code, out, err = ask("still", "learn", str(files / "bad.toml"))
    assert (code, out) == (2, "")
    assert row in err
    assert err.count("\n") <= 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("methanol",), "what the batch is made of"),
        (("methanol", "60 kg"), "60 kg pears"),
        (("methanol", "--style", "wurst"), "grain, fruit, sugar"),
        (("methanol", "pears", "--bottled", "0.4 %"), "between 1 and 96"),
        (("learn", "runs.toml", "--save", "still.csv"), "my-still.toml"),
        (("learn", "runs.toml", "--save", "runs.toml"), "would be lost"),
        (("run", "60 L 28 %", *STILL, "--learned", "runs.toml"), "a log of runs"),
        (("run", "60 L 28 %", *STILL, "--learned", "none.toml"), "cannot be read"),
        (("choose", "jars.csv", "--entry", "63 %", "--take", ","), "names of jars"),
        (("choose", "jars.csv", "--entry", "63 %", "--take", "9"), "not a known jar"),
        (("choose", "jars.csv", "--entry", "63 %", "--take", "2", "--free"), "do not go together"),
        (("choose", "jars.csv", "--entry", "63 %", "--seconds", "2"), "Add --free"),
        (("choose", "jars.csv", "--entry", "63 %", "--free", "--seconds", "0"), "between 0.01 and 600"),
        (("choose", "jars.csv", "--entry", "63 %", "--near"), "--cask"),
        (("choose", "jars.csv", "--entry", "163 %"), "163 %vol"),
        (
            ("choose", "jars.csv", "--entry", "63 %", "--cap", "ethil acetate 3 mg/L"),
            "Did you mean 'ethyl acetate'",
        ),
    ],
)
def test_wrong_words_end_in_one_line(ask, files, monkeypatch, words, said):
    monkeypatch.chdir(files)
    code, out, err = ask("still", *words)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


def test_a_wish_out_of_reach_says_what_comes_nearest(ask, files):
    jars = str(files / "jars.csv")
    code, _, err = ask("still", "choose", jars, "--cask", "5 gal", "--entry", "126 proof", "--show", "us")
    assert code == 3
    assert "comes to at most 0.842 gal (at least 5.00 gal is asked)" in err
    code, _, err = ask(
        "still", "choose", jars, "--cask", "1 L", "--entry", "63 %", "--cap", "ethyl acetate 1 g/hL"
    )
    assert code == 3
    assert "g/hL of pure alcohol (at most 1 g/hL of pure alcohol is asked)" in err


@pytest.mark.parametrize("columns", ["80", "100"])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_nothing_is_wider_than_the_screen(ask, files, monkeypatch, columns, units):
    monkeypatch.setenv("COLUMNS", columns)
    jars = str(files / "jars.csv")
    asked = (
        ("methanol", "pears"),
        ("methanol", "--style", "grain"),
        ("learn", str(files / "us.toml")),
        ("choose", jars, "--cask", "1 L", "--entry", "63 %", "--cap", "ethyl acetate 300 mg/L"),
        ("choose", jars, "--cask", "9 L", "--entry", "63 %", "--take", "1, 2"),
    )
    for words in asked:
        code, out, _ = ask("still", *words, "--show", units)
        assert code == 0
        assert max(map(len, out.splitlines())) <= int(columns)


def test_json_has_no_digits_of_the_arithmetic(ask, files):
    jars = str(files / "jars.csv")
    for words in (
        ("methanol", "pears"),
        ("learn", str(files / "runs.toml")),
        ("choose", jars, "--entry", "63 %"),
    ):
        out = ask("still", *words, "--json").out
        assert json.loads(out)
        assert "NaN" not in out
        numbers = [word.strip(",") for line in out.splitlines() for word in line.split() if "." in word]
        digits = [
            len(n.lstrip("-0.").replace(".", "")) for n in numbers if n.replace(".", "").lstrip("-").isdigit()
        ]
        assert digits
        assert max(digits) <= 6


def test_a_forecast_s_receivers_can_be_chosen_from(ask, tmp_path):
    """Twelve jars of a litre as the run may fill them, under a cap that the first ones break."""
    jars = str(tmp_path / "jars.toml")
    run = ("still", "run", "60 L 28 %", *STILL, "--receivers", "foreshots 0.3 L, 12 x 1 L, tails")
    assert f"The receivers, for still choose: {jars}" in ask(*run, "--jars", jars).out.replace("\n", " ")
    cap = ("--cap", "ethyl acetate 15 g/hL")
    told = json.loads(
        ask(
            "still",
            "choose",
            jars,
            "--cask",
            "8 L",
            "--entry",
            "63 %",
            "--aim",
            "alcohol",
            "--free",
            *cap,
            "--json",
        ).out
    )
    taken = [jar["name"] for jar in told["jars"] if jar["share"] > 0]
    assert "jar 1" not in taken
    assert "jar 12" in taken
    assert told["jars"][0]["place"] == "discard"
    assert told["levels"][0]["mg_per_l"]["mid"] <= 150.0
    assert "a forecast's middle figures" in " ".join(
        ask("still", "choose", jars, "--entry", "63 %").out.split()
    )
    again = ask(*run, "--jars", jars)
    assert again.code == 2
    assert "would be lost" in again.err
    assert ask(*run, "--jars", "jars.csv").code == 2


def test_a_us_run_leaves_jars_in_gallons_and_proof(ask, tmp_path):
    jars = tmp_path / "jars.toml"
    run = ("still", "run", "16 gal 56 proof", "--power", "6 kW", "--limit", "29 gal")
    assert ask(*run, "--receivers", "20 x 1 qt, tails", "--jars", str(jars)).code == 0
    assert 'volume = "0.25 gal"' in jars.read_text(encoding="utf-8")
    assert "proof" in ask("still", "choose", str(jars), "--entry", "126 proof").out


@pytest.mark.parametrize("word", ["pears", "pomace", "cider", "sugar"])
def test_methanol_takes_the_same_words_for_a_style_as_a_run_does(ask, word):
    code, out, err = ask("still", "methanol", "--style", word)
    assert (code, err) == (0, "")
    assert "Cuts do not remove methanol" in out


def test_a_style_beside_a_bill_is_not_dropped_in_silence(ask):
    code, out, err = ask("still", "methanol", "20 kg malt", "--style", "fruit")
    assert (code, out) == (2, "")
    assert "leave --style out" in err


def test_places_that_cannot_be_written_are_refused_before_anything_is_worked_out(ask, files, monkeypatch):
    from caskward.services import still_learned, still_run

    def worked_out(*_):
        raise AssertionError("worked out before the file was looked at")

    monkeypatch.setattr(still_run, "run", worked_out)
    monkeypatch.setattr(still_learned, "learned", worked_out)
    log, run = str(files / "runs.toml"), ("still", "run", "60 L 28 %", "--power", "6 kW")
    (files / "mine.toml").write_text("readings", encoding="utf-8")
    for words, why in (
        ((*run, "--jars", str(files / "no" / "jars.toml")), "there is no folder"),
        ((*run, "--jars", str(files / "mine.toml")), "would be lost"),
        (("still", "learn", log, "--save", str(files / "no" / "my.toml")), "there is no folder"),
    ):
        code, out, err = ask(*words)
        assert (code, out) == (2, "")
        assert why in err
