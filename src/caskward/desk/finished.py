"""Reports over the whole book: each is finished for the entries that it began with, though the book moves on.

In a busy book a report begun anew with each entry would never be there. So one is made at a time; whoever
asks is answered by the first that began no earlier than they asked, and is told up to which entry it goes.
"""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Any, Final, Generic, TypeVar, cast

from caskward.desk.apart import Apart
from caskward.desk.beside import Answer, Beside
from caskward.desk.kept import OpenBook
from caskward.errors.desk import OwnFault
from caskward.services.book import looked, opened
from caskward.services.book.looked import Looked
from caskward.services.book.opened import Book

T = TypeVar("T")
MOST_KEPT: Final = 24
APART_ENTRIES: Final = 5_000
"""A longer book is read by a process of its own."""


@dataclass(frozen=True)
class Finished(Generic[T]):
    """A report, and the number of the newest entry in it."""

    report: T
    up_to: int


class _Making:
    """A report that is to be made. began: the newest entry's number and hash by then; None before."""

    def __init__(self, reports: Reports, book: Book, make: Callable[[Looked], Any]) -> None:
        self._reports, self._make = reports, make
        self.book = book
        self.began: tuple[int, str] | None = None
        self.answer: Answer = Answer(self._work)

    def serves(self, book: Book, since: int) -> bool:
        """Whether it will have every entry up to `since`, or has."""
        if self.book is not book or self.began is None:
            return self.book is book
        number, mark = self.began
        if number < since:
            return False
        entry = book.entry(number)  # a book brought back from a copy goes on in another way
        return (entry.hash if entry else "") == mark

    def _work(self) -> Finished[Any]:
        head = self.book.head()
        number, mark = self.began = (head.number, head.hash) if head else (0, "")
        if number > APART_ENTRIES:
            return Finished(*self._reports.apart.made(opened.named(self.book), self._make))
        known = self._reports.looked(mark)
        return Finished(self._make(known), known.entries[-1].number if known.entries else 0)


class Reports:
    """Every report of this desk; threads may share it."""

    def __init__(self, book: OpenBook) -> None:
        self._book = book
        self._beside = Beside()
        self.apart = Apart()
        self._lock = threading.Lock()
        self._making: OrderedDict[Hashable, _Making] = OrderedDict()
        self._looked: tuple[str, Looked] | None = None

    def made(
        self, key: Hashable, make: Callable[[Looked], T], wait_s: float, since: int | None = None
    ) -> Finished[T] | None:
        """A report, or None while it is being made.

        Args:
            key: all that it follows from, beside the book. since: the newest entry when it was first asked
                for; None for now.

        Raises:
            NoBookYet: there is no book. CaskwardError: it cannot be had, and why.
        """
        book = self._book.to_read()
        head = book.head()
        newest = head.number if head else 0
        most = time.monotonic() + wait_s
        asked_at = newest if since is None else min(since, newest)
        answer = self._answer(key, make, book, asked_at)
        if not answer.wait(max(most - time.monotonic(), 0.0)):
            return None
        if answer.failed:
            self._forget(key, answer)
            raise answer.error or OwnFault()
        return cast(Finished[T], answer.value)

    def close(self) -> None:
        """Nothing more is made; waits a moment for what is."""
        self.apart.close()
        self._beside.close()

    def moved_on(self, mark: str) -> None:
        """The book stands at another entry; what was read of it fills the memory for nothing."""
        if self._looked is not None and self._looked[0] != mark:
            self._looked = None

    def looked(self, mark: str) -> Looked:
        """All entries as reports read them. mark: the newest entry's hash."""
        if self._looked is None or self._looked[0] != mark:
            self._looked = None  # before the next is read: two at once would fill the memory
            found = looked.look()
            self._looked = (found.entries[-1].hash if found.entries else "", found)
            return found
        return self._looked[1]

    def _forget(self, key: Hashable, answer: Answer) -> None:
        """What failed is said once; who asks again has it tried again."""
        with self._lock:
            making = self._making.get(key)
            if making is not None and making.answer is answer:
                del self._making[key]

    def _answer(self, key: Hashable, make: Callable[[Looked], Any], book: Book, since: int) -> Answer:
        with self._lock:
            making = self._making.get(key)
            if making is None or making.answer.dropped or not making.serves(book, since):
                making = self._making[key] = _Making(self, book, make)
                self._beside.ask(making.answer)
            self._making.move_to_end(key)
            while len(self._making) > MOST_KEPT:
                self._making.popitem(last=False)[1].answer.drop()
            return making.answer
