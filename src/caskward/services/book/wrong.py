"""An entry that was wrong: whether it can be put right, its words as they were typed, and the correction."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from datetime import datetime

from caskward.book.corrections import check_correctable, meant_details, meant_kind
from caskward.book.entry import Entry
from caskward.errors import InputError
from caskward.errors.book import AlreadyCorrected
from caskward.services.book import look, verbs, words
from caskward.services.book.acting import Doing, Recorded, corrected
from caskward.services.book.asked import Asked
from caskward.services.book.opened import Book
from caskward.units.types import UnitSystem


@dataclass(frozen=True, slots=True)
class Wrong:
    """An entry as it may be put right. verb, words: what it said, as typed; verb "" where nobody typed it.

    closed: why it cannot be put right by itself; empty if it can.
    """

    number: int
    summary: str
    verb: str
    words: str
    closed: str


def wrong(book: Book, number: int, system: UnitSystem) -> Wrong:
    """An entry by its number; raises `NoSuchEntry`."""
    (entry,) = look.one(book, number)
    verb, said = _typed(entry)
    summary = f"{entry.kind} {words.summary(entry, system)}".strip()
    return Wrong(number, summary, verb, said, _closed(book, entry))


def is_own_of_today(book: Book, number: int, name: str, now: datetime) -> bool:
    """Whether someone recorded an entry themselves, and today."""
    (entry,) = look.one(book, number)
    return entry.author == name and entry.recorded_at.astimezone(now.tzinfo).date() == now.date()


def put_right(book: Book, number: int, asked: Asked, doing: Doing, why: str) -> Recorded:
    """Correct an entry: `asked` is what it should have said, without a verb if it never happened."""
    return corrected(book, number, asked, doing, why, verbs.maker(asked.verb) if asked.verb else None)


def _closed(book: Book, entry: Entry) -> str:
    with book.holdings() as holdings:
        later = holdings.corrected_by(entry.number)
    try:
        if later is not None:
            raise AlreadyCorrected(entry.number, later)
        check_correctable(entry)
    except InputError as error:
        return str(error)
    return ""


def _typed(entry: Entry) -> tuple[str, str]:
    rows = meant_details(entry).get("rows")
    if meant_kind(entry) == "measured" and isinstance(rows, tuple):
        return "measure", "\n".join(str(row) for row in rows)
    try:
        said = shlex.split(str(entry.details.get("asked", "")))
    except ValueError:
        return "", ""
    said = said[2:] if said[:1] == ["correct"] else said
    known = bool(said) and said[0] in verbs.MAKERS
    return (said[0], shlex.join(said[1:]).replace("'", '"')) if known else ("", "")
