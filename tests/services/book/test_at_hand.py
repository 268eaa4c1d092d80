"""What is kept of the book is what would be read afresh, after every entry of whatever kind."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from caskward.book.entry import Entry
from caskward.services.book import at_hand, looked
from caskward.services.book.at_hand import EVERYTHING, AtHand
from caskward.services.book.demo_book import demo_entries
from caskward.services.book.looked import Looked
from caskward.services.book.opened import Book, to_write


@pytest.fixture
def book(tmp_path: Path):
    with to_write(str(tmp_path / "book.sqlite")) as opened:
        yield opened


@pytest.fixture(scope="module")
def year() -> list[Entry]:
    return demo_entries()


def _same(kept: AtHand, book: Book) -> None:
    """All but when it was begun and what was touched since: a fresh one cannot know either."""
    afresh = at_hand.read(book, kept.of)
    assert replace(kept, begun="", touched={}) == replace(afresh, begun="", touched={})


def test_after_every_entry_of_a_year_it_is_what_would_be_read_afresh(book: Book, year: list[Entry]) -> None:
    places, everything = at_hand.read(book), at_hand.read(book, EVERYTHING)
    kinds = set()
    for entry in year:
        book.append(entry.deed)
        places, everything = at_hand.up_to_date(book, places), at_hand.up_to_date(book, everything)
        _same(places, book)
        _same(everything, book)
        kinds.add(entry.kind)
    assert {"corrected", "closed", "bottled", "explained", "filled", "declared", "lost", "sold"} <= kinds
    assert places.begun == everything.begun == book.entry(1).hash, "read afresh only where a book begins"


def test_many_entries_at_once_and_far_too_many(
    book: Book, year: list[Entry], monkeypatch: pytest.MonkeyPatch
) -> None:
    book.append_all([entry.deed for entry in year[:20]])
    kept = at_hand.read(book)
    book.append_all([entry.deed for entry in year[20:120]])
    moved = at_hand.up_to_date(book, kept)
    _same(moved, book)
    assert moved.begun == kept.begun
    monkeypatch.setattr(at_hand, "MOST_NEW", 5)
    book.append_all([entry.deed for entry in year[120:]])
    afresh = at_hand.up_to_date(book, moved)
    _same(afresh, book)
    assert afresh.begun == afresh.mark
    assert kept.number == 20, "what somebody still looks at does not change under their eyes"
    assert at_hand.up_to_date(book, afresh) is afresh


def test_a_batch_whose_end_is_taken_back_is_open_again(book: Book, year: list[Entry]) -> None:
    book.append_all([entry.deed for entry in year])
    closed = next(entry for entry in year if entry.kind == "closed")
    kept = at_hand.read(book)
    assert closed.batch in kept.lists["closed"]
    details = {"reverses": 0, "as": "", "why": "it goes on"}
    fields = {"key": "taken back", "kind": "corrected", "corrects": closed.number, "details": details}
    book.append(replace(closed.deed, postings=(), readings=(), **fields))
    moved = at_hand.up_to_date(book, kept)
    assert closed.batch in moved.lists["open"]
    assert closed.batch not in moved.lists["closed"]
    _same(moved, book)


def test_of_another_book_nothing_is_kept(book: Book, year: list[Entry], tmp_path: Path) -> None:
    book.append_all([entry.deed for entry in year])
    kept = at_hand.read(book)
    with to_write(str(tmp_path / "other.sqlite")) as other:
        _same(at_hand.up_to_date(other, kept), other)
        for entry in year:
            other.append(replace(entry.deed, author="Somebody else"))
        _same(at_hand.up_to_date(other, kept), other)
        other.append(replace(year[-1].deed, key="one more", kind="noted", postings=(), readings=()))
        _same(at_hand.up_to_date(other, kept), other)
    reports = Looked(tuple(book.entries()))
    assert looked.look_on(reports, str(tmp_path / "other.sqlite")) is None


def test_it_knows_which_accounts_were_touched_since(book: Book, year: list[Entry]) -> None:
    book.append_all([entry.deed for entry in year[:-1]])
    kept = at_hand.read(book)
    book.append(year[-1].deed)
    moved = at_hand.up_to_date(book, kept)
    touched = {part.account for part in year[-1].postings}
    others = {*moved.balances} - touched
    assert touched, "an entry that posts"
    assert others
    assert all(moved.touched_since(kept.number, (name,)) for name in touched)
    assert not moved.touched_since(kept.number, others)
    assert not moved.touched_since(moved.number, touched)


def test_reports_read_on_from_what_they_have(book: Book, year: list[Entry]) -> None:
    book.append_all([entry.deed for entry in year[:200]])
    place = str(book.place.file)
    known = looked.look(place)
    assert looked.look_on(known, place) is known
    book.append_all([entry.deed for entry in year[200:]])
    on = looked.look_on(known, place)
    assert on is not None
    assert on.entries == looked.look(place).entries
    assert len(known.entries) == 200
    assert looked.look_on(Looked(()), place) is None
    broken = replace(known.entries[-1], hash="0" * 64)
    assert looked.look_on(Looked((*known.entries[:-1], broken)), place) is None
