"""Receivers of a run in the book: named as they are entered, seen wherever the batch is seen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from caskward.errors.batch_receivers import NoSuchReceiver
from caskward.services.book import batch_record, opened, verbs
from caskward.services.book.acting import Doing, Recorded
from caskward.services.book.asked import Asked
from caskward.services.book.opened import Book

MAUD = Doing(by="Maud", batch="rye 5")


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    """A book with a batch in it."""
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "book.sqlite"))
    with opened.to_write() as book:
        verbs.done_in(book, Asked("begin", ("rye 5",)), Doing(by="Maud"))
        yield book


def measured(book: Book, *rows: str, key: str = "") -> Recorded:
    return verbs.done_in(book, Asked("measure", rows), replace(MAUD, key=key))


def rows_of(book: Book) -> tuple[str, ...]:
    return batch_record.record_of(book, "rye 5").rows


def test_the_next_jar_gets_its_number_as_it_is_entered(book: Book) -> None:
    measured(book, "foreshots: 0.3 L, 80 %")
    measured(book, "jar: 1 L, 77 %")
    measured(book, "jar: 1 L")
    measured(book, "jar 1: +1, bread")
    assert rows_of(book)[1:3] == ("jar 1: 1 L, 77 %", "jar 2: 1 L")
    first = batch_record.record_of(book, "rye 5").runs.receivers[1]
    assert (first.name, first.pct_vol, first.mark.score, first.smells) == ("jar 1", 77.0, 1.0, ("bread",))


def test_a_change_that_is_sent_twice_is_one_jar(book: Book) -> None:
    assert not measured(book, "jar: 1 L", key="once").repeated
    assert measured(book, "jar: 1 L", key="once").repeated
    assert rows_of(book) == ("jar 1: 1 L",)


def test_a_jar_that_never_was_keeps_its_number_free_of_others(book: Book) -> None:
    measured(book, "jar: 1 L")
    wrong = measured(book, "jar: 9 L")
    measured(book, "jar: 1 L")
    verbs_gone = verbs.put_right(
        wrong.entry.number, Asked("", ()), MAUD, "pressed twice", str(book.place.file)
    )
    assert verbs_gone.entry.corrects == wrong.entry.number
    assert [one.name for one in batch_record.record_of(book, "rye 5").runs.receivers] == ["jar 1", "jar 3"]


def test_an_unknown_jar_is_refused_and_nothing_is_entered(book: Book) -> None:
    measured(book, "jar: 1 L")
    head = book.head().number
    with pytest.raises(NoSuchReceiver):
        measured(book, "jar 7: +1")
    assert book.head().number == head


def test_receivers_say_where_the_batch_stands_and_leave_its_forecast_alone(book: Book) -> None:
    measured(book, "begins: strip 1", "can: 20 L, 30 %")
    of = batch_record.record_of(book, "rye 5")
    assert of.rows[1] == "strip can 1: 20 L, 30 %"
    assert batch_record.stage_words(of) == "stripping"
    assert of.followed == ()
    measured(book, "begins: run 1", "run 3 L: 76 %, head 79.5 C")
    of = batch_record.record_of(book, "rye 5")
    assert batch_record.stage_words(of) == "spirit run"
    assert of.followed == ("run 3 L: 76 %",)
    assert [one.quantity for one in of.read] == ["spout"]
    assert of.rows_read[-1].stage == "run"


@pytest.mark.parametrize(
    ("begin", "text", "row"),
    [
        ("run 12 L", "71 % at 24 C", "run 12 L: 71 % at 24 C"),
        ("run 12 L", "18 L: 71 %", "run 18 L: 71 %"),
        ("run 12 L", "4.5 gal: 142 proof", "run 4.5 gal: 142 proof"),
        ("run 12 L", "heart: 20 L", "heart: 20 L"),
        ("jar", "1 L, 74 %", "jar: 1 L, 74 %"),
        ("strip", "8 L: 30 %", "strip 8 L: 30 %"),
        ("wash", "8 L: 30 %", "8 L: 30 %"),
        ("run 2 at 12 L", "71 %", "run 2 at 12 L: 71 %"),
        ("run 2 at 12 L", "18 L: 71 %", "run 2 at 18 L: 71 %"),
        ("run 2 at", "18 L: 71 %", "run 2 at 18 L: 71 %"),
        ("run 2 at", "run 18 L: 71 %", "run 2 at 18 L: 71 %"),
        ("strip 1 can", "20 L, 30 %", "strip 1 can: 20 L, 30 %"),
        ("strip 1 can", "can 7: 20 L", "strip 1 can 7: 20 L"),
        ("run 2 jar", "18 L: 71 %", "18 L: 71 %"),
    ],
)
def test_what_is_typed_at_other_litres_goes_there(begin: str, text: str, row: str) -> None:
    assert batch_record.whole_row(begin, text) == row
