"""Every command in a how-to is run, and what the page shows is what it answers."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "howto"
PAGES = {name: (FOLDER / f"{name}.md").read_text(encoding="utf-8") for name in ("gauging", "tub")}


def shown_on(page):
    """Every command of a page, with what the page shows of its answer."""
    blocks = re.findall(r"^```console\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)
    return [
        part
        for block in blocks
        for part in re.split(r"^\$ python3 run\.py ", block, flags=re.MULTILINE)
        if part
    ]


SHOWN = [part for page in PAGES.values() for part in shown_on(page)]


@pytest.mark.parametrize("shown", SHOWN, ids=[part.partition("\n")[0] for part in SHOWN])
def test_a_command_answers_what_the_page_shows(ask, tmp_path, monkeypatch, shown):
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)
    command, _, expected = shown.replace("\\\n", "").partition("\n")
    said = ask(*shlex.split(command))
    answer = said.out + said.err
    at = 0
    for part in re.split(r"(?:^| )\.\.\.\n", expected, flags=re.MULTILINE):
        assert part in answer[at:], answer
        at = answer.index(part, at) + len(part)
    assert expected.strip()


@pytest.mark.parametrize(("name", "least"), [("gauging", 16), ("tub", 7)])
def test_every_command_of_a_page_is_found(name, least):
    assert len(shown_on(PAGES[name])) == PAGES[name].count("$ python3 run.py ") >= least
