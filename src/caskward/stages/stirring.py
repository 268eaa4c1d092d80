"""Grain stirred into water: how much a pot takes, how warm it comes out, how hot the water must be."""

from __future__ import annotations

import numpy as np

from caskward.properties import heat, water
from caskward.stages.search import crossing
from caskward.stages.stream import Stream, Worlds, mixed
from caskward.stages.swelling import swelling_heat_kj


def grain_that_fills(share: float, pot_l: float, bulk_density_kg_l: float | Worlds) -> Worlds:
    """Grain that fills a share of a pot, dry and level [kg]: share times litres times bulk density."""
    return np.asarray(share * pot_l * bulk_density_kg_l)


def stirred_in(hot: Stream, grains: tuple[Stream, ...], onset_c: Worlds, complete_c: Worlds) -> Stream:
    """Water (or mash) and grain stirred together: the mixing, the wetting's warmth, the swelling's cold.

    Within 0.5 K of the published striking-heat arithmetic (Pauls and Whites). The warmth of wetting is that
    of malt by its moisture. Source: pauls-whites-1984, rice-starch-dsc.
    """
    together = mixed(hot, *grains)
    # The capacities of the parts, as `mixed` has them: with alcohol the whole has a slightly different one.
    capacity = hot.heat_capacity_kj_k + sum(grain.heat_capacity_kj_k for grain in grains)
    warmth = sum(wetting_kj(grain) for grain in grains)
    dry_c = together.temp_c + warmth / capacity

    def too_warm(at_c: Worlds) -> Worlds:
        cold = swelling_kj(grains, at_c, onset_c, complete_c)
        return np.asarray(at_c - dry_c + cold / capacity)

    # Starch is less than the whole, and 15 kJ/kg of it less than 15 K of 1 kJ/kg/K.
    return together.at(crossing(too_warm, dry_c - 15.0, dry_c))


def strike_water_c(
    target_c: float | Worlds,
    water_l: float,
    grains: tuple[Stream, ...],
    onset_c: Worlds,
    complete_c: Worlds,
) -> Worlds:
    """Temperature of the water that brings grain stirred into it to a target [°C]; may be over 100.

    T = (Tt (Cw + Cg) - wetting + swelling - Cg Tg) / Cw. `water_l` as measured at 20 °C.
    """
    kg = water_l * water.density(20.0) / 1000.0
    grain = mixed(*grains)
    released = sum(wetting_kj(g) for g in grains) - swelling_kj(grains, target_c, onset_c, complete_c)
    capacity = np.asarray(sum(g.heat_capacity_kj_k for g in grains))
    return np.asarray(
        heat.needed_temperature_c(
            np.asarray(target_c), heat.CP_WATER_KJ_KG_K * kg, capacity, grain.temp_c, released
        )
    )


def wetting_kj(grain: Stream) -> Worlds:
    """Heat that dry grain gives off when it is wetted [kJ], by its moisture. Source: pauls-whites-1984."""
    whole_kg = grain.total_kg
    moisture = grain.water_kg / np.where(whole_kg > 0.0, whole_kg, 1.0)
    return np.asarray(heat.slaking_heat_kj(whole_kg, moisture))


def swelling_kj(
    grains: tuple[Stream, ...], temp_c: float | Worlds, onset_c: Worlds, complete_c: Worlds
) -> Worlds:
    """Heat that several grains' starch has taken up by swelling, once it has stood at a temperature [kJ]."""
    parts = (
        swelling_heat_kj(grain.starch_kg, temp_c, low, high)
        for grain, low, high in zip(grains, onset_c, complete_c, strict=True)
    )
    return np.asarray(sum(parts))
