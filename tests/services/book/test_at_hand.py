"""What is kept of the book is what would be read afresh, after every entry of whatever kind."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from caskward.book.entry import Entry
from caskward.services.book import at_hand
from caskward.services.book.at_hand import EVERYTHING, AtHand
from caskward.services.book.demo_book import demo_entries
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
    _same(at_hand.read(book), book)
