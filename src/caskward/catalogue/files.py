"""The catalogue's files: found, laid one over another, and read only when asked for.

Folders come lowest first: the packaged one, then a maker's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from caskward.errors import BadCatalogueEntry, UnknownName

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
from .read import MAKER, Table, build_all, merged, nearest, read_toml

T = TypeVar("T")
Folders = tuple[Traversable, ...]

_KINDS = (Material, Enzyme, Yeast, CaskSize, WoodKind, PotKind, TubKind, StillKind, Straining, Practice)
_ALL_FACTS = ("congeners.toml", "limits.toml")
"""Files in which every number is a fact."""
_FACT_NAMES = frozenset(field.name for kind in _KINDS for field in fields(kind) if "Fact" in str(field.type))


@cache
def tables(folders: Folders, path: str) -> Table:
    """One file's tables, those of a later folder laid over those of an earlier one."""
    laid: Table = {}
    for folder in folders:
        file = folder.joinpath(*path.split("/"))
        if file.is_file():
            found = read_toml(file)
            every = path in _ALL_FACTS
            laid = found if folder is folders[0] else merged(laid, _signed(found, every=every))
    return laid


@cache
def section(folders: Folders, cls: type[T], path: str, part: str = "") -> Mapping[str, T]:
    """Every `cls` of a file, or of that part of it."""
    found = tables(folders, path)
    if part:
        return build_all(cls, f"{path} {part}", found.get(part, {}))
    return build_all(cls, path, found)


@cache
def material_files(folders: Folders) -> tuple[str, ...]:
    """The materials files of the first folder, as paths below it."""
    place = folders[0].joinpath("materials")
    names = [file.name for file in place.iterdir()] if place.is_dir() else []
    return tuple(f"materials/{name}" for name in sorted(names, key=_grain_first) if name.endswith(".toml"))


@cache
def materials(folders: Folders, path: str) -> Mapping[str, Material]:
    """The materials of one packaged file, with what a maker's own files change in them."""
    found, own = tables(folders[:1], path), _own_materials(folders)
    changed = {key: own[key] for key in own if key in found}
    return build_all(Material, path.rpartition("/")[2], merged(found, changed))


@cache
def added_materials(folders: Folders) -> Mapping[str, Material]:
    """The materials that only a maker's own files hold."""
    own = _own_materials(folders)
    if not own:
        return {}
    known = {key for path in material_files(folders[:1]) for key in tables(folders[:1], path)}
    return build_all(Material, "your own materials", {key: own[key] for key in own if key not in known})


@cache
def _own_materials(folders: Folders) -> Table:
    """The tables of every materials file above the lowest folder, whatever the file is called."""
    laid: Table = {}
    for folder in folders[1:]:
        for path in material_files((folder,)):
            laid = merged(laid, _signed(tables((folder,), path)))
    return laid


def _signed(table: Table, source: str = MAKER, how: str = MAKER, every: bool = False) -> dict[str, Any]:
    """A maker's table whose facts say whose they are: laid over another, they must not take its source.

    `every`: each number is a fact, whatever it is called.
    """
    source, how = table.get("source", source), table.get("how", how)
    out: dict[str, Any] = {}
    for key, value in table.items():
        if isinstance(value, Mapping) and "likely" in value:
            out[key] = {"source": source, "how": how, **value}
        elif isinstance(value, Mapping):
            out[key] = _signed(value, source, how, every)
        elif (every or key in _FACT_NAMES) and isinstance(value, (int, float)):
            out[key] = {"likely": value, "source": source, "how": how}
        elif key not in ("source", "how"):
            out[key] = value
    return out


def _grain_first(name: str) -> tuple[bool, str]:
    """Most bills are grain and malt, so those files are read first."""
    return name not in ("grain.toml", "malt.toml"), name


@cache
def all_cautions(folders: Folders) -> Cautions:
    """Every caution by stage."""
    return Cautions(_cautions(tables(folders, "cautions.toml")))


def _cautions(found: Table) -> dict[str, tuple[Caution, ...]]:
    by_stage: dict[str, tuple[Caution, ...]] = {}
    for stage, rows in found.items():
        if not isinstance(rows, list):
            raise BadCatalogueEntry(
                "cautions.toml", f"{stage} is not a list", f"Write [[{stage}]] above each one."
            )
        by_stage[stage] = tuple(_caution(stage, row) for row in rows)
    return by_stage


def _caution(stage: str, row: Table) -> Caution:
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
