"""Every command on the page about the book is run, one after the other, and answers what the page shows."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from caskward.services import plans

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "howto" / "book.md").read_text(encoding="utf-8")
COMMANDS = [
    part
    for block in re.findall(r"^```console\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    for part in re.split(r"^\$ python3 run\.py ", block, flags=re.MULTILINE)
    if part
]


@pytest.fixture
def shed(tmp_path, monkeypatch):
    """A folder with a plan in it and an empty book beside it."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "farm.sqlite"))
    monkeypatch.setenv("CASKWARD_BY", "Maud")
    monkeypatch.chdir(tmp_path)
    Path("mine.toml").write_text(f"worlds = 256\n{plans.starting_point('rye')}", encoding="utf-8")


def test_the_page_is_what_the_commands_answer(ask, shed):
    assert len(COMMANDS) == PAGE.count("$ python3 run.py ") >= 20
    for shown in COMMANDS:
        command, _, expected = shown.replace("\\\n", "").partition("\n")
        said = ask(*shlex.split(command))
        answer = said.out + said.err
        at = 0
        for part in re.split(r"(?:^| )?\.\.\.(?:\n| )", expected, flags=re.MULTILINE):
            assert part in answer[at:], f"{command}\n{answer}"
            at = answer.index(part, at) + len(part)
        assert expected.strip()
