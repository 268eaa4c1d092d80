"""Facts about congeners: when they come over, from what level noses find them, what a wash holds, limits.

All from `congeners.toml` and `limits.toml`; a congener's key is its name in the volatility curves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from caskward.errors import BadCatalogueEntry, UnknownName

from .fact import Fact, read_fact
from .files import Folders, section, tables
from .read import build, nearest

COMES = ("early", "with the heart", "late")
UNITS = ("g/hL", "g/L", "% vol", "ug/kg")
CHECK_LOCAL_RULE = "from memory: check your local rule"

THRESHOLDS_ARE_WEAK = (
    "Published thresholds for one compound differ tenfold, alcohol in the vapour dulls the nose, and a "
    "mixture is not its parts: they say what to smell for, not whether a spirit is good or safe."
)
"""Source: wang-cadwallader-2024 (read in abstract)."""


@dataclass(frozen=True)
class Congener:
    """One congener: when it comes over from a pot charged near 30 %vol, and what it smells of."""

    key: str
    name: str
    comes: str
    smell: str
    aliases: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Threshold:
    """From what level [mg/L] a nose finds a congener in a liquid; a weak fact, see `THRESHOLDS_ARE_WEAK`."""

    congener: str
    mg_l: Fact
    matrix: str


@dataclass(frozen=True)
class WashLevels:
    """How much of each congener a fermented wash of about a strength holds [mg/L]."""

    key: str
    name: str
    strength_pct_vol: Fact
    mg_l: Mapping[str, Fact]

    def g_per_hl(self, congener: str) -> Fact:
        """Prior for a wash, in grams per hectolitre of pure alcohol: mg/L x 10 / %vol.

        At the likely strength: alcohol and congeners are made together, so most of its spread cancels.
        """
        return self.mg_l[congener].scaled(10.0 / self.strength_pct_vol.likely)

    def mg_per_l_at(self, congener: str, pct_vol: float) -> Fact:
        """The same prior for a wash of another strength [mg/L]: in proportion to its alcohol [%vol]."""
        return self.mg_l[congener].scaled(pct_vol / self.strength_pct_vol.likely)


@dataclass(frozen=True)
class SpiritLevels:
    """How much of a congener finished spirits of a kind hold [g/hL of pure alcohol], as published."""

    key: str
    name: str
    g_hl: Mapping[str, Fact]


@dataclass(frozen=True)
class LegalLimit:
    """What a jurisdiction allows of something in a spirit; `value.how` says whether the rule was read.

    made_of: keys or kinds of materials whose spirit could be sold as the product; none for any material.
    otherwise: only where no other limit of the jurisdiction names the materials.
    """

    key: str
    jurisdiction: str
    product: str
    quantity: str
    bound: str
    value: Fact
    unit: str
    instrument: str
    made_of: tuple[str, ...] = ()
    otherwise: bool = False

    @property
    def from_memory(self) -> bool:
        """True where nobody read the rule for this figure."""
        return self.value.how != "read"

    @property
    def words(self) -> str:
        """The limit as a sentence; a figure from memory says so."""
        unit = {"g/hL": "g/hL of pure alcohol", "g/L": "g/L of pure alcohol", "ug/kg": "µg/kg"}
        at = "at most" if self.bound == "most" else "at least"
        said = f"{self.jurisdiction}, {self.product}: {self.quantity} {at} {self.value.likely:g} "
        said += f"{unit.get(self.unit, self.unit)} ({self.instrument}"
        return f"{said}; {CHECK_LOCAL_RULE})" if self.from_memory else f"{said}, read; rules change)"


@cache
def congeners(folders: Folders) -> Mapping[str, Congener]:
    """Every congener by key."""
    found = section(folders, Congener, "congeners.toml", "congener")
    for key, entry in found.items():
        if entry.comes not in COMES:
            where = f"comes (congeners.toml [{key}])"
            raise UnknownName(where, entry.comes, nearest(entry.comes, COMES), COMES)
    return found


@cache
def thresholds(folders: Folders) -> tuple[Threshold, ...]:
    """Every threshold, in the order of the file."""
    rows = tables(folders, "congeners.toml").get("threshold", [])
    if not isinstance(rows, list):
        advice = "Write [[threshold]] above each one."
        raise BadCatalogueEntry("congeners.toml", "threshold is not a list", advice)
    return tuple(_threshold(row, folders) for row in rows)


def _threshold(row: Mapping[str, Any], folders: Folders) -> Threshold:
    where = "congeners.toml [[threshold]]"
    known = ("congener", "mg_l", "matrix", "source", "how")
    for key in row:
        if key not in known:
            raise UnknownName(f"key of {where}", key, nearest(key, known), known)
    name = str(row.get("congener", ""))
    _check_names(where, (name,), folders)
    mg_l = read_fact(f"{where} {name}", row.get("mg_l"), row.get("source", "maker"), row.get("how", "maker"))
    return Threshold(name, mg_l, str(row.get("matrix", "")))


@cache
def wash_levels(folders: Folders) -> Mapping[str, WashLevels]:
    """Congeners of a wash, by style."""
    made = {}
    for key, table in tables(folders, "congeners.toml").get("wash", {}).items():
        where = f"congeners.toml [wash.{key}]"
        levels = _levels(f"{where} mg_l", table, "mg_l", folders)
        strength = read_fact(f"{where} strength", table.get("strength_pct_vol"), *_origin(table))
        made[key] = WashLevels(key, str(table.get("name", key)), strength, levels)
    return made


@cache
def spirit_levels(folders: Folders) -> Mapping[str, SpiritLevels]:
    """Congeners of finished spirits, by kind."""
    made = {}
    for key, table in tables(folders, "congeners.toml").get("spirit", {}).items():
        levels = _levels(f"congeners.toml [spirit.{key}] g_hl", table, "g_hl", folders)
        made[key] = SpiritLevels(key, str(table.get("name", key)), levels)
    return made


@cache
def pectin_methanol(folders: Folders) -> Fact:
    """Methanol set free by each kilogram of pectin [kg/kg]."""
    table = tables(folders, "congeners.toml").get("pectin", {})
    return read_fact("congeners.toml [pectin]", table.get("methanol_kg_per_kg"), *_origin(table))


@cache
def legal_limits(folders: Folders) -> Mapping[str, LegalLimit]:
    """Every legal limit by key."""
    found = {}
    for key, table in tables(folders, "limits.toml").items():
        where = f"limits.toml [{key}]"
        limit = build(LegalLimit, where, key, table)
        for given, known in ((limit.bound, ("most", "least")), (limit.unit, UNITS)):
            if given not in known:
                raise UnknownName(f"word in {where}", given, nearest(given, known), known)
        found[key] = limit
    return found


def _origin(table: Mapping[str, Any]) -> tuple[str, str]:
    return str(table.get("source", "maker")), str(table.get("how", "maker"))


def _levels(where: str, table: Mapping[str, Any], part: str, folders: Folders) -> dict[str, Fact]:
    rows = table.get(part, {})
    _check_names(where, tuple(rows), folders)
    return {name: read_fact(f"{where} {name}", raw, *_origin(table)) for name, raw in rows.items()}


def _check_names(where: str, names: tuple[str, ...], folders: Folders) -> None:
    known = tuple(congeners(folders))
    for name in names:
        if name not in known:
            raise UnknownName(f"congener ({where})", name, nearest(name, known), known)
