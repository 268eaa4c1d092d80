"""What the catalogue holds: one frozen dataclass per kind of thing, every figure a `Fact`.

Shares are of mass on a 0-1 scale, unless a name says otherwise; units stand at the end of each name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from .fact import ZERO, Fact

LPA_PER_KG_STARCH = 0.720
LPA_PER_KG_SUCROSE = 0.682
LPA_PER_KG_HEXOSE = 0.648
"""Litres of pure alcohol that one kg can give and no more; source saskatchewan-1993, bioprocess-textbook."""


@dataclass(frozen=True)
class Material:
    """Something that ferments: what is in it, how it is cooked or dissolved, what it needs.

    `moisture` is of the material as it arrives; `*_dry` are shares of its dry matter, and what they leave
    over is insoluble (fibre, hull, protein, stones). `sucrose_share` is the part of `sugars_dry` made of two
    units (sucrose, maltose), which takes up water as it is split. A starchy material without
    `gelatinisation_c` is swollen already (flaked). `prepare` is "cook", "mash", "dissolve" or "crush".
    """

    key: str
    name: str
    plural: str
    kind: str
    prepare: str
    usual_style: str
    moisture: Fact
    water_l_per_kg: Fact
    bulk_density_kg_l: Fact
    yan_mg_per_kg: Fact
    starch_dry: Fact = ZERO
    sugars_dry: Fact = ZERO
    sucrose_share: Fact = ZERO
    dextrin_dry: Fact = ZERO
    unfermentable_dry: Fact = ZERO
    pectin: Fact = ZERO
    diastatic_power_lintner: Fact = ZERO
    gelatinisation_c: Fact | None = None
    cook_c: Fact | None = None
    cook_hold_min: Fact | None = None
    enzymes: bool = False
    press: bool = False
    aliases: tuple[str, ...] = ()
    caution: str = ""
    note: str = ""

    @property
    def potential_lpa_per_kg(self) -> float:
        """Pure alcohol that one kg as it arrives can give and no more [L/kg], at the likely analysis.

        (1 - moisture) (0.720 (starch + dextrin) + sugars (0.682 s + 0.648 (1 - s))), s the sucrose share.
        A good plant gets 0.915 of it, a small batch 0.75-0.88.
        """
        s = self.sucrose_share.likely
        per_kg_sugars = s * LPA_PER_KG_SUCROSE + (1.0 - s) * LPA_PER_KG_HEXOSE
        starch = self.starch_dry.likely + self.dextrin_dry.likely
        per_kg_dry = LPA_PER_KG_STARCH * starch + per_kg_sugars * self.sugars_dry.likely
        return (1.0 - self.moisture.likely) * per_kg_dry


@dataclass(frozen=True)
class Enzyme:
    """A kind of enzyme, not a product: the product's own label rules over every figure here.

    `does` is "thin", "sweeten", "loosen" or "fruit". The window's `likely` is where it works best.
    `half_life_min` holds at `half_life_at_c`; `loss_kj_mol` carries it to other temperatures,
    `activation_kj_mol` the rate.
    """

    key: str
    name: str
    does: str
    window_c: Fact
    window_ph: Fact
    dose: Fact
    dose_unit: str
    hold_min: Fact
    half_life_min: Fact | None = None
    half_life_at_c: float = 0.0
    loss_kj_mol: Fact | None = None
    activation_kj_mol: Fact | None = None
    from_malt: bool = False
    aliases: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Yeast:
    """A kind of yeast, not a product; `attenuation` is the share of fermentable sugar it uses."""

    key: str
    name: str
    suits: tuple[str, ...]
    tolerance_pct_vol: Fact
    window_c: Fact
    pitch_g_per_hl: Fact
    nitrogen_demand_mg_per_g_sugar: Fact
    attenuation: Fact
    ferment_days: Fact
    aliases: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class CaskSize:
    """A cask by the litres it holds brim-full, and the wood that touches them."""

    key: str
    name: str
    capacity_l: float
    wood_area_m2: Fact
    note: str = ""


@dataclass(frozen=True)
class WoodKind:
    """How new or seasoned cask wood drinks and gives back, per square metre of inner wood."""

    key: str
    name: str
    wood_water_l_per_m2_soaked: Fact
    mixes_at_once_share: Fact
    indrink_l_per_m2_dry: Fact
    indrink_first_48h_share: Fact
    note: str = ""


@dataclass(frozen=True)
class PotKind:
    """A way to heat a cook pot; the heat it loses scales with volume to the power 2/3 from 100 L."""

    key: str
    name: str
    efficiency: Fact
    heat_loss_w_k_100l: Fact
    fill_share: Fact
    scorch_limit_kw_m2: Fact | None = None
    aliases: tuple[str, ...] = ()
    caution: str = ""
    note: str = ""

    def heat_loss_w_k(self, volume_l: float) -> Fact:
        """Heat lost per kelvin above the room [W/K] for a pot of `volume_l` [L]."""
        return self.heat_loss_w_k_100l.scaled(float((volume_l / 100.0) ** (2.0 / 3.0)))


@dataclass(frozen=True)
class TubKind:
    """A tub to convert and ferment in; the heat it loses scales with volume to the power 2/3 from 200 L."""

    key: str
    name: str
    heat_loss_w_k_200l: Fact
    headspace_share: Fact
    open_surface_kw_m2_65c: Fact
    aliases: tuple[str, ...] = ()
    note: str = ""

    def heat_loss_w_k(self, volume_l: float) -> Fact:
        """Heat lost per kelvin above the room [W/K] for a tub of `volume_l` [L], lid on."""
        return self.heat_loss_w_k_200l.scaled(float((volume_l / 200.0) ** (2.0 / 3.0)))


@dataclass(frozen=True)
class StillKind:
    """A still: the share of the boiled moles its head sends back, the heat it wastes, how full it may be."""

    key: str
    name: str
    reflux_strip: Fact
    reflux_spirit: Fact
    heat_loss_share: Fact
    charge_fill_share: Fact
    aliases: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Straining:
    """A way to part wash from solids.

    `held_kg_per_kg_insolubles` is the liquid held by each kg of dry insolubles before any pressing;
    `press_recovery` is the part of it won back; `lees_share` of the wash's volume stays with the yeast.
    """

    key: str
    name: str
    held_kg_per_kg_insolubles: Fact
    press_recovery: Fact
    lees_share: Fact
    hours_per_100_kg: Fact
    minimum_hours: Fact
    aliases: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Practice:
    """Habits of the trade for one style of spirit; hours are of hands, not of waiting.

    Cut shares are of the charge's pure alcohol. `conversion` is the share of starch turned to sugars,
    `fermentable_share` the part of those that yeast can use, `ferment_yield` the share of the theoretical
    alcohol; the three together make the small-batch efficiency of 0.75-0.88.
    """

    key: str
    name: str
    charge_limit_pct_vol: Fact
    strip_stop_pct_vol: Fact
    foreshots_share: Fact
    heads_share: Fact
    heart_start_pct_vol: Fact
    heart_end_pct_vol: Fact
    tails_stop_pct_vol: Fact
    conversion: Fact
    conversion_malt_only: Fact
    fermentable_share: Fact
    fermentable_share_malt_only: Fact
    ferment_yield: Fact
    co2_ethanol_loss: Fact
    transfer_loss_l: Fact
    wash_strength_pct_vol: Fact
    jar_l: Fact
    run_speed_share_per_min: Fact
    cook_setup_hours: Fact
    cook_hours: Fact
    strip_hours: Fact
    spirit_hours: Fact
    cleaning_hours: Fact
    note: str = ""


@dataclass(frozen=True)
class Caution:
    """One short caution; `only_for` names styles or gear it is meant for (empty: everyone)."""

    text: str
    source: str
    how: str
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True)
class Cautions:
    """Short cautions by stage, in the order a maker should read them."""

    by_stage: Mapping[str, tuple[Caution, ...]]

    def at(self, stage: str, *tags: str) -> tuple[Caution, ...]:
        """Cautions at `stage` for everyone and for those whose style or gear is among `tags`."""
        found = self.by_stage.get(stage, ())
        return tuple(c for c in found if not c.only_for or not set(c.only_for).isdisjoint(tags))
