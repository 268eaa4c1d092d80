"""Liquid from place to place, together, and weaker."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from caskward.book.accounts import ALCOHOL, BULK
from caskward.book.amounts import NONE, Liquid
from caskward.book.deeds.act import (
    Act,
    Postings,
    deed,
    held,
    held_or_raise,
    place_in_words,
    something,
    take_no_more,
    whose,
)
from caskward.book.entry import Deed
from caskward.book.holdings import Holdings
from caskward.errors.book import IntoItself


@dataclass(frozen=True, slots=True)
class Part:
    """So much liquid from a place; if it `empties` that, what the book has over is not there.

    `within` is what the instruments may be wrong by [µL of alcohol, µL of liquid].
    """

    account: str
    liquid: Liquid
    empties: bool = False
    within: Liquid = NONE


def all_of(holdings: Holdings, account: str) -> Part:
    """All that the book has in a place, unmeasured; afterwards it is empty."""
    return Part(account, held_or_raise(holdings, account), empties=True)


def some_of(holdings: Holdings, account: str, bulk_ul: int) -> Part:
    """So much liquid of a place [µL], at the strength that the book has there."""
    there = held_or_raise(holdings, account)
    take_no_more(account, there, Liquid(0, bulk_ul))
    return Part(account, there.part(bulk_ul))


def move(act: Act, holdings: Holdings, part: Part, to: str, arrived: Liquid | None = None) -> Deed:
    """Measured liquid to another place. If less arrived, the rest is `lost/transfer/...`.

    What arrived too much, against what was sent, is posted to `unaccounted/open/...`.
    """
    postings = Postings()
    asserts = pour_out(postings, act, holdings, part, to)
    if arrived is not None:
        _post_missing(postings, to, part.liquid, arrived, f"transfer/{whose(act, part.account)}")
    return deed(act, "moved", postings, {"into": to}, asserts)


def vat(act: Act, holdings: Holdings, parts: Sequence[Part], to: str, found_ul: int | None = None) -> Deed:
    """Several liquids into one place. Without a measured volume there, contraction is not known yet.

    `found_ul` is all liquid in the place afterwards [µL]; a difference is contraction.
    """
    postings, asserts = Postings(), []
    for part in parts:
        asserts += pour_out(postings, act, holdings, part, to)
    if found_ul is not None:
        came_ul = held(holdings, to).bulk_ul + sum(part.liquid.bulk_ul for part in parts)
        postings.send(to, _shrinking(to, came_ul - found_ul), BULK, came_ul - found_ul)
        asserts.append((to, BULK, found_ul, 0))
    return deed(act, "moved", postings, {"into": to}, asserts)


def reduce(act: Act, holdings: Holdings, account: str, water_ul: int, found_ul: int | None = None) -> Deed:
    """Water [µL] to a spirit in its place; `found_ul` is all liquid afterwards, less by the contraction."""
    there = held_or_raise(holdings, account)
    postings = Postings()
    postings.send("changed/water", account, BULK, something(water_ul, "added"))
    asserts = []
    if found_ul is not None:
        shrunk_ul = there.bulk_ul + water_ul - found_ul
        postings.send(account, _shrinking(account, shrunk_ul), BULK, shrunk_ul)
        asserts = [(account, BULK, found_ul, 0), (account, ALCOHOL, there.alcohol_ul, 0)]
    return deed(act, "reduced", postings, {"into": account}, asserts)


def pour_out(
    postings: Postings, act: Act, holdings: Holdings, part: Part, to: str
) -> list[tuple[str, str, int, int]]:
    """Post one part, and what is left over where it emptied its place; returns what must hold after."""
    there = held_or_raise(holdings, part.account)
    something(part.liquid.bulk_ul, "moved")
    if part.account == to:
        raise IntoItself(to)
    take_no_more(part.account, there, part.liquid, part.within if part.empties else NONE, act.system)
    postings.pour(part.account, to, part.liquid)
    if not part.empties:
        return []
    for commodity, over, doubt in (
        (ALCOHOL, there.alcohol_ul - part.liquid.alcohol_ul, part.within.alcohol_ul),
        (BULK, there.bulk_ul - part.liquid.bulk_ul, part.within.bulk_ul),
    ):
        postings.send(part.account, difference_account(part.account, abs(over) <= doubt), commodity, over)
    return [(part.account, ALCOHOL, 0, 0), (part.account, BULK, 0, 0)]


def difference_account(account: str, explained: bool) -> str:
    """Where a difference goes that was found in a place: no reason is asked for what instruments explain."""
    return f"unaccounted/{'measuring' if explained else 'open'}/{place_in_words(account)}"


def _shrinking(account: str, shrunk_ul: int) -> str:
    """Where volume goes that mixing took; nothing grows by being mixed, so what came so is asked about."""
    return "changed/contraction" if shrunk_ul >= 0 else difference_account(account, explained=False)


def _post_missing(postings: Postings, to: str, sent: Liquid, arrived: Liquid, lost: str) -> None:
    for commodity, missing in (
        (ALCOHOL, sent.alcohol_ul - arrived.alcohol_ul),
        (BULK, sent.bulk_ul - arrived.bulk_ul),
    ):
        where = f"lost/{lost}" if missing > 0 else difference_account(to, explained=False)
        postings.send(to, where, commodity, missing)
