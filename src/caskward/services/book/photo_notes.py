"""A photo or a note of a batch or a cask, in the book: its words, and the hash of the picture beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from caskward.book import deeds
from caskward.book.deeds import Act
from caskward.book.entry import Entry
from caskward.errors import InputError
from caskward.errors.book import NoSuchEntry
from caskward.services.book import look
from caskward.services.book.acting import Doing, Made, Recorded, record
from caskward.services.book.asked import Asked, View
from caskward.services.book.moments import shown
from caskward.services.book.opened import Book


@dataclass(frozen=True, slots=True)
class Noted:
    """What an entry says of a photo or a note."""

    number: int
    words: str
    by: str
    at: str


def note(book: Book, doing: Doing, words: str, about: str, photo: Mapping[str, str]) -> Recorded:
    """Enter a note, and which picture stands beside it.

    Args:
        doing: who and when; its batch where it is of one. about: the cask's account, or empty.
        photo: the picture's file and SHA-256; empty for words alone.

    Raises:
        InputError: the book refuses it.
    """

    def make(_: Asked, act: Act, __: View) -> Made:
        details = {"photo": dict(photo)} if photo else {}
        return Made(deeds.note(replace(act, note=words), about, details))

    return record(book, Asked("note", (words,)), doing, make)


def taken_away(book: Book, doing: Doing, number: int, about: str) -> Recorded:
    """Enter that a picture was taken away."""
    words = f"The photo of entry {number} was taken away."

    def make(_: Asked, act: Act, __: View) -> Made:
        return Made(deeds.note(replace(act, note=words), about, {"photo_of": number}))

    return record(book, Asked("note", (words,)), doing, make)


def number_of(book: Book, key: str, name: str) -> int:
    """The number of the note that was entered with a key; 0 where there is none, or of another picture.

    Args:
        name: a part of the picture's file that no other one has; a note of words alone has no file.
    """
    entry = book.find(key) if key else None
    photo = entry.details.get("photo") if entry else None
    file = str(photo.get("file", "")) if isinstance(photo, Mapping) else name
    return entry.number if entry and name in file else 0


def noted(book: Book, number: int) -> Noted | None:
    """What an entry says; None where the book has none of that number."""
    try:
        (entry,) = look.one(book, number)
    except (NoSuchEntry, InputError):
        return None
    return _noted(entry)


def notes_of(entries: tuple[Entry, ...]) -> tuple[Noted, ...]:
    """Every entry of these that has words of its own, the newest first."""
    return tuple(_noted(one) for one in reversed(entries) if one.note)


def _noted(entry: Entry) -> Noted:
    return Noted(entry.number, entry.note, entry.author, shown(entry.done_at))
