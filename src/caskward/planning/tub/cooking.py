"""One tub's cook: pots in turn into the tub, then what is stirred in, and where that lands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.doses import dose_amount
from caskward.planning.intent import BillItem, Intent
from caskward.planning.mash_forecast import Brought, brought_together
from caskward.planning.method import water_ratio
from caskward.planning.sizing import Sized
from caskward.planning.tub import brew_doubts as doubt
from caskward.planning.tub.mash import Portion as StarchPortion
from caskward.planning.tub.mash import Stirred
from caskward.planning.tub.schedule import PlannedDose
from caskward.planning.unknowns import Draw
from caskward.stages.cook import TURN_H, gelatinised_share
from caskward.stages.landing import Landing, landing
from caskward.stages.pots import Cook, Portion, Pot, PotsRecord, cook_in_turn
from caskward.stages.stirring import stirred_in
from caskward.stages.stream import Stream, Worlds, mixed
from caskward.stages.tub_heat import TubWall


@dataclass(frozen=True)
class PotPlan:
    """One pot: each grain [kg], water [L], and what is dosed into it at the start."""

    grain_kg: tuple[tuple[str, float], ...]
    water_l: float
    thinning: tuple[tuple[str, float, str], ...]


@dataclass(frozen=True)
class CookedTub:
    """One tub's cook: what each pot takes, what the pots do, and what is in the tub after the last."""

    each: PotPlan
    record: PotsRecord
    tub: Stream

    @property
    def swollen_share(self) -> Worlds:
        """Share of the cooked starch that has swollen; the pots are alike."""
        return self.record.pots[-1].swollen_share


@dataclass(frozen=True)
class Together:
    """Everything of the mash in one tub, before its rests: what it is made of, and all together, warm."""

    brought: Brought
    stirred: Stirred
    mash: Stream
    swollen_of_plan: Worlds


def wall_of(sized: Sized, worlds: Draw, room_c: float) -> TubWall:
    """One tub's wall in every world, its lid on, in the likely room; what it loses goes by its fill."""
    return TubWall(worlds[doubt.TUB_W_K], room_c, full_l=sized.intent.gear.tub.working_l)


def cook_tub(sized: Sized, worlds: Draw, doses: tuple[PlannedDose, ...], room_c: float) -> CookedTub | None:
    """The pots of one tub in turn; None where nothing is cooked."""
    intent, method = sized.intent, sized.method
    items = [i for i in intent.bill if i.material.prepare == "cook"]
    gear = intent.gear.cook_pot
    if not items or gear is None:
        return None
    brought = brought_together(intent, method, worlds)
    grains = tuple(brought.materials[i.material.key].scaled(1.0 / method.cooks) for i in items)
    each = _pot_plan(sized, items, doses)
    portion = Portion(grains, each.water_l, intent.site.water_c)
    pot = Pot(gear.working_volume_l, gear.power_kw, worlds["cook.efficiency"], worlds[doubt.POT_W_K])
    ranges = [_range_of(i) for i in items]
    cook = Cook(
        method.cook_c,
        method.cook_hold_h,
        room_c,
        np.array([low for low, _ in ranges]),
        np.array([high for _, high in ranges]),
        worlds["cook.evaporated_share_per_h"],
        TURN_H,
    )
    pots = method.cooks // method.ferments
    tub, record = cook_in_turn((portion,) * pots, pot, cook, wall_of(sized, worlds, room_c))
    return CookedTub(each, record, tub)


def _pot_plan(sized: Sized, items: list[BillItem], doses: tuple[PlannedDose, ...]) -> PotPlan:
    method = sized.method
    kg = [(i.material, method.bill_kg[i.material.key] / method.cooks) for i in items]
    thinning = []
    for dose in (d for d in doses if d.in_pot):
        amount, unit = dose_amount(sized, dose.label)
        thinning.append((dose.label.name, amount / method.cooks, unit))
    return PotPlan(
        tuple((material.name, part) for material, part in kg),
        sum(part * water_ratio(sized.intent, material) for material, part in kg),
        tuple(thinning),
    )


def _range_of(item: BillItem) -> tuple[float, float]:
    """Where a grain swells [°C]; what is swollen already has both ends below its water."""
    fact = item.material.gelatinisation_c
    return (-1.0, 0.0) if fact is None else (fact.low, fact.high)


def bring_together(sized: Sized, worlds: Draw, cooked: CookedTub | None) -> Together:
    """The cook as it stands in the tub, and malt with its water stirred in."""
    intent, method = sized.intent, sized.method
    share = 1.0 / method.ferments
    brought = brought_together(intent, method, worlds)
    plan = brought.stirred
    rest = None if plan.rest is None else plan.rest.scaled(share)
    portions = tuple(_scaled(p, share) for p in plan.portions)
    swollen = np.ones(worlds.count)
    if cooked is not None:
        of_plan = _planned_share(portions, method.cook_c)
        swollen = np.clip(cooked.swollen_share / np.maximum(of_plan, 1e-9), 0.0, 1.0)
    stirred = Stirred(
        None if cooked is None else cooked.tub, rest, portions, method.cook_c, method.cook_hold_h
    )
    return Together(brought, stirred, _warm(intent, sized, brought, cooked), swollen)


def _warm(intent: Intent, sized: Sized, brought: Brought, cooked: CookedTub | None) -> Stream:
    """All together, the warmth of wetting counted; nothing but water where nothing is mashed."""
    count, method = sized.method.ferments, sized.method
    mashed = [i.material for i in intent.bill if i.material.prepare == "mash"]
    grains = tuple(brought.materials[m.key].scaled(1.0 / count) for m in mashed)
    litres = sum(method.bill_kg[m.key] * water_ratio(intent, m) for m in mashed) / count
    wet = [] if cooked is None else [cooked.tub]
    if mashed:
        wet.append(Stream.of(temp_c=method.mash_water_c, water_kg=litres * _KG_L))
    if not wet:
        return Stream.of(water_kg=np.zeros(1))
    return stirred_in(mixed(*wet), grains) if grains else mixed(*wet)


_KG_L: Final = 0.9982


def _scaled(portion: StarchPortion, share: float) -> StarchPortion:
    return StarchPortion(
        portion.key,
        portion.starch_kg * share,
        portion.cooked,
        portion.range_c,
        portion.malt,
        portion.lintner,
    )


def _planned_share(portions: tuple[StarchPortion, ...], cook_c: float) -> Worlds:
    """Share of the cooked starch that a plan counts as swollen."""
    whole = part = np.zeros(1)
    for p in (p for p in portions if p.cooked):
        low, high = p.range_c or (-1.0, 0.0)
        whole = whole + p.starch_kg
        part = part + p.starch_kg * gelatinised_share(cook_c, np.asarray(low), np.asarray(high))
    return np.where(whole > 0.0, part / np.where(whole > 0.0, whole, 1.0), 1.0)


def lands(sized: Sized, mash: Stream, wall: TubWall, window_c: tuple[float, float], rest_c: float) -> Landing:
    """Where the mash lies against a window, and what brings it to its rest there, or as near as it may."""
    rest_c = min(max(rest_c, window_c[0]), window_c[1])
    return landing(mash, window_c, wall, sized.intent.site.water_c, rest_c=rest_c)
