"""`caskward plan update`, `why`, `next`, `remedy` as a maker types them, wrong words and other units too."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path

import pytest

MASH = ("--reading", "mash 3 h: 1.060, 61 C")
DRY = ("--reading", "ferment 5 d: 1.000")


def test_the_plan_says_that_it_can_be_asked_on(ask):
    code, out, _ = ask("plan", "--help")
    assert code == 0
    assert "plan update" in out


@pytest.mark.parametrize("question", ["update", "why", "next", "remedy"])
def test_help_and_a_missing_file(ask, question):
    helped = ask("plan", question, "--help")
    assert helped.code == 0
    assert "--reading ROW" in helped.out
    code, out, err = ask("plan", question)
    assert (code, out) == (2, "")
    assert f"plan {question} needs the name of your plan's file" in err


def test_the_sentence_comes_first_and_two_columns_follow_within_80(ask, mine, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("plan", "update", mine(), *MASH)
    assert code == 0
    lines = out.splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[3].startswith("The cask ")
    assert "by the plan" in out
    assert "Followed as read, unless it is wrong: temperature of the mash." in out
    assert ask("plan", "update", mine(), *MASH).out == out


def test_a_log_and_rows_come_together(ask, mine, tmp_path):
    log = tmp_path / "log.txt"
    log.write_text("# mine\nmash 1 h: 1.055, 62 C\nmash 3 h: 1.060\n", encoding="utf-8")
    code, out, _ = ask("plan", "update", mine(), "--log", str(log), "--reading", "wash: 8.4 %", "--json")
    assert code == 0
    found = json.loads(out)
    assert [r["quantity"] for r in found["readings"]] == ["gravity", "temperature", "gravity", "strength"]
    assert found["last"] == "wash"


def test_us_units_on_request(ask, mine):
    code, out, _ = ask("plan", "update", mine(), "--reading", "heart: 5.8 gal, 140 proof", "--show", "us")
    assert code == 0
    assert "gal" in out
    assert "proof" in out
    assert " L " not in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("nothere.toml", *MASH), "cannot be read"),
        (("rye",), "at least one reading"),
        (("rye", "mash 3 h: 1.060"), "Put a reading behind --reading and in quotes"),
        (("rye", "--reading", "mash: 1.060"), "hours since it began"),
        (("rye", "--reading", "run: 22 L"), "heart: 22 L, 70 %"),
        (("rye", "--reading", "distil 3 h: 70 %"), "not a known stage of a batch"),
        (("rye", "--reading", "strip 300 L: 20 %"), "Count litres from the first drop"),
        (("pears", "--reading", "mash 3 h: 1.060"), "tells nothing about this batch"),
        (("rye", "--log", "none.txt"), "none.txt cannot be read"),
        (("rye", *MASH, "--show", "imperial"), "not a known system of units"),
        (("rye", *MASH, "--spoon", "3"), "not a known option"),
    ],
)
def test_what_cannot_be_used_ends_in_one_sentence(ask, tmp_path, monkeypatch, words, said):
    monkeypatch.chdir(tmp_path)
    code, out, err = ask("plan", "update", *words)
    assert (code, out) == (2, "")
    assert said in err
    assert len(err.strip().splitlines()) == 1


def test_a_log_out_of_order_is_refused_by_name(ask, mine, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("log.txt").write_text("mash 3 h: 1.060\nmash 1 h: 1.058\n", encoding="utf-8")
    code, _, err = ask("plan", "update", mine(), "--log", "log.txt")
    assert code == 2
    assert err.startswith("log.txt is out of order: 'mash 1 h: 1.058'")


def test_a_file_called_like_a_question_is_planned_from_its_folder(ask, mine, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("update").write_text(Path(mine()).read_text(encoding="utf-8"), encoding="utf-8")
    code, out, _ = ask("plan", "./update", "--brief")
    assert code == 0
    assert "Shopping" in out
    refused = ask("plan", "update")
    assert refused.code == 2
    assert "plan ./update" in refused.err


def test_a_slip_in_the_question_is_asked_about(ask, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, _, err = ask("plan", "updat", "rye", *MASH)
    assert code == 2
    assert "Did you mean 'update'?" in err
    assert "cannot be read" in ask("plan", "updat").err


def test_a_plan_comes_through_a_pipe(ask, mine, pipe_in):
    pipe_in(Path(mine()).read_bytes())
    code, out, _ = ask("plan", "update", "-", "--reading", "wash: 8.4 %", "--json")
    assert code == 0
    assert json.loads(out)["last"] == "wash"


def test_why_names_what_the_doubt_is(ask, mine, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("plan", "why", mine(), "--of", "wash strength")
    assert code == 0
    assert "The strength of the wash stands at" in " ".join(out.split())
    assert "Starch in the rye" in out
    assert max(map(len, out.splitlines())) <= 80
    refused = ask("plan", "why", mine(), "--of", "wsh strength")
    assert refused.code == 2
    assert "Did you mean 'wash strength'?" in refused.err


def test_next_ranks_what_can_be_read(ask, mine, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("plan", "next", mine(), *DRY)
    assert code == 0
    assert "Read next: " in out
    assert "a minute" in out
    assert max(map(len, out.splitlines())) <= 80
    found = json.loads(ask("plan", "next", mine(), *DRY, "--json").out)["readings"]
    assert [r["now"] for r in found] == sorted((r["now"] for r in found), reverse=True)
    for one, other in pairwise(found):
        if one["now"] == other["now"]:
            assert one["narrower_per_minute"] >= other["narrower_per_minute"]


@pytest.mark.parametrize(
    ("row", "now"),
    [
        (None, {("mash", 1.5)}),
        ("mash 1 h: 1.058", {("mash", 1.5)}),
        ("ferment 2 d: 1.020", {("ferment", 96.0)}),
        ("ferment 5 d: 1.000", {("ferment", 144.0), ("wash", 0.0)}),
        ("wash: 330 L", {("wash", 0.0), ("strip", 0.0)}),
        ("strip 2 L: 50 %", {("strip", 0.0)}),
        ("strip: 108 L", {("strip", 0.0), ("charge", 0.0)}),
        ("charge: 116 L", {("charge", 0.0), ("run", 0.0)}),
        ("heart: 25 L", {("heart", 0.0), ("cask", 0.0)}),
    ],
)
def test_next_leads_with_what_can_be_read_at_this_point(ask, mine, row, now):
    """Hours are those of the plan's rests and of its yeast; a spout is read at the first moment to come."""
    given = ("--reading", row) if row else ()
    found = json.loads(ask("plan", "next", mine(), *given, "--json").out)["readings"]
    assert {(r["stage"], r["at_h"]) for r in found if r["now"]} == now
    assert len({r["at_l"] for r in found if r["now"] and r["stage"] in ("strip", "run")}) <= 1
    assert row != "strip: 108 L" or all(r["quantity"] != "spout" for r in found if r["stage"] == "strip")


