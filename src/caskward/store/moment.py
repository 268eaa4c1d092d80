"""All that follows from the entries up to one of them, read at one moment of the book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, select

from caskward.book.holdings import Standing
from caskward.store.pages import balances_under
from caskward.store.reading import Head, head_of
from caskward.store.tables import batches, rooms


@dataclass(frozen=True, slots=True)
class Moment:
    """The newest entry (None in an empty book), and what follows from all up to it.

    balances: amounts that are not zero, by account and commodity; rooms_ul: declared volumes [µL].
    """

    head: Head | None
    balances: Mapping[str, Mapping[str, int]]
    rooms_ul: Mapping[str, int]
    batches: Mapping[str, Standing]


def moment_of(connection: Connection, beginnings: Iterable[str]) -> Moment:
    """What is there now; of accounts those whose name begins like one of `beginnings`."""
    balances: dict[str, dict[str, int]] = {}
    for beginning in beginnings:
        balances.update(balances_under(connection, beginning))
    return Moment(
        head_of(connection),
        balances,
        {row.account: row.volume_ul for row in connection.execute(select(rooms))},
        {row.batch: row.standing for row in connection.execute(select(batches))},
    )
