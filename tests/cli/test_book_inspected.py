"""What an inspector reads: a damaged file, limits, periods corrected later, gains, traces, US units."""

from __future__ import annotations

import json
import shlex
import sqlite3
from contextlib import closing

import pytest


@pytest.fixture
def book(ask, tmp_path, monkeypatch):
    """Run a command of the book as typed in 80 columns."""
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "book.sqlite"))
    monkeypatch.setenv("CASKWARD_BY", "Maud")
    monkeypatch.setenv("COLUMNS", "80")
    return lambda line: ask("book", *shlex.split(line))


@pytest.fixture
def damaged(book, tmp_path):
    """A book with four notes, of which the second was changed by a stranger."""
    for words in ("one", "two", "three", "four"):
        assert book(f"note {words}").code == 0
    with closing(sqlite3.connect(tmp_path / "book.sqlite")) as stranger:
        stranger.execute("DROP TRIGGER entries_no_UPDATE")
        stranger.execute("UPDATE entries SET note = 'x' WHERE number = 2")
        stranger.execute(
            "CREATE TRIGGER entries_no_UPDATE BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'no'); END"
        )
        stranger.commit()
    return book


def test_a_check_names_the_first_bad_entry_and_counts_in_english(damaged):
    said = damaged("check")
    assert said.code == 3
    assert "1 finding in 4 entries" in said.out
    assert "the first bad entry is No 2" in " ".join(said.out.split())
    assert json.loads(damaged("check --json").out)["first_bad"] == 2


@pytest.mark.parametrize("line", ["report", "stock", "note five", "declare tub 100 L"])
def test_a_changed_book_is_neither_reported_nor_written_on(damaged, line):
    said = damaged(line)
    assert said.code != 0
    assert "Entry 2 was changed" in " ".join(said.err.split())
    assert "4 entries" in damaged("check").out
