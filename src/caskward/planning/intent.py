"""Intent: what is wanted and what there is. The maker writes it; nothing here is computed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import (
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
from caskward.planning.learned_gear import LearnedGear
from caskward.units.types import Dose, UnitSystem


@dataclass(frozen=True)
class CaskWish:
    """The cask to fill. Either `entry_pct_vol` is set, or the strength it shall settle at."""

    capacity_l: float
    fill_share: float
    wood: WoodKind
    wood_area_m2: Fact
    soaked: bool
    entry_pct_vol: float | None
    settle_pct_vol: float | None

    @property
    def fill_l(self) -> float:
        """Litres wanted in the cask at entry strength."""
        return self.capacity_l * self.fill_share


@dataclass(frozen=True)
class BillItem:
    """One material and its share of the bill by mass (0..1)."""

    material: Material
    share: float


@dataclass(frozen=True)
class CookPot:
    """A pot for cooking: what it works with [L] and its heat [kW]."""

    name: str
    kind: PotKind
    working_volume_l: float
    power_kw: float


@dataclass(frozen=True)
class Tub:
    """The tub or fermenter: brim volume [L] and the share kept free for foam."""

    name: str
    kind: TubKind
    volume_l: float
    headspace_share: float
    heat_loss_w_k: Fact

    @property
    def working_l(self) -> float:
        """Mash it may hold [L]."""
        return self.volume_l * (1.0 - self.headspace_share)


@dataclass(frozen=True)
class StillGear:
    """A pot still: most and least it may be charged with [L], its heat [kW], its head's reflux.

    learned: what its own runs taught, in a sentence; kind and reflux then hold it already.
    """

    name: str
    kind: StillKind
    charge_limit_l: float
    minimum_charge_l: float
    power_kw: float
    reflux_strip: Fact
    reflux_spirit: Fact
    heat: PotKind
    learned: str = ""


@dataclass(frozen=True)
class Gear:
    """Everything the batch passes through; one still may do both jobs."""

    cook_pot: CookPot | None
    tub: Tub
    strip_still: StillGear
    spirit_still: StillGear
    straining: Straining


@dataclass(frozen=True)
class SpiritStock:
    """Low wines or feints in store."""

    kind: Literal["feints", "low wines"]
    volume_l: float
    pct_vol: float


@dataclass(frozen=True)
class Stock:
    """What is on the shelf; `buys_more` is False where only the shelf may be used."""

    materials_kg: Mapping[str, float] = field(default_factory=dict)
    spirits: tuple[SpiritStock, ...] = ()
    buys_more: bool = True


@dataclass(frozen=True)
class EnzymeLabel:
    """An enzyme product as its own label states it."""

    name: str
    does: str
    window_c: tuple[float, float]
    window_ph: tuple[float, float]
    dose: Dose
    hold_h: float
    kind: Enzyme
    """The catalogue's kind it is like, for what a label does not say."""


@dataclass(frozen=True)
class Site:
    """Where the batch is made."""

    water_c: float
    altitude_m: float
    room_c: float = 18.0


@dataclass(frozen=True)
class Prices:
    """What things cost, in one currency; what has no price is left out of the sum."""

    currency: str
    per_kg: Mapping[str, float] = field(default_factory=dict)
    energy_per_kwh: float | None = None


@dataclass(frozen=True)
class Cuts:
    """How the still is run and cut; shares are of the charge's pure alcohol."""

    strip_stop_pct_vol: float
    charge_limit_pct_vol: float
    foreshots_share: float
    heads_share: float
    heart_end_pct_vol: float
    tails_stop_pct_vol: float
    jar_l: float
    site_rule: str = ""


@dataclass(frozen=True)
class Intent:
    """A wish for one cask, whole and checked."""

    name: str
    place: str
    show: UnitSystem
    confidence: float
    cask: CaskWish
    bill: tuple[BillItem, ...]
    practice: Practice
    water_l_per_kg: float | None
    most_ferments: int
    gear: Gear
    stock: Stock
    enzymes: tuple[EnzymeLabel, ...]
    yeast: Yeast
    site: Site
    prices: Prices
    cuts: Cuts
    worlds: int
    seed: int
    malt_enzymes: tuple[Enzyme, ...] = ()
    """Malt's own kinds, thinning first."""
    invented: bool = False
    learned: LearnedGear | None = None
    """What closed batches taught; `doubts` starts from it."""

    @property
    def leaves_solids(self) -> bool:
        """True where grain or fruit is left when the wash is drawn off; sugar and syrup dissolve whole."""
        return any(item.material.prepare != "dissolve" for item in self.bill)

    @property
    def has_enzymes(self) -> bool:
        """True where a sweetening enzyme is at hand."""
        return any(e.does == "sweeten" for e in self.enzymes)
