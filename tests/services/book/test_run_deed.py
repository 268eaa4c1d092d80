"""A run's receivers as a deed between accounts, where the book has the charge and every figure was read."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from caskward.services.book import batch_record, opened, run_deed, verbs
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked
from caskward.services.book.opened import Book

MAUD = Doing(by="Maud", batch="rye 5")
CHARGED = (
    ("declare", "pot still 130 L"),
    ("declare", "tank 200 L"),
    ("begin", "rye 5"),
    ("receive", '50 kg rye from "Hill Farm"'),
    ("mash", "50 kg rye into tank 60 L at 64 C"),
    ("convert", "tank 60 L 12 % at 20 C"),
    ("move", "tank to pot still 60 L 12 % at 20 C"),
)
RUN = ("begins: run 1", "foreshots: 0.3 L, 80 %", "jar: 1 L, 76.8 %", "can: 5 L, 73 %")


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    """A book whose still is charged."""
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "book.sqlite"))
    with opened.to_write() as book:
        for verb, words in CHARGED:
            done(book, verb, words)
        yield book


def done(book: Book, verb: str, words: str) -> None:
    parts = (words,) if verb == "measure" else tuple(shlex.split(words))
    verbs.done_in(
        book, Asked(verb, parts), replace(MAUD, batch="" if verb in ("declare", "begin") else "rye 5")
    )


def words_of(book: Book) -> str:
    return run_deed.deed_words(book, batch_record.record_of(book, "rye 5").runs, ("run", 1))


def test_the_words_are_a_deed_that_the_book_takes(book: Book) -> None:
    for row in RUN:
        done(book, "measure", row)
    words = words_of(book)
    assert words == (
        '"pot still" into "jar foreshots" 0.3 L 80.0 % at 20 C, "jar 1" 1 L 76.8 % at 20 C, '
        '"jar 2" 5 L 73.0 % at 20 C'
    )
    done(book, "distil", words)
    alcohol_l = {name: held["alcohol"] / 1e6 for name, held in book.balances("jar/").items()}
    assert alcohol_l == {
        "jar/foreshots": pytest.approx(0.24, abs=1e-3),
        "jar/1": pytest.approx(0.768, abs=1e-3),
        "jar/2": pytest.approx(3.65, abs=1e-3),
    }
    assert words_of(book) == "", "the still is empty now"


def test_a_second_runs_foreshots_are_a_jar_of_their_own(book: Book) -> None:
    """The ready words name `jar foreshots 2`, which is no amount of the `jar foreshots` that is there."""
    for row in RUN:
        done(book, "measure", row)
    done(book, "distil", words_of(book))
    done(book, "move", "jar 2 to pot still all")
    for row in ("begins: run 2", "run 2 foreshots: 0.2 L, 80 %", "run 2 jar: 1 L, 76.8 %"):
        done(book, "measure", row)
    words = run_deed.deed_words(book, batch_record.record_of(book, "rye 5").runs, ("run", 2))
    assert '"jar foreshots 2" 0.2 L' in words
    done(book, "distil", words)
    held = {name: there["bulk"] / 1e6 for name, there in book.balances("jar/").items()}
    assert (held["jar/foreshots"], held["jar/foreshots 2"]) == pytest.approx((0.3, 0.2), abs=1e-3)


def test_what_was_not_read_is_not_entered_as_if_it_were(book: Book) -> None:
    for row in (*RUN, "jar: 1 L"):
        done(book, "measure", row)
    assert words_of(book) == ""
    done(book, "measure", "jar 3: 70 %")
    assert words_of(book).endswith('"jar 3" 1 L 70.0 % at 20 C')


def test_without_receivers_or_a_charge_there_is_nothing_to_say(book: Book) -> None:
    assert run_deed.charged_still(book) == "pot still"
    assert words_of(book) == ""


def test_a_maker_with_gallons_gets_them(book: Book) -> None:
    for row in RUN:
        done(book, "measure", row)
    words = run_deed.deed_words(book, batch_record.record_of(book, "rye 5").runs, ("run", 1), "us")
    assert words == (
        '"pot still" into "jar foreshots" 0.079 gal 80.0 % at 68 F, "jar 1" 0.264 gal 76.8 % at 68 F, '
        '"jar 2" 1.321 gal 73.0 % at 68 F'
    )
    done(book, "distil", words)
    assert book.balances("jar/")["jar/1"]["alcohol"] / 1e6 == pytest.approx(0.768, abs=2e-3)
