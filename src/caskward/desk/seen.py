"""What pages show of the whole book, kept until the book moves on.

What takes a moment in a long book is kept as it was found; what takes long, a report over every entry, is
made beside the pages, so that no page waits for it.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from caskward.desk.beside import Beside
from caskward.desk.kept import OpenBook
from caskward.errors import NoBookYet
from caskward.errors.desk import OwnFault
from caskward.services.book import looked, shelf
from caskward.services.book.looked import Looked
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
        self._reports = Beside()
        self._looked: tuple[str, Looked] | None = None

    def shelf(self, system: UnitSystem) -> Shelf:
        """All that stands anywhere; nothing before there is a book."""
        return self.at_once(
            ("shelf", system), lambda: shelf.shelf(self._book.to_read(), system), shelf.NOTHING
        )

    def batches(self) -> tuple[Batch, ...]:
        """Every batch, the open ones first."""
        return self.at_once("batches", lambda: shelf.batches(self._book.to_read()), ())

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

    def made(self, key: Hashable, make: Callable[[], T], wait_s: float) -> T | None:
        """Something slow, or None while it is being made.

        Raises:
            CaskwardError: it cannot be had, and why.
        """
        self._catch_up()
        found = self._reports.answer((self._mark, key), make)
        if not found.wait(wait_s):
            return None
        if found.failed:
            raise found.error or OwnFault()
        value: T = found.value
        return value

    def close(self) -> None:
        """Nothing more is made; waits a moment for what is."""
        self._reports.close()

    def looked(self) -> Looked:
        """All entries as reports read them; for what is `made`, since a long book takes a while to read."""
        mark = self._mark
        if self._looked is None or self._looked[0] != mark:
            self._looked = None  # before the next is read: two at once would fill the memory
            self._looked = (mark, looked.look())
        return self._looked[1]

    def _catch_up(self) -> None:
        head = self._book.to_read().head()
        mark = head.hash if head else ""
        with self._lock:
            if mark != self._mark:
                self._quick.clear()
                self._reports.forget()
                self._looked = None
                self._mark = mark
