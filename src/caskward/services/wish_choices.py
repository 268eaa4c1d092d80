"""What the fields of a new batch offer: names of the catalogue, and the maker's own materials first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

from caskward.book.accounts import family_of, name_of
from caskward.book.stock import Stock
from caskward.book.words import said
from caskward.catalogue.load import load
from caskward.units.types import UnitSystem

Choice = tuple[str, str]
"""A value as the plan's file has it, and its name."""


@dataclass(frozen=True)
class Choices:
    """Each list in the catalogue's order; materials: a name to be typed, and how much of it Stores has."""

    materials: tuple[Choice, ...]
    yeasts: tuple[Choice, ...]
    strainings: tuple[Choice, ...]
    woods: tuple[Choice, ...]
    pots: tuple[Choice, ...]
    tubs: tuple[Choice, ...]
    stills: tuple[Choice, ...]


def choices(stores: Stock | None, system: UnitSystem) -> Choices:
    """All of them. stores: what the book holds, if there is a book."""
    known = load()
    held = _held(stores, system)
    others = [(one.name.lower(), "") for one in known.materials.values()]
    return Choices(
        materials=(*held, *(choice for choice in others if choice[0] not in dict(held))),
        yeasts=_named(known.yeasts),
        strainings=_named(known.strainings),
        woods=_named(known.woods),
        pots=_named(known.pots),
        tubs=_named(known.tubs),
        stills=_named(known.stills),
    )


class _Named(Protocol):
    @property
    def name(self) -> str: ...


def _named(entries: Mapping[str, _Named]) -> tuple[Choice, ...]:
    return tuple((key, entry.name) for key, entry in entries.items())


def _held(stores: Stock | None, system: UnitSystem) -> list[Choice]:
    totals = stores.totals() if stores else {}
    every = load().materials.values()
    known = {name.lower() for one in every for name in (one.name, one.plural, *one.aliases)}
    return [
        (name_of(what), f"{said(amount, what, system)} in Stores")
        for what, amount in sorted(totals.items())
        if family_of(what) == "mass" and name_of(what).lower() in known
    ]
