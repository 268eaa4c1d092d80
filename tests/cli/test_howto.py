"""Every command in a how-to is run, and what the page shows is what it answers."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "howto"
PAGE = (FOLDER / "gauging.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```console\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
SHOWN = [
    part for block in BLOCKS for part in re.split(r"^\$ python3 run\.py ", block, flags=re.MULTILINE) if part
]


@pytest.mark.parametrize("shown", SHOWN, ids=[part.partition("\n")[0] for part in SHOWN])
def test_a_command_answers_what_the_page_shows(ask, tmp_path, monkeypatch, shown):
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)
    command, _, expected = shown.partition("\n")
    said = ask(*shlex.split(command))
    answer = said.out + said.err
    at = 0
    for part in re.split(r"^\.\.\.\n", expected, flags=re.MULTILINE):
        assert part in answer[at:], answer
        at = answer.index(part, at) + len(part)
    assert expected.strip()


def test_every_command_of_the_page_is_found():
    assert len(SHOWN) == PAGE.count("$ python3 run.py ") > 15