def test_what_comes_later_stands_apart_with_when(ask, mine, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    _, out, _ = ask("plan", "next", mine(), "--reading", "wash: 330 L, 8.5 %", "--show", "us")
    assert max(map(len, out.splitlines())) <= 80
    now, _, later = out.partition("\n   later ")
    assert "can be read now" in now
    assert "after the last strip" in later
    rows = [line for line in out.splitlines() if re.search(r" \d+ +[\d.]+ (gal|fl oz) ", line)]
    assert len({unit for line in rows for unit in re.findall(r"gal|fl oz", line[-24:])}) == 1


def test_remedy_ranks_moves_and_says_how_each_becomes_the_plan(ask, mine, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("plan", "remedy", mine(), "--reading", "heart: 20 L, 70 %")
    assert code == 0
    assert max(map(len, out.splitlines())) <= 80
    flowing = " ".join(out.split())
    assert "moves get there, each alone" in flowing
    assert 'Once it is done, a row of your log says so: "less full: ' in flowing
    assert "Not open: hold and sugar (the yeast is in); rinse (the wash is in the still)" in flowing
    assert "as it stands" in out


def test_a_row_of_something_done_is_followed_by_every_question(ask, mine, tmp_path):
    log = tmp_path / "log.txt"
    rows = [
        "mashed: rye 40 kg, malt 20 kg, oats 15 kg",
        "wash: 8.4 %",
        "rinse: 2 x 15 L",
        "heart: 14 L, 70 %",
    ]
    log.write_text("\n".join(rows), encoding="utf-8")
    for question in ("update", "why", "next", "remedy", "learn"):
        code, out, _ = ask("plan", question, mine(), "--log", str(log))
        assert code == 0, question
        assert "Followed as done, in the place of the plan: 'mashed: rye 40 kg" in " ".join(out.split())
    refused = ask("plan", "update", mine(), "--log", str(log), "--reading", "rinse: 10 L")
    assert refused.code == 2
    assert "both say what was done once" in refused.err


@pytest.mark.parametrize(("short_by", "needed"), [(1, False), (6, True)])
def test_a_chance_short_of_the_wish_never_reads_like_it(ask, mine, short_by, needed):
    """What so few worlds cannot tell from the wish needs no mending."""
    row = ("--reading", "wash: 8.2 %, 330 L")
    now = json.loads(ask("plan", "remedy", mine(), *row, "--json").out)["chance_now"]
    aim = f"{int(100.0 * now) + short_by} %"
    report = json.loads(ask("plan", "remedy", mine(), *row, "--aim", aim, "--json").out)
    flowing = " ".join(ask("plan", "remedy", mine(), *row, "--aim", aim).out.split())
    assert report["needed"] is needed
    assert bool(report["offers"]) is needed
    shown = re.findall(r"(\d+) of 100 batches", flowing)[:2]
    assert shown[0] != shown[1]
    assert ("as good as" in flowing) is not needed


def test_remedy_shows_a_move_taken_and_refuses_one_that_is_over(ask, mine):
    heart = ("--reading", "heart: 20 L, 70 %")
    code, out, _ = ask("plan", "remedy", mine(), *heart, "--take", "smaller cask", "--show", "us")
    assert code == 0
    assert "with it" in out
    refused = ask("plan", "remedy", mine(), *heart, "--take", "sugar")
    assert refused.code == 2
    assert "'sugar' is not open: the yeast is in. Open are: " in refused.err
    assert "Did you mean 'heart end'?" in ask("plan", "remedy", mine(), "--take", "hart end").err
    assert "8 L, 28 %" in ask("plan", "remedy", mine(), *heart, "--feints", "8 L").err
    assert "the confidence to reach" in ask("plan", "remedy", mine(), *heart, "--aim", "sure").err
