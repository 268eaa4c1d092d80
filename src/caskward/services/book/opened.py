"""The book that a command works on: the one named by CASKWARD_BOOK, or a file in the user's data folder."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from caskward.store.journal import Journal, clock, open_journal
from caskward.store.place import Place, default_place, place_of

Book = Journal
"""An open book; closed by `close` or a `with` block."""


def to_write(place: str = "", *, now: Callable[[], datetime] = clock) -> Book:
    """The book to record in; begun if there is none yet. `place`: a file or an address instead of the usual.

    Raises:
        StoreError, InputError: it cannot be opened, and why.
    """
    return open_journal(where(place), now=now)


def to_read(place: str = "") -> Book:
    """The book to look into; raises `NoBookYet` if there is none."""
    return open_journal(where(place), create=False)


def named(book: Book) -> str:
    """The words that name where an open book is, for another process."""
    return book.place.address or str(book.place.file)


def where(place: str = "") -> Place:
    """Where the book is: the place named, else CASKWARD_BOOK, else the user's own file."""
    return place_of(place) if place.strip() else default_place()
