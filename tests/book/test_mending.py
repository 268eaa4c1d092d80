"""Corrections: new entries that take an old one back and say what is right."""

from __future__ import annotations

from dataclasses import replace

import pytest

from caskward.book import deeds
from caskward.book.amounts import liquid, mg
from caskward.book.checks import check_book, overtaken_gauges
from caskward.book.deeds import Goods, Part
from caskward.book.entry import Entry
from caskward.book.history import as_booked, as_put_right
from caskward.book.reports import held_by
from caskward.book.state import replay
from caskward.errors.book import (
    AlreadyCorrected,
    BadField,
    MoreThanIsHeld,
    NoSuchEntry,
    NotCorrectable,
    NotItsReverse,
    Unbalanced,
)
from tests.support.keeper import Keeper, small_farm


@pytest.fixture
def book() -> Keeper:
    return small_farm()


def last(book: Keeper, kind: str) -> Entry:
    return [entry for entry in book.entries if entry.kind == kind][-1]


def test_ten_bottles_were_sold_not_twelve(book: Keeper) -> None:
    old = last(book, "sold")
    before = replay(book.entries[: old.number - 1])
    right = deeds.sell_bottles(book.act(), before, "bottles/L1", 10, "farm shop")
    entry = book.enter(deeds.correct(book.act(author="Ben"), old, right, "miscounted"))
    assert (entry.corrects, entry.details["as"], entry.details["why"]) == (old.number, "sold", "miscounted")
    assert book.state.contents("bottles/L1")["piece/bottle 500 mL"] == 30
    assert book.holds("sold/farm shop") == (3.25, 5)
    assert check_book(book.entries) == []


def test_the_wrong_sack_was_named(book: Keeper) -> None:
    """As put right it was the other sack from the first, so a trace follows the right one."""
    old = last(book, "mashed")
    used = [Goods("lot/rye 1", "mass/rye", mg(70)), Goods("lot/rye 2", "mass/rye", mg(30))]
    right = deeds.mash(book.act("rye 1"), used, "vessel/tub", 405_000_000)
    book.enter(deeds.correct(book.act(), old, right, "weighed again"))
    assert book.state.contents("lot/rye 1") == {"mass/rye": mg(10)}
    rows = as_put_right(book.entries)
    assert [row.number for row in rows] == [entry.number for entry in book.entries[:-1]]
    mashed = next(row for row in rows if row.kind == "mashed")
    assert mashed.net()[("lot/rye 1", "mass/rye")] == -mg(70)
    assert mashed.at == right.done_at
    assert len(as_booked(book.entries)) == len(book.entries)


def test_a_correction_is_corrected(book: Keeper) -> None:
    old = last(book, "sold")
    before = replay(book.entries[: old.number - 1])
    for count in (10, 11):
        right = deeds.sell_bottles(book.act(), before, "bottles/L1", count, "farm shop")
        book.enter(deeds.correct(book.act(), book.entries[-1], right, "miscounted"))
    assert book.state.contents("bottles/L1")["piece/bottle 500 mL"] == 29
    rows = as_put_right(book.entries)
    assert [(row.number, row.said_by.number) for row in rows][-2:] == [(14, 14), (old.number, 17)]
    assert held_by("alcohol", rows) == held_by("alcohol", as_booked(book.entries))


def test_what_did_not_happen_is_withdrawn(book: Keeper) -> None:
    old = last(book, "sold")
    book.enter(deeds.withdraw(book.act(), old, "another farm"))
    assert book.holds("sold/farm shop") == (0, 0)
    assert all(row.number != old.number for row in as_put_right(book.entries))


def test_an_entry_is_corrected_once(book: Keeper) -> None:
    old = last(book, "sold")
    second = deeds.withdraw(book.act(), old, "also")
    book.enter(deeds.withdraw(book.act(), old, "another farm"))
    with pytest.raises(AlreadyCorrected, match=f"correct entry {old.number + 1}"):
        book.enter(second)


def test_what_has_gone_on_since_cannot_be_taken_back(book: Keeper) -> None:
    """The filling cannot be withdrawn while its spirit is in bottles."""
    with pytest.raises(MoreThanIsHeld, match=r"cask/1: the book has 6\.5 L"):
        book.enter(deeds.withdraw(book.act(), last(book, "filled"), "never"))


def test_a_correction_takes_back_exactly_what_was_posted(book: Keeper) -> None:
    good = deeds.withdraw(book.act(), last(book, "sold"), "never")
    for postings in (good.postings[1:], tuple(reversed(good.postings))):
        bad = replace(good, postings=postings, details={**good.details, "reverses": len(postings)})
        with pytest.raises((NotItsReverse, Unbalanced)):
            book.enter(bad)
    with pytest.raises(NotItsReverse, match=f"entry {good.corrects}"):
        book.enter(replace(good, postings=tuple(reversed(good.postings))))


def test_only_a_correction_corrects(book: Keeper) -> None:
    note = deeds.note(book.act())
    with pytest.raises(BadField, match="corrected if"):
        book.enter(replace(note, corrects=1))
    with pytest.raises(BadField, match="corrected if"):
        book.enter(replace(note, kind="corrected"))
    with pytest.raises(BadField, match="reverses"):
        book.enter(replace(note, kind="corrected", corrects=5))


def test_an_entry_that_is_not_there(book: Keeper) -> None:
    good = deeds.withdraw(book.act(), last(book, "sold"), "never")
    with pytest.raises(NoSuchEntry, match="There is no entry 99; the book has entries 1 to 15"):
        book.enter(replace(good, corrects=99))


@pytest.mark.parametrize(
    ("kind", "instead"), [("begun", "Close the batch"), ("declared", "Declare the vessel")]
)
def test_some_entries_are_mended_in_another_way(book: Keeper, kind: str, instead: str) -> None:
    with pytest.raises(NotCorrectable, match=instead):
        deeds.withdraw(book.act(), last(book, kind), "wrong")


def test_a_gauge_after_what_was_corrected_is_to_be_taken_again(book: Keeper) -> None:
    old = last(book, "filled")
    book.enter(deeds.gauge(book.act(), book.state, "cask/1", liquid("9.5", 65)))
    before = replay(book.entries[: old.number - 1])
    right = deeds.fill(book.act("rye 1"), before, Part("jar/heart", liquid(31, 65)), "cask/1")
    assert list(overtaken_gauges(book.entries)) == []
    book.enter(deeds.correct(book.act(), old, right, "read the dip again"))
    found = list(overtaken_gauges(book.entries))
    assert [finding.number for finding in found] == [book.entries[-1].number]
    assert "cask/1" in found[0].sentence
