"""The book proved: its file, guards, rows, chain, running sums, and that what is kept beside follows from it.

Each check gives findings and never stops the next; the first finding that names an entry names the first bad
one. What entries say of each other (sums, keys, rules) is `book.checks`' affair, in the same pass.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, func, select, text
from sqlalchemy.exc import DatabaseError

from caskward.book.accounts import BULK
from caskward.book.chain import breaks
from caskward.book.checks import Judge, projections
from caskward.book.entry import Entry
from caskward.book.finding import Finding
from caskward.book.words import apart
from caskward.errors import EntryDamaged
from caskward.store.damage import file_damage, strayed
from caskward.store.engine import Link
from caskward.store.projections import Folded, kept
from caskward.store.reading import head_of
from caskward.store.rows import Rows, entry_of, rows_between
from caskward.store.tables import entries, postings, readings

GUARDS = {
    "sqlite": frozenset(
        {
            f"{table}_no_{deed}"
            for table in ("entries", "postings", "readings")
            for deed in ("UPDATE", "DELETE")
        }
        | {"entries_follow", "postings_follow", "readings_follow"}
    ),
    "postgresql": frozenset(
        f"{table}_{what}" for table in ("entries", "postings", "readings") for what in ("stay", "follow")
    ),
}
_SET_GUARDS = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid "
    "WHERE NOT tgisinternal AND tgenabled IN ('O', 'A') AND relnamespace = current_schema()::regnamespace",
}


@dataclass(frozen=True, slots=True)
class Checked:
    """What was looked at, and all that was found wrong; a book without findings is whole."""

    entries: int
    head: str
    findings: tuple[Finding, ...]

    @property
    def first_bad(self) -> int | None:
        """The number of the first entry that does not hold; None if no single one is to blame."""
        return min((found.number for found in self.findings if found.number is not None), default=None)

    @property
    def whole(self) -> bool:
        """Whether nothing was found."""
        return not self.findings


def check_book(link: Link) -> Checked:
    """Prove the book as it is at this moment, whoever writes meanwhile."""
    with link.reading() as connection:
        head = head_of(connection)
        until = head.number if head else 0
        found = tuple(findings(connection, until))
        # Nothing was written; a file with a page that cannot be read lets no transaction be committed.
        connection.rollback()
    return Checked(until, head.hash if head else "", found)


def findings(connection: Connection, until: int) -> Iterator[Finding]:
    """All that does not hold in the entries up to the newest, `until`, and in what is kept beside them.

    File and guards come first, then the entries in their order, then what is kept beside them.
    """
    damaged = tuple(_tried(file_damage(connection)))
    yield from damaged
    yield from _tried(_guards(connection))
    judge = Judge()
    of_entries = [*_tried(_strays(connection)), *_tried(_running_sums(connection))]
    of_entries += _tried(strayed(connection)) if damaged else ()
    readable = _Readable(connection, until, judge)
    of_entries += breaks(readable)
    of_entries += readable.found
    yield from sorted(of_entries, key=lambda finding: finding.number or 0)
    if readable.to_the_end:
        yield from _tried(_beside_of(connection, judge))


def _tried(steps: Iterator[Finding]) -> Iterator[Finding]:
    """What a check finds up to where the file cannot be read, and that it cannot; the next check goes on."""
    try:
        yield from steps
    except DatabaseError as problem:
        if not isinstance(problem.orig, sqlite3.DatabaseError):
            raise
        yield Finding("file", None, f"A part of the file cannot be read: {problem.orig}.")


def _beside_of(connection: Connection, judge: Judge) -> Iterator[Finding]:
    yield from _beside(kept(connection), judge)


class _Readable:
    """The entries up to the first that cannot be read; each is judged as it passes."""

    def __init__(self, connection: Connection, until: int, judge: Judge) -> None:
        self._connection, self._until, self._judge = connection, until, judge
        self.found: list[Finding] = []
        self.to_the_end = self._unread = False

    def __iter__(self) -> Iterator[Entry]:
        for rows in self._rows():
            try:
                entry = entry_of(rows)
            except EntryDamaged as damage:
                sentence = f"Entry {damage.number} was changed after it was recorded: {damage.why}."
                self.found.append(Finding("rows", damage.number, sentence))
                return
            self.found += self._judge.take(entry)
            yield entry
        self.to_the_end = not self._unread

    def _rows(self) -> Iterator[Rows]:
        """The rows as far as the file gives them; the first entry that it does not give is named."""
        last = 0
        try:
            for rows in rows_between(self._connection, 0, self._until):
                last = rows.entry["number"]
                yield rows
        except DatabaseError as problem:
            if not isinstance(problem.orig, sqlite3.DatabaseError):
                raise
            yield from self._one_by_one(last)

    def _one_by_one(self, after: int) -> Iterator[Rows]:
        for number in range(after + 1, self._until + 1):
            try:
                rows = tuple(rows_between(self._connection, number - 1, number))
            except DatabaseError as problem:
                self._unread = True
                sentence = f"Entry {number} cannot be read: {problem.orig}."
                self.found.append(Finding("file", number, sentence))
                return
            yield from rows


def _guards(connection: Connection) -> Iterator[Finding]:
    dialect = connection.dialect.name
    there = set(connection.execute(text(_SET_GUARDS[dialect])).scalars())
    for name in sorted(GUARDS[dialect] - there):
        sentence = f"The guard {name} is missing: entries could be changed without the database refusing."
        yield Finding("guards", None, sentence)


def _strays(connection: Connection) -> Iterator[Finding]:
    """Rows of entries that are not there."""
    for table in (postings, readings):
        of_no_entry = ~select(entries.c.number).where(entries.c.number == table.c.number).exists()
        for number in connection.execute(select(table.c.number).where(of_no_entry).limit(1)).scalars():
            yield Finding("rows", number, f"There are {table.name} of entry {number}, which is not there.")
    low = select(func.min(entries.c.number))
    if (connection.execute(low).scalar_one_or_none() or 1) < 1:
        yield Finding("rows", None, "There is an entry with a number below 1.")


def _running_sums(connection: Connection) -> Iterator[Finding]:
    place = postings.c.account, postings.c.commodity
    chosen = select(postings.c.number, *place, postings.c.amount, postings.c.after)
    chosen = chosen.order_by(postings.c.number, postings.c.line)
    running: dict[tuple[str, str], int] = {}
    for number, account, commodity, amount, after in connection.execute(
        chosen, execution_options={"yield_per": 5000}
    ):
        right = running.get((account, commodity), 0) + amount
        if right != after:
            written, follows = apart(after, right, commodity)
            sentence = f"Entry {number} leaves {follows} in {account}, but {written} is written there."
            yield Finding("running sums", number, sentence)
        running[account, commodity] = after


def _beside(there: Folded, judge: Judge) -> Iterator[Finding]:
    """Where what is kept beside the entries is not what follows from them."""
    (amounts, rooms_ul, standings), state = there, judge.state
    balances: dict[str, dict[str, int]] = {}
    for (account, commodity), amount in amounts.items():
        balances.setdefault(account, {})[commodity] = amount
    yield from projections(state, balances)
    for account in sorted(set(rooms_ul) | set(state.rooms_ul)):
        volumes_ul = rooms_ul.get(account, 0), state.rooms_ul.get(account, 0)
        if volumes_ul[0] != volumes_ul[1]:
            yield _unlike(f"volume of {account}", *apart(*volumes_ul, BULK))
    for batch in sorted(set(standings) | set(state.batches)):
        words = (by_batch.get(batch, "unknown") for by_batch in (standings, state.batches))
        if standings.get(batch) != state.batches.get(batch):
            yield _unlike(f"state of the batch {batch!r}", *words)


def _unlike(what: str, there: str, right: str) -> Finding:
    return Finding("projections", None, f"The {what} is kept as {there}, but the entries give {right}.")
