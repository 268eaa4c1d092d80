"""How an entry is written: judged, sealed, laid down in rows, and what follows from it brought up to date."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from sqlalchemy import Connection, insert

from caskward.book import rules
from caskward.book.canonical import same_deed
from caskward.book.chain import GENESIS, sealed_at
from caskward.book.entry import Deed, Entry
from caskward.book.frozen import whole
from caskward.book.holdings import Effects
from caskward.errors.book import KeyUsedForAnother
from caskward.store import reading
from caskward.store.projections import Kept
from caskward.store.reading import Head
from caskward.store.rows import Row, rows_of
from caskward.store.tables import entries, postings, readings
from caskward.units.types import UnitSystem


class Writer:
    """Enters deeds within one transaction that has the book to itself."""

    def __init__(self, connection: Connection) -> None:
        self._connection, self._kept = connection, Kept(connection)
        self._head = reading.head_of(connection)

    @property
    def head(self) -> Head | None:
        """The newest entry, also of those that were written a moment ago."""
        return self._head

    def entry(self, number: int) -> Entry | None:
        """An entry by its number."""
        return self._kept.entry(number)

    def enter(self, deed: Deed, now: datetime, system: UnitSystem) -> Entry:
        """Judge a deed and enter it, unless its key says that it is entered already."""
        there = reading.entry_by_key(self._connection, deed.key)
        if there is not None:
            if not same_deed(there, deed):
                raise KeyUsedForAnother(deed.key, there.number)
            return there
        self._kept.fetch({part.account for part in deed.postings})
        changes = rules.check(deed, self._kept, now, system)
        entry = self._sealed(deed, now)
        return self.take_in(entry, changes)

    def take_in(self, entry: Entry, changes: Effects) -> Entry:
        """Write an entry that follows on the head, and what follows from it."""
        rows = rows_of(entry)
        posted = [
            {**row, "after": after} for row, after in zip(rows.postings, self._after(entry), strict=True)
        ]
        self._connection.execute(insert(entries), rows.entry)
        self._write(posted, rows.readings)
        self._kept.take_in(changes)
        self._head = Head(entry.number, entry.hash, entry.recorded_at)
        return entry

    def _write(self, posted: list[Row], read: Iterable[Row]) -> None:
        if posted:
            self._connection.execute(insert(postings), posted)
        if measured := list(read):
            self._connection.execute(insert(readings), measured)

    def _sealed(self, deed: Deed, now: datetime) -> Entry:
        if self._head is None:
            return sealed_at(deed, 1, now, GENESIS)
        # A clock that was put back does not make the book run backward.
        return sealed_at(deed, self._head.number + 1, max(now, self._head.recorded_at), self._head.hash)

    def _after(self, entry: Entry) -> Iterator[int]:
        """What is in the account after each posting."""
        running: dict[tuple[str, str], int] = {}
        for part in entry.postings:
            place = part.account, part.commodity
            held = running.get(place, self._kept.contents(part.account).get(part.commodity, 0))
            running[place] = whole(held + part.amount, f"sum of {part.commodity} in {part.account}")
            yield running[place]
