"""A program that is killed while it writes: what it acknowledged is there, and the book is whole.

Killing shows that a write is all or nothing and that nothing is acknowledged early. That a commit survives a
power cut rests on the settings that `test_guards` looks at.
"""

from __future__ import annotations

import random
import time

import pytest

from caskward.book.entry import Entry
from caskward.store.checking import check_book
from caskward.store.journal import open_journal
from caskward.store.place import Place
from tests.store import acts
from tests.store.workers import context, spoken, write_until_killed


def _kill_while_writing(place: Place, trial: int, drawn: random.Random) -> list[str]:
    """Keys that were acknowledged before the process was killed at a moment that it did not choose."""
    started = context()
    here, there = started.Pipe(duplex=False)
    process = started.Process(target=write_until_killed, args=(spoken(place), trial, there))
    process.start()
    there.close()
    acknowledged = [here.recv()]
    time.sleep(drawn.uniform(0.0, 0.08))
    process.kill()
    process.join()
    try:
        while True:
            acknowledged.append(here.recv())
    except (EOFError, OSError):
        return acknowledged


def _trials(place: Place, count: int, seed: int) -> None:
    drawn = random.Random(seed)
    with open_journal(place, now=lambda: acts.EVENING) as journal:
        for deed in acts.history(3):
            journal.append(deed)
    keys: list[str] = []
    for trial in range(count):
        keys += _kill_while_writing(place, trial, drawn)
        with open_journal(place, create=False) as journal:
            there: list[Entry] = list(journal.entries())
            checked = check_book(journal.link)
        entered = [entry.key for entry in there]
        assert checked.whole, checked.findings
        assert set(keys) <= set(entered), "an acknowledged entry is lost"
        # At most the one that was being written when the process was killed is there without our knowing.
        assert len(entered) - 3 - len(keys) <= trial + 1
        assert there[-1].number == len(there)
    assert len(keys) > count


def test_ten_kills_lose_nothing(file_place: Place) -> None:
    _trials(file_place, 10, seed=7)


def test_kills_lose_nothing_on_either_database(place: Place) -> None:
    _trials(place, 3, seed=11)


@pytest.mark.slow
def test_fifty_kills_lose_nothing(place: Place) -> None:
    _trials(place, 50, seed=20260302)
