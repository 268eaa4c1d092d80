"""What Stores holds for a plan: beside each line of its shopping list, and as fields of its form."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from caskward.book.accounts import BULK, family_of, name_of
from caskward.book.stock import LiquidHeld, Stock, stock_of
from caskward.book.words import said
from caskward.catalogue.load import load
from caskward.errors import CaskwardError
from caskward.planning.plan import Plan, ShoppingLine
from caskward.services.book import at_hand, batch_record, words
from caskward.services.book.at_hand import AtHand
from caskward.services.book.batch_record import RecordOf
from caskward.services.book.opened import Book
from caskward.services.book.promised import NOTHING, Promised, promised
from caskward.services.book.shares_shown import goods
from caskward.services.book.shopping import commodity_of, names_alike
from caskward.services.words import buy
from caskward.units import convert, show
from caskward.units.types import UnitSystem

_SPIRITS = ("feints", "low wines")
_LEAST_UL = 50_000
"""Under 50 mL in a place nothing is worth a charge."""
_UNIT = {"kg": 1e6, "g": 1e3, "mL": 1e3}
"""How many mg or µL a plan's unit is."""

ShoppingRow = tuple[str, str, str, str, str, str]
"""Name, needed, in store, promised to open batches, to buy, cost."""


@dataclass(frozen=True, slots=True)
class Shelves:
    """What Stores holds, None without a book or anything in it, and what of it open batches are promised."""

    held: Stock | None = None
    promised: Promised = NOTHING

    @property
    def free(self) -> Stock | None:
        """What is there without what is promised."""
        return self.promised.left_of(self.held) if self.held else None


def shelves_of(
    book: Book | None,
    but_for: str = "",
    there: AtHand | None = None,
    record_of: RecordOf = batch_record.record_of,
) -> Shelves:
    """What is there now.

    Args:
        but_for: a batch whose own plan is asked about. there: all that the book holds now, if it is at hand.
        record_of: what the book has of a batch.
    """
    if book is None:
        return Shelves()
    now = there or at_hand.read(book)
    held = stock_of(now.under("lot", "vessel", "jar"))
    if not (held.goods or held.liquids):
        return Shelves()
    return Shelves(held, promised(book, held, now.lists["open"], but_for, record_of))


def by_stores(lines: Iterable[ShoppingLine], there: Shelves, system: UnitSystem) -> tuple[ShoppingLine, ...]:
    """A plan's shopping with what is free in the book in place of what the plan's own file says is in store.

    Without a book the plan's own lines stay. What is promised to open batches is not free.
    """
    if there.free is None:
        return tuple(lines)
    free = there.free.totals()
    found = []
    for line in lines:
        commodity = commodity_of(line, free)
        scale = _UNIT[line.unit]
        taken = min(free.get(commodity, 0) / scale, line.need)
        free[commodity] = free.get(commodity, 0) - round(taken * scale)
        found.append(_with(line, taken, system))
    return tuple(found)


def _with(line: ShoppingLine, there: float, system: UnitSystem) -> ShoppingLine:
    """A line with so much on the shelf: what is missing, as a person can weigh or measure it."""
    missing = max(line.need - there, 0.0)
    to_unit = 1.0 if line.unit == "kg" else 1000.0
    rounded = show.nice_volume if line.unit == "mL" else show.round_to_weigh
    buy_now = rounded(missing / to_unit, system) * to_unit if missing * _UNIT[line.unit] >= 1 else 0.0
    price = line.cost / line.buy if line.cost is not None and line.buy > 0 else None
    cost = price * buy_now if price is not None else line.cost
    return replace(line, in_stock=there, buy=buy_now, cost=cost)


def planned_by_stores(plan: Plan, there: Shelves) -> Plan:
    """A plan whose shopping is what Stores leaves to be bought, so that page and paper say the same."""
    if there.held is None:
        return plan
    lines = by_stores(plan.shopping, there, plan.show)
    costs = [line.cost for line in lines if line.cost is not None]
    return replace(plan, shopping=lines, materials_cost=sum(costs) if costs else plan.materials_cost)


def shopping_rows(
    lines: Iterable[ShoppingLine], there: Shelves, system: UnitSystem, currency: str
) -> tuple[ShoppingRow, ...]:
    """The shopping list; held is what the book holds, or without one what the plan says."""
    totals = there.held.totals() if there.held else {}
    return tuple(
        _row(line, totals, there.promised, system, currency) for line in by_stores(lines, there, system)
    )


