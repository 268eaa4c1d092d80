"""Entries, accounts, balances."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Path, Query

from caskward.desk.api.answers import (
    Account,
    Amount,
    Balance,
    Balances,
    Entries,
    Entry,
    EntryLine,
    LeafLine,
    Posting,
    Reading,
)
from caskward.desk.api.fields import MOST_NAME, USUAL, Before, Limit, Number, Skip, TheBook, TheHouse, Units
from caskward.desk.api.routing import router as new_router
from caskward.services.book import look
from caskward.services.book.shelf_figures import amount_of, amounts_of

router = new_router("book")


@router.get("/entries")
def entries(
    house: TheHouse,
    book: TheBook,
    limit: Limit = USUAL,
    before: Before = None,
    batch: Annotated[str, Query(max_length=MOST_NAME, description="Only those of this batch.")] = "",
    units: Units = "metric",
) -> Entries:
    """Entries, the newest first."""
    if batch:
        every = reversed(house.records.of(book, batch).entries)
        found = [one for one in every if before is None or one.number < before]
    else:
        found = list(book.newest(before=before, limit=limit + 1))
    shown = found[:limit]
    return Entries(
        entries=lines(shown, units), before=shown[-1].number if shown and len(found) > limit else None
    )


@router.get("/entries/{number}")
def entry(book: TheBook, number: Number, units: Units = "metric") -> Entry:
    """One entry whole."""
    (found,) = look.one(book, number)
    (line,) = lines((found,), units)
    whole = look.entry_dict(found)
    kept_as = ("recorded_at", "site", "note", "key", "hash", "before", "details")
    return Entry.model_validate(
        {
            **line.model_dump(),
            **{name: whole[name] for name in kept_as},
            "readings": [Reading.model_validate(one) for one in found.readings],
            "postings": [
                Posting(account=one.account, change=_amount(one.commodity, one.amount))
                for one in found.postings
            ],
        }
    )


@router.get("/balances")
def balances(
    house: TheHouse,
    book: TheBook,
    beginning: Annotated[
        str, Query(max_length=MOST_NAME, description="Only accounts whose path begins so.", examples=["cask"])
    ] = "",
    everything: Annotated[bool, Query(description="Sources and ends, too: what came in, what left.")] = False,
    limit: Limit = USUAL,
    skip: Skip = 0,
) -> Balances:
    """What is where: every place, and what nobody has explained."""

    def there() -> list[tuple[str, dict[str, int]]]:
        return sorted(look.balances(book, beginning, everything=everything).items())

    nothing: list[tuple[str, dict[str, int]]] = []
    found = there() if beginning else house.seen.at_once(("api balances", everything), there, nothing)
    page = [
        Balance(account=account, holds=[Amount.model_validate(one) for one in amounts_of(there)])
        for account, there in found[skip : skip + limit]
    ]
    return Balances(balances=page, total=len(found))


@router.get("/accounts/{path:path}")
def account(
    book: TheBook,
    path: Annotated[
        str,
        Path(
            max_length=MOST_NAME,
            description="Its path, or what the place is called.",
            examples=["cask/2"],
        ),
    ],
    limit: Limit = USUAL,
) -> Account:
    """An account, with what went in and out, the newest first."""
    return leaf_answer(look.account(book, path, limit))


# What other addresses use, too -------------------------------------------------------------------


def lines(found: Any, units: Any) -> list[EntryLine]:
    """Entries in short, in the order in which they come."""
    _, *rows = look.entry_rows(found, units)
    return [
        EntryLine(
            number=one.number,
            kind=one.kind,
            summary=row[-1],
            done_at=str(look.entry_dict(one)["done_at"]),
            by=one.author,
            batch=one.batch,
            corrects=one.corrects,
        )
        for one, row in zip(found, rows, strict=True)
    ]


def leaf_answer(leaf: look.Leaf) -> Account:
    """An account as it comes back."""
    return Account(
        account=leaf.account,
        holds=[Amount.model_validate(one) for one in amounts_of(leaf.there)],
        room_l=leaf.room_ul / 1e6 if leaf.room_ul else None,
        lines=[
            LeafLine(
                entry=number, done_at=done_at, kind=kind,
                change=_amount(commodity, change), then=_amount(commodity, then),
            )
            for number, done_at, kind, commodity, change, then in leaf.lines
        ],
        more=leaf.more,
    )  # fmt: skip


def _amount(commodity: str, amount: int) -> Amount:
    return Amount.model_validate(amount_of(commodity, amount))
