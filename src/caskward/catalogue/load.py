"""Load the catalogue: the facts that come with Caskward, and a maker's own files beside them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, TypeVar

from caskward.errors import BadCatalogueEntry, OutOfRange, UnknownName

from .analysis import analysed_material
from .kinds import (
    CaskSize,
    Caution,
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
from .read import build_all, merged, nearest, read_toml

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything known about materials, aids, casks, gear and habits; look things up by name."""

    materials: Mapping[str, Material]
    enzymes: Mapping[str, Enzyme]
    yeasts: Mapping[str, Yeast]
    casks: Mapping[str, CaskSize]
    woods: Mapping[str, WoodKind]
    pots: Mapping[str, PotKind]
    tubs: Mapping[str, TubKind]
    stills: Mapping[str, StillKind]
    strainings: Mapping[str, Straining]
    practices: Mapping[str, Practice]
    cautions: Cautions

    def material(self, name: str) -> Material:
        """The material called `name` [key, name, plural or alias], or a refusal naming the nearest."""
        return _find("material", self.materials, name)

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


def load(own: Path | None = None) -> Catalogue:
    """The catalogue, read once; `own` is a folder whose files of the same names add to or replace entries."""
    return _load(own)


def material_from_analysis(name: str, table: Mapping[str, Any]) -> Material:
    """A material from a maker's own analysis: the catalogue's keys, as numbers or { low, likely, high }.

    `like = "rye"` starts from a catalogue material, so only what differs is given; `starch` and `sugars` are
    shares of the mass as it arrives. Unknown keys are refused naming the nearest.
    """
    like = table.get("like")
    base = load().material(str(like)) if like is not None else None
    return analysed_material(name, {k: v for k, v in table.items() if k != "like"}, base)


@cache
def _load(own: Path | None) -> Catalogue:
    folders: list[Traversable] = [files(__package__)]
    if own is not None:
        folders.append(own)
    materials: dict[str, Material] = {}
    tables: dict[str, dict[str, Any]] = {}
    for folder in folders:
        for path in _toml_files(folder / "materials"):
            materials |= build_all(Material, path.name, read_toml(path))
        for path in _toml_files(folder):
            tables[path.name] = merged(tables.get(path.name, {}), read_toml(path))
    casks, gear = tables["casks.toml"], tables["gear.toml"]
    return Catalogue(
        materials=materials,
        enzymes=build_all(Enzyme, "enzymes.toml", tables["enzymes.toml"]),
        yeasts=build_all(Yeast, "yeasts.toml", tables["yeasts.toml"]),
        casks=build_all(CaskSize, "casks.toml size", casks.get("size", {})),
        woods=build_all(WoodKind, "casks.toml wood", casks.get("wood", {})),
        pots=build_all(PotKind, "gear.toml pot", gear.get("pot", {})),
        tubs=build_all(TubKind, "gear.toml tub", gear.get("tub", {})),
        stills=build_all(StillKind, "gear.toml still", gear.get("still", {})),
        strainings=build_all(Straining, "gear.toml straining", gear.get("straining", {})),
        practices=build_all(Practice, "practice.toml", tables["practice.toml"]),
        cautions=Cautions(_cautions(tables["cautions.toml"])),
    )


def _toml_files(folder: Traversable) -> list[Traversable]:
    if not folder.is_dir():
        return []
    return sorted((p for p in folder.iterdir() if p.name.endswith(".toml")), key=lambda p: p.name)


def _cautions(tables: Mapping[str, Any]) -> dict[str, tuple[Caution, ...]]:
    by_stage: dict[str, tuple[Caution, ...]] = {}
    for stage, rows in tables.items():
        if not isinstance(rows, list):
            raise BadCatalogueEntry(
                "cautions.toml", f"{stage} is not a list", f"Write [[{stage}]] above each one."
            )
        by_stage[stage] = tuple(_caution(stage, row) for row in rows)
    return by_stage


def _caution(stage: str, row: Mapping[str, Any]) -> Caution:
    where = f"cautions.toml [[{stage}]]"
    for key in row:
        if key not in ("text", "source", "how", "only_for"):
            raise UnknownName(f"key of {where}", key, nearest(key, ["text", "source", "how", "only_for"]))
    text = row.get("text", "")
    if not text or len(text) >= 110:
        raise BadCatalogueEntry(
            where, f"text has {len(text)} characters", "Keep a caution between 1 and 109."
        )
    return Caution(text, row.get("source", ""), row.get("how", ""), tuple(row.get("only_for", ())))


def _find(what: str, entries: Mapping[str, T], name: str) -> T:
    """By key, then by name, plural or alias, whatever the case; hyphens and spaces count the same."""
    wanted = _plain(name)
    if wanted in entries:
        return entries[wanted]
    names: dict[str, T] = {}
    for entry in entries.values():
        for spoken in _spoken(entry):
            names.setdefault(_plain(spoken), entry)
    if wanted in names:
        return names[wanted]
    close = nearest(wanted, [*entries, *names])
    key = close if close is None or close in entries else getattr(names[close], "key", close)
    raise UnknownName(what, name, key, tuple(entries))


def _plain(name: str) -> str:
    return "-".join(name.lower().replace("_", " ").replace("-", " ").split())


def _spoken(entry: object) -> tuple[str, ...]:
    spoken = (getattr(entry, "name", ""), getattr(entry, "plural", ""), *getattr(entry, "aliases", ()))
    return tuple(s for s in spoken if s)
