"""What the book has of each batch, read once and kept until something more is entered of it.

A page of many batches would else read every entry of each. Only what was entered since the last look is read.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from typing import Final

from caskward.services.book import batch_record
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.opened import Book

MOST_KEPT: Final = 400
_MOST_NEW: Final = 200
"""After so many new entries it is quicker to begin anew."""


class Records:
    """Batches of the open book; threads may share it."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, BatchRecord] = OrderedDict()
        self._seen = ""
        self._number = 0
        self._lock = threading.Lock()

    def of(self, book: Book, name: str) -> BatchRecord:
        """What the book has of a batch; raises `NoSuchBatch` if there is none of that name."""
        with self._lock:
            self._catch_up(book)
            found = self._kept.get(name)
            if found is None:
                found = self._kept[name] = batch_record.record_of(book, name)
            self._kept.move_to_end(name)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            return found

    def _catch_up(self, book: Book) -> None:
        head = book.head()
        number, mark = (head.number, head.hash) if head else (0, "")
        if mark == self._seen:
            return
        new = book.newest(limit=number - self._number) if 0 < number - self._number <= _MOST_NEW else ()
        # Another book, or too much to look through.
        if not new or new[-1].before != self._seen or any(one.batch is None and one.corrects for one in new):
            self._kept.clear()
        for name in {one.batch for one in new if one.batch} & {*self._kept}:
            own = [one for one in reversed(new) if one.batch == name]
            self._kept[name] = batch_record.with_entries(self._kept[name], own, book)
        self._number, self._seen = number, mark
