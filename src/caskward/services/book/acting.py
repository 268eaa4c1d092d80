"""A deed recorded: who did it and when, worked out from what is there, entered once.

The key is looked up first: a deed that is in already changes nothing, whatever the places hold by now. What
was worked out from a balance that somebody else has changed meanwhile is worked out again.
"""

from __future__ import annotations

import getpass
import os
import secrets
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime

from caskward.book import deeds
from caskward.book.accounts import root_of
from caskward.book.deeds import Act, Cost
from caskward.book.entry import Deed, Entry, Reading
from caskward.book.frozen import FrozenMap
from caskward.book.holdings import Holdings
from caskward.book.rules import CLOCK_GRACE
from caskward.book.state import State
from caskward.book.stock import OPEN
from caskward.errors import InputError, MissingValue
from caskward.errors.book import (
    KeyUsedForAnother,
    MoreThanIsHeld,
    NoSuchEntry,
    NothingInIt,
    NotYet,
)
from caskward.errors.book_typed import GoneOnSince, OfAnotherPlace, WhichBatch
from caskward.services.book import roles
from caskward.services.book.asked import PLACE_ROOTS, Asked, Contents, View
from caskward.services.book.moments import moment, shown
from caskward.services.book.opened import Book
from caskward.services.book.past import past_in, past_of
from caskward.services.book.roles import Role
from caskward.units.types import UnitSystem

