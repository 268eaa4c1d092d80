"""A maker's own analysis of a lot, turned into a catalogue material."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from caskward.errors import BadCatalogueEntry, MissingValue, UnknownName

from .fact import Fact, read_fact
from .kinds import Material
from .read import build, nearest

# What is assumed about a lot described from nothing: named so that the maker can override each.
_FIRST_GUESS: dict[str, Any] = {"bulk_density_kg_l": 0.7, "yan_mg_per_kg": 0.0}
_GRAIN = {"kind": "grain", "prepare": "cook", "usual_style": "grain", "water_l_per_kg": 3.5}
_SUGAR = {"kind": "sugar", "prepare": "dissolve", "usual_style": "sugar", "water_l_per_kg": 4.0}
_AS_RECEIVED = {"starch": "starch_dry", "sugars": "sugars_dry"}


def analysed_material(name: str, table: Mapping[str, Any], base: Material | None = None) -> Material:
    """A material called `name` from `table`, over `base` where one is given.

    Facts may be numbers or { low, likely, high }; `starch` and `sugars` [share of mass as received, 0-1]
    become shares of dry matter: x_dry = x / (1 - moisture).
    """
    where = f"Analysis of {name!r}"
    for key in table:
        if key not in _known_keys():
            raise UnknownName(f"key of an analysis ({name})", key, nearest(key, _known_keys()))
    given = _per_dry_matter(where, dict(table), base)
    start = _fields_of(base) if base else {**_FIRST_GUESS, **(_GRAIN if _is_starchy(given) else _SUGAR)}
    start |= {"name": name, "plural": name}
    made = build(Material, where, name, {**_as_tables(start), "source": "maker", "how": "maker", **given})
    _check_sum(where, made)
    return made


def _known_keys() -> list[str]:
    own = [f.name for f in fields(Material) if f.name != "key"]
    return [*own, *_AS_RECEIVED, "source", "how"]


def _is_starchy(given: Mapping[str, Any]) -> bool:
    return "starch_dry" in given


def _per_dry_matter(where: str, given: dict[str, Any], base: Material | None) -> dict[str, Any]:
    asked = [key for key in _AS_RECEIVED if key in given]
    if base is None and "moisture" not in given:
        raise MissingValue(where, "moisture", "moisture = 0.13")
    for key in asked:
        dry = _AS_RECEIVED[key]
        if dry in given:
            raise BadCatalogueEntry(where, f"both {key} and {dry} are given", "Keep one of the two.")
        moisture = (
            read_fact(f"{where} moisture", given["moisture"], "maker", "maker")
            if "moisture" in given
            else None
        )
        wet = (moisture or (base.moisture if base else None)) or Fact(0.0, 0.0, 0.0, "maker", "maker")
        if not 0.0 <= wet.likely < 1.0:
            raise BadCatalogueEntry(where, f"moisture {wet.likely:g} is not a share", "Write 13 % as 0.13.")
        fact = read_fact(f"{where} {key}", given.pop(key), "maker", "maker")
        if fact.high > 1.0 - wet.likely:
            raise BadCatalogueEntry(
                where,
                f"{key} {fact.high:g} and moisture {wet.likely:g} together pass 1",
                "Both are shares of the mass as it arrives: write 54 % as 0.54.",
            )
        given[dry] = _band(fact.scaled(1.0 / (1.0 - wet.likely)))
    return given


def _fields_of(base: Material) -> dict[str, Any]:
    return {f.name: getattr(base, f.name) for f in fields(Material) if f.name != "key"}


def _as_tables(values: Mapping[str, Any]) -> dict[str, Any]:
    """Facts back to tables and tuples back to lists, so that one reader checks everything."""
    out: dict[str, Any] = {}
    for key, value in values.items():
        if isinstance(value, Fact):
            out[key] = {**_band(value), "source": value.source, "how": value.how, "note": value.note}
        elif isinstance(value, tuple):
            out[key] = list(value)
        elif value is not None:
            out[key] = value
    return out


def _band(fact: Fact) -> dict[str, Any]:
    return {"low": fact.low, "likely": fact.likely, "high": fact.high}


def _check_sum(where: str, made: Material) -> None:
    total = sum(
        f.likely for f in (made.starch_dry, made.sugars_dry, made.dextrin_dry, made.unfermentable_dry)
    )
    if total > 1.0:
        raise BadCatalogueEntry(
            where,
            f"starch, sugars, dextrin and unfermentables make {total:.3f} of the dry matter",
            "Together they may not pass 1; lower the one you are least sure of.",
        )
