"""Entries and accounts of the book as a page shows them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from operator import itemgetter

from caskward.desk.pages import EntryLine, LeafLine, Table
from caskward.services.book import look
from caskward.services.book.look import Leaf
from caskward.services.book.opened import Book
from caskward.services.book.pages import Section
from caskward.units.types import UnitSystem


def newest(book: Book, system: UnitSystem, last: int, before: int | None = None) -> tuple[EntryLine, ...]:
    """Entries before a number, or the newest; the newest first."""
    found = book.newest(before=before, limit=last)
    return lines(found, system)


def lines(found: Sequence[object], system: UnitSystem) -> tuple[EntryLine, ...]:
    """Entries as lines."""
    _, *rows = look.entry_rows(found, system)  # type: ignore[arg-type] # entries, whose type is the book's own
    return tuple(
        EntryLine(number=number, done=done, by=by, kind=kind, what=what)
        for number, done, by, kind, what in rows
    )


def leaf_lines(leaf: Leaf, system: UnitSystem) -> tuple[LeafLine, ...]:
    """An account's postings, those of one entry together, the newest first."""
    _, *rows = look.leaf_rows(leaf, system)
    by_entry = [list(of_one) for _, of_one in groupby(rows, key=itemgetter(0))]
    return tuple(
        LeafLine(
            number=of_one[0][0],
            done=of_one[0][1],
            kind=of_one[0][2],
            # Liquid before the alcohol in it, as a maker says it.
            changes=tuple(sorted(((what, amount, then) for *_, what, amount, then in of_one))),
        )
        for of_one in reversed(by_entry)
    )


def tables(sections: Iterable[Section]) -> tuple[Table, ...]:
    """A report's sections as tables."""
    return tuple(
        Table(
            title=one.title, head=one.head, sides=one.sides, rows=one.rows, strong=one.strong,
            sentences=one.sentences,
        )
        for one in sections
    )  # fmt: skip
