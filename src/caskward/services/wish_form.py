"""A plan's file as the fields of a form, and back: what no field touches stays as it was written.

A field's value is text as the maker types it. A field left empty leaves its key out of the file, so that the
catalogue's figure stands in for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final, Literal

from caskward.services.wish_file import Table, as_text, table_of

Kind = Literal["text", "number", "yes", "edges", "plain edges"]
"""How a value stands in the file: in quotes, as a number, true or false, two edges with or without unit."""
TO: Final = " to "


@dataclass(frozen=True, slots=True)
class Place:
    """Where a field's value stands in the file."""

    path: tuple[str, ...]
    kind: Kind = "text"


@dataclass(frozen=True, slots=True)
class RowsPlace:
    """Where rows of fields stand; of a mapping, the first field is the key and the second the value."""

    path: tuple[str, ...]
    columns: Mapping[str, Place]
    mapping: bool = False


PLACES: Final[Mapping[str, Place]] = MappingProxyType(
    {
        "title": Place(("name",)),
        "site": Place(("place",)),
        "show": Place(("show",)),
        "sure": Place(("confidence",)),
        "ferments": Place(("most_ferments",), "number"),
        "yeast": Place(("yeast",)),
        "straining": Place(("straining",)),
        "capacity": Place(("cask", "capacity")),
        "fill": Place(("cask", "fill")),
        "wood": Place(("cask", "wood")),
        "staves": Place(("cask", "staves")),
        "ratio": Place(("mash", "water_l_per_kg"), "number"),
        "pot_kind": Place(("cook_pot", "kind")),
        "pot_volume": Place(("cook_pot", "working_volume")),
        "pot_power": Place(("cook_pot", "power")),
        "tub_kind": Place(("tub", "kind")),
        "tub_volume": Place(("tub", "volume")),
        "tub_free": Place(("tub", "headspace")),
        "still_kind": Place(("strip_still", "kind")),
        "still_most": Place(("strip_still", "charge_limit")),
        "still_least": Place(("strip_still", "minimum_charge")),
        "still_power": Place(("strip_still", "power")),
        "still_heat": Place(("strip_still", "heat")),
        "buy_more": Place(("stock", "buy_more"), "yes"),
        "water_temp": Place(("site", "water_temperature")),
        "room_temp": Place(("site", "room_temperature")),
        "altitude": Place(("site", "altitude")),
    }
)
"""Every single field but the strength, which stands under one of two keys."""
STRENGTHS: Final = ("settle_strength", "entry_strength")
_TEXT, _NUMBER = Place(()), Place((), "number")
ROWS: Final[Mapping[str, RowsPlace]] = MappingProxyType(
    {
        "bill": RowsPlace(("bill",), {"material": _TEXT, "share": _TEXT}),
        "enzyme": RowsPlace(
            ("enzyme",),
            {
                "name": _TEXT,
                "does": _TEXT,
                "window": Place((), "edges"),
                "ph": Place((), "plain edges"),
                "dose": _TEXT,
                "hold": _TEXT,
            },
        ),
        "spirit": RowsPlace(("stock", "spirit"), {"kind": _TEXT, "volume": _TEXT, "strength": _TEXT}),
        "store": RowsPlace(("stock", "materials"), {"material": _TEXT, "amount": _TEXT}, mapping=True),
    }
)
_MOST_ROWS = 40


def fields_of(text: str) -> dict[str, str]:
    """Every field of a form for a plan's file; rows as `bill-0-material`.

    Raises:
        NotToml: it is no plan's file.
    """
    return _fields(table_of(text))


def text_with(text: str, typed: Mapping[str, str]) -> str:
    """A plan's file with what was typed over it; to the letter as it was where nothing is new.

    Args:
        typed: fields by name; a field that is not there stays, rows stay where none of their fields is there.

    Raises:
        NotToml: the file that it begins from is none.
    """
    table = table_of(text)
    was = _fields(table)
    if all(_plain(was.get(name, "")) == _plain(typed[name]) for name in _own(typed)):
        return text
    made = deepcopy(table)
    for name, place in PLACES.items():
        if name in typed and _plain(typed[name]) != _plain(was.get(name, "")):
            _put(made, place.path, _value(_plain(typed[name]), place.kind))
    _put_strength(made, typed, was)
    for name, rows in ROWS.items():
        if any(field.startswith(f"{name}-") for field in typed):
            _put_rows(made, name, rows, typed)
    return as_text(_without_empty(made))


