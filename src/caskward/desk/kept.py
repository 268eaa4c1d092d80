"""The book that the desk works on, held open: opening it for every page would cost more than reading it."""

from __future__ import annotations

import threading

from caskward.errors import CaskwardError, NoBookYet
from caskward.services.book import opened
from caskward.services.book.opened import Book


class OpenBook:
    """The book named by CASKWARD_BOOK, opened when it is first needed; threads may share it."""

    def __init__(self) -> None:
        self._book: Book | None = None
        self._lock = threading.Lock()
        self._invented: tuple[Book, bool] | None = None

    def to_read(self) -> Book:
        """The open book; raises `NoBookYet` if nothing was recorded yet."""
        with self._lock:
            if self._book is None or self._gone():
                self._book = opened.to_read()
            return self._book

    def to_write(self) -> Book:
        """The open book, begun if there is none yet."""
        with self._lock:
            if self._book is None or self._gone():
                self._book = opened.to_write()
            return self._book

    def newest(self) -> int:
        """The number of the newest entry; 0 without a book."""
        try:
            head = self.to_read().head()
        except NoBookYet:
            return 0
        return head.number if head else 0

    def invented(self) -> bool:
        """Whether the book says of itself that it is made up; a book says so in its first entry or never."""
        try:
            book = self.to_read()
        except CaskwardError:  # whatever is wrong with it, the page itself says
            return False
        if self._invented is None or self._invented[0] is not book:
            first = book.entry(1)
            if first is None:
                return False
            self._invented = (book, first.details.get("invented") is True)
        return self._invented[1]

    def close(self) -> None:
        """Let go of it."""
        with self._lock:
            if self._book is not None:
                self._book.close()
            self._book = None

    def _gone(self) -> bool:
        """Whether the file was taken away while we had it open."""
        file = self._book.place.file if self._book else None
        return file is not None and not file.exists()
