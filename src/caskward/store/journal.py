"""The journal: deeds become entries, one transaction each, and are found again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from types import TracebackType

from sqlalchemy import Connection, insert

from caskward.book import rules
from caskward.book.canonical import same_deed
from caskward.book.chain import GENESIS, sealed_at
from caskward.book.entry import Deed, Entry
from caskward.book.frozen import whole
from caskward.book.holdings import Effects, Holdings
from caskward.errors.book import KeyUsedForAnother
from caskward.store import pages, reading
from caskward.store.engine import BUSY_S, Link
from caskward.store.locking import alone
from caskward.store.pages import AccountPage
from caskward.store.place import Place, default_place
from caskward.store.projections import Kept
from caskward.store.reading import Head
from caskward.store.rows import Row, entries_of, rows_between, rows_of
from caskward.store.tables import entries, postings, readings
from caskward.store.upgrade import make_ready
from caskward.units.types import UnitSystem


def clock() -> datetime:
    """Now, by this machine."""
    return datetime.now(UTC)


def open_journal(
    place: Place | None = None,
    *,
    create: bool = True,
    now: Callable[[], datetime] = clock,
    busy_s: float = BUSY_S,
) -> Journal:
    """The journal at a place (CASKWARD_BOOK, or the user's data folder), in today's form.

    `create`: begin a book where there is none, else raise `NoBookYet`. An older book is copied aside and
    brought up to date; a newer one raises `BookFromLater`. `busy_s`: how long to wait for another writer [s].
    """
    link = Link(place or default_place(), busy_s=busy_s)
    try:
        make_ready(link, create=create)
    except BaseException:
        link.close()
        raise
    return Journal(link, now)


class Journal:
    """An open book. It may be used by several threads at once; closed by `close` or a `with` block."""

    def __init__(self, link: Link, now: Callable[[], datetime] = clock) -> None:
        self._link, self._now = link, now

    @property
    def place(self) -> Place:
        """Where the book is kept."""
        return self._link.place

    @property
    def link(self) -> Link:
        """The way to the book, for what is done to it as a whole."""
        return self._link

    def close(self) -> None:
        """Let go of file or server."""
        self._link.close()

    def __enter__(self) -> Journal:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        self.close()

    # Writing -----------------------------------------------------------------------------------------

    def append(self, deed: Deed, *, system: UnitSystem = "metric") -> Entry:
        """Enter a deed; when this returns, the entry is on disk.

        A deed whose key is in the book already changes nothing and gives the entry that is there; if that
        says something else, raises `KeyUsedForAnother`. Raises what `book.rules` refuses, its amounts in
        units of `system`.
        """
        return self.append_all([deed], system=system)[0]

    def append_all(self, deeds: Sequence[Deed], *, system: UnitSystem = "metric") -> tuple[Entry, ...]:
        """Enter several deeds that belong together: all of them or none."""
        with self._link.writing() as connection:
            alone(connection)
            writer = _Writer(connection)
            return tuple(writer.enter(deed, self._now(), system) for deed in deeds)

    # Reading -----------------------------------------------------------------------------------------

    def head(self) -> Head | None:
        """The newest entry's number, hash and time of record; None in an empty book."""
        with self._link.reading() as connection:
            return reading.head_of(connection)

    def entries(self, after: int = 0, limit: int | None = None) -> Iterator[Entry]:
        """The entries with a number over `after`, in order, as far as the book goes when it is asked."""
        head = self.head()
        until = head.number if head else 0
        until = until if limit is None else min(until, after + limit)
        while after < until:
            # A moment for each part: entries never change, so a long look need not hold anything up.
            upto = min(until, after + pages.CHUNK)
            with self._link.reading() as connection:
                found = list(entries_of(rows_between(connection, after, upto)))
            yield from found
            after = upto

    def newest(self, before: int | None = None, limit: int = 50) -> tuple[Entry, ...]:
        """Up to `limit` entries with a number below `before`, the newest first."""
        with self._link.reading() as connection:
            head = reading.head_of(connection)
            last = head.number if head else 0
            until = last if before is None else min(last, before - 1)
            found = entries_of(rows_between(connection, max(0, until - limit), until))
            return tuple(reversed(list(found)))

    def entry(self, number: int) -> Entry | None:
        """An entry by its number."""
        with self._link.reading() as connection:
            return reading.entry_by_number(connection, number)

    def find(self, key: str) -> Entry | None:
        """An entry by the key that its sender chose."""
        with self._link.reading() as connection:
            return reading.entry_by_key(connection, key)

    def of_batch(self, batch: str) -> tuple[Entry, ...]:
        """All entries of a batch, in order."""
        with self._link.reading() as connection:
            return tuple(reading.entries_of_batch(connection, batch))

    def balances(self, prefix: str = "") -> dict[str, dict[str, int]]:
        """What every account whose name begins so holds: amounts that are not zero, by commodity."""
        with self._link.reading() as connection:
            return pages.balances_under(connection, prefix)

    def account_page(
        self,
        account: str,
        before: tuple[int, int] | None = None,
        limit: int = 50,
        commodity: str | None = None,
    ) -> AccountPage:
        """An account's newest postings, or those older than the page that said `older`."""
        with self._link.reading() as connection:
            return pages.account_page(connection, account, before, limit, commodity)

    @contextmanager
    def holdings(self) -> Iterator[Holdings]:
        """What a deed is judged by, at one moment: for working one out."""
        with self._link.reading() as connection:
            yield Kept(connection)


class _Writer:
    """Enters deeds within one transaction that has the book to itself."""

    def __init__(self, connection: Connection) -> None:
        self._connection, self._kept = connection, Kept(connection)
        self._head = reading.head_of(connection)

    def enter(self, deed: Deed, now: datetime, system: UnitSystem) -> Entry:
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
