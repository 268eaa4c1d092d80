"""What the plans of open batches count on of what Stores holds, so that nothing is promised twice.

A batch is promised the grain that its plan wants and that was not mashed for it yet, and until its spirit run
is charged the feints and low wines that its plan names.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from caskward.book.accounts import BULK, family_of, name_of
from caskward.book.amounts import UL_PER_L
from caskward.book.stock import GoodsHeld, LiquidHeld, Stock
from caskward.book.words import name_in_words, said
from caskward.catalogue.load import load
from caskward.errors import CaskwardError
from caskward.services.book import batch_record, words
from caskward.services.book.batch_record import BatchRecord, RecordOf
from caskward.services.book.opened import Book
from caskward.services.book.plan_kept import Kept, plan_in
from caskward.services.book.shopping import names_alike
from caskward.units import parse
from caskward.units.types import UnitSystem

_BEFORE_THE_MASH_IS_DONE: Final = ("", "cook")
_CHARGED: Final = ("spirit", "reduce", "fill", "clean")
_MG_PER_KG: Final = 1_000_000
_MOST_OPEN: Final = 24


@dataclass(frozen=True, slots=True)
class Promise:
    """So much of a material [mg] or of the liquid in a place [µL] for a batch."""

    what: str
    amount: int
    batch: str


@dataclass(frozen=True, slots=True)
class Promised:
    """All that is promised. goods: by commodity; liquids: by account."""

    goods: tuple[Promise, ...] = ()
    liquids: tuple[Promise, ...] = ()

    def of(self, what: str) -> int:
        """How much of a commodity, or of the liquid in a place, is promised."""
        return sum(one.amount for one in (*self.goods, *self.liquids) if one.what == what)

    def left_of(self, stores: Stock) -> Stock:
        """Stores without what is promised."""
        return Stock(
            tuple(_less(held, self.of(held.account)) for held in stores.liquids),
            tuple(_goods_less(stores.goods, self)),
        )


NOTHING: Final = Promised()


def promised(
    book: Book,
    stores: Stock,
    open_now: Sequence[str],
    but_for: str = "",
    record_of: RecordOf = batch_record.record_of,
) -> Promised:
    """What open batches are promised of what is there.

    Args:
        open_now: their names, in order. but_for: a batch whose own plan is asked about.
        record_of: what the book has of a batch.
    """
    goods: list[Promise] = []
    liquids: list[Promise] = []
    totals = stores.totals()
    left: dict[str, int] = {**totals, **{one.account: one.liquid.bulk_ul for one in stores.liquids}}
    for name in open_now[-_MOST_OPEN:]:
        of = record_of(book, name)
        if name == but_for or not of.plan:
            continue
        kept, stage = plan_in(name, of.entries), batch_record.stage_now(of)
        if stage in _BEFORE_THE_MASH_IS_DONE:
            goods += _taken(left, name, _grain(of, kept, totals))
        if stage not in _CHARGED:
            liquids += _taken(left, name, _spirits(of, kept, stores))
    return Promised(tuple(goods), tuple(liquids))


def lines(of: Promised, system: UnitSystem) -> tuple[tuple[str, str, str], ...]:
    """What, how much, and for which batch."""
    return (
        *((name_in_words(one.what), said(one.amount, one.what, system), one.batch) for one in of.goods),
        *((words.place(one.what), said(one.amount, BULK, system), one.batch) for one in of.liquids),
    )


def _taken(left: dict[str, int], batch: str, wanted: Iterable[tuple[str, int]]) -> list[Promise]:
    """Promises out of what is left, which gets less by them."""
    found = []
    for what, amount in wanted:
        given = min(amount, left.get(what, 0))
        if given > 0:
            left[what] -= given
            found.append(Promise(what, given, batch))
    return found


def _grain(of: BatchRecord, kept: Kept, stores: Iterable[str]) -> list[tuple[str, int]]:
    """What the plan's bill still wants, as the commodities that Stores has of it."""
    bill = kept.method["bill_kg"]
    assert isinstance(bill, Mapping), "as sizing settled it"
    used = _used(of)
    found = []
    for key, kg in bill.items():
        called = _called(key)
        names = [what for what in stores if _is_mass_called(what, called)]
        done_mg = sum(amount for what, amount in used.items() if _is_mass_called(what, called))
        wanted_mg = max(round(float(kg) * _MG_PER_KG) - done_mg, 0)
        found += [(what, wanted_mg) for what in names[:1]]
    return found


def _used(of: BatchRecord) -> dict[str, int]:
    sums: dict[str, int] = {}
    for one in of.happened:
        for part in one.postings:
            if part.account.startswith("used/"):
                sums[part.commodity] = sums.get(part.commodity, 0) + part.amount
    return sums


def _called(key: str) -> set[str]:
    try:
        found = load().material(key)
    except CaskwardError:  # of a catalogue that has it no more
        return names_alike(key)
    return names_alike(key, found.key, found.name, found.plural, *found.aliases)


def _is_mass_called(commodity: str, called: set[str]) -> bool:
    return family_of(commodity) == "mass" and bool(names_alike(name_of(commodity)) & called)


def _spirits(of: BatchRecord, kept: Kept, stores: Stock) -> list[tuple[str, int]]:
    """Feints and low wines that the plan counts on, less what was drawn for the batch already."""
    stock: Mapping[str, Any] = tomllib.loads(kept.intent).get("stock", {})
    found = []
    for row in stock.get("spirit", []):
        kind = str(row.get("kind", "")).casefold()
        account = next((one.account for one in _by_name(stores, kind)), "")
        wanted_ul = round(parse.volume_l(str(row.get("volume", "0 L"))) * UL_PER_L)
        found.append((account, max(wanted_ul - _drawn_ul(of, account), 0)))
    return found


def _by_name(stores: Stock, kind: str) -> list[LiquidHeld]:
    """Places that hold such spirit, the one called just so first."""
    found = [one for one in stores.liquids if kind and kind in name_of(one.account).casefold()]
    return sorted(found, key=lambda one: name_of(one.account).casefold() != kind)


def _drawn_ul(of: BatchRecord, account: str) -> int:
    parts = (part for one in of.happened for part in one.postings if part.account == account)
    return sum(-part.amount for part in parts if part.commodity == BULK and part.amount < 0)


def _less(held: LiquidHeld, promised_ul: int) -> LiquidHeld:
    left_ul = max(held.liquid.bulk_ul - promised_ul, 0)
    return replace(held, liquid=held.liquid.part(left_ul))


def _goods_less(goods: Iterable[GoodsHeld], of: Promised) -> Iterable[GoodsHeld]:
    """Lots without what is promised, taken from the first of each."""
    open_now: dict[str, int] = {}
    for one in goods:
        still = open_now.setdefault(one.commodity, of.of(one.commodity))
        taken = min(still, one.amount)
        open_now[one.commodity] = still - taken
        yield replace(one, amount=one.amount - taken)
