"""What follows from the entries and is kept beside them: balances, declared volumes, batches.

A deed is judged by these alone, so judging one costs the same in a book of any length. They change in the
transaction of the entry that changes them, by `effects` alone, and can be made anew at any time.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from importlib import import_module
from typing import Any, Literal

from sqlalchemy import (
    ARRAY,
    BindParameter,
    Connection,
    Table,
    Text,
    bindparam,
    cast,
    delete,
    func,
    null,
    select,
    union_all,
)

from caskward.book.entry import Entry
from caskward.book.holdings import Effects, Standing, effects
from caskward.store.prepared import Prepared
from caskward.store.reading import entry_by_number, head_of
from caskward.store.rows import entries_of, rows_between
from caskward.store.tables import balances, batches, entries, rooms


@cache
def _contents(dialect: str) -> Prepared:
    """What is in some accounts and how much would go in, in one question; a volume has no commodity."""
    asked: BindParameter[Any] = bindparam("asked")
    among: Any = (
        func.unnest(cast(asked, ARRAY(Text))).select()
        if dialect == "postgresql"
        else select(func.json_each(asked).table_valued("value").c.value)
    )
    return Prepared(
        union_all(
            select(balances).where(balances.c.account.in_(among), balances.c.amount != 0),
            select(rooms.c.account, null(), rooms.c.volume_ul).where(rooms.c.account.in_(among)),
        )
    )


_STANDING = Prepared(select(batches.c.standing).where(batches.c.batch == bindparam("asked")))


class Kept:
    """`Holdings` out of the projections, read when asked for and then remembered: for one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._contents: dict[str, dict[str, int]] = {}
        self._rooms_ul: dict[str, int | None] = {}

    def fetch(self, accounts: Iterable[str]) -> None:
        """Read what is in these accounts and how much they hold, all at once."""
        asked = sorted({account for account in accounts if account not in self._contents})
        if not asked:
            return
        self._contents.update({account: {} for account in asked})
        self._rooms_ul.update(dict.fromkeys(asked))
        dialect = self._connection.dialect.name
        among = asked if dialect == "postgresql" else json.dumps(asked)
        for account, commodity, amount in _contents(dialect).rows(self._connection, asked=among):
            if commodity is None:
                self._rooms_ul[account] = amount
            else:
                self._contents[account][commodity] = amount

    def contents(self, account: str) -> Mapping[str, int]:
        """Every amount that is not zero, by commodity."""
        self.fetch([account])
        return self._contents[account]

    def room_ul(self, account: str) -> int | None:
        """The declared volume [µL]."""
        self.fetch([account])
        return self._rooms_ul[account]

    def rooms_of(self, accounts: Iterable[str]) -> Mapping[str, int]:
        """The declared volumes [µL] of those of these accounts that have one."""
        wanted = [*accounts]
        self.fetch(wanted)
        return {account: room for account in wanted if (room := self._rooms_ul[account]) is not None}

    def standing(self, batch: str) -> Standing | None:
        """Whether a batch is open or closed; None if it was never begun."""
        for (standing,) in _STANDING.rows(self._connection, asked=batch):
            known: Standing = standing
            return known
        return None

    def standings(self) -> dict[str, Standing]:
        """Every batch, and whether it is open or closed."""
        chosen = select(batches.c.batch, batches.c.standing).order_by(batches.c.batch)
        return {row.batch: row.standing for row in self._connection.execute(chosen)}

    def corrected_by(self, number: int) -> int | None:
        """The number of the entry that corrects this one."""
        chosen = select(entries.c.number).where(entries.c.corrects == number)
        return self._connection.execute(chosen).scalar_one_or_none()

    def entry(self, number: int) -> Entry | None:
        """An entry by its number."""
        return entry_by_number(self._connection, number)

    def last_number(self) -> int:
        """The number of the last entry; 0 in an empty book."""
        head = head_of(self._connection)
        return head.number if head else 0

    def names(self, of: Literal["declared", "batch"]) -> Iterable[str]:
        """Declared accounts, or batches."""
        column = rooms.c.account if of == "declared" else batches.c.batch
        return list(self._connection.execute(select(column).order_by(column)).scalars())

    def take_in(self, changed: Effects) -> None:
        """Write down what an entry changed, here and in the database."""
        self.fetch({account for account, _ in changed.amounts})
        now_there = {
            (account, commodity): self._contents[account].get(commodity, 0) + amount
            for (account, commodity), amount in changed.amounts.items()
        }
        for (account, commodity), amount in now_there.items():
            self._contents[account][commodity] = amount
            if not amount:
                del self._contents[account][commodity]
        self._rooms_ul.update(changed.rooms_ul)
        write(self._connection, now_there, changed.rooms_ul, changed.batches)


def write(
    connection: Connection,
    amounts: Mapping[tuple[str, str], int],
    rooms_ul: Mapping[str, int],
    standings: Mapping[str, Standing],
) -> None:
    """Set these balances, volumes and batches."""
    sums = [{"account": a, "commodity": c, "amount": amount} for (a, c), amount in amounts.items()]
    _set(connection, balances, sums)
    _set(connection, rooms, [{"account": a, "volume_ul": volume} for a, volume in rooms_ul.items()])
    _set(connection, batches, [{"batch": b, "standing": standing} for b, standing in standings.items()])


def _set(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    if rows:
        _upsert(connection.dialect.name, table).write(connection, rows)


@cache
def _upsert(dialect: str, table: Table) -> Prepared:
    # Loading either costs a tenth of a second, so only the one that is talked to.
    home = import_module(f"sqlalchemy.dialects.{dialect}")
    new: Any = home.insert(table)
    keys = [column.name for column in table.primary_key]
    others = {column.name: new.excluded[column.name] for column in table.c if not column.primary_key}
    return Prepared(new.on_conflict_do_update(index_elements=keys, set_=others))


Folded = tuple[dict[tuple[str, str], int], dict[str, int], dict[str, Standing]]
"""Balances by account and commodity, volumes by account, standings by batch."""


class Fold:
    """What follows from entries, taken in one after the other from the first."""

    def __init__(self) -> None:
        self.found: Folded = ({}, {}, {})

    def take(self, entry: Entry, connection: Connection) -> None:
        """Take in the next entry; what it corrects is looked up."""
        amounts, rooms_ul, standings = self.found
        corrected = entry_by_number(connection, entry.corrects) if entry.corrects else None
        changed = effects(entry, corrected)
        for place, amount in changed.amounts.items():
            amounts[place] = amounts.get(place, 0) + amount
        rooms_ul.update(changed.rooms_ul)
        standings.update(changed.batches)


def rebuild(connection: Connection) -> None:
    """Empty the projections and fill them again from the entries."""
    head = head_of(connection)
    fold = Fold()
    for entry in entries_of(rows_between(connection, 0, head.number if head else 0)):
        fold.take(entry, connection)
    for table in (balances, rooms, batches):
        connection.execute(delete(table))
    write(connection, *fold.found)


def kept(connection: Connection) -> Folded:
    """Balances, volumes and batches as they are kept."""
    amounts = {(a, c): amount for a, c, amount in connection.execute(select(balances))}
    rooms_ul = {row.account: row.volume_ul for row in connection.execute(select(rooms))}
    standings = {row.batch: row.standing for row in connection.execute(select(batches))}
    return amounts, rooms_ul, standings