BY = "CASKWARD_BY"
SITE = "CASKWARD_SITE"
_TRIES = 5
_OF_A_BATCH = {
    "mash": "mashed",
    "add": "added",
    "convert": "gauged",
    "distil": "distilled",
    "measure": "read",
}
"""Deeds that are always of a batch: of the only one that is open, where none is named."""
_WITHOUT = frozenset({"distil"})
"""Those that may be of none, where none is open: spirit that was bought."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Doing:
    """Who does something, when, and for which batch, as typed; empty takes what is usual.

    at: local time, otherwise now. by: otherwise CASKWARD_BY, else the login name. key: one for each deed,
    sent again it changes nothing; otherwise a new one. system: the units of what is answered. role: what
    they may do; whoever sits at the book's own machine may do everything.
    """

    by: str = ""
    at: str = ""
    batch: str = ""
    site: str = ""
    key: str = ""
    note: str = ""
    costs: tuple[Cost, ...] = ()
    system: UnitSystem = "metric"
    role: Role = "maker"
    now: Callable[[], datetime] = lambda: datetime.now().astimezone()


@dataclass(frozen=True, slots=True)
class Made:
    """A deed that was worked out, and what has to be said of how."""

    deed: Deed
    notes: tuple[str, ...] = ()


Maker = Callable[[Asked, Act, View], Made]
"""Works a deed out from its words, who does it, and what is there."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """An entry that is on disk; `repeated`: it was before, and nothing was changed now."""

    entry: Entry
    notes: tuple[str, ...] = ()
    repeated: bool = False


def record(book: Book, asked: Asked, doing: Doing, make: Maker) -> Recorded:
    """Enter a deed.

    Raises:
        InputError: what the words or the book refuse, with what is there.
        NotYourRole: whoever does it may not.
    """
    return _entered(book, asked, doing, lambda act: _worked_out(book, asked, act, make))


def corrected(
    book: Book, number: int, asked: Asked, doing: Doing, why: str, make: Maker | None = None
) -> Recorded:
    """Enter a correction: what an older entry should have said, or nothing if it never happened.

    What is right is worked out from what was there before the old entry, and of its time and batch unless
    others are said. `asked`: the words of the correction, its verb that of what is right.
    """
    whole = replace(asked, verb=f"correct {number} {asked.verb}".strip())
    try:
        return _entered(
            book, whole, doing, lambda act: _put_right(book, number, asked, act, (why, doing, make))
        )
    except (NothingInIt, MoreThanIsHeld) as refusal:
        if refusal.account in _touched(book, number):
            raise GoneOnSince(number, _what_is_there(refusal)) from None
        raise


# How it is entered -------------------------------------------------------------------------------


def _entered(book: Book, asked: Asked, doing: Doing, work_out: Callable[[Act], Made]) -> Recorded:
    roles.check(doing.role, asked.verb, doing.by)
    act = act_of(doing)
    for tried in range(1, _TRIES + 1):
        # First how far the book goes: whatever is written from here on will be seen by that.
        seen = book.head()
        again = book.find(act.key) if doing.key else None
        if again is not None:
            return _repeated(again, asked)
        try:
            return _appended(book, asked, doing, work_out(act))
        except InputError:
            # It went with what was there as it was worked out: has somebody else written since?
            if tried == _TRIES or book.head() == seen:
                raise
    raise AssertionError("the last try either returns or raises")


def _appended(book: Book, asked: Asked, doing: Doing, made: Made) -> Recorded:
    said = FrozenMap({**made.deed.details, "asked": asked.text})
    entry = book.append(replace(made.deed, details=said), system=doing.system)
    return Recorded(entry, made.notes)


def _repeated(entry: Entry, asked: Asked) -> Recorded:
    if entry.details.get("asked") != asked.text:
        raise KeyUsedForAnother(entry.key, entry.number)
    return Recorded(entry, repeated=True)


def _worked_out(book: Book, asked: Asked, act: Act, make: Maker) -> Made:
    with view_of(book) as view:
        batch, notes = _batch(asked.verb, act.batch, view)
        made = make(asked, replace(act, batch=batch), view)
    return replace(made, notes=(*notes, *made.notes))


def _batch(verb: str, named: str | None, view: View) -> tuple[str | None, tuple[str, ...]]:
    if named or verb not in _OF_A_BATCH:
        return named, ()
    there = view.open_batches
    if not there and verb in _WITHOUT:
        return None, ()
    if len(there) != 1:
        raise WhichBatch(_OF_A_BATCH[verb], there)
    return there[0], (f"Entered for the batch {there[0]!r}, the only one that is open.",)


def _touched(book: Book, number: int) -> set[str]:
    """Places of an entry that later entries have touched, too."""
    old = book.entry(number)
    places = {part.account for part in old.postings} if old else set()
    return {place for place in places if _last_number(book, place) > number}


def _places_of(deed: Deed) -> set[str]:
    return {part.account for part in deed.postings}


def _last_number(book: Book, account: str) -> int:
    lines = book.account_page(account, limit=1).lines
    return lines[0].number if lines else 0


def _what_is_there(refusal: NothingInIt | MoreThanIsHeld) -> str:
    if isinstance(refusal, NothingInIt):
        return f"{refusal.account} is empty by now."
    return f"{refusal.account} holds less {refusal.what} than it would take."


def _put_right(
    book: Book, number: int, asked: Asked, act: Act, more: tuple[str, Doing, Maker | None]
) -> Made:
    why, doing, make = more
    old = book.entry(number)
    if old is None:
        head = book.head()
        raise NoSuchEntry(number, head.number if head else 0)
    if not why.strip():
        raise MissingValue("A correction", "why", '--why "read the wrong line"')
    if make is None:
        return Made(deeds.withdraw(act, old, why))
    before = state_before(book, number)
    at = act.done_at if doing.at else old.done_at
    # Why it is corrected is no reason of what was done.
    own = replace(asked, options={name: said for name, said in asked.options.items() if name != "why"})
    right = make(own, replace(act, done_at=at, batch=act.batch or old.batch), view_in(before))
    if _places_of(old) and _places_of(right.deed) and not _places_of(old) & _places_of(right.deed):
        raise OfAnotherPlace(number, str(old.details.get("asked") or old.kind))
    now = replace(act, done_at=moment("now", doing.now()))
    return replace(right, deed=deeds.correct(now, old, right.deed, why))


def act_of(doing: Doing) -> Act:
    """Who did it, and when; what was not said is taken from the surroundings."""
    now = doing.now()
    done_at = moment(doing.at, now)
    if done_at > now + CLOCK_GRACE:
        raise NotYet(shown(done_at), shown(now))
    return Act(
        key=doing.key.strip() or secrets.token_hex(16),
        done_at=done_at,
        author=author(doing.by),
        site=" ".join((doing.site or os.environ.get(SITE, "")).split()),
        batch=" ".join(doing.batch.split()) or None,
        note=doing.note.strip(),
        costs=doing.costs,
        system=doing.system,
    )


def author(by: str = "") -> str:
    """Who records: the name given, else CASKWARD_BY, else the login name.

    Raises:
        MissingValue: this machine knows no name.
    """
    named = " ".join((by or os.environ.get(BY, "")).split())
    if named:
        return named
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        raise MissingValue("An entry", "who made it", "--by Maud") from None


def with_readings(act: Act, readings: Iterable[Reading]) -> Act:
    """The act with what was read in it."""
    return replace(act, readings=(*act.readings, *readings))


# What is there -----------------------------------------------------------------------------------


@contextmanager
def view_of(book: Book) -> Iterator[View]:
    """What is in the book at this moment."""
    with book.holdings() as holdings:
        balances: dict[str, Contents] = {}
        for prefix in (*(f"{root}/" for root in PLACE_ROOTS), OPEN):
            balances.update(book.balances(prefix))
        yield View(holdings, _places(holdings, balances), past_of(book))


def view_in(state: State) -> View:
    """What a replayed book holds."""
    held = {
        account: there
        for account, there in state.balances.items()
        if root_of(account).holds or account.startswith(OPEN)
    }
    return View(state, _places(state, held), past_in(state))


def state_before(book: Book, number: int) -> State:
    """What was there before an entry."""
    state = State()
    for entry in book.entries(limit=number - 1):
        state.apply(entry)
    return state


def _places(holdings: Holdings, balances: Mapping[str, Contents]) -> dict[str, Contents]:
    declared: dict[str, Contents] = {account: {} for account in holdings.names("declared")}
    return {**declared, **balances}
