"""The plan: what a person needs to know, as plain numbers with their bands. No arrays, no words to format."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from caskward.planning.limits import Limit
from caskward.stages.stream import Worlds
from caskward.units.types import UnitSystem

Unit = Literal[
    "L", "mL", "kg", "g", "C", "K", "h", "d", "pct_vol", "sg", "kWh", "kW", "count", "m3", "ph", "share"
]
Kind = Literal["set", "forecast", "window"]
"""`set`: the maker does it; `forecast`: 8 worlds in 10 lie in the band; `window`: a label's edges."""


@dataclass(frozen=True)
class Band:
    """The 1 in 10, middle and 9 in 10 figure over all worlds; all equal where nothing is in doubt."""

    low: float
    mid: float
    high: float


def band(values: Worlds | float) -> Band:
    """The band of an array over worlds."""
    low, mid, high = np.quantile(np.asarray(values, dtype=float), (0.1, 0.5, 0.9))
    return Band(float(low), float(mid), float(high))


@dataclass(frozen=True)
class Target:
    """One figure of a stage: what it is, its unit, its band."""

    key: str
    words: str
    kind: Kind
    unit: Unit
    band: Band


@dataclass(frozen=True)
class StageCard:
    """One stage of the plan, in the order of the work."""

    key: str
    title: str
    targets: tuple[Target, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class ShoppingLine:
    """One thing to have: how much is needed, on the shelf, and to buy."""

    key: str
    name: str
    unit: Literal["kg", "g", "mL"]
    need: float
    in_stock: float
    buy: float
    cost: float | None


@dataclass(frozen=True)
class AccountLine:
    """One line of the alcohol account: whole millilitres of pure alcohol, on the average of all worlds."""

    key: str
    words: str
    side: Literal["in", "lost", "kept"]
    millilitres: int
    band_lpa: Band


@dataclass(frozen=True)
class Effort:
    """What the batch asks of stove, water and people."""

    energy_kwh: Band
    cooling_water_l: Band
    mashing_h: Band
    hands_on_h: Band
    watching_h: Band
    waiting_h: Band
    energy_cost: float | None


@dataclass(frozen=True)
class Plan:
    """A possible batch, whole."""

    name: str
    place: str
    invented: bool
    show: UnitSystem
    currency: str
    confidence: float
    chance: float
    wanted_l: float
    capacity_l: float
    fill_l: Band
    entry_pct_vol: float
    settled_pct_vol: Band
    total_kg: float
    bill_kg: tuple[tuple[str, float], ...]
    water_l: float
    shopping: tuple[ShoppingLine, ...]
    materials_cost: float | None
    stages: tuple[StageCard, ...]
    account: tuple[AccountLine, ...]
    effort: Effort
    limits: tuple[Limit, ...]
    law: tuple[str, ...]
    worlds: int
    seed: int
    learned: str = ""
    """What it begins with: how many closed batches, in a sentence; "" for none."""


@dataclass(frozen=True)
class SolvedChange:
    """A change that makes the wish possible, with the numbers of the batch it leads to."""

    words: str
    total_kg: float
    bill_kg: tuple[tuple[str, float], ...]
    ferments: int
    cooks: int
    strips: Band
    wanted_l: float
    entry_pct_vol: float
    fill_l: Band
    chance: float


@dataclass(frozen=True)
class Refusal:
    """A wish that cannot be met as it stands: what binds, and changes that were solved."""

    name: str
    place: str
    show: UnitSystem
    reason: str
    broken: tuple[Limit, ...]
    changes: tuple[SolvedChange, ...]
    worlds: int
    seed: int
