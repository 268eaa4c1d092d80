"""Load the catalogue: the facts that come with Caskward, and a maker's own files beside them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, TypeVar

from caskward.errors import BadCatalogueEntry, OutOfRange, UnknownName

from .analysis import analysed_material
from .fact import Fact
from .files import added_materials, all_cautions, material_files, materials, section
from .kinds import (
    CaskSize,
    Cautions,
    Enzyme,
    Material,
    PotKind,
    Practice,
    StillKind,
    Straining,
    TubKind,
    WoodKind,
    Yeast,
)
from .read import nearest
from .traces import (
    Congener,
    LegalLimit,
    SpiritLevels,
    Threshold,
    WashLevels,
    congeners,
    legal_limits,
    pectin_methanol,
    spirit_levels,
    thresholds,
    wash_levels,
)

T = TypeVar("T")

MOST_NAMED = 12
"""Names that a refusal lists at most."""


@dataclass(frozen=True)
class Catalogue:
    """Everything known about materials, aids, casks, gear and habits; look things up by name.

    `folders` are read lowest first, and each file only when something in it is asked for.
    """

    folders: tuple[Traversable, ...]

    @property
    def materials(self) -> Mapping[str, Material]:
        """Every material by key, in the order of the files."""
        return {key: entry for part in self._material_parts() for key, entry in part.items()}

    @property
    def enzymes(self) -> Mapping[str, Enzyme]:
        """Kinds of enzyme by key."""
        return section(self.folders, Enzyme, "enzymes.toml")

    @property
    def yeasts(self) -> Mapping[str, Yeast]:
        """Kinds of yeast by key."""
        return section(self.folders, Yeast, "yeasts.toml")

    @property
    def casks(self) -> Mapping[str, CaskSize]:
        """Cask sizes by key."""
        return section(self.folders, CaskSize, "casks.toml", "size")

    @property
    def woods(self) -> Mapping[str, WoodKind]:
        """Cask wood by key: new or seasoned."""
        return section(self.folders, WoodKind, "casks.toml", "wood")

    @property
    def pots(self) -> Mapping[str, PotKind]:
        """Kinds of cook pot by key."""
        return section(self.folders, PotKind, "gear.toml", "pot")

    @property
    def tubs(self) -> Mapping[str, TubKind]:
        """Kinds of tub by key."""
        return section(self.folders, TubKind, "gear.toml", "tub")

    @property
    def stills(self) -> Mapping[str, StillKind]:
        """Kinds of still by key."""
        return section(self.folders, StillKind, "gear.toml", "still")

    @property
    def strainings(self) -> Mapping[str, Straining]:
        """Ways of straining by key."""
        return section(self.folders, Straining, "gear.toml", "straining")

    @property
    def practices(self) -> Mapping[str, Practice]:
        """Habits of the trade by style."""
        return section(self.folders, Practice, "practice.toml")

    @property
    def cautions(self) -> Cautions:
        """Short cautions by stage."""
        return all_cautions(self.folders)

    @property
    def congeners(self) -> Mapping[str, Congener]:
        """Congeners by their name in the volatility curves."""
        return congeners(self.folders)

    @property
    def thresholds(self) -> tuple[Threshold, ...]:
        """From what level a nose finds a congener: weak facts, several for one congener."""
        return thresholds(self.folders)

    @property
    def washes(self) -> Mapping[str, WashLevels]:
        """Congeners of a wash by style: grain, molasses, fruit, sugar, agave."""
        return wash_levels(self.folders)

    @property
    def spirits(self) -> Mapping[str, SpiritLevels]:
        """Congeners of finished spirits by kind, as published."""
        return spirit_levels(self.folders)

    @property
    def pectin_methanol(self) -> Fact:
        """Methanol set free by each kilogram of pectin [kg/kg]."""
        return pectin_methanol(self.folders)

    @property
    def legal_limits(self) -> Mapping[str, LegalLimit]:
        """Legal limits by key; those from memory say so."""
        return legal_limits(self.folders)

    def _material_parts(self) -> Iterator[Mapping[str, Material]]:
        """The materials file by file, those of a maker's own last; what theirs change is changed already."""
        for path in material_files(self.folders[:1]):
            yield materials(self.folders, path)
        yield added_materials(self.folders)

    def material(self, name: str) -> Material:
        """The material called `name` [key, name, plural or alias], or a refusal naming the nearest."""
        for part in self._material_parts():
            found = _known_as(part, name)
            if found is not None:
                return found
        raise _unknown("material", self.materials, name)

    def enzyme(self, name: str) -> Enzyme:
        """The kind of enzyme called `name`, or a refusal naming the nearest."""
        return _find("kind of enzyme", self.enzymes, name)

    def yeast(self, name: str) -> Yeast:
        """The kind of yeast called `name`, or a refusal naming the nearest."""
        return _find("kind of yeast", self.yeasts, name)

    def wood(self, name: str) -> WoodKind:
        """Cask wood, "new" or "seasoned"."""
        return _find("kind of cask wood", self.woods, name)

    def pot(self, name: str) -> PotKind:
        """The kind of cook pot called `name`, or a refusal naming the nearest."""
        return _find("kind of cook pot", self.pots, name)

    def tub(self, name: str) -> TubKind:
        """The kind of tub called `name`, or a refusal naming the nearest."""
        return _find("kind of tub", self.tubs, name)

    def still(self, name: str) -> StillKind:
        """The kind of still called `name`, or a refusal naming the nearest."""
        return _find("kind of still", self.stills, name)

    def straining(self, name: str) -> Straining:
        """The way of straining called `name`, or a refusal naming the nearest."""
        return _find("way of straining", self.strainings, name)

    def practice(self, style: str) -> Practice:
        """Habits of the trade for a style: grain, fruit, sugar, molasses or agave."""
        return _find("style", self.practices, style)

    def congener(self, name: str) -> Congener:
        """The congener called `name`, or a refusal naming the nearest."""
        return _find("congener", self.congeners, name)

    def wash(self, style: str) -> WashLevels:
        """Congeners of a wash of a style, or a refusal naming the nearest."""
        return _find("style of wash", self.washes, style)

    def legal_limit(self, name: str) -> LegalLimit:
        """The legal limit of a key, or a refusal naming the nearest."""
        return _find("legal limit", self.legal_limits, name)

    def cask(self, capacity_l: float) -> CaskSize:
        """A cask of `capacity_l` [L, 2-700]: the listed size, or its wood area scaled from the nearest one.

        area = area_near (V / V_near)^(2/3), since the staves' surface over volume goes with V^(-1/3).
        """
        if not 2.0 <= capacity_l <= 700.0:
            raise OutOfRange("Cask size", capacity_l, "L", 2.0, 700.0, "Give the litres it holds brim-full.")
        near = min(self.casks.values(), key=lambda c: abs(c.capacity_l - capacity_l) / c.capacity_l)
        if near.capacity_l == capacity_l:
            return near
        area = near.wood_area_m2.scaled(float((capacity_l / near.capacity_l) ** (2.0 / 3.0)))
        return CaskSize(f"{capacity_l:g}-l", f"{capacity_l:g} L cask", capacity_l, area)


