"""A gauge says what is really there; a difference is posted, and asked about."""

from __future__ import annotations

import re

from caskward.book.accounts import ALCOHOL, BULK, checked_account
from caskward.book.amounts import NONE, Liquid
from caskward.book.deeds.act import Act, Goods, Postings, deed, held, place_in_words
from caskward.book.deeds.moves import difference_account
from caskward.book.entry import Deed
from caskward.book.holdings import Holdings
from caskward.book.words import apart, name_in_words, said
from caskward.errors.book import GainExplainedAsLoss, MoreThanIsOpen, NothingInIt

Row = tuple[str, str, int, int]
_TAKES_AWAY = re.compile(r"evaporat|angel|spil|leak|loss|lost", re.IGNORECASE)
"""Reasons that never explain why there is more than the book had."""


def gauge(act: Act, holdings: Holdings, account: str, found: Liquid, within: Liquid = NONE) -> Deed:
    """What a place holds as gauged, and what the instruments may be wrong by [µL of alcohol, of liquid].

    Within that the book keeps its own figures: the gauge bears them out. Beyond it both figures become those
    of the gauge, and the differences go to `unaccounted/open/...`, until `explain` says why. An empty place
    that was never declared is refused: most likely its name is mistyped.
    """
    book = held(holdings, checked_account(account))
    if book == NONE and holdings.room_ul(account) is None:
        raise NothingInIt(account, "liquid")
    rows = (
        (account, ALCOHOL, found.alcohol_ul, within.alcohol_ul),
        (account, BULK, found.bulk_ul, within.bulk_ul),
    )
    return _gauged(act, holdings, rows, {"of": account, "book": [book.alcohol_ul, book.bulk_ul]})


def gauge_goods(act: Act, holdings: Holdings, found: Goods, within: int = 0) -> Deed:
    """Material or dry goods as weighed or counted, in the same way."""
    book = holdings.contents(found.account).get(found.commodity, 0)
    rows = ((found.account, found.commodity, found.amount, within),)
    return _gauged(act, holdings, rows, {"of": found.account, "book": [book]})


def explain(act: Act, holdings: Holdings, account: str, why: str, part: Liquid | None = None) -> Deed:
    """The reason for an open difference of a place, or for a part of what is missing there.

    What was missing becomes `lost/<why>/<place>`. What was too much came from no loss: it stays unaccounted,
    under its reason, which can be none that only takes away.
    """
    open_account = difference_account(account, explained=False)
    there = holdings.contents(open_account)
    if not there:
        raise NothingInIt(open_account, "open difference")
    amounts = {ALCOHOL: part.alcohol_ul, BULK: part.bulk_ul} if part else dict(there)
    for commodity, amount in amounts.items():
        if part and amount > max(there.get(commodity, 0), 0):
            shown = apart(amount, there.get(commodity, 0), commodity, act.system)
            raise MoreThanIsOpen(account, name_in_words(commodity), *shown)
        if amount < 0 and _TAKES_AWAY.match(why):
            more = f"{said(-amount, commodity, act.system)} of {name_in_words(commodity)}"
            raise GainExplainedAsLoss(account, why, more)
    postings = Postings()
    for commodity, amount in amounts.items():
        root = "lost" if amount > 0 else "unaccounted"
        postings.send(open_account, f"{root}/{why}/{place_in_words(account)}", commodity, amount)
    asserts = [(open_account, what, there.get(what, 0) - amount, 0) for what, amount in amounts.items()]
    return deed(act, "explained", postings, {"of": account, "why": why}, asserts)


def _gauged(act: Act, holdings: Holdings, rows: tuple[Row, ...], details: dict[str, object]) -> Deed:
    over = [holdings.contents(account).get(commodity, 0) - amount for account, commodity, amount, _ in rows]
    borne_out = all(abs(part) <= row[3] for part, row in zip(over, rows, strict=True))
    said = {**details, "found": [row[2] for row in rows], "within": [row[3] for row in rows]}
    if borne_out:
        return deed(act, "gauged", None, said, rows)
    postings = Postings()
    for part, (account, commodity, _, _) in zip(over, rows, strict=True):
        postings.send(account, difference_account(account, explained=False), commodity, part)
    return deed(act, "gauged", postings, said, [(*row[:3], 0) for row in rows])
