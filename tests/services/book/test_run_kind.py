"""A run entered by its words alone is a strip or a spirit run by what the still held."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from caskward.book.history import as_put_right
from caskward.errors import NotUnderstood
from caskward.services import river
from caskward.services.book import batch_record, opened, verbs
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked
from caskward.services.book.opened import Book
from caskward.services.book.run_kind import kinds as kinds_by_number

MAUD = Doing(by="Maud")
TO_THE_STILL = (
    ("declare", "pot still 130 L"),
    ("declare", "tub 200 L"),
    ("declare", "low wines 100 L"),
    ("begin", "rye 5"),
    ("receive", '50 kg rye from "Hill Farm"'),
    ("mash", "50 kg rye into tub 160 L at 64 C"),
    ("convert", "tub 160 L 8 % at 20 C"),
)
STRIPS = (
    ("move", "tub to pot still 80 L 8 % at 20 C"),
    ("distil", "pot still into low wines 21 L 27 % at 20 C, left 57 L 0.8 % at 20 C"),
    ("move", "tub to pot still 80 L 8 % at 20 C"),
    ("distil", "pot still into low wines 21 L 27 % at 20 C, left 57 L 0.8 % at 20 C"),
)
SPIRIT = (
    ("move", "low wines to pot still 42 L 27 % at 20 C"),
    ("distil", "pot still into jar 1 1 L 78 % at 20 C, jar 2 12 L 70 % at 20 C, left 25 L 3 % at 20 C"),
)


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    """A book whose wash is gauged."""
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "book.sqlite"))
    with opened.to_write() as book:
        enter(book, TO_THE_STILL)
        yield book


def enter(book: Book, deeds: tuple[tuple[str, str], ...]) -> None:
    for verb, words in deeds:
        doing = replace(MAUD, batch="" if verb in ("declare", "begin") else "rye 5")
        verbs.done_in(book, Asked(verb, tuple(shlex.split(words))), doing)


def kinds(book: Book) -> list[str]:
    return [*kinds_by_number(as_put_right(book.of_batch("rye 5"))).values()]


def test_a_charge_of_wash_is_stripped_and_one_of_low_wines_is_a_spirit_run(book: Book) -> None:
    enter(book, STRIPS)
    assert kinds(book) == ["strip", "strip"]
    assert batch_record.record_of(book, "rye 5").runs.entered == (2, 0)
    enter(book, SPIRIT)
    assert kinds(book) == ["strip", "strip", "spirit run"]
    record = batch_record.record_of(book, "rye 5")
    assert record.runs.entered == (2, 1)
    assert batch_record.stage_now(record) == "spirit"


def test_the_river_has_the_low_wines_and_the_charge(book: Book) -> None:
    enter(book, STRIPS)
    reaches = batch_record.record_of(book, "rye 5").recorded.reaches
    # 160 L of 8 % is 12.8 L of pure alcohol; twice 21 L of 27 % is 11.34 L.
    assert reaches["wash"] == pytest.approx(12.8, abs=0.02)
    assert reaches["low wines"] == pytest.approx(11.34, abs=0.02)
    enter(book, SPIRIT)
    after = batch_record.record_of(book, "rye 5").recorded
    assert after.reaches["charge"] == pytest.approx(11.34, abs=0.02)
    assert after.sides["charge", river.LEFT_BY_RUNS, "lost"] == pytest.approx(0.75, abs=0.05)


@pytest.mark.parametrize("pct_vol", ["12.7", "17.3", "18"])
def test_a_strong_wash_of_fruit_or_sugar_is_stripped_too(book: Book, pct_vol: str) -> None:
    enter(
        book,
        (
            ("declare", "fruit tub 200 L"),
            ("receive", '150 kg sugar, 50 kg pears from "Hill Farm"'),
            ("mash", '150 kg sugar, 50 kg pears into "fruit tub" 160 L'),
            ("convert", f'"fruit tub" 158.7 L {pct_vol} % at 20 C'),
            ("move", f'"fruit tub" to pot still 73.3 L {pct_vol} % at 20 C'),
            ("distil", "pot still into low wines 21 L 40 % at 20 C, left 50 L 0.8 % at 20 C"),
        ),
    )
    assert kinds(book) == ["strip"]


def test_wash_that_went_by_a_tank_is_not_feints_from_store(book: Book) -> None:
    tank = ("declare", "wash tank 200 L"), ("move", "tub to wash tank 160 L 8 % at 20 C")
    strips = tuple((verb, words.replace("tub to", "wash tank to")) for verb, words in STRIPS)
    enter(book, (*tank, *strips, *SPIRIT))
    assert kinds(book) == ["strip", "strip", "spirit run"]
    assert ("low wines", river.FEINTS_IN, "in") not in batch_record.record_of(book, "rye 5").recorded.sides


def test_feints_in_a_charge_are_counted_once_and_do_not_hide_its_kind(book: Book) -> None:
    for verb, words in (
        ("begin", "rye 4"),
        ("declare", "old tub 100 L"),
        ("declare", "feints 50 L"),
        ("receive", '20 kg rye from "Hill Farm"'),
        ("mash", '20 kg rye into "old tub" 60 L at 64 C'),
        ("convert", '"old tub" 60 L 8 % at 20 C'),
        ("move", '"old tub" to pot still 60 L 8 % at 20 C'),
        ("distil", "pot still into feints 10 L 45 % at 20 C, left 48 L 0.6 % at 20 C"),
    ):
        doing = replace(MAUD, batch="" if verb in ("declare", "begin") else "rye 4")
        verbs.done_in(book, Asked(verb, tuple(shlex.split(words))), doing)
    charge = (
        ("move", "feints to pot still 10 L 45 % at 20 C"),
        ("move", "low wines to pot still 42 L 27 % at 20 C"),
        ("distil", "pot still into jar 1 20 L 72 % at 20 C, left 31 L 3 % at 20 C"),
    )
    enter(book, (*STRIPS, *charge))
    assert kinds(book) == ["strip", "strip", "spirit run"]
    recorded = batch_record.record_of(book, "rye 5").recorded
    assert recorded.reaches["low wines"] == pytest.approx(11.34, abs=0.02)
    assert recorded.reaches["charge"] == pytest.approx(11.34 + 4.5, abs=0.05)
    assert recorded.sides["low wines", river.FEINTS_IN, "in"] == pytest.approx(4.5, abs=0.02)


def test_rows_of_a_run_that_is_entered_as_well_count_once(book: Book) -> None:
    rows = ("strip can: 21 L, 27 %",)
    enter(book, STRIPS[:1])
    verbs.done_in(book, Asked("measure", rows), replace(MAUD, batch="rye 5"))
    before = batch_record.record_of(book, "rye 5")
    assert before.runs.now == ("strip", 1)
    enter(book, STRIPS[1:2])
    after = batch_record.record_of(book, "rye 5")
    assert after.runs.entered == (1, 0)
    assert after.runs.now is None, "the next row is of the next strip"
    assert after.recorded.reaches["low wines"] == pytest.approx(5.67, abs=0.01)


def test_weak_low_wines_are_known_by_where_they_came_from_and_count_once(book: Book) -> None:
    strip = "pot still into low wines 36 L 17 % at 20 C, left 40 L 0.4 % at 20 C"
    enter(
        book,
        (
            STRIPS[0],
            ("distil", strip),
            ("declare", "tank 100 L"),
            ("move", "low wines to tank 36 L 17 % at 20 C"),
            ("move", "tank to pot still 36 L 17 % at 20 C"),
            ("distil", "pot still into jar 1 8 L 70 % at 20 C, left 25 L 1 % at 20 C"),
        ),
    )
    assert kinds(book) == ["strip", "spirit run"]
    record = batch_record.record_of(book, "rye 5")
    assert record.runs.entered == (1, 1)
    assert record.recorded.reaches["wash"] == pytest.approx(12.8, abs=0.02), "what was made in the tub, once"
    assert record.recorded.reaches["charge"] == pytest.approx(6.12, abs=0.02)


def test_a_little_of_the_last_strip_in_the_wash_makes_no_spirit_run_of_it(book: Book) -> None:
    enter(
        book,
        (
            *STRIPS[:2],
            ("move", "low wines to pot still 2 L 27 % at 20 C"),
            ("move", "tub to pot still 80 L 8 % at 20 C"),
            ("distil", "pot still into low wines 22 L 27 % at 20 C, left 57 L 0.8 % at 20 C"),
        ),
    )
    assert kinds(book) == ["strip", "strip"]


@pytest.mark.parametrize("comma", ["", ","])
def test_what_the_charge_does_not_tell_is_said_with_the_run(book: Book, comma: str) -> None:
    """A wash that is run once, straight to the cut."""
    jars = "jar 1 1 L 78 % at 20 C, jar 2 6 L 70 % at 20 C"
    once = f"pot still into {jars}, left 70 L 0.8 % at 20 C{comma} as a spirit run"
    enter(book, (STRIPS[0], ("distil", once)))
    assert kinds(book) == ["spirit run"]
    assert book.balances("jar/")["jar/2"]["bulk"] == 6_000_000
    enter(book, (STRIPS[2], ("distil", f"{STRIPS[3][1]} as strip")))
    assert kinds(book) == ["spirit run", "strip"]


def test_a_kind_of_run_that_nobody_knows_is_refused(book: Book) -> None:
    enter(book, STRIPS[:1])
    with pytest.raises(NotUnderstood, match="as strip, or as spirit run"):
        enter(book, (("distil", f"{STRIPS[1][1]} as a rest"),))