@cache
def load(own: Path | None = None) -> Catalogue:
    """The catalogue; `own` is a folder laid out like this one whose entries add to or replace those here."""
    packaged: Traversable = files(__package__)
    if own is None:
        return Catalogue((packaged,))
    if not own.is_dir():
        raise BadCatalogueEntry(str(own), "there is no such folder", "Name the folder your own facts are in.")
    return Catalogue((packaged, own))


def material_from_analysis(
    name: str, table: Mapping[str, Any], catalogue: Catalogue | None = None
) -> Material:
    """A material from a maker's own analysis: the catalogue's keys, as numbers or { low, likely, high }.

    `like = "rye"` starts from a material of `catalogue` (the packaged one, if none is given), so only what
    differs is given; `starch` and `sugars` are shares of the mass as it arrives. Unknown keys are refused
    naming the nearest.
    """
    like = table.get("like")
    base = (catalogue or load()).material(str(like)) if like is not None else None
    return analysed_material(name, {k: v for k, v in table.items() if k != "like"}, base)


def _known_as(entries: Mapping[str, T], name: str) -> T | None:
    """By key, then by name, plural or alias, whatever the case; hyphens and spaces count the same."""
    wanted = _plain(name)
    if wanted in entries:
        return entries[wanted]
    return next((e for e in entries.values() if wanted in map(_plain, _spoken(e))), None)


def _find(what: str, entries: Mapping[str, T], name: str) -> T:
    found = _known_as(entries, name)
    if found is None:
        raise _unknown(what, entries, name)
    return found


def _unknown(what: str, entries: Mapping[str, object], name: str) -> UnknownName:
    keys = {_plain(spoken): key for key, entry in entries.items() for spoken in (key, *_spoken(entry))}
    close = nearest(_plain(name), list(keys))
    few = tuple(entries) if len(entries) <= MOST_NAMED else (*tuple(entries)[:MOST_NAMED], "...")
    return UnknownName(what, name, keys[close] if close else None, few)


def _plain(name: str) -> str:
    return "-".join(name.lower().replace("_", " ").replace("-", " ").split())


def _spoken(entry: object) -> tuple[str, ...]:
    spoken = (getattr(entry, "name", ""), getattr(entry, "plural", ""), *getattr(entry, "aliases", ()))
    return tuple(s for s in spoken if s)
