"""What Stores holds for a plan: beside each line of its shopping list, and as fields of its form."""

from __future__ import annotations

from collections.abc import Iterable

from caskward.book.accounts import family_of, name_of
from caskward.book.stock import LiquidHeld, Stock, stock_of
from caskward.catalogue.load import load
from caskward.errors import CaskwardError
from caskward.planning.plan import ShoppingLine
from caskward.services.book.opened import Book
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

ShoppingRow = tuple[str, str, str, str, str]
"""Name, needed, in store, to buy, cost."""


def stores_of(book: Book | None) -> Stock | None:
    """All materials and spirits of a book; None without one, or where it has none of them."""
    if book is None:
        return None
    balances: dict[str, dict[str, int]] = {}
    for prefix in ("lot/", "vessel/", "jar/"):
        balances.update(book.balances(prefix))
    found = stock_of(balances)
    return found if found.goods or found.liquids else None


def shopping_rows(
    lines: Iterable[ShoppingLine], stores: Stock | None, system: UnitSystem, currency: str
) -> tuple[ShoppingRow, ...]:
    """The shopping list; there is what the book holds, or without one what the plan says."""
    return tuple(_row(line, stores, system, currency) for line in lines)


def _row(line: ShoppingLine, stores: Stock | None, system: UnitSystem, currency: str) -> ShoppingRow:
    scale = _UNIT[line.unit]
    totals = stores.totals() if stores else {}
    commodity = commodity_of(line, totals)
    needed = round(line.need * scale)
    there = min(totals.get(commodity, 0) if stores else round(line.in_stock * scale), needed)
    missing = needed - there
    price = line.cost / line.buy if line.cost is not None and line.buy > 0 else None
    cost = show.money(price * missing / scale, currency) if price is not None and missing > 0 else ""
    return (
        line.name,
        goods(needed, commodity, system),
        goods(there, commodity, system) if there else "",
        (buy(line, system) if not there and line.in_stock == 0 else goods(missing, commodity, system))
        if missing > 0
        else "nothing",
        cost,
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


def _mass(kg: float, system: UnitSystem) -> str:
    return f"{float(convert.pounds_from_kg(kg)):.4g} lb" if system == "us" else f"{kg:.4g} kg"


def _volume(litres: float, system: UnitSystem) -> str:
    return f"{float(convert.us_gallons_from_litres(litres)):.4g} gal" if system == "us" else f"{litres:.4g} L"
