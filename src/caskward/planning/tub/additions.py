"""What goes into one tub between mash and yeast: sugar in its water, fruit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.planning.intent import BillItem
from caskward.planning.mash_forecast import Brought
from caskward.planning.method import water_ratio
from caskward.planning.sizing import Sized
from caskward.planning.unknowns import Draw
from caskward.stages.additions import add_sugar, dissolve, sugar_g_l
from caskward.stages.stream import Stream, Worlds, mixed
from caskward.stages.yeast import OSMOTIC_FROM_G_L

_KG_L = 0.9982


@dataclass(frozen=True)
class Added:
    """One material stirred into the tub: how much, with what water, and the tub before and after.

    before: None where it is the first thing in. least_water_l: what would just dissolve it; None for syrup
    and fruit.
    stays: gravity that stays when all sugar is gone. nitrogen [g].
    """

    name: str
    kg: float
    water_l: float
    water_c: float
    before: Stream | None
    after: Stream
    least_water_l: Worlds | None
    stays: Worlds | None
    nitrogen_brought_g: float
    nitrogen_needed_g: Worlds

    @property
    def sugar_g_l(self) -> Worlds:
        """Sugar in the tub afterwards [g/L]."""
        return sugar_g_l(self.after)

    @property
    def too_sweet_share(self) -> float:
        """Share of worlds in which the sugar passes what yeast starts well in."""
        return float(np.mean(self.sugar_g_l > OSMOTIC_FROM_G_L))


def add_in_turn(
    sized: Sized, brought: Brought, tub: Stream | None, worlds: Draw
) -> tuple[Stream | None, tuple[Added, ...]]:
    """Each sugar and each fruit of the bill, one after the other, into one tub."""
    done = []
    for item in (i for i in sized.intent.bill if i.material.prepare in ("dissolve", "crush")):
        one = _add(sized, brought, item, tub, worlds)
        done.append(one)
        tub = one.after
    return tub, tuple(done)


def _add(sized: Sized, brought: Brought, item: BillItem, tub: Stream | None, worlds: Draw) -> Added:
    material, method = item.material, sized.method
    share = 1.0 / method.ferments
    kg = method.bill_kg[material.key] * share
    whole = brought.materials[material.key].scaled(share)
    water_l = kg * water_ratio(sized.intent, material)
    water_c = method.addition_water_c
    demand = sized.intent.yeast.nitrogen_demand_mg_per_g_sugar.likely
    nitrogen_g = material.yan_mg_per_kg.likely * kg / 1000.0
    if material.prepare == "crush":
        water = Stream.of(temp_c=water_c, water_kg=np.full(worlds.count, water_l * _KG_L))
        parts = [whole, water] if water_l > 0.0 else [whole]
        after = mixed(*parts) if tub is None else mixed(tub, *parts)
        needed_g = np.asarray(demand * whole.fermentable_kg)
        return Added(material.name, kg, water_l, water_c, tub, after, None, None, nitrogen_g, needed_g)
    made = dissolve(whole, water_l, water_c, crystals=material.kind == "sugar")
    into = Stream.of(temp_c=made.syrup.temp_c, water_kg=np.zeros(worlds.count)) if tub is None else tub
    addition = add_sugar(into, made.syrup, material.yan_mg_per_kg.likely, kg, demand)
    return Added(
        material.name,
        kg,
        water_l,
        water_c,
        tub,
        addition.after,
        made.least_water_l if material.kind == "sugar" else None,
        addition.rise_from_unfermentables,
        nitrogen_g,
        addition.nitrogen_needed_g,
    )
