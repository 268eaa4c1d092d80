"""`caskward demo`: the invented farm at the desk, or as text with its run sheet and what to do next."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from caskward.cli import demo
from tests.cli.test_desk import PATIENCE_S, _environment, _free_port, _once_it_is_open, asked_for


def test_the_demo_plans_writes_a_run_sheet_and_says_what_next(ask, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, err = ask("demo", "--text")
    assert (code, err) == (0, "")
    sheets = list((tmp_path / "out").iterdir())
    assert [sheet.read_bytes()[:5] for sheet in sheets] == [b"%PDF-"]
    assert out.startswith("Rye, malt and oats · Low Marl Farm")
    assert "Every figure is invented." in out
    ending = out[out.index("The run sheet") :]
    assert str(sheets[0].relative_to(tmp_path)) in ending
    assert "plan --new > mine.toml" in ending
    assert "plan mine.toml --pdf mine.pdf" in ending


def test_the_demo_goes_where_it_is_told_and_speaks_json(ask, tmp_path):
    code, out, err = ask("demo", "--json", "--out", str(tmp_path / "a" / "b"))
    assert code == 0
    assert json.loads(out)["invented"] is True
    assert len(list((tmp_path / "a" / "b").glob("*.pdf"))) == 1
    assert str(tmp_path) in err


def test_a_folder_that_cannot_be_made_is_named(ask, tmp_path):
    (tmp_path / "file").touch()
    code, _, err = ask("demo", "--out", str(tmp_path / "file" / "x"))
    assert code == 2
    assert str(tmp_path / "file" / "x") in err
    assert err.count("\n") == 1


def test_in_a_pipe_it_ends_by_itself(ask, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, _ = ask("demo")
    assert code == 0
    assert out.startswith("Rye, malt and oats")


@pytest.mark.parametrize(
    ("ci", "terminal", "there"), [("", True, True), ("true", True, False), ("", False, False)]
)
def test_the_desk_opens_only_where_somebody_can_close_it(monkeypatch, ci, terminal, there):
    monkeypatch.setenv("CI", ci)
    monkeypatch.setattr(sys, "stdin", Terminal() if terminal else sys.__stdin__)
    monkeypatch.setattr(sys, "stdout", Terminal())
    assert demo.somebody_is_there() is there


class Terminal:
    def isatty(self) -> bool:
        return True


def test_two_wishes_at_once_are_asked_back(ask):
    code, _, err = ask("demo", "--serve", "--text")
    assert code == 2
    assert "--serve" in err


@pytest.mark.skipif(os.name == "nt", reason="stopped by a signal that Windows does not have")
def test_the_desk_opens_on_a_batch_under_way_and_leaves_nothing_behind(tmp_path: Path):
    port = _free_port()
    words = [sys.executable, "-m", "caskward", "demo", "--serve", "--no-browser", "--port", str(port)]
    surroundings = {**_environment(tmp_path), "TMPDIR": str(tmp_path)}
    with subprocess.Popen(
        words, env=surroundings, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as running:
        page = _once_it_is_open(asked_for(port, "/batches"), running)
        running.send_signal(signal.SIGINT)
        said = running.communicate(timeout=PATIENCE_S)[0]
    assert "rye 5" in page
    assert f"http://localhost:{port}/" in said
    assert "Traceback" not in said
    assert running.returncode == 0
    assert list(tmp_path.glob("caskward-demo-*")) == []
