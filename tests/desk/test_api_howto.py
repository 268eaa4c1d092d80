"""Every command of the page about programs is run, in order, and what the page shows is what it answers."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.curl import asked_by

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "howto" / "api.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```console\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
SHOWN = [part for block in BLOCKS for part in re.split(r"^\$ ", block, flags=re.MULTILINE) if part]


def answers(said: str, shown: str) -> None:
    """Whether what is shown stands in an answer, in its order; `...` stands for anything."""
    at = 0
    for part in re.split(r"\s*\.\.\.\n|\n", shown):
        if part:
            assert part in said[at:], said
            at = said.index(part, at) + len(part)


def run(words: str) -> str:
    whole = [sys.executable, "-m", "caskward", *shlex.split(words)]
    done = subprocess.run(whole, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout + done.stderr


def test_a_page_answers_as_it_shows(desk, monkeypatch: pytest.MonkeyPatch) -> None:
    token = ""
    for one in SHOWN:
        command, _, shown = one.partition("\n")
        assert shown.strip(), command
        if command.startswith("curl"):
            answers(asked_by(desk.browser, command.replace("$TOKEN", token)).text, shown)
            continue
        said = run(command.removeprefix("python3 run.py "))
        token = said.split()[0] if "token add" in command else token
        answers(said, shown)


def test_every_command_is_found() -> None:
    assert len(SHOWN) == PAGE.count("\n$ ") == 13
    assert {one.split()[0] for one in SHOWN} == {"curl", "python3"}
