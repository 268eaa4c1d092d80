"""Sugar, syrup, honey or molasses stirred into a tub: dissolving it, and what it does to the wash.

Sugar goes in dissolved: crystals sink, lie on the bottom and scorch there. Syrups are dissolved already and
only want thinning.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caskward.properties import dissolving, heat, water
from caskward.stages.stream import Stream, Worlds, mixed
from caskward.stages.yeast import OSMOTIC_FROM_G_L

USUAL_WATER_L_PER_KG = 1.0
"""Hot water for each kg of sugar, which dissolves it with room to spare; *common practice, no source*."""
_KG_L = water.density(20.0) / 1000.0


@dataclass(frozen=True)
class Dissolved:
    """A sugar in its water: the syrup, and water that would just dissolve it all at that temperature [L]."""

    syrup: Stream
    least_water_l: Worlds
    all_dissolves: NDArray[np.bool_]


@dataclass(frozen=True)
class Addition:
    """What an addition does: the tub before and after, sugar [g/L], unfermentables and nitrogen [g].

    `rise_from_unfermentables` is how much of the gravity stays when all sugar is gone.
    """

    before: Stream
    after: Stream
    sugar_before_g_l: Worlds
    sugar_after_g_l: Worlds
    unfermentables_kg: Worlds
    rise_from_unfermentables: Worlds
    nitrogen_brought_g: Worlds
    nitrogen_needed_g: Worlds

    @property
    def gravity_rise(self) -> Worlds:
        """Specific gravity after less before."""
        return np.asarray(self.after.specific_gravity - self.before.specific_gravity)

    @property
    def temp_change_k(self) -> Worlds:
        """How much the tub warms (or cools, below zero) [K]."""
        return np.asarray(self.after.temp_c - self.before.temp_c)

    @property
    def too_sweet(self) -> NDArray[np.bool_]:
        """Whether the sugar passes what yeast starts well in: add it in two halves, or thin the wash."""
        return np.asarray(self.sugar_after_g_l > OSMOTIC_FROM_G_L)

    @property
    def nitrogen_short_g(self) -> Worlds:
        """Nitrogen that the added sugar asks for beyond what it brings [g]."""
        return np.maximum(self.nitrogen_needed_g - self.nitrogen_brought_g, 0.0)


def sugar_g_l(stream: Stream) -> Worlds:
    """Sugar that yeast can use, as hexose, in the liquid [g/L at 20 °C]."""
    litres = stream.liquid_l
    return np.asarray(1000.0 * stream.fermentable_kg / np.where(litres > 0.0, litres, 1.0))


def dissolve(material: Stream, water_l: float | Worlds, water_c: float, crystals: bool) -> Dissolved:
    """So much of a material in so much hot water.

    A kilogram of crystals takes up 18 kJ (sucrose) or 115 kJ (dextrose) as it dissolves; syrups nothing.
    Whether all of it dissolves is judged at the syrup's own temperature, by what saturates water.

    Args:
        material: as weighed, at its own temperature; what a sugar holds beside sugar counts as dissolved.
        water_l: as measured at 20 °C [L], 0 or more. water_c: [°C]. crystals: a dry sugar, not a syrup.
    """
    whole = _all_dissolved(material)
    syrup = mixed(whole, Stream.of(temp_c=water_c, water_kg=np.asarray(water_l) * _KG_L))
    cooled_k = _cold_kj(whole, crystals) / (syrup.heat_capacity_kj_k)
    syrup = syrup.at(np.maximum(syrup.temp_c - cooled_k, 0.0))
    needed_kg = dissolving.water_for_sugar_kg(syrup.sucrose_kg, syrup.hexose_kg, syrup.temp_c)
    return Dissolved(
        syrup=syrup,
        least_water_l=np.maximum(needed_kg - whole.water_kg, 0.0) / _KG_L,
        all_dissolves=np.asarray(needed_kg <= syrup.water_kg),
    )


def water_c_for(material: Stream, water_l: float, syrup_c: float, crystals: bool) -> Worlds:
    """How hot the water must be for the syrup to come out at a temperature [°C]; may be over 100."""
    whole = _all_dissolved(material)
    water_kj_k = heat.CP_WATER_KJ_KG_K * water_l * _KG_L
    return np.asarray(
        heat.needed_temperature_c(
            syrup_c, water_kj_k, whole.heat_capacity_kj_k, whole.temp_c, -_cold_kj(whole, crystals)
        )
    )


def _all_dissolved(material: Stream) -> Stream:
    return material.with_masses(
        solubles_kg=material.solubles_kg + material.insolubles_kg,
        insolubles_kg=np.zeros_like(material.insolubles_kg),
    )


def _cold_kj(whole: Stream, crystals: bool) -> Worlds:
    cold_kj = (
        dissolving.SUCROSE_COLD_KJ_KG * whole.sucrose_kg + dissolving.DEXTROSE_COLD_KJ_KG * whole.hexose_kg
    )
    return cold_kj if crystals else np.zeros_like(cold_kj)


def add_sugar(
    tub: Stream,
    syrup: Stream,
    nitrogen_mg_per_kg: float | Worlds,
    material_kg: float | Worlds,
    demand_mg_per_g_sugar: float | Worlds,
) -> Addition:
    """The tub with a syrup stirred in; mass and potential alcohol are the sum of both.

    Args:
        tub, syrup: what is there, and what comes in. material_kg: as weighed, for its nitrogen [kg].
        nitrogen_mg_per_kg: that yeast can use, in the material. demand_mg_per_g_sugar: of the yeast.
    """
    after = mixed(tub, syrup)
    none = np.zeros_like(after.hexose_kg)
    spent = after.with_masses(hexose_kg=none, sucrose_kg=none)
    without = spent.with_masses(solubles_kg=np.maximum(after.solubles_kg - syrup.solubles_kg, 0.0))
    return Addition(
        before=tub,
        after=after,
        sugar_before_g_l=sugar_g_l(tub),
        sugar_after_g_l=sugar_g_l(after),
        unfermentables_kg=syrup.solubles_kg,
        rise_from_unfermentables=spent.specific_gravity - without.specific_gravity,
        nitrogen_brought_g=np.asarray(nitrogen_mg_per_kg) * np.asarray(material_kg) / 1000.0,
        nitrogen_needed_g=np.asarray(demand_mg_per_g_sugar) * syrup.fermentable_kg,
    )
