"""What closed batches taught, taken over: kept in the book, so that the next new batch's plan begins with it.

Each time is a note with a key of its own, numbered, so that the newest is found without reading the book.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from caskward.book import deeds
from caskward.book.deeds import Act
from caskward.book.entry import Entry
from caskward.book.frozen import FrozenMap
from caskward.planning import learned_file
from caskward.planning.learning import moved
from caskward.services import plan_learned_words
from caskward.services.book import batch_record
from caskward.services.book.acting import Doing, Made, record
from caskward.services.book.asked import Asked, View
from caskward.services.book.batch_record import RecordOf
from caskward.services.book.moments import shown
from caskward.services.book.opened import Book
from caskward.services.plan_learned import HabitLine
from caskward.units.types import UnitSystem

_KEY: Final = "taught"
_THINGS: Final = (
    ("The stills", ("strip.", "spirit.", "still.")),
    ("Pot, tub and room", ("cook.", "your.", "mash.", "ferment.heat", "ferment.room")),
    ("Press, hoses and vessels", ("separate.", "transfer.")),
    ("Mash and yeast", ("convert.", "ferment.", "yeast.")),
)
"""What a habit's name begins with, by what it is of; anything else is of a material."""
_MATERIALS: Final = "Materials"
_LEARNED: Final = re.compile(r"\A(?:[^\[]*?\n)??\s*(learned\s*=[^\n]*\n)")
"""The line at a plan's top that names what it begins with."""


@dataclass(frozen=True, slots=True)
class TakenOver:
    """What new batches begin with. batch: whose close gave it; file: its text, under its name."""

    batch: str
    name: str
    file: str
    at: str


@dataclass(frozen=True, slots=True)
class ThingTaught:
    """What batches taught of one thing. rows: a head, then what it is, by default, with you, batches."""

    thing: str
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class GearTaught:
    """All that new batches begin with, thing by thing."""

    batch: str
    batches: int
    readings: int
    at: str
    things: tuple[ThingTaught, ...]
    note: str


def taken_over(book: Book) -> TakenOver | None:
    """What was taken over last; None before anything was."""
    number, entry = _newest(book)
    said = entry.details.get(_KEY) if entry else None
    if entry is None or not isinstance(said, FrozenMap):
        return None
    return TakenOver(str(said["batch"]), f"taught-{number}.toml", str(said["file"]), shown(entry.done_at))


def take_over(book: Book, batch: str, file: str, doing: Doing) -> TakenOver:
    """Let new batches begin with what a batch taught; again the same changes nothing."""
    now = taken_over(book)
    if now is not None and (now.batch, now.file) == (batch, file):
        return now
    number = _newest(book)[0] + 1

    def make(_: Asked, act: Act, __: View) -> Made:
        noted = replace(act, note=f"New batches begin with what {batch} taught.")
        return Made(deeds.note(noted, details={_KEY: {"batch": batch, "file": file}}))

    record(book, Asked("note", (f"taught {number}",)), replace(doing, key=_key(number)), make)
    found = taken_over(book)
    assert found is not None, "it was entered just now"
    return found


def _newest(book: Book) -> tuple[int, Entry | None]:
    """The number of the newest and its entry, by doubling and halving: a book may have very many."""
    low, high = 0, 1
    while book.find(_key(high)):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if book.find(_key(middle)) else (low, middle)
    return low, book.find(_key(low)) if low else None


def _key(number: int) -> str:
    return f"taught over {number}"


def lately_closed(
    book: Book,
    record_of: RecordOf = batch_record.record_of,
    entries: int = 300,
    most: int = 4,
) -> tuple[str, ...]:
    """Batches that the newest entries closed, with a plan and readings, the newest first.

    record_of: what the book has of a batch.
    """
    head = book.head()
    names = book.closed_after(head.number - entries) if head else []
    found = (record_of(book, name) for name in list(dict.fromkeys(names))[:most])
    return tuple(one.name for one in found if not one.is_open and one.plan and one.rows)


# In a plan ---------------------------------------------------------------------------------------


def beginning_with(text: str, taught: TakenOver | None) -> str:
    """A plan's file that begins with what was taken over; all else in it stays to the letter."""
    if taught is None:
        return text
    line = f'learned = "{taught.name}"\n'
    found = _LEARNED.match(text)
    if found:
        return text[: found.start(1)] + line + text[found.end(1) :]
    return line + text


def files_with(files: Mapping[str, str], taught: TakenOver | None) -> dict[str, str]:
    """The files that a plan may name, what was taken over among them."""
    return {**files, **({taught.name: taught.file} if taught else {})}


# On the page of the gear -------------------------------------------------------------------------


def gear_taught(taught: TakenOver, system: UnitSystem) -> GearTaught:
    """What was taken over, thing by thing, beside the defaults."""
    learned = learned_file.read_learned(taught.file, taught.name)
    by_thing: dict[str, list[HabitLine]] = {}
    for one in moved(learned):
        line = HabitLine(
            one.name, one.words, one.scale, one.default, one.learned, one.mean, one.sd, one.batches
        )
        by_thing.setdefault(_thing_of(one.name), []).append(line)
    order = [thing for thing, _ in _THINGS] + [_MATERIALS]
    return GearTaught(
        batch=taught.batch,
        batches=learned.batches,
        readings=learned.readings,
        at=taught.at,
        things=tuple(
            ThingTaught(thing, tuple(plan_learned_words.rows_of(by_thing[thing], system)))
            for thing in order
            if thing in by_thing
        ),
        note=plan_learned_words.MEANS,
    )


def _thing_of(name: str) -> str:
    return next((thing for thing, begins in _THINGS if name.startswith(begins)), _MATERIALS)
