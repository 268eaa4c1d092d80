"""What pages show of the whole book, kept until the book moves on.

What stands where is moved on with the book, entry by entry (`at_hand`). What takes a moment is kept as it was
found until an entry touches it; what takes long, a report over every entry, is made beside the pages
(`finished`), so that no page waits for it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

from caskward.desk.finished import Reports
from caskward.desk.kept import OpenBook
from caskward.errors import NoBookYet
from caskward.services.book import at_hand, ready_deeds, shelf
from caskward.services.book.at_hand import PLACES, AtHand
from caskward.services.book.opened import Book
from caskward.services.book.ready_deeds import Around
from caskward.services.book.shelf import Batch, Shelf
from caskward.units.types import UnitSystem

T = TypeVar("T")
MOST_KEPT = 2000
"""So many things are kept; then all are found anew."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """Something found at an entry, and the accounts that it follows from; None for the whole book."""

    found: Any
    of: tuple[str, ...] | None
    number: int


class Seen:
    """What was seen of the book as it stands; threads may share it."""

    def __init__(self, book: OpenBook) -> None:
        self._book = book
        self._lock, self._turn = threading.RLock(), threading.RLock()
        self._mark = self._begun = ""
        self._quick: dict[object, _Kept] = {}
        self._at_hand: dict[tuple[str, ...], tuple[Book, AtHand]] = {}
        self.reports = Reports(book)

    def there(self, of: tuple[str, ...] = PLACES) -> AtHand:
        """What the book holds now; raises `NoBookYet` where there is none."""
        book = self._book.to_read()
        with self._turn:
            was = self._at_hand.get(of)
            now = at_hand.up_to_date(book, was[1]) if was and was[0] is book else at_hand.read(book, of)
            self._at_hand[of] = book, now
            return now

    def shelf(self, system: UnitSystem) -> Shelf:
        """All that stands anywhere; nothing before there is a book."""
        try:
            return Shelf(self.there(), system)
        except NoBookYet:
            return Shelf(at_hand.EMPTY, system)

    def batches(self) -> Sequence[Batch]:
        """Every batch, the open ones first."""
        try:
            return shelf.batches(self.there())
        except NoBookYet:
            return ()

    def open_batches(self) -> tuple[str, ...]:
        """The names of the batches that go on."""
        return (*self._batches("open"),)

    def closed_batches(self) -> Sequence[str]:
        """The names of those that are closed."""
        return self._batches("closed")

    def _batches(self, standing: Literal["open", "closed"]) -> Sequence[str]:
        try:
            names: Sequence[str] = self.there().lists[standing]
        except NoBookYet:
            return ()
        return names

    def around(self) -> Around:
        """What any batch may need of stores and vessels."""
        book = self._book.to_read()
        return self.at_once("around", lambda: ready_deeds.around(book, self.there()), Around(book, (), ""))

    def at_once(self, key: object, make: Callable[[], T], without: T, of: Collection[str] | None = None) -> T:
        """Something that takes a moment; `without` where there is no book yet.

        of: the accounts that it follows from, if from these alone: it is kept until an entry touches one.
        """
        try:
            there = self.there()
        except NoBookYet:
            return without
        with self._lock:
            self._catch_up(there)
            kept = self._quick.get(key)
            if kept is None:
                kept = self._quick[key] = _Kept(make(), None if of is None else (*of,), there.number)
                while len(self._quick) > MOST_KEPT:
                    del self._quick[next(iter(self._quick))]
            found: T = kept.found
            return found

    def close(self) -> None:
        """Nothing more is made; waits a moment for what is."""
        self.reports.close()

    def _catch_up(self, there: AtHand) -> None:
        if there.mark == self._mark:
            return
        if there.begun != self._begun:  # another book, or too much happened to say what it touched
            self._quick.clear()
        self._quick = {
            key: kept
            for key, kept in self._quick.items()
            if kept.of is not None and not there.touched_since(kept.number, kept.of)
        }
        self.reports.moved_on(there.mark)
        self._mark, self._begun = there.mark, there.begun
