"""The journal: deeds become entries, one transaction each, and are found again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from types import TracebackType

from sqlalchemy import Connection

from caskward.book.entry import Deed, Entry
from caskward.book.holdings import Holdings
from caskward.errors import BookDamaged
from caskward.store import pages, reading
from caskward.store.damage import prove_newest, small_file_damage
from caskward.store.engine import BUSY_S, Link
from caskward.store.locking import alone
from caskward.store.moment import Moment, moment_of
from caskward.store.pages import AccountPage
from caskward.store.place import Place, default_place
from caskward.store.projections import Kept
from caskward.store.reading import Head
from caskward.store.rows import CHUNK, entries_of, rows_between
from caskward.store.upgrade import make_ready
from caskward.store.writing import Writer
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
        self._link, self._now, self._looked_over = link, now, False

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
            self._look_over(connection)
            writer = Writer(connection)
            return tuple(writer.enter(deed, self._now(), system) for deed in deeds)

    def _look_over(self, connection: Connection) -> None:
        """Before the first writing: nothing is added to a book that is plainly damaged."""
        if self._looked_over:
            return
        damage = "" if self._link.on_server else small_file_damage(connection)
        if damage:
            raise BookDamaged(str(self.place), damage)
        prove_newest(connection)
        self._looked_over = True

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
            upto = min(until, after + CHUNK)
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

    def closed_after(self, number: int) -> list[str]:
        """The batches that entries with a number over this one closed, the newest first."""
        with self._link.reading() as connection:
            return reading.closed_after(connection, number)

    def balances(self, prefix: str = "") -> dict[str, dict[str, int]]:
        """What every account whose name begins so holds: amounts that are not zero, by commodity."""
        with self._link.reading() as connection:
            return pages.balances_under(connection, prefix)

    def moment(self, beginnings: Iterable[str] = ("",)) -> Moment:
        """The newest entry and all that follows; of accounts those whose name begins like one of these."""
        with self._link.reading() as connection:
            return moment_of(connection, beginnings)

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
