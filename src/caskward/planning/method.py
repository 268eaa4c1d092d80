"""Method: what will be done, the same in every world. Rules in it meet each world as it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from caskward.catalogue.kinds import Material
from caskward.planning.intent import BillItem, Intent, SpiritStock
from caskward.planning.late import NOTHING_LATE, Late
from caskward.planning.log_slips import Row
from caskward.properties import heat, vle
from caskward.stages.runs import CutRules

_COOK_C, _COOK_HOLD_MIN = 85.0, 60.0
"""How a starchy material is cooked that says nothing of its own; *common practice, no source*."""
_UNDER_THE_BOIL_K = 0.5
_MALT_REST_C = 64.0
"""Rest that suits malt's own enzymes; *common practice, no source*."""
_INSIDE_WINDOW_K = 3.0
"""How far under a label's upper edge a rest is planned; *common practice, no source*."""


@dataclass(frozen=True)
class Counts:
    """How often pot, tub and still are filled: the same in every world."""

    cooks: int = 1
    ferments: int = 1
    strips: int = 1
    spirit_runs: int = 1


@dataclass(frozen=True)
class Method:
    """Kilograms, litres, counts, temperatures and rules."""

    bill_kg: Mapping[str, float]
    water_l: float
    counts: Counts
    cook_c: float
    cook_hold_h: float
    rest_c: float
    mash_water_c: float
    addition_water_c: float
    strip_stop_pct_vol: float
    charge_limit_pct_vol: float
    cuts: CutRules
    spirits_in: tuple[SpiritStock, ...]
    entry_pct_vol: float
    fill_l: float
    mash_log: tuple[Row, ...] = ()
    """Temperatures of the mash as logged: hours since all is together, °C; followed unless they slipped."""
    mash_ph_log: tuple[Row, ...] = ()
    """The mash's pH as logged."""
    ferment_moved_on_h: float | None = None
    """Until when the ferment stood still that was read to move on again; None: it was not."""
    late: Late = NOTHING_LATE
    """What is done beside the plan, once the batch has begun."""

    @property
    def cooks(self) -> int:
        """Pots cooked, one after the other."""
        return self.counts.cooks

    @property
    def ferments(self) -> int:
        """Tubs fermented, one after the other."""
        return self.counts.ferments

    @property
    def strips(self) -> int:
        """Charges of wash."""
        return self.counts.strips

    @property
    def spirit_runs(self) -> int:
        """Charges of low wines and feints."""
        return self.counts.spirit_runs

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
    """Highest temperature that a cooked material asks for, short of the boil; 0 if none is cooked."""
    asked = [i.material.cook_c.likely if i.material.cook_c else _COOK_C for i in cooked(intent)]
    boils_c = float(heat.boiling_point_water_c(vle.pressure_at_altitude(intent.site.altitude_m)))
    return min(max(asked), boils_c - _UNDER_THE_BOIL_K) if asked else 0.0


def cook_hold_h(intent: Intent) -> float:
    """Longest hold that any cooked material asks for [h]."""
    holds = [i.material.cook_hold_min for i in cooked(intent)]
    return max((hold.likely if hold else _COOK_HOLD_MIN for hold in holds), default=0.0) / 60.0


def cooked(intent: Intent) -> list[BillItem]:
    """What goes through the cook pots."""
    return [item for item in intent.bill if item.material.prepare == "cook"]


def rest_temperature_c(intent: Intent) -> float:
    """Temperature of the sweetening rest: inside the label's window, near malt's best where malt is in."""
    label = next((e for e in intent.enzymes if e.does == "sweeten"), None)
    has_malt = any(i.material.enzymes for i in intent.bill)
    if label is None:
        return _MALT_REST_C
    low, high = label.window_c
    wanted = _MALT_REST_C if has_malt else high - _INSIDE_WINDOW_K
    return float(min(max(wanted, low), max(high - _INSIDE_WINDOW_K, low)))


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
    counts: Counts | None = None,
) -> Method:
    """The method for so many kilograms of each material; water follows from the bill."""
    water_l = sum(bill_kg[i.material.key] * water_ratio(intent, i.material) for i in intent.bill)
    return Method(
        bill_kg=dict(bill_kg),
        water_l=water_l,
        counts=counts or Counts(),
        cook_c=cook_temperature_c(intent),
        cook_hold_h=cook_hold_h(intent),
        rest_c=rest_temperature_c(intent),
        mash_water_c=intent.site.water_c,
        addition_water_c=intent.site.water_c,
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
