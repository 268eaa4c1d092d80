"""What the book refuses, with what is there. A deed that passes `check` may be entered as it is.

Each rule looks at the deed and at the holdings before it, and raises the sentence for its own situation.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Literal

from caskward.book.accounts import ALCOHOL, BULK, ROOTS, Root, checked_account, family_of, root_of
from caskward.book.canonical import moment_text, same_deed
from caskward.book.corrections import check_correction, entered_part
from caskward.book.entry import Deed, Entry, Posting
from caskward.book.holdings import Effects, Holdings, declared_rooms, effects
from caskward.book.words import apart, name_in_words, said
from caskward.errors.book import (
    AnotherThingThere,
    BadField,
    BatchBegun,
    BatchClosed,
    BatchNotNamed,
    BookMovedOn,
    KeyUsedForAnother,
    MoreAlcoholThanLiquid,
    MoreThanIsHeld,
    NoSuchBatch,
    NotDeclared,
    NotForThisAccount,
    NothingInIt,
    NotYet,
    OverItsVolume,
    Unbalanced,
    WrongWayRound,
)
from caskward.units.types import UnitSystem

CLOCK_GRACE = timedelta(minutes=5)
"""By how much a phone's clock may be ahead of the book's."""

_NEEDS_BATCH = frozenset({"begun", "planned", "mashed", "converted", "closed"})
_AFTER_THE_END = frozenset({"corrected", "noted"})


def check(deed: Deed, holdings: Holdings, now: datetime, system: UnitSystem = "metric") -> Effects:
    """Refuse a deed that breaks a rule; returns what it changes.

    `now` is the book's own clock. `system` is for the amounts in the sentences.
    """
    _check_time(deed, now)
    _check_batch(deed, holdings)
    _check_sums(deed.postings, system)
    corrected = check_correction(deed, holdings)
    for part in entered_part(deed):
        _check_posting(part, deed.batch)
    changes = effects(deed, corrected)
    for account in dict.fromkeys(account for account, _ in changes.amounts):
        _check_account(account, changes, holdings, system)
    _check_rooms(deed, holdings, system)
    _check_asserts(deed, changes, holdings, system)
    return changes


def check_repeat(deed: Deed, entered: Entry) -> Entry:
    """The entry that the deed's key belongs to, if it says the same; else raises `KeyUsedForAnother`."""
    if not same_deed(deed, entered):
        raise KeyUsedForAnother(deed.key, entered.number)
    return entered


def _check_time(deed: Deed, now: datetime) -> None:
    if deed.done_at > now + CLOCK_GRACE:
        raise NotYet(_clock(deed.done_at), _clock(now))


def _clock(moment: datetime) -> str:
    return moment_text(moment)[:16].replace("T", " ") + " UTC"


def _check_batch(deed: Deed, holdings: Holdings) -> None:
    if deed.batch is None:
        if deed.kind in _NEEDS_BATCH:
            raise BadField("batch", "", "the name of a batch")
        return
    standing = holdings.standing(deed.batch)
    if deed.kind == "begun":
        if standing is not None:
            raise BatchBegun(deed.batch)
    elif standing is None:
        raise NoSuchBatch(deed.batch, _nearest(deed.batch, holdings, "batch"))
    elif standing == "closed" and deed.kind not in _AFTER_THE_END:
        raise BatchClosed(deed.batch)


def _check_sums(postings: Iterable[Posting], system: UnitSystem) -> None:
    sums: Counter[str] = Counter()
    for part in postings:
        sums[part.commodity] += part.amount
    for commodity, left_over in sorted(sums.items()):
        if left_over:
            raise Unbalanced(name_in_words(commodity), said(abs(left_over), commodity, system))


def _check_posting(part: Posting, batch: str | None) -> None:
    """Nothing comes from where it cannot, nothing goes where it may not."""
    root = root_of(part.account)
    family = family_of(part.commodity)
    allowed = root.takes if part.amount > 0 else root.gives
    if family not in allowed:
        verb = "take in" if part.amount > 0 else "give"
        raise NotForThisAccount(part.account, name_in_words(part.commodity), verb, _instead(family, verb))
    named = part.account.rpartition("/")[2]
    if (root.name == "made" and named != batch) or (root.name == "used" and batch not in (None, named)):
        raise BatchNotNamed(part.account, batch)


