"""Where a new batch's plan begins: a starting point, a plan that the book has, or nothing but the gear."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from caskward.book.accounts import name_of
from caskward.book.stock import Stock
from caskward.errors import NotToml
from caskward.errors.book_typed import NothingPlanned
from caskward.services import plans, wish_form
from caskward.services.book import plan_kept, wish_stores
from caskward.services.book.opened import Book
from caskward.services.book.plan_kept import Kept
from caskward.services.wish_file import as_text, table_of
from caskward.services.wish_units import in_units
from caskward.units import parse, show
from caskward.units.types import UnitSystem

_GEAR: Final = ("cook_pot", "tub", "strip_still", "spirit_still", "site", "straining")
_MADE_UP: Final = ("invented", "place", "prices")
_MOST_PAST: Final = 12
_ENTRIES: Final = 400
_AT_ONCE: Final = (60, 2)
"""Entries and batches that are looked at where a page must not wait."""
_VESSELS: Final = (
    ("tub", "tub", "volume"),
    ("ferment", "tub", "volume"),
    ("still", "strip_still", "charge_limit"),
)
"""Words in a vessel's name that say what it is for, and where its volume goes."""
_STILL_SHARE: Final = 0.85
"""Of a still's whole volume, the part it is charged with at the most where nothing else is known;
*common practice, no source*."""


@dataclass(frozen=True)
class Start:
    """A plan's file to begin from, and the files that it names."""

    text: str
    files: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class StartLine:
    """Something to begin from, in a list: how it is asked for, its name, what it is of."""

    key: str
    name: str
    about: str


def points() -> tuple[StartLine, ...]:
    """The starting points that come with Caskward."""
    found = []
    for key in plans.starting_points():
        table = tomllib.loads(plans.starting_point(key))
        found.append(StartLine(key, table["name"], _about(table)))
    return tuple(found)


def past(book: Book) -> tuple[StartLine, ...]:
    """Plans of the batches that were worked on last, the newest plan first."""
    kept: list[Kept] = []
    for name in _worked_on(book):
        kept += [found] if (found := plan_or_none(book, name)) else []
    kept.sort(key=lambda one: -one.number)
    return tuple(StartLine(one.batch, one.batch, _about(_table(one.intent))) for one in kept)


def _worked_on(book: Book, entries: int = _ENTRIES, most: int = _MOST_PAST) -> list[str]:
    """Names of batches of the newest entries: a book may have any number of others."""
    names = dict.fromkeys(one.batch for one in book.newest(limit=entries) if one.batch)
    return list(names)[:most]


def plan_or_none(book: Book, batch: str) -> Kept | None:
    """A batch's plan as it is kept; None where it has none."""
    try:
        return plan_kept.kept_plan(book, batch)
    except NothingPlanned:
        return None


def _table(text: str) -> dict[str, Any]:
    try:
        return table_of(text)
    except NotToml:
        return {}


def _about(table: Mapping[str, Any]) -> str:
    cask, bill = table.get("cask", {}), table.get("bill", [])
    shares = ", ".join(f"{row.get('share', '')} {row.get('material', '')}".strip() for row in bill)
    return f"{cask.get('capacity', 'a cask')}: {shares}" if shares else str(cask.get("capacity", ""))


# Beginning ---------------------------------------------------------------------------------------


def from_point(key: str, book: Book | None, system: UnitSystem, *, invented: bool = False) -> Start:
    """A starting point in the maker's units, with what Stores holds of it.

    Args:
        invented: whether the book is made up; in a maker's own, a plan names no made-up place and prices.

    Raises:
        UnknownName: there is none of that name.
    """
    text = in_units(plans.starting_point(key), system)
    if not invented:
        text = as_text({name: value for name, value in _table(text).items() if name not in _MADE_UP})
    stores = wish_stores.shelves_of(book).free
    if stores is None:
        return Start(text)
    found = held(text, stores, system)
    materials = {name: value for name, value in found.items() if name.startswith("store")}
    return Start(wish_form.text_with(text, materials | _spirits_like(text, stores, system)))


def _spirits_like(text: str, stores: Stock, system: UnitSystem) -> dict[str, str]:
    """In place of a starting point's feints as much of the maker's own, where a vessel is called just so.

    Others are for the maker to decide on: feints of pears do not go into rye.
    """
    fields = wish_form.fields_of(text)
    made = {"spirit-0-kind": ""}
    for number in wish_form.rows_in(fields, "spirit"):
        kind, volume = (fields[f"spirit-{number}-{column}"] for column in ("kind", "volume"))
        made |= wish_stores.so_much_of(stores, kind, parse.volume_l(volume), number, system)
    return made


def held(text: str, stores: Stock, system: UnitSystem) -> dict[str, str]:
    """Fields of what Stores has of a plan's bill, of feints and low wines, in place of what stood there."""
    fields = wish_form.fields_of(text)
    bill = [fields[f"bill-{n}-material"] for n in wish_form.rows_in(fields, "bill")]
    empty = {"store-0-material": "", "spirit-0-kind": ""}
    return empty | wish_stores.from_stores(stores, bill, system)


def from_batch(book: Book, name: str, capacity: str = "") -> Start:
    """A batch's plan, for another cask where one is named: the bill is a bill of shares, so it scales.

    Raises:
        NothingPlanned: it has none. NoSuchBatch: there is no such batch.
    """
    kept = plan_kept.kept_plan(book, name)
    text = wish_form.text_with(kept.intent, {"capacity": capacity}) if capacity else kept.intent
    return Start(text, kept.files)


def blank(book: Book | None, system: UnitSystem) -> Start:
    """Nothing but the gear: of the newest plan in the book, else of the vessels declared there."""
    if book is None:
        return Start(as_text({"show": system}))
    kept = next((found for name in _worked_on(book, *_AT_ONCE) if (found := plan_or_none(book, name))), None)
    if kept is not None:
        table = _table(kept.intent)
        gear: dict[str, Any] = {key: table[key] for key in _GEAR if key in table}
        return Start(as_text({"show": table.get("show", system), **gear}), kept.files)
    return Start(as_text({"show": system, **_declared(book, system)}))


def _declared(book: Book, system: UnitSystem) -> dict[str, dict[str, str]]:
    """Volumes of vessels whose names say what they are."""
    found: dict[str, dict[str, str]] = {}
    with book.holdings() as holdings:
        rooms = [(name, holdings.room_ul(name)) for name in holdings.names("declared")]
    for account, room_ul in rooms:
        for word, part, key in _VESSELS:
            if room_ul and account.startswith("vessel/") and word in name_of(account).casefold():
                litres = room_ul / 1e6 * (_STILL_SHARE if part == "strip_still" else 1.0)
                found.setdefault(part, {}).setdefault(key, show.volume(litres, system))
    return found
