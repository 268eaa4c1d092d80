"""The book that the desk works on, held open: opening it for every page would cost more than reading it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

from caskward.errors import CaskwardError, NoBookYet
from caskward.services.book import opened
from caskward.services.book.opened import Book


class OpenBook:
    """The book named by CASKWARD_BOOK, opened when it is first needed; threads may share it."""

    def __init__(self) -> None:
        self._book: Book | None = None
        self._file = ""
        self._lock = threading.Lock()
        self._first: tuple[Book, str, bool] | None = None

    def to_read(self) -> Book:
        """The open book; raises `NoBookYet` if nothing was recorded yet."""
        with self._lock:
            return self._there(opened.to_read)

    def to_write(self) -> Book:
        """The open book, begun if there is none yet."""
        with self._lock:
            return self._there(opened.to_write)

    def newest(self) -> int:
        """The number of the newest entry; 0 without a book."""
        try:
            head = self.to_read().head()
        except NoBookYet:
            return 0
        return head.number if head else 0

    def invented(self) -> bool:
        """Whether the book says of itself that it is made up; a book says so in its first entry or never."""
        return self._of_first()[1]

    def which(self) -> str:
        """What tells this book from any other: its first entry's hash, cut short; empty before one."""
        return self._of_first()[0]

    def _of_first(self) -> tuple[str, bool]:
        try:
            book = self.to_read()
        except CaskwardError:  # whatever is wrong with it, the page itself says
            return "", False
        if self._first is None or self._first[0] is not book:
            first = book.entry(1)
            if first is None:
                return "", False
            self._first = (book, first.hash[:16], first.details.get("invented") is True)
        return self._first[1:]

    def close(self) -> None:
        """Let go of it."""
        with self._lock:
            if self._book is not None:
                self._book.close()
            self._book = None

    def _there(self, open_it: Callable[[], Book]) -> Book:
        if self._book is not None and self._gone(self._book):
            self._book.close()
            self._book = None
        if self._book is None:
            self._book = open_it()
            file = self._book.place.file
            self._file = _which(file) if file else ""
        return self._book

    def _gone(self, book: Book) -> bool:
        """Whether its file was taken away, or another put in its place, while we had it open."""
        file = book.place.file
        return file is not None and _which(file) != self._file


def _which(file: Path) -> str:
    """What tells a file from another of its name; empty if there is none."""
    try:
        found = file.stat()
    except OSError:
        return ""
    return f"{found.st_dev} {found.st_ino}"
