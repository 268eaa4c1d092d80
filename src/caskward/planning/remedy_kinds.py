"""What a move is: how far it goes, when it comes too late, and why it may not be open."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from caskward.catalogue.load import Catalogue
from caskward.planning.intent import Intent, SpiritStock
from caskward.planning.method import Method
from caskward.planning.plan import Unit
from caskward.planning.readings import STAGES, Reading, Stage

RemedyKey = Literal[
    "hold",
    "sugar",
    "rinse",
    "strip stop",
    "feints",
    "heart end",
    "entry strength",
    "top-up",
    "less full",
    "smaller cask",
]
ClosedKey = Literal[
    "over", "no starch", "converted", "tub full", "done", "no solids", "none in store", "as far", "smallest"
]


@dataclass(frozen=True)
class Closed:
    """A move that is not open.

    why: over: the stage whose reading says so has begun. no starch: nothing to convert. converted: it is made
    sugar already. tub full: no room. done: it was done before. no solids: nothing to rinse. none in store.
    as far: the plan goes as far as is offered already. smallest: no smaller cask is known.
    """

    key: RemedyKey
    why: ClosedKey
    stage: Stage | None = None


_OVER_FROM: Final[Mapping[RemedyKey, Stage]] = {
    "hold": "ferment",
    "sugar": "ferment",
    "rinse": "strip",
    "strip stop": "charge",
    "feints": "charge",
    "heart end": "heart",
}
"""The stage whose first reading says that it is too late; what is done to a filled cask is never too late."""


@dataclass(frozen=True)
class Move:
    """A move and how far it goes.

    first: the stage of a chain from which it is felt. amount: from 0 to `most` in steps of `step`; the more,
    the fuller the cask. now, shown: the figure it changes, before, and at an amount. make: intent and
    method at an amount.
    """

    key: RemedyKey
    first: str
    unit: Unit
    step: float
    most: float
    now: float
    shown: Callable[[float], float]
    make: Callable[[float], tuple[Intent, Method]]


@dataclass(frozen=True)
class Shelf:
    """What was read, and what is at hand: spirits in store, strength of another batch [%vol]."""

    catalogue: Catalogue
    readings: tuple[Reading, ...] = ()
    spirits: tuple[SpiritStock, ...] = ()
    top_up_pct_vol: float | None = None


def begun(readings: tuple[Reading, ...], stage: Stage) -> bool:
    """True where a stage, or one after it, has been read."""
    return any(STAGES.index(r.stage) >= STAGES.index(stage) for r in readings)


def over(readings: tuple[Reading, ...], key: RemedyKey) -> bool:
    """True where a move comes too late. While a strip runs, its stop is still open."""
    gauged = any(r.stage == "strip" and r.quantity != "spout" for r in readings)
    last = _OVER_FROM.get(key)
    return (last is not None and begun(readings, last)) or (key == "strip stop" and gauged)


def over_from(key: RemedyKey) -> Stage | None:
    """The stage that ends a move."""
    return _OVER_FROM.get(key)