def rows_in(fields: Iterable[str], name: str) -> list[int]:
    """Numbers of the rows of a kind that fields speak of, in order."""
    found = set()
    for field in fields:
        kind, _, rest = field.partition("-")
        number, _, column = rest.partition("-")
        if kind == name and number.isascii() and number.isdigit() and column in ROWS[name].columns:
            found.add(int(number))
    return sorted(found)[:_MOST_ROWS]


# From the file -----------------------------------------------------------------------------------


def _fields(table: Table) -> dict[str, str]:
    found = {name: _shown(_at(table, place.path)) for name, place in PLACES.items()}
    settled, entered = (_shown(_at(table, ("cask", key))) for key in STRENGTHS)
    found["strength"] = settled or entered
    found["strength_is"] = STRENGTHS[1] if entered and not settled else STRENGTHS[0]
    for name, rows in ROWS.items():
        for number, row in enumerate(_rows(_at(table, rows.path), rows)):
            found |= {f"{name}-{number}-{column}": _shown(row.get(column)) for column in rows.columns}
    return found


def _rows(found: Any, rows: RowsPlace) -> list[Table]:
    if rows.mapping:
        first, second = rows.columns
        return [{first: key, second: value} for key, value in (found or {}).items()]
    return [row for row in found or [] if isinstance(row, dict)] if isinstance(found, list) else []


def _at(table: Any, path: tuple[str, ...]) -> Any:
    for key in path:
        table = table.get(key) if isinstance(table, dict) else None
    return table


def _shown(value: Any) -> str:
    if value is None or isinstance(value, dict):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return TO.join(_shown(one) for one in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


# Into the file -----------------------------------------------------------------------------------


def _own(typed: Mapping[str, str]) -> list[str]:
    """Fields that are of the file, or would be rows of it."""
    single = [name for name in (*PLACES, "strength", "strength_is") if name in typed]
    return single + [field for field in typed if field.partition("-")[0] in ROWS]


def _plain(text: str) -> str:
    return " ".join(text.split())


def _value(text: str, kind: Kind) -> Any:
    """As the file has it; what is no number or no pair of edges goes in as typed, and is refused there."""
    if not text:
        return None
    if kind == "yes":
        return text == "yes"
    if kind == "number":
        return _number(text)
    if kind in ("edges", "plain edges"):
        edges = [part.strip() for part in text.replace("–", TO).split(TO.strip()) if part.strip()]
        if len(edges) != 2:
            return text
        return [_number(edge) for edge in edges] if kind == "plain edges" else edges
    return text


def _number(text: str) -> int | float | str:
    plain = text.replace(",", ".")
    for read in (int, float):
        try:
            return read(plain)
        except ValueError:
            continue
    return text


def _put(table: Table, path: tuple[str, ...], value: Any) -> None:
    *way, last = path
    for key in way:
        if not isinstance(table.get(key), dict):
            if value is None:
                return
            table[key] = {}
        table = table[key]
    if value is None:
        table.pop(last, None)
    else:
        table[last] = value


def _put_strength(table: Table, typed: Mapping[str, str], was: Mapping[str, str]) -> None:
    strength = _plain(typed.get("strength", was["strength"]))
    under = typed.get("strength_is", was["strength_is"])
    if (strength, under) == (_plain(was["strength"]), was["strength_is"]) or under not in STRENGTHS:
        return
    for key in STRENGTHS:
        _put(table, ("cask", key), strength if key == under and strength else None)


def _put_rows(table: Table, name: str, rows: RowsPlace, typed: Mapping[str, str]) -> None:
    before = _rows(_at(table, rows.path), rows)
    made = []
    for number in rows_in(typed, name):
        old = before[number] if number < len(before) else {}
        said = {column: _plain(typed.get(f"{name}-{number}-{column}", "")) for column in rows.columns}
        row = dict(old)
        for column, place in rows.columns.items():
            if said[column] != _plain(_shown(old.get(column))):
                row[column] = _value(said[column], place.kind)
        if name == "bill" and said["material"] != _plain(_shown(old.get("material"))):
            row.pop("analysis", None)
        row = {key: value for key, value in row.items() if value is not None}
        if any(said.values()) and row:
            made.append(row)
    _put(table, rows.path, _gathered(made, rows) or None)


def _gathered(made: list[Table], rows: RowsPlace) -> Any:
    if not rows.mapping:
        return made
    first, second = rows.columns
    return {str(row.get(first, "")): row.get(second, "") for row in made}


def _without_empty(table: Table) -> Table:
    """Parts in which nothing is left are not named."""
    return {key: value for key, value in table.items() if value not in ({}, [])}