def _instead(family: str, verb: str) -> str:
    able = [
        other.pattern
        for other in ROOTS.values()
        if family in (other.takes if verb == "take in" else other.gives)
    ]
    return f"Where that can {'go' if verb == 'take in' else 'come from'}: {', '.join(able)}."


def _check_account(account: str, changes: Effects, holdings: Holdings, system: UnitSystem) -> None:
    root, there = root_of(account), holdings.contents(account)
    after = dict(there)
    for (place, commodity), amount in changes.amounts.items():
        if place == account:
            after[commodity] = there.get(commodity, 0) + amount
            _check_sign(root, account, commodity, amount, there.get(commodity, 0), system)
    _check_one_thing(account, after)
    if root.liquid:
        _check_strength(account, after, system)
        _check_room(account, there.get(BULK, 0), after.get(BULK, 0), holdings, system)


def _check_sign(
    root: Root, account: str, commodity: str, amount: int, there: int, system: UnitSystem
) -> None:
    after, what = there + amount, name_in_words(commodity)
    if root.nature == "either" or (after <= 0 if root.nature == "source" else after >= 0):
        return
    if not root.holds:
        raise WrongWayRound(account, what, said(abs(there), commodity, system))
    if not there:
        raise NothingInIt(account, what)
    wanted, shown = apart(-amount, there, commodity, system)
    raise MoreThanIsHeld(account, what, wanted, shown)


def _check_strength(account: str, after: dict[str, int], system: UnitSystem) -> None:
    alcohol_ul, bulk_ul = after.get(ALCOHOL, 0), after.get(BULK, 0)
    if alcohol_ul > bulk_ul:
        raise MoreAlcoholThanLiquid(account, *apart(alcohol_ul, bulk_ul, BULK, system))


def _check_one_thing(account: str, after: dict[str, int]) -> None:
    """A lot is of one thing: its price and its trace could not be told apart otherwise."""
    things = [what for what, amount in after.items() if amount and family_of(what) not in (ALCOHOL, BULK)]
    if root_of(account).holds and len(things) > 1:
        raise AnotherThingThere(account, name_in_words(things[0]), name_in_words(things[-1]))


def _check_room(account: str, there_ul: int, after_ul: int, holdings: Holdings, system: UnitSystem) -> None:
    room_ul = holdings.room_ul(account)
    if room_ul is None and root_of(account).declared:
        raise NotDeclared(account, _nearest(account, holdings, "declared"))
    if room_ul is not None and after_ul > room_ul:
        raise OverItsVolume(account, *apart(after_ul, room_ul, BULK, system), said(there_ul, BULK, system))


def _check_rooms(deed: Deed, holdings: Holdings, system: UnitSystem) -> None:
    for account, room_ul in declared_rooms(deed).items():
        if not root_of(checked_account(account)).liquid:
            raise BadField("declared place", account, "a place for liquid, like vessel/mash tub or cask/12")
        there_ul = holdings.contents(account).get(BULK, 0)
        if there_ul > room_ul:
            shown = said(there_ul, BULK, system)
            raise OverItsVolume(account, shown, said(room_ul, BULK, system), shown)


def _check_asserts(deed: Deed, changes: Effects, holdings: Holdings, system: UnitSystem) -> None:
    """What the deed was worked out from must still hold."""
    for account, commodity, amount, within in asserts(deed):
        would_be = holdings.contents(account).get(commodity, 0) + changes.amounts.get((account, commodity), 0)
        if abs(would_be - amount) > within:
            thought, shown = apart(amount, would_be, commodity, system)
            raise BookMovedOn(account, name_in_words(commodity), thought, shown)


def asserts(deed: Deed) -> list[tuple[str, str, int, int]]:
    """What must be in a place after the deed: account, commodity, amount, by how much it may differ."""
    found: list[tuple[str, str, int, int]] = []
    rows = deed.details.get("asserts", ())
    for row in rows if isinstance(rows, tuple) else (rows,):
        match row:
            case (str(account), str(commodity), int(amount), int(within)) if within >= 0:
                found.append((account, commodity, amount, within))
            case _:
                raise BadField("asserts in the details", row, "account, commodity, amount and tolerance")
    return found


def _nearest(name: str, holdings: Holdings, of: Literal["declared", "batch"]) -> str | None:
    return next(iter(difflib.get_close_matches(name, list(holdings.names(of)), n=1, cutoff=0.6)), None)
