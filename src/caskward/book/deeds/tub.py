"""From sacks to wash: a mash has volume and no alcohol; a ferment makes alcohol in it."""

from __future__ import annotations

from collections.abc import Sequence

from caskward.book.accounts import ALCOHOL, BULK
from caskward.book.amounts import Liquid
from caskward.book.deeds.act import Act, Goods, Postings, deed, held, held_or_raise, something
from caskward.book.entry import Deed
from caskward.book.holdings import Holdings
from caskward.book.words import said
from caskward.errors.book import NothingMade


def mash(act: Act, goods: Sequence[Goods], into: str, gained_ul: int) -> Deed:
    """Materials of `act.batch` into a vessel, which holds so much more liquid afterwards [µL].

    Grain and water fill less together than apart, so what was gained is measured in the vessel.
    """
    postings = Postings()
    for part in goods:
        postings.send(part.account, f"used/{act.batch}", part.commodity, something(part.amount, "mashed"))
    postings.send(f"changed/mashing/{act.batch}", into, BULK, gained_ul)
    return deed(act, "mashed", postings, {"into": into})


def convert(act: Act, holdings: Holdings, account: str, found: Liquid, how: str = "fermentation") -> Deed:
    """What a ferment holds once gauged: what it has more alcohol than before was made in `act.batch`."""
    before = held_or_raise(holdings, account)
    made_ul = found.alcohol_ul - before.alcohol_ul
    if made_ul <= 0:
        shown = (said(amount_ul, ALCOHOL, act.system) for amount_ul in (found.alcohol_ul, before.alcohol_ul))
        raise NothingMade(account, *shown)
    postings = Postings()
    postings.send(f"made/{how}/{act.batch}", account, ALCOHOL, made_ul)
    postings.send(account, f"changed/{how}/{act.batch}", BULK, before.bulk_ul - found.bulk_ul)
    asserts = [(account, ALCOHOL, found.alcohol_ul, 0), (account, BULK, found.bulk_ul, 0)]
    return deed(act, "converted", postings, {"into": account}, asserts)


def gained_by(holdings: Holdings, account: str, now_ul: int) -> int:
    """By how much liquid [µL] a vessel holds more than the book has in it."""
    return now_ul - held(holdings, account).bulk_ul
