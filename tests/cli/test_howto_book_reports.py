"""The page about asking the book: every command is run on the invented year, and answers what is shown."""

from __future__ import annotations

import re
import shlex
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.cli.conftest import Said

PAGE = Path(__file__).resolve().parents[2] / "docs" / "howto" / "book-reports.md"


def shown() -> list[str]:
    """Every command of the page, with what the page shows of its answer."""
    blocks = re.findall(
        r"^```console\n(.*?)^```$", PAGE.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL
    )
    return [part for block in blocks for part in re.split(r"^\$ python3 run\.py ", block, flags=re.M) if part]


@pytest.fixture
def _in_utc(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Days of the page are those of UTC: elsewhere a batch of 30 September is gauged on 1 October."""
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.usefixtures("_in_utc")
@pytest.mark.skipif(not hasattr(time, "tzset"), reason="this machine's clock has one time zone")
def test_the_page_in_its_order(
    ask: Callable[..., Said], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("CASKWARD_BY", "Edda")
    monkeypatch.setenv("CASKWARD_BOOK", "low-marl-farm.sqlite")
    for part in shown():
        command, _, expected = part.partition("\n")
        said = ask(*shlex.split(command))
        assert said.code == 0, said.err
        at = 0
        for piece in re.split(r" ?\.\.\.\n", expected):
            assert piece in said.out[at:], (command, piece, said.out)
            at = said.out.index(piece, at) + len(piece)


def test_every_command_of_the_page_is_found() -> None:
    assert len(shown()) == PAGE.read_text(encoding="utf-8").count("$ python3 run.py ") == 9
