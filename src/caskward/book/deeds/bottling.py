"""Into bottles, and out of the house: sold, destroyed, lost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from caskward.book.accounts import ALCOHOL, BULK, family_of, name_of
from caskward.book.amounts import UL_PER_L, Liquid, Number, liquid
from caskward.book.deeds.act import Act, Goods, Postings, deed, held, something
from caskward.book.deeds.moves import Part, difference_account, pour_out
from caskward.book.entry import Deed
from caskward.book.holdings import Holdings
from caskward.errors.book import MoreThanIsHeld, NothingInIt


@dataclass(frozen=True, slots=True)
class Bottling:
    """A lot of bottles of one size.

    Args:
        lot: its account, `bottles/...`.
        bottles: which empty bottles, and how many; the account may be `received/...` if none are counted.
        size_ul: what one bottle holds [µL at 20 °C].
        pct_vol: their strength [%vol at 20 °C].
        dry_goods: corks, capsules, labels that went on them.
    """

    lot: str
    bottles: Goods
    size_ul: int
    pct_vol: Number
    dry_goods: tuple[Goods, ...] = ()

    @property
    def filled(self) -> Liquid:
        """What all bottles hold."""
        return liquid(Decimal(self.bottles.amount) * self.size_ul / UL_PER_L, self.pct_vol)


def bottle(
    act: Act, holdings: Holdings, part: Part, lot: Bottling, details: Mapping[str, object] | None = None
) -> Deed:
    """Spirit from a place into bottles. What left the place and is in none of them is `lost/bottling/...`."""
    something(lot.bottles.amount, "bottled")
    postings = Postings()
    asserts = pour_out(postings, act, holdings, part, lot.lot)
    _post_lost(postings, part, lot.lot, lot.filled)
    postings.send(lot.bottles.account, lot.lot, lot.bottles.commodity, lot.bottles.amount)
    for goods in lot.dry_goods:
        postings.send(goods.account, f"used/{act.batch or name_of(lot.lot)}", goods.commodity, goods.amount)
    said = {**(details or {}), "into": lot.lot, "size_ul": lot.size_ul, "pct_vol": str(lot.pct_vol)}
    return deed(act, "bottled", postings, said, asserts)


def send_bottles(act: Act, holdings: Holdings, lot: str, count: int, to: str) -> Deed:
    """So many bottles of a lot to `sold/...`, `destroyed/...`, `lost/...`, `sampled/...`, or to another lot.

    Each takes its part of the lot's alcohol, the last one what is left, so that an empty lot holds nothing.
    """
    there = holdings.contents(lot)
    pieces = [commodity for commodity in there if family_of(commodity) == "piece"]
    if not pieces:
        raise NothingInIt(lot, "bottle")
    total = there[pieces[0]]
    if something(count, "taken") > total:
        raise MoreThanIsHeld(lot, "bottles", str(count), str(total))
    postings = Postings()
    for commodity in (ALCOHOL, BULK, pieces[0]):
        postings.send(lot, to, commodity, there.get(commodity, 0) * count // total)
    asserts = [(lot, pieces[0], total - count, 0)]
    kind = to.partition("/")[0]
    return deed(act, kind if kind in _LEAVING else "moved", postings, {"from": lot}, asserts)


def sell_bottles(act: Act, holdings: Holdings, lot: str, count: int, to_whom: str) -> Deed:
    """Bottles sold."""
    return send_bottles(act, holdings, lot, count, f"sold/{to_whom}")


def sell(act: Act, holdings: Holdings, part: Part, to_whom: str) -> Deed:
    """Spirit sold as liquid."""
    return _leave(act, holdings, part, "sold", to_whom)


def destroy(act: Act, holdings: Holdings, part: Part, why: str) -> Deed:
    """Spirit destroyed on purpose: foreshots, a spoilt batch."""
    return _leave(act, holdings, part, "destroyed", why)


def lose(act: Act, holdings: Holdings, part: Part, why: str) -> Deed:
    """Spirit lost, by a known cause: spilt, leaked, evaporated."""
    return _leave(act, holdings, part, "lost", why)


_LEAVING = frozenset({"sold", "destroyed", "lost", "sampled"})


def _leave(act: Act, holdings: Holdings, part: Part, kind: str, name: str) -> Deed:
    postings = Postings()
    asserts = pour_out(postings, act, holdings, part, f"{kind}/{name}")
    return deed(act, kind, postings, {"from": part.account}, asserts)


def _post_lost(postings: Postings, part: Part, lot: str, filled: Liquid) -> None:
    for commodity, missing in (
        (ALCOHOL, part.liquid.alcohol_ul - filled.alcohol_ul),
        (BULK, part.liquid.bulk_ul - filled.bulk_ul),
    ):
        lost = f"lost/bottling/{name_of(lot)}"
        where = lost if missing > 0 else difference_account(part.account, explained=False)
        postings.send(lot, where, commodity, missing)


def bottles_in(holdings: Holdings, lot: str) -> tuple[int, Liquid]:
    """How many bottles a lot holds, and what is in them."""
    counts = [n for piece, n in holdings.contents(lot).items() if family_of(piece) == "piece"]
    return sum(counts), held(holdings, lot)
