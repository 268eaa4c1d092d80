"""Method: what will be done, the same in every world. Rules in it meet each world as it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from caskward.catalogue.kinds import Material
from caskward.planning.intent import Intent, SpiritStock
from caskward.stages.runs import CutRules

_MALT_REST_C = 64.0
"""Rest that suits malt's own enzymes; *common practice, no source*."""
_INSIDE_WINDOW_K = 3.0
"""How far under a label's upper edge a rest is planned; *common practice, no source*."""


@dataclass(frozen=True)
class Method:
    """Kilograms, litres, counts, temperatures and rules."""

    bill_kg: Mapping[str, float]
    water_l: float
    cook_share_of_water: float
    cooks: int
    cook_c: float
    cook_hold_h: float
    rest_c: float
    ferments: int
    strip_stop_pct_vol: float
    charge_limit_pct_vol: float
    cuts: CutRules
    spirits_in: tuple[SpiritStock, ...]
    entry_pct_vol: float
    fill_l: float

    @property
    def total_kg(self) -> float:
        """Mass of the whole bill [kg]."""
        return sum(self.bill_kg.values())


def water_ratio(intent: Intent, material: Material) -> float:
    """Mash water for one kilogram of a material [L/kg], the maker's own figure before the catalogue's."""
    usual = material.water_l_per_kg.likely
    if intent.water_l_per_kg is None:
        return usual
    whole = sum(item.share * item.material.water_l_per_kg.likely for item in intent.bill)
    return usual * intent.water_l_per_kg / whole if whole > 0 else intent.water_l_per_kg


def cook_temperature_c(intent: Intent) -> float:
    """Highest cooking temperature that any cooked material asks for; 0 where nothing is cooked."""
    return max(
        (i.material.cook_c.likely for i in intent.bill if _is_cooked(i.material) and i.material.cook_c),
        default=0.0,
    )


def cook_hold_h(intent: Intent) -> float:
    """Longest hold that any cooked material asks for [h]."""
    holds = [
        i.material.cook_hold_min.likely
        for i in intent.bill
        if _is_cooked(i.material) and i.material.cook_hold_min
    ]
    return max(holds, default=0.0) / 60.0


def rest_temperature_c(intent: Intent) -> float:
    """Temperature of the sweetening rest: inside the label's window, near malt's best where malt is in."""
    label = next((e for e in intent.enzymes if e.does == "sweeten"), None)
    has_malt = any(i.material.enzymes for i in intent.bill)
    if label is None:
        return _MALT_REST_C
    low, high = label.window_c
    wanted = _MALT_REST_C if has_malt else high - _INSIDE_WINDOW_K
    return float(min(max(wanted, low), max(high - _INSIDE_WINDOW_K, low)))


def cooked_water_share(intent: Intent) -> float:
    """Share of all mash water that goes into the cook pots."""
    asked = [(i, i.share * water_ratio(intent, i.material)) for i in intent.bill]
    whole = sum(w for _, w in asked)
    return sum(w for i, w in asked if _is_cooked(i.material)) / whole if whole > 0 else 0.0


def cut_rules(intent: Intent, entry_pct_vol: float) -> CutRules:
    """The maker's cuts, with the heart kept at entry strength or above."""
    cuts = intent.cuts
    return CutRules(
        foreshots_share=cuts.foreshots_share,
        heads_share=cuts.heads_share,
        heart_end_pct_vol=cuts.heart_end_pct_vol,
        least_heart_pct_vol=entry_pct_vol,
        tails_stop_pct_vol=cuts.tails_stop_pct_vol,
    )


def method_for(
    intent: Intent,
    bill_kg: Mapping[str, float],
    entry_pct_vol: float,
    cooks: int = 1,
    ferments: int = 1,
) -> Method:
    """The method for so many kilograms of each material; water follows from the bill."""
    water_l = sum(bill_kg[i.material.key] * water_ratio(intent, i.material) for i in intent.bill)
    return Method(
        bill_kg=dict(bill_kg),
        water_l=water_l,
        cook_share_of_water=cooked_water_share(intent),
        cooks=cooks,
        cook_c=cook_temperature_c(intent),
        cook_hold_h=cook_hold_h(intent),
        rest_c=rest_temperature_c(intent),
        ferments=ferments,
        strip_stop_pct_vol=intent.cuts.strip_stop_pct_vol,
        charge_limit_pct_vol=intent.cuts.charge_limit_pct_vol,
        cuts=cut_rules(intent, entry_pct_vol),
        spirits_in=intent.stock.spirits,
        entry_pct_vol=entry_pct_vol,
        fill_l=intent.cask.fill_l,
    )


def bill_of(intent: Intent, total_kg: float) -> dict[str, float]:
    """Kilograms of each material in a bill of so many kilograms."""
    return {item.material.key: item.share * total_kg for item in intent.bill}


def _is_cooked(material: Material) -> bool:
    return material.prepare == "cook"
