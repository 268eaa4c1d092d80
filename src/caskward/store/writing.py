"""How an entry is written: judged, sealed, laid down in rows, and what follows from it brought up to date."""

from __future__ import annotations

from collections.abc import Iterator
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
from caskward.store.prepared import Prepared
from caskward.store.projections import Kept
from caskward.store.reading import Head
from caskward.store.rows import rows_of
from caskward.store.tables import entries, postings, readings
from caskward.units.types import UnitSystem

_NEW_ENTRY, _NEW_POSTINGS, _NEW_READINGS = (
    Prepared(insert(table)) for table in (entries, postings, readings)
)


class Writer:
    """Enters deeds within one transaction that has the book to itself."""

    def __init__(self, connection: Connection) -> None:
        self._connection, self._kept = connection, Kept(connection)

    def entry(self, number: int) -> Entry | None:
        """An entry by its number."""
        return self._kept.entry(number)

    def enter(self, deed: Deed, now: datetime, system: UnitSystem) -> Entry:
        """Judge a deed and enter it, unless its key says that it is entered already."""
        head, keyed = reading.head_and_keyed(self._connection, deed.key)
        if keyed is not None:
            return self._entered_already(deed, keyed)
        self._kept.fetch({part.account for part in deed.postings})
        changes = rules.check(deed, self._kept, now, system)
        return self.take_in(_sealed(deed, head, now), changes)

    def _entered_already(self, deed: Deed, number: int) -> Entry:
        there = reading.entry_by_number(self._connection, number)
        if there is None or not same_deed(there, deed):
            raise KeyUsedForAnother(deed.key, number)
        return there

    def take_in(self, entry: Entry, changes: Effects) -> Entry:
        """Write an entry that follows on the head, and what follows from it."""
        rows = rows_of(entry)
        posted = [
            {**row, "after": after} for row, after in zip(rows.postings, self._after(entry), strict=True)
        ]
        _NEW_ENTRY.write(self._connection, [rows.entry])
        _NEW_POSTINGS.write(self._connection, posted)
        _NEW_READINGS.write(self._connection, rows.readings)
        self._kept.take_in(changes)
        return entry

    def _after(self, entry: Entry) -> Iterator[int]:
        """What is in the account after each posting."""
        running: dict[tuple[str, str], int] = {}
        for part in entry.postings:
            place = part.account, part.commodity
            held = running.get(place, self._kept.contents(part.account).get(part.commodity, 0))
            running[place] = whole(held + part.amount, f"sum of {part.commodity} in {part.account}")
            yield running[place]


def _sealed(deed: Deed, head: Head | None, now: datetime) -> Entry:
    if head is None:
        return sealed_at(deed, 1, now, GENESIS)
    # A clock that was put back does not make the book run backward.
    return sealed_at(deed, head.number + 1, max(now, head.recorded_at), head.hash)
