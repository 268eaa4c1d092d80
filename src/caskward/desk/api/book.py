"""Entries, accounts, balances, the proof."""

from __future__ import annotations

from threading import Semaphore
from typing import Annotated, Any

from fastapi import Path, Query

from caskward.desk.api.answers import (
    Account,
    Amount,
    Balance,
    Balances,
    Check,
    Entries,
    Entry,
    EntryLine,
    Finding,
    LeafLine,
    Posting,
    Reading,
)
from caskward.desk.api.fields import MOST_NAME, USUAL, Before, Limit, Number, Skip, TheBook, Units
from caskward.desk.api.routing import router as new_router
from caskward.errors.book import NoSuchBatch
from caskward.services.book import kept, look
from caskward.services.book.shelf_figures import amount_of, amounts_of

router = new_router("book")
one_at_a_time = Semaphore(1)
"""What reads the whole book takes a while and all of a core: those who ask together wait for each other."""


@router.get("/entries")
def entries(
    book: TheBook,
    limit: Limit = USUAL,
    before: Before = None,
    batch: Annotated[str, Query(max_length=MOST_NAME, description="Only those of this batch.")] = "",
    units: Units = "metric",
) -> Entries:
    """Entries, the newest first."""
    if batch:
        found = [one for one in reversed(book.of_batch(batch)) if before is None or one.number < before]
        if not found and before is None:
            raise NoSuchBatch(batch, None)
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
    book: TheBook,
    beginning: Annotated[
        str, Query(max_length=MOST_NAME, description="Only accounts whose path begins so.", examples=["cask"])
    ] = "",
    everything: Annotated[bool, Query(description="Sources and ends, too: what came in, what left.")] = False,
    limit: Limit = USUAL,
    skip: Skip = 0,
) -> Balances:
    """What is where: every place, and what nobody has explained."""
    found = sorted(look.balances(book, beginning, everything=everything).items())
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


@router.get("/check")
def check(book: TheBook) -> Check:  # noqa: ARG001 - says so where there is none
    """Prove the book: file, guards, chain, sums, balances. It takes seconds in a long book."""
    with one_at_a_time:
        found = kept.check()
    return Check(
        whole=found.whole,
        entries=found.entries,
        head=found.head or None,
        first_bad=found.first_bad,
        findings=[Finding(sentence=one.sentence) for one in found.findings],
        sentences=list(kept.check_sentences(found)),
    )


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
