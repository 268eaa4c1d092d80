"""`caskward still`: every question as it is typed, and what goes wrong in one line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from caskward.cli.still import QUESTIONS, rows_joined
from caskward.cli.still_plot import Plot, columns, litres_axis, soft_mark
from caskward.services import Band

RUN = ("still", "run", "60 L 28 %", "--power", "6 kW", "--limit", "110 L")
STRIP = ("still", "strip", "350 L 8.5 %", "--power", "6 kW", "--limit", "110 L")
FEINTS = ("still", "feints", "90 L 26 %", "--power", "6 kW", "--limit", "110 L")
JARS = "name,volume,strength,mark\n1,1 L,78 %,discard\n2,1 L,76 %,+1\n3,1 L,70 %,+2\n4,1 L,55 %,-2\n"
LOG = '[[run]]\ncharge = "60 L 28 %"\npower = "6 kW"\npoints = [["2 L", "78 %"], ["10 L", "72 %"]]\n'


@pytest.fixture
def jars(tmp_path: Path) -> str:
    (tmp_path / "jars.csv").write_text(JARS, encoding="utf-8")
    return str(tmp_path / "jars.csv")


def test_a_run_is_told_from_the_answer_to_the_cautions(ask):
    code, out, err = ask(*RUN, "--altitude", "140 m", "--element", "--receivers", "24", "x", "1", "L")
    assert (code, err) == (0, "")
    assert out.startswith("60.0 L of low wines at 28.0 %vol give ")
    parts = [
        "What runs, against the litres collected",
        "Strength at the spout, %vol",
        "Congeners in what runs",
        "Receivers",
        "jar 24",
        "Congeners in the receivers, g/hL of pure alcohol",
        "Published thresholds for one compound differ tenfold",
        "Where the trade usually changes receivers",
        "your nose and local practice decide",
        "Distilling without a licence is a crime",
    ]
    places = [" ".join(out.split()).index(part) for part in parts]
    assert places == sorted(places)
    assert out.count("differ tenfold") == 1
    assert max(map(len, out.splitlines())) <= 100


@pytest.mark.parametrize(
    "words", [RUN, STRIP, FEINTS, (*RUN, "--style", "fruit"), ("still", "methanol", "pears")]
)
@pytest.mark.parametrize("columns", ["80", "100"])
def test_nothing_is_wider_than_the_screen(ask, monkeypatch, words, columns):
    monkeypatch.setenv("COLUMNS", columns)
    code, out, _ = ask(*words)
    assert code == 0
    assert max(map(len, out.splitlines())) <= int(columns)


@pytest.mark.parametrize("words", [RUN, STRIP, FEINTS, ("still", "methanol", "60 kg pears")])
def test_json_is_json(ask, words):
    code, out, _ = ask(*words, "--json")
    assert code == 0
    read = json.loads(out)
    assert read["seed"] == 1


def test_a_gallon_is_answered_in_gallons(ask):
    out = ask("still", "run", "16 gal 56 proof", "--power", "6 kW", "--limit", "29 gal").out
    assert "gal" in out.splitlines()[0]
    assert "Vapour, °F" in out


def test_a_site_s_rule_is_shown_and_recorded(ask):
    rule = ("--strongest", "60 %", "--site-rule", "Certificate 7: up to 60 %vol")
    strong = ("still", "run", "60 L 55 %", "--power", "6 kW", "--limit", "110 L")
    code, _, err = ask(*strong)
    assert code == 2
    assert "add 23.1 L of water, which makes 82.54 L at 40.0 %vol" in err
    assert "Certificate 7" in ask(*strong, *rule).out
    assert json.loads(ask(*strong, *rule, "--json").out)["charge"]["site_rule"] == rule[-1]


def test_files_are_written_and_said(ask, tmp_path):
    names = [str(tmp_path / f"run.{end}") for end in ("csv", "svg", "pdf")]
    code, out, _ = ask(*RUN, "--csv", names[0], "--svg", names[1], "--pdf", names[2])
    assert code == 0
    assert all(name in out for name in names)
    assert all(Path(name).stat().st_size > 1000 for name in names)
    code, out, err = ask(*RUN, "--svg", names[1], "--json")
    assert json.loads(out)
    assert names[1] in err


def test_jars_are_chosen(ask, jars):
    cut = ask("still", "choose", jars, "--cask", "2 L", "--entry", "63 %")
    assert cut.code == 0
    assert cut.out.startswith("Take 2 and 3: 2.32 L")
    free = ask("still", "choose", jars, "--cask", "2 L", "--entry", "63 %", "--free", "--json")
    assert json.loads(free.out)["gap"] == 0.0
    own = ask("still", "choose", jars, "--entry", "63 %", "--take", "2, 4")
    assert own.out.startswith("Take 2 and 4:")
    short = ask("still", "choose", jars, "--cask", "25 L", "--entry", "63 %")
    assert short.code == 3
    assert "at most" in short.err


def test_a_log_teaches(ask, tmp_path):
    (tmp_path / "runs.toml").write_text(LOG, encoding="utf-8")
    code, out, _ = ask("still", "learn", str(tmp_path / "runs.toml"))
    assert code == 0
    assert "1 run with 2 readings" in out
    assert "your still" in out
    assert json.loads(ask("still", "learn", str(tmp_path / "runs.toml"), "--json").out)["runs"] == 1


@pytest.mark.parametrize(
    "words",
    [
        ("still", "brew"),
        ("still", "run"),
        ("still", "run", "60 L 28 %"),
        ("still", "run", "60", "--power", "6 kW"),
        (*RUN, "--stop", "98 C"),
        (*RUN, "--kind", "kettle"),
        (*RUN, "--style", "milk"),
        (*RUN, "--plates", "many"),
        (*RUN, "--plates", "99"),
        (*RUN, "--dephlegmator", "99 %"),
        (*RUN, "--altitude", "12 km"),
        (*RUN, "--receivers", "heart"),
        (*RUN, "--receivers", "0 x 1 L"),
        (*RUN, "--svg", "run.png"),
        (*RUN, "--from", "barrel"),
        (*RUN, "--colour", "blue"),
        (*STRIP, "--solids", "60 %"),
        (*STRIP, "--charges", "some"),
        ("still", "strip", "350 L 8.5 %", "--power", "6 kW"),
        (*FEINTS, "--throw", "hearts"),
        (*FEINTS, "--heads-thrown", "120 %"),
        (*FEINTS, "--cap", "ether"),
        ("still", "choose", "nowhere.toml", "--entry", "63 %"),
        ("still", "choose"),
        ("still", "learn", "nowhere.toml"),
        ("still", "methanol", "60 L pears"),
    ],
)
def test_what_cannot_be_used_ends_in_one_line_and_a_two(ask, words):
    code, out, err = ask(*words)
    if words[-1] == "heart":
        assert code == 0, "one receiver that takes all is a plan"
        return
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert "went wrong" not in err


def test_every_question_has_a_help(ask):
    code, out, _ = ask("still")
    assert code == 0
    for name, what in QUESTIONS.items():
        assert what in out
        helped = ask("still", name, "--help")
        assert helped.code == 0
        assert "--json" in helped.out


def test_a_row_of_receivers_needs_no_quotes():
    assert rows_joined(["60 L", "--receivers", "24", "x", "1", "L", "--json"]) == [
        "60 L",
        "--receivers",
        "24 x 1 L",
        "--json",
    ]
    assert rows_joined(["--receivers"]) == ["--receivers"]
    assert rows_joined(["--receivers", "24 x 1 L", "--element"]) == ["--receivers", "24 x 1 L", "--element"]


def test_a_column_is_hard_to_the_low_end_and_fades_to_the_high_one():
    lines = columns(Plot("", [Band(4.0, 6.0, 8.0)] * 2, 0.0, 10.0, 10), 3)
    column = [line[7] if len(line) > 7 else " " for line in lines]
    assert "".join(column) == "  ░▒▒▓████"
    sure = columns(Plot("", [Band(5.0, 5.0, 5.0)] * 2, 0.0, 10.0, 10), 3)
    assert not set("".join(sure)) & set("▓▒░")


def test_axis_and_marks_stay_inside():
    rule, words = litres_axis(28.8, 72, "L")
    assert words.split() == ["0", "5", "10", "15", "20", "25", "L"]
    assert len(rule) == 7 + 72
    assert len(words) <= 80
    for b in (Band(0.0, 0.0, 0.0), Band(1.0, 2.0, 3.0), Band(28.0, 28.7, 28.8), Band(20.0, 50.0, 90.0)):
        line = soft_mark(b, 28.8, 72, "heads end")
        assert "▲" in line
        assert len(line) <= 79
