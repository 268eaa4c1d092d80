"""A maker's own analysis of a lot, turned into a catalogue material."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from caskward.errors import BadCatalogueEntry, MissingValue, UnknownName

from .fact import Fact, read_fact
from .kinds import Material
from .read import build, nearest

_GUESSED = {"source": "common-practice", "how": "common practice"}
_BY_KIND: dict[str, tuple[str, str, float, float]] = {
    # prepare, style, water [L/kg], bulk density [kg/L]: a first guess that the maker can put right by name
    "grain": ("cook", "grain", 3.8, 0.7),
    "malt": ("mash", "grain", 3.8, 0.54),
    "root": ("cook", "grain", 0.5, 0.65),
    "sugar": ("dissolve", "sugar", 5.0, 0.8),
    "syrup": ("dissolve", "molasses", 3.5, 1.4),
    "fruit": ("crush", "fruit", 0.0, 0.6),
    "agave": ("crush", "agave", 1.3, 0.55),
}
_COOKED: dict[str, Any] = {
    "gelatinisation_c": {"low": 58.0, "likely": 64.0, "high": 72.0, **_GUESSED},
    "cook_c": {"likely": 88.0, **_GUESSED},
    "cook_hold_min": {"likely": 60.0, **_GUESSED},
}
_GUESSED_BY_KIND: dict[str, dict[str, Any]] = {
    "grain": {
        **_COOKED,
        "sugars_dry": {"likely": 0.03, **_GUESSED},
        "unfermentable_dry": {"likely": 0.06, **_GUESSED},
    },
    "root": _COOKED,
    "malt": {
        "gelatinisation_c": {"low": 56.0, "likely": 60.0, "high": 64.0, **_GUESSED},
        "diastatic_power_lintner": {"likely": 90.0, **_GUESSED},
        "enzymes": True,
        "unfermentable_dry": {"likely": 0.08, **_GUESSED},
    },
}
_AS_RECEIVED = {"starch": "starch_dry", "sugars": "sugars_dry"}


def analysed_material(name: str, table: Mapping[str, Any], base: Material | None = None) -> Material:
    """A material called `name` from `table`, over `base` where one is given.

    Facts may be numbers or { low, likely, high }; `starch` and `sugars` [share of mass as received, 0-1]
    become shares of dry matter: x_dry = x / (1 - moisture). Without a base, what is not given is guessed from
    `kind`, and `kind` from whether there is starch in it.
    """
    where = f"Analysis of {name!r}"
    known = [*(f.name for f in fields(Material) if f.name != "key"), *_AS_RECEIVED, "source", "how"]
    for key in table:
        if key not in known:
            raise UnknownName(f"key of an analysis ({name})", key, nearest(key, known), tuple(known))
    given = {**table, **_per_dry_matter(where, table, base)}
    for key in _AS_RECEIVED:
        given.pop(key, None)
    start = _tables_of(base) if base else _guess(given)
    start |= {"name": name, "plural": name, "aliases": [], "source": "maker", "how": "maker"}
    made = build(Material, where, name, {**start, **given})
    _check_sum(where, made)
    return made


def _guess(given: Mapping[str, Any]) -> dict[str, Any]:
    kind = given.get("kind", "grain" if "starch_dry" in given else "sugar")
    prepare, style, water, density = _BY_KIND.get(kind, _BY_KIND["grain"])
    return {
        "kind": kind,
        "prepare": prepare,
        "usual_style": style,
        "water_l_per_kg": {"likely": water, **_GUESSED},
        "bulk_density_kg_l": {"likely": density, **_GUESSED},
        "yan_mg_per_kg": {"likely": 0.0, **_GUESSED},
        **_GUESSED_BY_KIND.get(kind, {}),
    }


def _per_dry_matter(where: str, table: Mapping[str, Any], base: Material | None) -> dict[str, Any]:
    """`starch` and `sugars` as `starch_dry` and `sugars_dry`."""
    if base is None and "moisture" not in table:
        raise MissingValue(where, "moisture", "moisture = 0.13")
    asked = [key for key in _AS_RECEIVED if key in table]
    if not asked:
        return {}
    if "moisture" in table:
        moisture = read_fact(f"{where} moisture", table["moisture"], "maker", "maker").likely
    else:
        moisture = base.moisture.likely if base else 0.0
    if not 0.0 <= moisture < 1.0:
        if moisture == 1.0:
            raise BadCatalogueEntry(where, "moisture of 100 % leaves nothing else", "Write less than 100 %.")
        raise BadCatalogueEntry(where, f"moisture {moisture:g} is not a share", "Write 13 % as 0.13.")
    return {_AS_RECEIVED[key]: _dry(where, key, table, moisture) for key in asked}


def _dry(where: str, key: str, table: Mapping[str, Any], moisture: float) -> dict[str, float]:
    if _AS_RECEIVED[key] in table:
        raise BadCatalogueEntry(
            where, f"both {key} and {_AS_RECEIVED[key]} are given", "Keep one of the two."
        )
    fact = read_fact(f"{where} {key}", table[key], "maker", "maker")
    if fact.high + moisture > 1.0:
        raise BadCatalogueEntry(
            where,
            f"{key} {fact.high:g} and moisture {moisture:g} together pass 1",
            "Both are shares of the mass as it arrives: write 54 % as 0.54.",
        )
    return _band(fact.scaled(1.0 / (1.0 - moisture)))


def _tables_of(base: Material) -> dict[str, Any]:
    """A material's facts back as tables, so that one reader checks everything."""
    out: dict[str, Any] = {}
    for field in fields(Material):
        value = getattr(base, field.name)
        if isinstance(value, Fact):
            out[field.name] = {**_band(value), "source": value.source, "how": value.how, "note": value.note}
        elif value is not None and field.name != "key":
            out[field.name] = value
    return out


def _band(fact: Fact) -> dict[str, float]:
    return {"low": fact.low, "likely": fact.likely, "high": fact.high}


def _check_sum(where: str, made: Material) -> None:
    parts = (made.starch_dry, made.sugars_dry, made.dextrin_dry, made.unfermentable_dry)
    total = sum(fact.likely for fact in parts)
    if total > 1.0:
        raise BadCatalogueEntry(
            where,
            f"starch, sugars, dextrin and unfermentables make {total:.3f} of the dry matter",
            "Together they may not pass 1; lower the one you are least sure of.",
        )
