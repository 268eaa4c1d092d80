"""Entries as rows and back: in one writing only, so that a changed row never passes for the same entry."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import Connection, Select, select

from caskward.book.canonical import FORMAT, canonical, moment_from_text, moment_text
from caskward.book.entry import Entry, Posting, Reading
from caskward.book.frozen import FrozenMap, thawed
from caskward.errors import CaskwardError, EntryDamaged
from caskward.store.tables import entries, postings, readings

Row = dict[str, Any]
CHUNK = 2000
"""Entries read at once: few enough for memory, many enough that three questions serve them all."""

_OF_POSTING, _OF_READING = (tuple(part.name for part in fields(kind)) for kind in (Posting, Reading))


@dataclass(frozen=True)
class Rows:
    """The rows of one entry; those of `postings` without what follows from earlier ones (`after`)."""

    entry: Row
    postings: tuple[Row, ...]
    readings: tuple[Row, ...]


def rows_of(entry: Entry) -> Rows:
    """The rows that keep an entry."""
    head = {
        "number": entry.number,
        "key": entry.key,
        "format": FORMAT,
        "kind": entry.kind,
        "done_at": moment_text(entry.done_at),
        "recorded_at": moment_text(entry.recorded_at),
        "author": entry.author,
        "site": entry.site,
        "batch": entry.batch,
        "corrects": entry.corrects,
        "details": canonical(thawed(entry.details)),
        "note": entry.note,
        "before": entry.before,
        "hash": entry.hash,
    }
    return Rows(
        entry=head,
        postings=tuple(_lines(entry.number, entry.postings, _OF_POSTING)),
        readings=tuple(_lines(entry.number, entry.readings, _OF_READING)),
    )


def _lines(number: int, parts: Sequence[object], names: tuple[str, ...]) -> Iterator[Row]:
    for line, part in enumerate(parts):
        yield {"number": number, "line": line} | {name: getattr(part, name) for name in names}


def entry_of(rows: Rows) -> Entry:
    """The entry that the rows keep; raises `EntryDamaged` where `rows_of` did not write them so."""
    number = rows.entry["number"]
    try:
        entry = _built(rows)
    except (ValueError, TypeError, KeyError) as problem:
        raise EntryDamaged(number, str(problem) or type(problem).__name__) from None
    except CaskwardError as problem:
        raise EntryDamaged(number, str(problem).rstrip(".")) from None
    if rows_of(entry) != rows:
        raise EntryDamaged(number, "it is not written as the book writes")
    return entry


def _built(rows: Rows) -> Entry:
    row = {name: value for name, value in rows.entry.items() if name != "format"}
    return Entry(
        **row
        | {
            "done_at": moment_from_text(row["done_at"]),
            "recorded_at": moment_from_text(row["recorded_at"]),
            "details": FrozenMap(json.loads(row["details"])),
            "postings": tuple(Posting(*_values(part, _OF_POSTING)) for part in rows.postings),
            "readings": tuple(Reading(*_values(part, _OF_READING)) for part in rows.readings),
        }
    )


def _values(part: Row, names: tuple[str, ...]) -> list[Any]:
    return [part[name] for name in names]


def rows_between(connection: Connection, after: int, until: int) -> Iterator[Rows]:
    """The rows of the entries with after < number <= until, in order."""
    for low in range(after, until, CHUNK):
        high = min(low + CHUNK, until)
        heads = select(entries).where(entries.c.number > low, entries.c.number <= high)
        numbers = entries.c.number
        yield from gathered(connection, heads.order_by(numbers), low, high)


def gathered(connection: Connection, heads: Select[Any], low: int, high: int) -> Iterator[Rows]:
    """The rows of the entries that `heads` chooses, all of them with low < number <= high."""
    kept = connection.execute(heads).mappings().all()
    posted = _by_number(connection, postings, low, high, leave_out="after")
    read = _by_number(connection, readings, low, high)
    for head in kept:
        number = head["number"]
        yield Rows(dict(head), tuple(posted.get(number, ())), tuple(read.get(number, ())))


def _by_number(
    connection: Connection, table: Any, low: int, high: int, leave_out: str = ""
) -> Mapping[int, list[Row]]:
    columns = [column for column in table.c if column.name != leave_out]
    names = [column.name for column in columns]
    chosen = (
        select(*columns)
        .where(table.c.number > low, table.c.number <= high)
        .order_by(table.c.number, table.c.line)
    )
    found: dict[int, list[Row]] = {}
    for row in connection.execute(chosen):
        found.setdefault(row[0], []).append(dict(zip(names, row, strict=True)))
    return found


def entries_of(rows: Iterable[Rows]) -> Iterator[Entry]:
    """The entries that the rows keep."""
    return (entry_of(each) for each in rows)