def _row(
    line: ShoppingLine, totals: dict[str, int], promises: Promised, system: UnitSystem, currency: str
) -> ShoppingRow:
    scale = _UNIT[line.unit]
    commodity = commodity_of(line, totals)
    there = totals.get(commodity, 0) or round(line.in_stock * scale)
    given = promises.of(commodity)
    return (
        line.name,
        goods(round(line.need * scale), commodity, system),
        goods(there, commodity, system) if there else "",
        goods(given, commodity, system) if given else "",
        buy(line, system) if line.buy > 0 else "nothing",
        show.money(line.cost, currency) if line.cost else "",
    )


# As fields of a form -----------------------------------------------------------------------------


def from_stores(stores: Stock, bill: Iterable[str], system: UnitSystem) -> dict[str, str]:
    """Rows of what is in store for materials of a bill, and of feints and low wines."""
    fields: dict[str, str] = {}
    totals = stores.totals()
    rows = [(name, _held_kg(name, totals)) for name in dict.fromkeys(bill) if name]
    for number, (name, kg) in enumerate((name, kg) for name, kg in rows if kg > 0):
        fields |= {f"store-{number}-material": name, f"store-{number}-amount": _mass(kg, system)}
    for number, (kind, held) in enumerate(_spirits(stores)):
        fields |= _spirit_row(number, kind, held.liquid.bulk_ul / 1e6, held.liquid.pct_vol, system)
    return fields


def so_much_of(stores: Stock, kind: str, most_l: float, number: int, system: UnitSystem) -> dict[str, str]:
    """A row of the spirit in a vessel called just by its kind, `vessel/feints`; at most so many litres."""
    for held in stores.liquids:
        if name_of(held.account).casefold() == kind and 0 < held.liquid.alcohol_ul < held.liquid.bulk_ul:
            volume_l = min(held.liquid.bulk_ul / 1e6, most_l)
            return _spirit_row(number, kind, volume_l, held.liquid.pct_vol, system)
    return {}


def _spirit_row(number: int, kind: str, litres: float, pct_vol: float, system: UnitSystem) -> dict[str, str]:
    row = {"kind": kind, "volume": _volume(litres, system), "strength": f"{pct_vol:.1f} %"}
    return {f"spirit-{number}-{column}": value for column, value in row.items()}


def _held_kg(name: str, totals: dict[str, int]) -> float:
    try:
        found = load().material(name)
    except CaskwardError:  # a name that is still being typed
        return 0.0
    called = names_alike(name, found.key, found.name, found.plural, *found.aliases)
    return sum(mg for what, mg in totals.items() if _is_mass_called(what, called)) / 1e6


def _is_mass_called(commodity: str, called: set[str]) -> bool:
    return family_of(commodity) == "mass" and bool(names_alike(name_of(commodity)) & called)


def _spirits(stores: Stock) -> list[tuple[str, LiquidHeld]]:
    """Places whose name says that they hold feints or low wines for a charge."""
    return [
        (kind, held)
        for held in stores.liquids
        for kind in _SPIRITS
        if kind in name_of(held.account).casefold()
        and held.liquid.bulk_ul >= _LEAST_UL
        and 0 < held.liquid.alcohol_ul < held.liquid.bulk_ul
    ]


def spirits_said(there: Shelves, system: UnitSystem) -> tuple[str, ...]:
    """Feints and low wines that Stores holds, and how much of each open batches are promised."""
    found = []
    for _, held in _spirits(there.held) if there.held else ():
        name = words.place(held.account)
        amount = f"{said(held.liquid.bulk_ul, BULK, system)} at {words.strength(held.liquid, system)}"
        given = there.promised.of(held.account)
        rest = f", {said(given, BULK, system)} of it promised to open batches" if given else ""
        found.append(f"{name}: {amount}{rest}")
    return tuple(found)


def _mass(kg: float, system: UnitSystem) -> str:
    return f"{float(convert.pounds_from_kg(kg)):.4g} lb" if system == "us" else f"{kg:.4g} kg"


def _volume(litres: float, system: UnitSystem) -> str:
    return f"{float(convert.us_gallons_from_litres(litres)):.4g} gal" if system == "us" else f"{litres:.4g} L"
