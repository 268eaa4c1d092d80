"""Grain stirred into water: how much a pot takes, how warm it comes out, how hot the water must be."""

from __future__ import annotations

import numpy as np

from caskward.properties import heat, water
from caskward.stages.stream import Stream, Worlds, mixed
from caskward.stages.swelling import swelling_heat_kj


def grain_that_fills(share: float, pot_l: float, bulk_density_kg_l: float | Worlds) -> Worlds:
    """Grain that fills a share of a pot, dry and level [kg]: share times litres times bulk density."""
    return np.asarray(share * pot_l * bulk_density_kg_l)


def stirred_in(hot: Stream, grains: tuple[Stream, ...]) -> Stream:
    """Water (or mash) and grain stirred together: the mixing, and the warmth of wetting dry grain.

    T = (sum of C T + wetting) / sum of C. The printed warmth of wetting is read in mashes, whose starch
    swells as it is stirred in: the cold of that is in it, and is not taken off again.
    Within 0.5 K of the published striking-heat arithmetic. Source: pauls-whites-1984.
    """
    together = mixed(hot, *grains)
    # The capacities of the parts, as `mixed` has them: with alcohol the whole has a slightly different one.
    capacity = hot.heat_capacity_kj_k + sum(grain.heat_capacity_kj_k for grain in grains)
    return together.at(together.temp_c + sum(wetting_kj(grain) for grain in grains) / capacity)


def strike_water_c(target_c: float | Worlds, water_l: float, grains: tuple[Stream, ...]) -> Worlds:
    """Temperature of the water that brings grain stirred into it to a target [°C]; may be over 100.

    T = (Tt (Cw + Cg) - wetting - Cg Tg) / Cw. `water_l` as measured at 20 °C, above 0.
    """
    water_kj_k = heat.CP_WATER_KJ_KG_K * water_l * water.density(20.0) / 1000.0
    warmth = np.asarray(sum(wetting_kj(grain) for grain in grains))
    capacity = np.asarray(sum(grain.heat_capacity_kj_k for grain in grains))
    return np.asarray(
        heat.needed_temperature_c(np.asarray(target_c), water_kj_k, capacity, mixed(*grains).temp_c, warmth)
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
