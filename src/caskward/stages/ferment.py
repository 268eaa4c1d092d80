"""Fermenting: sugar becomes alcohol and carbon dioxide, some of it yeast, glycerol and acids.

An end-point model: how far it goes and how well are distributions; Gay-Lussac's equation holds the
masses.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caskward.stages.balance import Loss
from caskward.stages.stream import (
    ETHANOL_KG_PER_KG_HEXOSE,
    HEXOSE_KG_PER_KG_GLUCAN,
    HEXOSE_KG_PER_KG_SUCROSE,
    Stream,
    Worlds,
)

HEAT_MJ_PER_KG_HEXOSE = 0.56
"""Heat set free [MJ/kg]; from memory, textbook value, 0.50-0.65."""
CO2_L_PER_KG_20C = 546.0
"""Carbon dioxide gas at 20 °C and 101.3 kPa [L/kg]; ideal gas."""
_MOST_PASSES, _CLOSE_ENOUGH = 12, 1e-7
YEAST_SHARE_OF_BYPRODUCTS = 0.4
"""Part of the by-products that is yeast and settles; *common practice, no source*."""


@dataclass(frozen=True)
class FermentUnknowns:
    """How far and how well: shares 0..1, and the strength at which the yeast gives up [%vol]."""

    attenuation: Worlds
    dextrin_used: Worlds
    yield_of_theory: Worlds
    tolerance_pct_vol: Worlds
    carried_off_share: Worlds


@dataclass(frozen=True)
class FermentRecord:
    """Gravity before and after, strength, gas and heat."""

    original_gravity: Worlds
    final_gravity: Worlds
    strength_pct_vol: Worlds
    stopped_by_strength: NDArray[np.bool_]
    co2_kg: Worlds
    heat_kwh: Worlds
    losses: tuple[Loss, ...]


def ferment(wash: Stream, unknowns: FermentUnknowns) -> tuple[Stream, FermentRecord]:
    """Ferment to the end; what yeast cannot or does not use stays in the wash as dissolved solids."""
    dextrin_hexose_kg = HEXOSE_KG_PER_KG_GLUCAN * wash.dextrin_kg * unknowns.dextrin_used
    usable_kg = (wash.fermentable_kg + dextrin_hexose_kg) * unknowns.attenuation
    used_kg = usable_kg * _held_back_by_strength(wash, usable_kg, dextrin_hexose_kg, unknowns)
    out, losses, co2_kg = _after(wash, used_kg, dextrin_hexose_kg, unknowns)
    record = FermentRecord(
        original_gravity=wash.specific_gravity,
        final_gravity=out.specific_gravity,
        strength_pct_vol=out.strength_pct_vol,
        stopped_by_strength=used_kg < 0.999 * usable_kg,
        co2_kg=co2_kg,
        heat_kwh=used_kg * HEAT_MJ_PER_KG_HEXOSE / 3.6,
        losses=losses,
    )
    return out, record


def potential_pct_vol(wash: Stream, yield_of_theory: float | Worlds = 1.0) -> Worlds:
    """Strength [%vol] if all fermentable sugar were used with a yield (share of theory)."""
    ethanol_kg = wash.ethanol_kg + ETHANOL_KG_PER_KG_HEXOSE * yield_of_theory * wash.fermentable_kg
    gone = wash.with_masses(
        water_kg=wash.water_kg + wash.sucrose_kg * (1.0 - HEXOSE_KG_PER_KG_SUCROSE),
        ethanol_kg=ethanol_kg,
        hexose_kg=np.zeros_like(wash.hexose_kg),
        sucrose_kg=np.zeros_like(wash.sucrose_kg),
    )
    return gone.strength_pct_vol


def _held_back_by_strength(
    wash: Stream, usable_kg: Worlds, dextrin_hexose_kg: Worlds, unknowns: FermentUnknowns
) -> Worlds:
    """Share of the usable sugar that is used before the alcohol stops the yeast; by secant on the outcome."""
    share = np.ones_like(usable_kg)
    for _ in range(_MOST_PASSES):
        out, _, _ = _after(wash, share * usable_kg, dextrin_hexose_kg, unknowns)
        strength_pct_vol = np.maximum(out.strength_pct_vol, 1e-9)
        better = np.clip(share * unknowns.tolerance_pct_vol / strength_pct_vol, 0.0, 1.0)
        if np.max(np.abs(better - share)) < _CLOSE_ENOUGH:
            break
        share = better
    return share


def _after(
    wash: Stream, used_kg: Worlds, dextrin_hexose_kg: Worlds, unknowns: FermentUnknowns
) -> tuple[Stream, tuple[Loss, ...], Worlds]:
    offered_kg = wash.fermentable_kg + dextrin_hexose_kg
    left_hexose_kg = offered_kg - used_kg
    left_dextrin_kg = wash.dextrin_kg * (1.0 - unknowns.dextrin_used)
    taken_water_kg = (HEXOSE_KG_PER_KG_SUCROSE - 1.0) * wash.sucrose_kg + dextrin_hexose_kg * (
        1.0 - 1.0 / HEXOSE_KG_PER_KG_GLUCAN
    )
    ethanol_kg = ETHANOL_KG_PER_KG_HEXOSE * unknowns.yield_of_theory * used_kg
    co2_kg = (1.0 - ETHANOL_KG_PER_KG_HEXOSE) * unknowns.yield_of_theory * used_kg
    by_kg = (1.0 - unknowns.yield_of_theory) * used_kg
    carried_kg = unknowns.carried_off_share * ethanol_kg
    out = wash.with_masses(
        water_kg=wash.water_kg - taken_water_kg,
        ethanol_kg=wash.ethanol_kg + ethanol_kg - carried_kg,
        hexose_kg=np.zeros_like(used_kg),
        sucrose_kg=np.zeros_like(used_kg),
        dextrin_kg=np.zeros_like(used_kg),
        solubles_kg=wash.solubles_kg
        + left_hexose_kg
        + left_dextrin_kg
        + (1.0 - YEAST_SHARE_OF_BYPRODUCTS) * by_kg,
        insolubles_kg=wash.insolubles_kg + YEAST_SHARE_OF_BYPRODUCTS * by_kg,
    )
    none_kg = np.zeros_like(co2_kg)
    left_kg = ETHANOL_KG_PER_KG_HEXOSE * (left_hexose_kg + HEXOSE_KG_PER_KG_GLUCAN * left_dextrin_kg)
    losses = (
        Loss("carbon dioxide", co2_kg, none_kg),
        Loss("sugar left by the yeast", none_kg, left_kg),
        Loss("yeast, glycerol and acids", none_kg, ETHANOL_KG_PER_KG_HEXOSE * by_kg),
        Loss("carried off with the gas", carried_kg, carried_kg),
    )
    return out, losses, co2_kg


def co2_m3(co2_kg: Worlds) -> Worlds:
    """Volume of the gas at 20 °C [m³]."""
    return np.asarray(co2_kg * CO2_L_PER_KG_20C / 1000.0)
