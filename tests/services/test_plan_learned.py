"""Closing batches: what is kept, what the next plan makes of it, and what must not be lost."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from caskward.cli.start import run
from caskward.planning.plan import Band
from caskward.services.plan_learned import HabitLine
from caskward.services.plan_learned_words import rows_of
from caskward.services.plans import starting_point

BATCH = [
    "--reading",
    "wash: 250 L, 7.2 %",
    "--reading",
    "strip: 70 L, 24 %",
    "--reading",
    "heart: 15 L, 70 %",
]


@pytest.fixture
def shed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a first plan, and the next that begins with what was learned."""
    monkeypatch.chdir(tmp_path)
    text = f"worlds = 256\n{starting_point('rye')}"
    (tmp_path / "first.toml").write_text(text, encoding="utf-8")
    (tmp_path / "next.toml").write_text(f'learned = "my-gear.toml"\n{text}', encoding="utf-8")
    return tmp_path


def test_batch_after_batch(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", "learn", "first.toml", *BATCH, "--save", "my-gear.toml"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Learned from 1 closed batch, 6 readings" in said
    assert "Starch in the rye" in said
    assert 'learned = "my-gear.toml"' in said

    assert run(["plan", "next.toml", "--json"]) in (0, 3)
    outcome = json.loads(capsys.readouterr().out)
    if outcome["outcome"] == "plan":
        assert "1 closed batch" in outcome["learned"]

    assert run(["plan", "learn", "next.toml", *BATCH]) == 2
    assert "learned from already" in capsys.readouterr().err

    more = ["--reading", "wash: 260 L, 7.9 %", "--save", "my-gear.toml", "--json"]
    assert run(["plan", "learn", "next.toml", *more]) == 0
    report = json.loads(capsys.readouterr().out)
    assert (report["batches"], report["readings"]) == (2, 8)
    assert all(line["batches"] <= 2 for line in report["lines"])
    assert "batches = 2" in (shed / "my-gear.toml").read_text("utf-8")


def test_what_a_ferment_taught_can_be_read_back(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Cells in a gram of yeast are thousands of millions."""
    taught = ["--reading", "ferment 2 d: 1.020", "--save", "my-gear.toml"]
    assert run(["plan", "learn", "first.toml", *taught]) == 0
    capsys.readouterr()
    assert "yeast.cells_per_g" in (shed / "my-gear.toml").read_text("utf-8")
    assert run(["plan", "why", "next.toml"]) == 0
    assert capsys.readouterr().err == ""


def test_other_batches_are_not_lost(shed: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["plan", "learn", "first.toml", *BATCH, "--save", "my-gear.toml"]) == 0
    before = (shed / "my-gear.toml").read_text("utf-8")
    other = ["--reading", "wash: 260 L, 7.9 %", "--save", "my-gear.toml"]
    assert run(["plan", "learn", "first.toml", *other]) == 2
    assert "would be lost" in capsys.readouterr().err
    assert (shed / "my-gear.toml").read_text("utf-8") == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["first.toml"], "the batch's readings"),
        ([], "the name of your plan's file"),
        (["first.toml", *BATCH, "--save", "gear.txt"], "TOML"),
        (["first.toml", *BATCH, "--save", "first.toml"], "would be lost"),
        (["next.toml", *BATCH], "my-gear.toml"),
    ],
)
def test_what_cannot_be_done_is_said(
    shed: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    assert run(["plan", "learn", *words]) == 2
    assert said in capsys.readouterr().err
    assert not (shed / "my-gear.toml").exists()


def test_a_share_by_weight_is_in_the_units_asked_for_with_two_digits() -> None:
    default, learned = Band(2.8, 3.8, 5.2), Band(3.04, 3.94, 12.3)
    line = HabitLine("separate.held_kg_per_kg", "what it holds", "positive", default, learned, 0.1, 0.8, 1)
    assert rows_of([line], "metric")[1] == ("What it holds", "3.8 kg/kg (2.8–5.2)", "3.9 kg/kg (3.0–12)", "1")
    assert rows_of([line], "us")[1][2] == "3.9 lb/lb (3.0–12)"
