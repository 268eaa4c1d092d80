"""The book: what is recorded, what is where, its proof, and copies of it to take away."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import FileResponse, Response, StreamingResponse

from caskward.desk import deeds, entries, wall_clock
from caskward.desk.forms import asked, for_a_maker, house_of, number_in
from caskward.desk.pages import AccountPage, AccountsPage, BookPage, CheckPage, EntryPage, RecordForm
from caskward.desk.render import page, units_of
from caskward.desk.screens import BOOK
from caskward.errors import NoBookYet, NotUnderstood
from caskward.services.book import kept, look, words
from caskward.services.book.at_hand import EVERYTHING, PLACES
from caskward.services.book.entry_page import entry_page
from caskward.services.book.opened import Book
from caskward.services.book.shelf import OPEN, unexplained
from caskward.units.types import UnitSystem

router = APIRouter()
ON_A_PAGE = 25
LINES = 60
ACCOUNTS = 100
PROOF_S = 30.0
"""How long a page waits for another proof to end."""


@router.get("/book")
def book(request: Request) -> Response:
    """The newest entries, or those before a number."""
    system = units_of(request)
    before = _number(asked(request, "before")) if asked(request, "before") else None
    try:
        there = house_of(request).book.to_read()
    except NoBookYet:
        return page(request, "book", _nothing_yet(), part="entries")
    found = entries.newest(there, system, ON_A_PAGE + 1, before)
    seen = house_of(request).seen
    what = seen.shelf(system)
    data = BookPage(
        title="Book",
        screen=BOOK.key,
        entries=found[:ON_A_PAGE],
        older=int(found[ON_A_PAGE - 1].number) if len(found) > ON_A_PAGE else 0,
        newest=before is None,
        pure=what.pure,
        unexplained=what.unexplained,
        form=deeds.any_deed("/book", seen.open_batches()),
        empty=not found and before is None,
    )
    return page(request, "book", data, part="entries")


def _nothing_yet() -> BookPage:
    return BookPage(
        title="Book", screen=BOOK.key, entries=(), older=0, newest=True, pure="", unexplained=(),
        form=deeds.any_deed("/book", verb="declare"), empty=True,
    )  # fmt: skip


def _number(text: str) -> int:
    found = number_in(text)
    if found is None:
        raise NotUnderstood("the number of an entry", text[:40], "12")
    return found


@router.get("/book/entries/{number}")
def entry(request: Request, number: str) -> Response:
    """One entry whole."""
    there = house_of(request).book.to_read()
    wanted = _number(number)
    found = entry_page(there, wanted, units_of(request))
    head = there.head()
    data = EntryPage(
        title=f"Entry {wanted}",
        screen=BOOK.key,
        number=wanted,
        summary=found.summary,
        facts=found.facts,
        readings=found.readings,
        postings=found.postings,
        before=wanted - 1,
        after=wanted + 1 if head and wanted < head.number else 0,
    )
    return page(request, "entry", data)


@router.get("/book/accounts")
def accounts(request: Request) -> Response:
    """What is where, so many accounts at once."""
    seen = house_of(request).seen
    everything, part = asked(request, "all") == "1", asked(request, "q").strip()[:80]
    held = seen.there(EVERYTHING if everything else PLACES)
    listed: Sequence[str] = held.lists["account"]
    passed = _number(asked(request, "after") or "0")
    wanted = part.casefold().replace("/", " ")
    names = [name for name in listed if wanted in name.casefold().replace("/", " ")] if wanted else listed
    shown = {name: held.balances[name] for name in names[passed : passed + ACCOUNTS]}
    _, *rows = look.balance_rows(shown, units_of(request))
    data = AccountsPage(
        title="Accounts",
        screen=BOOK.key,
        rows=tuple((row[0], words.listed(row[0]), *row[1:]) for row in rows),
        everything=everything,
        q=part,
        here=_accounts_at(part, passed, everything=everything),
        before=_accounts_at(part, max(0, passed - ACCOUNTS), everything=everything) if passed else "",
        more=_accounts_at(part, passed + ACCOUNTS, everything=everything)
        if len(names) > passed + ACCOUNTS
        else "",
    )
    return page(request, "accounts", data, part="accounts")


def _accounts_at(part: str, passed: int, *, everything: bool) -> str:
    words = {"q": part, "all": "1" if everything else "", "after": str(passed or "")}
    return f"/book/accounts?{urlencode({key: word for key, word in words.items() if word})}".rstrip("?")


@router.get("/book/accounts/{path:path}")
def account(request: Request, path: str) -> Response:
    """One account leaf by leaf."""
    there = house_of(request).book.to_read()
    leaf = look.account(there, path, LINES)
    system = units_of(request)
    why = _why(leaf.account) if leaf.there else None
    place = leaf.account.removeprefix(OPEN)
    data = AccountPage(
        title=f"Not explained: {place.removeprefix('vessel ')}" if why else words.listed(leaf.account),
        screen=BOOK.key,
        sentence=_missing(there, place, system) if why else look.leaf_sentence(leaf, system),
        account=leaf.account,
        lines=entries.leaf_lines(leaf, system),
        more=leaf.more,
        form=why,
    )
    return page(request, "account", data)


def _missing(book: Book, place: str, system: UnitSystem) -> str:
    amounts = [one.amount for one in unexplained(book, system) if one.name == place]
    return f"{', '.join(amounts)}, with the alcohol in it: nobody has said why yet."


def _why(account: str) -> RecordForm | None:
    """To explain an open difference of a place; nothing elsewhere."""
    place = account.removeprefix(OPEN)
    if place == account:
        return None
    back = "/book"
    return deeds.one_deed(
        "explain", "Why it was missing, and how much if not all", "evaporation", back, f'"{place}"'
    )


# The whole book ----------------------------------------------------------------------------------


@router.get("/book/check")
def before_check(request: Request) -> Response:
    """The page from which the book is proved, and copied."""
    data = CheckPage(title="Proof and copies", screen=BOOK.key, asked=False, whole=True, sentences=())
    return page(request, "check", data)


@router.post("/book/check")
def check(request: Request) -> Response:
    """Prove the book."""
    with house_of(request).waits.proof(PROOF_S):
        found = kept.check()
    data = CheckPage(
        title="Proof and copies",
        screen=BOOK.key,
        asked=True,
        whole=found.whole,
        sentences=kept.check_sentences(found),
    )
    return page(request, "check", data, part="check")


@router.post("/book/backup")
@for_a_maker
def back_up() -> Response:
    """A copy of the book, proved, to keep elsewhere."""
    folder = tempfile.TemporaryDirectory(prefix="caskward-")
    file = Path(folder.name) / "book.sqlite"
    kept.back_up(str(file))
    name = f"caskward-{wall_clock.now():%Y-%m-%d-%H%M}.sqlite"
    return FileResponse(
        file, filename=name, media_type="application/vnd.sqlite3", background=BackgroundTask(folder.cleanup)
    )


@router.post("/book/export")
@for_a_maker
def export(request: Request) -> Response:
    """Every entry as a line of JSON."""
    house_of(request).book.to_read()
    name = f"caskward-{wall_clock.now():%Y-%m-%d-%H%M}.jsonl"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return StreamingResponse(_lines(), media_type="application/x-ndjson", headers=headers)


def _lines() -> Iterator[str]:
    for line in kept.lines():
        yield f"{line}\n"
