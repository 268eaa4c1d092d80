"""Materials, dry goods and bought spirit: in, and out by other ways than the mash."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from caskward.book.amounts import Liquid
from caskward.book.deeds.act import Act, Goods, Postings, deed, something
from caskward.book.entry import Deed


def receive(
    act: Act, goods: Sequence[Goods], supplier: str, details: Mapping[str, object] | None = None
) -> Deed:
    """Lots of material or dry goods from a supplier; their prices are `act.costs`, each with its account.

    `details` may hold the supplier's own lot number (`supplier_lot`), the product's name (`product`), the
    date to use it by, and the like.
    """
    postings = Postings()
    for part in goods:
        postings.send(
            f"received/{supplier}", part.account, part.commodity, something(part.amount, "received")
        )
    return deed(act, "received", postings, details)


def receive_liquid(
    act: Act, into: str, liquid: Liquid, supplier: str, details: Mapping[str, object] | None = None
) -> Deed:
    """Spirit, wine, feints or water from elsewhere; who it came from is in the account's name."""
    postings = Postings()
    something(liquid.bulk_ul, "received")
    postings.pour(f"received/{supplier}", into, liquid)
    return deed(act, "received", postings, {**(details or {}), "into": into})


def use(act: Act, goods: Sequence[Goods], into: str) -> Deed:
    """Materials of a batch into what is in a place, without a change of its volume: yeast, enzyme, acid."""
    postings = Postings()
    for part in goods:
        postings.send(part.account, f"used/{act.batch}", part.commodity, something(part.amount, "used"))
    return deed(act, "mashed", postings, {"into": into})


def discard(act: Act, goods: Sequence[Goods], why: str, *, destroyed: bool = False) -> Deed:
    """Goods that are lost (spilt, spoilt, eaten by mice), or destroyed on purpose."""
    kind = "destroyed" if destroyed else "lost"
    postings = Postings()
    for part in goods:
        postings.send(part.account, f"{kind}/{why}", part.commodity, something(part.amount, kind))
    return deed(act, kind, postings, {"why": why})
