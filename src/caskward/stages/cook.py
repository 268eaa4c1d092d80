"""Cooking: grain and water heated until the starch swells, in one pot or several in turn.

By the hour, with a pot's walls and a tub's lid: see `pots`. This is the sum of it, for a plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.properties import heat
from caskward.stages.balance import Loss
from caskward.stages.stream import Stream, Worlds
from caskward.stages.tub_heat import TubWall

TURN_H: Final = 0.25
"""Emptying a pot and filling it again [h]; *common practice, no source*."""


@dataclass(frozen=True)
class CookSettings:
    """What the maker sets: pots in turn, their heat, and how far and how long they are heated."""

    batches: int
    power_kw: float
    cook_c: float
    hold_h: float


@dataclass(frozen=True)
class CookUnknowns:
    """What differs from world to world: heat that reaches the mash, water that leaves as steam."""

    efficiency: Worlds
    evaporated_share_per_h: Worlds


@dataclass(frozen=True)
class CookRecord:
    """One pot's share and the whole cook's heat."""

    pot_volume_l: Worlds
    heat_up_h: Worlds
    energy_kwh: Worlds
    losses: tuple[Loss, ...]


def gelatinised_share(temp_c: float | Worlds, onset_c: Worlds, complete_c: Worlds) -> Worlds:
    """Share of starch swollen at a temperature: 0 below the range, 1 above, linear between.

    Source: *common practice, no source* for the straight line; the ranges come from the catalogue.
    """
    width_k = np.maximum(complete_c - onset_c, 0.1)
    return np.clip((temp_c - onset_c) / width_k, 0.0, 1.0)


def cook(mash: Stream, settings: CookSettings, unknowns: CookUnknowns) -> tuple[Stream, CookRecord]:
    """Heat the mash, hold it, and let some water go as steam.

    Heat is that of warming and of swelling the starch, over the burner's efficiency; the hold's heat is
    what the steam takes. The small heat set free by wetting dry grain is left out.
    """
    steam_kg = np.minimum(
        mash.water_kg * unknowns.evaporated_share_per_h * settings.hold_h, 0.5 * mash.water_kg
    )
    warming_kj = mash.heat_capacity_kj_k * np.maximum(settings.cook_c - mash.temp_c, 0.0)
    swelling_kj = heat.GELATINISATION_KJ_KG * mash.starch_kg
    heat_up_kwh = (warming_kj + swelling_kj) / 3600.0 / unknowns.efficiency
    hold_kwh = steam_kg * heat.LATENT_WATER_KJ_KG / 3600.0 / unknowns.efficiency
    out = mash.with_masses(water_kg=mash.water_kg - steam_kg).at(settings.cook_c)
    record = CookRecord(
        pot_volume_l=mash.volume_at(settings.cook_c) / settings.batches,
        heat_up_h=heat_up_kwh / settings.power_kw / settings.batches,
        energy_kwh=heat_up_kwh + hold_kwh,
        losses=(Loss("steam from the cook", steam_kg, np.zeros_like(steam_kg)),),
    )
    return out, record


def poured_in_turn_c(
    cooked: Stream, record: CookRecord, settings: CookSettings, tubs: int, wall: TubWall
) -> Worlds:
    """Temperature of one tub after its last pot [°C]: what is in it stands while the next pot heats.

    T_k = ((k - 1) (Ta + (T_(k-1) - Ta) exp(-UA t/((k - 1) C))) + Tc)/k, t from pot to pot, C of one pot,
    UA that of a tub with so many pots in it.

    Args:
        cooked: the whole cook, all tubs. tubs: how many share the pots evenly.
        wall: how the tub loses heat, lid on.
    """
    each_kj_k, each_l = (whole / settings.batches for whole in (cooked.heat_capacity_kj_k, cooked.volume_l))
    apart_h = record.heat_up_h + settings.hold_h + TURN_H
    temp_c = np.asarray(cooked.temp_c)
    for poured in range(1, max(settings.batches // tubs, 1)):
        loss_w_k = wall.holding(poured * each_l).heat_loss_w_k
        stood_c = heat.tub_temperature_c(temp_c, wall.room_c, loss_w_k, poured * each_kj_k, apart_h)
        temp_c = (poured * stood_c + settings.cook_c) / (poured + 1)
    return temp_c
