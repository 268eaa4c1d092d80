"""The book proved: its file, guards, rows, chain, running sums, and that what is kept beside follows from it.

Each check gives findings and never stops the next; the first finding that names an entry names the first bad
one. What entries say of each other (sums, keys, rules) is `book.checks`' affair, in the same pass.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, func, select, text

from caskward.book.accounts import BULK
from caskward.book.chain import breaks
from caskward.book.checks import Judge, projections
from caskward.book.entry import Entry
from caskward.book.finding import Finding
from caskward.book.words import apart
from caskward.errors import EntryDamaged
from caskward.store.engine import Link
from caskward.store.projections import Folded, kept
from caskward.store.reading import head_of
from caskward.store.rows import entry_of, rows_between
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
    def whole(self) -> bool:
        """Whether nothing was found."""
        return not self.findings


def check_book(link: Link) -> Checked:
    """Prove the book as it is at this moment, whoever writes meanwhile."""
    with link.reading() as connection:
        head = head_of(connection)
        until = head.number if head else 0
        found = tuple(findings(connection, until))
    return Checked(until, head.hash if head else "", found)


def findings(connection: Connection, until: int) -> Iterator[Finding]:
    """All that does not hold in the entries up to the newest, `until`, and in what is kept beside them.

    File and guards come first, then the entries in their order, then what is kept beside them.
    """
    yield from _file(connection)
    yield from _guards(connection)
    judge = Judge()
    of_entries = [*_strays(connection), *_running_sums(connection)]
    readable = _Readable(connection, until, judge)
    of_entries += breaks(readable)
    of_entries += readable.found
    yield from sorted(of_entries, key=lambda finding: finding.number or 0)
    if readable.to_the_end:
        yield from _beside(kept(connection), judge)


class _Readable:
    """The entries up to the first that cannot be read; each is judged as it passes."""

    def __init__(self, connection: Connection, until: int, judge: Judge) -> None:
        self._connection, self._until, self._judge = connection, until, judge
        self.found: list[Finding] = []
        self.to_the_end = False

    def __iter__(self) -> Iterator[Entry]:
        for rows in rows_between(self._connection, 0, self._until):
            try:
                entry = entry_of(rows)
            except EntryDamaged as damage:
                sentence = f"Entry {damage.number} was changed after it was recorded: {damage.why}."
                self.found.append(Finding("rows", damage.number, sentence))
                return
            self.found += self._judge.take(entry)
            yield entry
        self.to_the_end = True


def _file(connection: Connection) -> Iterator[Finding]:
    if connection.dialect.name == "sqlite":
        said = [str(row[0]) for row in connection.exec_driver_sql("PRAGMA integrity_check(5)")]
        for problem in said if said != ["ok"] else ():
            yield Finding("file", None, f"The file is damaged: {problem}.")


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
