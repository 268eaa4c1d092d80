"""Balances, and an account leaf by leaf: each costs the same in a book of any length."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, select, tuple_

from caskward.store.tables import balances, entries, postings


@dataclass(frozen=True, slots=True)
class AccountLine:
    """A posting to an account, with what was there after it."""

    number: int
    line: int
    done_at: str
    kind: str
    batch: str | None
    commodity: str
    amount: int
    after: int


@dataclass(frozen=True, slots=True)
class AccountPage:
    """Postings to an account, the newest first; `older` is where the next page begins, None at the end."""

    account: str
    lines: tuple[AccountLine, ...]
    older: tuple[int, int] | None


def balances_under(connection: Connection, prefix: str) -> dict[str, dict[str, int]]:
    """Amounts that are not zero by account and commodity, of the accounts whose name begins with `prefix`."""
    chosen = select(balances).where(balances.c.amount != 0)
    if prefix:
        # A range, which the index answers: the highest code point ends it.
        chosen = chosen.where(balances.c.account >= prefix, balances.c.account <= prefix + "\U0010ffff")
    found: dict[str, dict[str, int]] = {}
    for account, commodity, amount in connection.execute(
        chosen.order_by(balances.c.account, balances.c.commodity)
    ):
        found.setdefault(account, {})[commodity] = amount
    return found


def account_page(
    connection: Connection,
    account: str,
    before: tuple[int, int] | None = None,
    limit: int = 50,
    commodity: str | None = None,
) -> AccountPage:
    """Up to `limit` postings to an account older than `before` (entry's number and line)."""
    place = postings.c.number, postings.c.line
    newest_first = (column.desc() for column in place)
    chosen = (
        select(
            *place,
            entries.c.done_at,
            entries.c.kind,
            entries.c.batch,
            postings.c.commodity,
            postings.c.amount,
            postings.c.after,
        )
        .join(entries, entries.c.number == postings.c.number)
        .where(postings.c.account == account)
        .order_by(*newest_first)
        .limit(limit + 1)
    )
    if before is not None:
        chosen = chosen.where(tuple_(*place) < before)
    if commodity is not None:
        chosen = chosen.where(postings.c.commodity == commodity)
    rows = [AccountLine(*row) for row in connection.execute(chosen)]
    page = tuple(rows[:limit])
    more = len(rows) > limit
    return AccountPage(account, page, (page[-1].number, page[-1].line) if more else None)
