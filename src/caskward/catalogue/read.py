"""TOML tables into the catalogue's dataclasses, with a sentence for everything that does not fit."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import MISSING, Field, fields
from difflib import get_close_matches
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from caskward.errors import BadCatalogueEntry, MissingValue, UnknownName

from .fact import Fact, read_fact

T = TypeVar("T")
Table = Mapping[str, Any]

MAKER = "maker"
"""Source and manner of a fact that names none: the maker's own."""

_FACT_TYPES = ("Fact", "Fact | None")
_SHARES = frozenset(
    (
        "moisture",
        "starch_dry",
        "sugars_dry",
        "sucrose_share",
        "dextrin_dry",
        "unfermentable_dry",
        "pectin",
        "efficiency",
        "fill_share",
        "attenuation",
        "mixes_at_once_share",
        "indrink_first_48h_share",
        "headspace_share",
        "reflux_strip",
        "reflux_spirit",
        "heat_loss_share",
        "charge_fill_share",
        "press_recovery",
        "lees_share",
        "foreshots_share",
        "heads_share",
        "conversion",
        "conversion_malt_only",
        "fermentable_share",
        "fermentable_share_malt_only",
        "ferment_yield",
        "co2_ethanol_loss",
    )
)


_CHOICES = {
    "kind": ("grain", "malt", "sugar", "syrup", "fruit", "root", "agave"),
    "prepare": ("cook", "mash", "dissolve", "crush"),
    "usual_style": ("grain", "fruit", "sugar", "molasses", "agave"),
    "does": ("thin", "sweeten", "loosen", "fruit"),
    "dose_unit": ("ml_per_kg", "g_per_kg", "ml_per_kg_starch", "g_per_kg_starch", "ml_per_l"),
}


def read_toml(path: Traversable) -> dict[str, Any]:
    """The tables of one TOML file; a file that is not TOML is refused with its line."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise BadCatalogueEntry(
            path.name, f"not readable as TOML ({fault})", "Mend that line and try again."
        ) from None


def merged(under: Table, over: Table) -> dict[str, Any]:
    """`over` laid upon `under`: tables in tables are merged too, facts and anything else are replaced."""
    out = dict(under)
    for key, value in over.items():
        below = out.get(key)
        both = isinstance(value, Mapping) and isinstance(below, Mapping) and "likely" not in value
        out[key] = merged(below, value) if both else value  # type: ignore[arg-type]
    return out


def nearest(given: str, known: tuple[str, ...] | list[str]) -> str | None:
    """The known name that looks most like `given`, or None."""
    found = get_close_matches(given.lower(), known, n=1, cutoff=0.6)
    return found[0] if found else None


def build_all(cls: type[T], file: str, tables: Table) -> dict[str, T]:
    """One `cls` per table; a table named `all` holds what the others share and is no entry itself."""
    shared = _table(file, "all", tables.get("all", {}))
    entries = {}
    for key, raw in tables.items():
        if key != "all":
            entries[key] = build(cls, f"{file} [{key}]", key, {**shared, **_table(file, key, raw)})
    return entries


def build(cls: type[T], where: str, key: str, table: Table) -> T:
    """One `cls` from a table; `source` and `how` at its top stand for every fact that names none."""
    known = _known_fields(cls)
    source, how = table.get("source", MAKER), table.get("how", MAKER)
    given: dict[str, Any] = {"key": key}
    for name, raw in table.items():
        if name in ("source", "how"):
            continue
        if name not in known or name == "key":
            names = [n for n in known if n != "key"]
            raise UnknownName(f"key of {where}", name, nearest(name, names), tuple(names))
        given[name] = _value(f"{where} {name}", known[name], raw, source, how)
    for name, kind in known.items():
        if name not in given and kind.default is MISSING and kind.default_factory is MISSING:
            raise MissingValue(where, name, _example(name, kind))
    return cls(**given)


def _known_fields(cls: type[Any]) -> dict[str, Field[Any]]:
    return {f.name: f for f in fields(cls)}


def _table(file: str, key: str, raw: object) -> Table:
    if not isinstance(raw, Mapping):
        raise BadCatalogueEntry(
            file, f"{key} is not a table", f"Write a heading [{key}] with its keys below it."
        )
    return raw


def _example(name: str, kind: Field[Any]) -> str:
    if kind.type in _FACT_TYPES:
        return f'{name} = {{ low = 0.1, likely = 0.2, high = 0.3, source = "maker", how = "maker" }}'
    return f'{name} = "..."'


def _value(where: str, kind: Field[Any], raw: object, source: str, how: str) -> object:
    if kind.type in _FACT_TYPES:
        fact = read_fact(where, raw, source, how)
        if kind.name in _SHARES:
            _check_share(where, fact)
        return fact
    if kind.type == "tuple[str, ...]":
        if not isinstance(raw, list) or not all(isinstance(item, str) for item in raw):
            raise BadCatalogueEntry(where, f"{raw!r} is not a list of names", 'Write it like ["one", "two"].')
        return tuple(raw)
    if kind.type == "float":
        return read_fact(where, raw, source, how).likely
    allowed: type = bool if kind.type == "bool" else str
    if not isinstance(raw, allowed):
        plain = "true or false" if allowed is bool else "text in quotes"
        raise BadCatalogueEntry(where, f"{raw!r} does not fit", f"Write {plain}.")
    if kind.name in _CHOICES and raw not in _CHOICES[kind.name]:
        raise UnknownName(
            f"{kind.name} ({where.rpartition(' ')[0]})",
            str(raw),
            nearest(str(raw), _CHOICES[kind.name]),
            _CHOICES[kind.name],
        )
    return raw


def _check_share(where: str, fact: Fact) -> None:
    if not 0.0 <= fact.low <= fact.high <= 1.0:
        raise BadCatalogueEntry(
            where,
            f"{fact.low:g} to {fact.high:g} is not a share between 0 and 1",
            "Write 62 % as 0.62.",
        )
