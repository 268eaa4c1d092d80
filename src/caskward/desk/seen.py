"""What pages show of the whole book, kept until the book moves on.

What takes a moment in a long book is kept as it was found; what takes long, a report over every entry, is
made beside the pages (`finished`), so that no page waits for it.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, TypeVar

from caskward.desk.finished import Reports
from caskward.desk.kept import OpenBook
from caskward.errors import NoBookYet
from caskward.services.book import ready_deeds, shelf
from caskward.services.book.ready_deeds import Around
from caskward.services.book.shelf import Batch, Shelf
from caskward.units.types import UnitSystem

T = TypeVar("T")


class Seen:
    """What was seen of the book as it stands; threads may share it."""

    def __init__(self, book: OpenBook) -> None:
        self._book = book
        self._lock = threading.Lock()
        self._mark = ""
        self._quick: OrderedDict[object, Any] = OrderedDict()
        self.reports = Reports(book)

    def shelf(self, system: UnitSystem) -> Shelf:
        """All that stands anywhere; nothing before there is a book."""
        return self.at_once(
            ("shelf", system), lambda: shelf.shelf(self._book.to_read(), system), shelf.NOTHING
        )

    def batches(self) -> tuple[Batch, ...]:
        """Every batch, the open ones first."""
        return self.at_once("batches", lambda: shelf.batches(self._book.to_read()), ())

    def around(self) -> Around:
        """What any batch may need of stores and vessels."""
        book = self._book.to_read()
        return self.at_once("around", lambda: ready_deeds.around(book), Around(book, (), ""))

    def at_once(self, key: object, make: Callable[[], T], without: T) -> T:
        """Something that takes a moment; `without` where there is no book yet."""
        try:
            self._catch_up()
        except NoBookYet:
            return without
        with self._lock:
            if key not in self._quick:
                self._quick[key] = make()
            found: T = self._quick[key]
            return found

    def close(self) -> None:
        """Nothing more is made; waits a moment for what is."""
        self.reports.close()

    def _catch_up(self) -> None:
        head = self._book.to_read().head()
        mark = head.hash if head else ""
        with self._lock:
            if mark != self._mark:
                self._quick.clear()
                self.reports.moved_on(mark)
                self._mark = mark
