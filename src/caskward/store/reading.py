"""Questions to the entries that are answered by an index, in a book of any length."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, bindparam, select

from caskward.book.canonical import moment_from_text
from caskward.book.entry import Entry
from caskward.store.prepared import Prepared
from caskward.store.rows import entries_of, rows_between
from caskward.store.tables import entries


@dataclass(frozen=True, slots=True)
class Head:
    """The newest entry, as far as the next one needs it."""

    number: int
    hash: str
    recorded_at: datetime


_NEWEST = (
    select(entries.c.number, entries.c.hash, entries.c.recorded_at).order_by(entries.c.number.desc()).limit(1)
)
_KEYED = entries.alias("keyed")
_BY_KEY = select(_KEYED.c.number).where(_KEYED.c.key == bindparam("asked"))
_NEWEST_AND_KEYED = Prepared(_NEWEST.add_columns(_BY_KEY.scalar_subquery().label("keyed")))


def head_of(connection: Connection) -> Head | None:
    """The newest entry, None in an empty book."""
    row = connection.execute(_NEWEST).one_or_none()
    return Head(row.number, row.hash, moment_from_text(row.recorded_at)) if row else None


def head_and_keyed(connection: Connection, key: str) -> tuple[Head | None, int | None]:
    """The newest entry, and the number of the one that has this key: what every new entry must know."""
    for number, hashed, recorded_at, keyed in _NEWEST_AND_KEYED.rows(connection, asked=key):
        return Head(number, hashed, moment_from_text(recorded_at)), keyed
    return None, None


def entry_by_number(connection: Connection, number: int) -> Entry | None:
    """An entry by its number."""
    return next(entries_of(rows_between(connection, number - 1, number)), None)


def entry_by_key(connection: Connection, key: str) -> Entry | None:
    """An entry by the key that its sender chose."""
    number = connection.execute(_BY_KEY, {"asked": key}).scalar_one_or_none()
    return None if number is None else entry_by_number(connection, number)


def closed_after(connection: Connection, number: int) -> list[str]:
    """The batches that entries with a number over this one closed, the newest first."""
    chosen = select(entries.c.batch).where(entries.c.number > number, entries.c.kind == "closed")
    return [one for one in connection.execute(chosen.order_by(entries.c.number.desc())).scalars() if one]


def entries_of_batch(connection: Connection, batch: str) -> list[Entry]:
    """All entries of a batch, in order."""
    numbers = connection.execute(
        select(entries.c.number).where(entries.c.batch == batch).order_by(entries.c.number)
    )
    return [entry for number in numbers.scalars() if (entry := entry_by_number(connection, number))]
