"""Every command in a how-to is run, and what the page shows is what it answers."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from caskward.services import plans

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "howto"
NAMES = ("gauging", "tub", "moving-plan")
PAGES = {name: (FOLDER / f"{name}.md").read_text(encoding="utf-8") for name in NAMES}


def shown_on(page):
    """Every command of a page, with what the page shows of its answer."""
    blocks = re.findall(r"^```console\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)
    return [
        part
        for block in blocks
        for part in re.split(r"^\$ python3 run\.py ", block, flags=re.MULTILINE)
        if part
    ]


def files_on(page):
    """Logs that a page shows whole: name and text of each, the name at the head of its first line."""
    blocks = re.findall(r"^```text\n(# ([a-z-]+\.txt): .*?)^```$", page, re.MULTILINE | re.DOTALL)
    return {name: text for text, name in blocks}


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """One folder for what the commands of this page keep for each other."""
    return tmp_path_factory.mktemp("kept")


@pytest.fixture
def bench(ask, tmp_path, monkeypatch, kept):
    """Where a maker stands at a command of a page: the plan, the logs, what the batch before has taught."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("CASKWARD_CACHE", str(kept))
    monkeypatch.chdir(tmp_path)
    plan = f"worlds = 256\n{plans.starting_point('rye')}"
    shown = {name: text for page in PAGES.values() for name, text in files_on(page).items()}
    for name, text in {**shown, "mine.toml": plan, "next.toml": f'learned = "my-gear.toml"\n{plan}'}.items():
        Path(name).write_text(text, encoding="utf-8")

    def stand_at(command):
        if "next.toml" in command:
            ask("plan", "learn", "mine.toml", "--log", "after.txt", "--save", "my-gear.toml")

    return stand_at


SHOWN = [part for page in PAGES.values() for part in shown_on(page)]


@pytest.mark.parametrize("shown", SHOWN, ids=[part.partition("\n")[0] for part in SHOWN])
def test_a_command_answers_what_the_page_shows(ask, bench, shown):
    command, _, expected = shown.replace("\\\n", "").partition("\n")
    bench(command)
    said = ask(*shlex.split(command))
    answer = said.out + said.err
    at = 0
    for part in re.split(r"(?:^| )\.\.\.\n", expected, flags=re.MULTILINE):
        assert part in answer[at:], answer
        at = answer.index(part, at) + len(part)
    assert expected.strip()


@pytest.mark.parametrize(("name", "least"), [("gauging", 16), ("tub", 7), ("moving-plan", 9)])
def test_every_command_of_a_page_is_found(name, least):
    assert len(shown_on(PAGES[name])) == PAGES[name].count("$ python3 run.py ") >= least
