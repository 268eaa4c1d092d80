"""Fermenting: sugar becomes alcohol and carbon dioxide, some of it yeast, glycerol and acids.

An end-point model: how far it goes and how well are distributions; Gay-Lussac's equation holds the
masses. The balance (`part_way`, `written_off`) serves the course in time of `fermenting` too.
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
    """How far and how well: shares 0..1, and the strength at which the yeast gives up [%vol].

    gives_out_at: share of the sugar it could use at which the yeast stops for want of anything but sugar
    (0..1; 1: it does not).
    """

    attenuation: Worlds
    dextrin_used: Worlds
    yield_of_theory: Worlds
    tolerance_pct_vol: Worlds
    carried_off_share: Worlds
    gives_out_at: Worlds | float = 1.0


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
    used_kg, dextrin_hexose_kg = furthest(wash, unknowns)
    able_kg = (wash.fermentable_kg + dextrin_hexose_kg) * unknowns.attenuation * unknowns.gives_out_at
    out, losses, co2_kg = _after(wash, used_kg, dextrin_hexose_kg, unknowns)
    record = FermentRecord(
        original_gravity=wash.specific_gravity,
        final_gravity=out.specific_gravity,
        strength_pct_vol=out.strength_pct_vol,
        stopped_by_strength=used_kg < 0.999 * able_kg,
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


def furthest(wash: Stream, unknowns: FermentUnknowns) -> tuple[Worlds, Worlds]:
    """Hexose used at the very end, and that from dextrin by then [kg]: what a course in time runs towards."""
    dextrin_hexose_kg = HEXOSE_KG_PER_KG_GLUCAN * wash.dextrin_kg * unknowns.dextrin_used
    usable_kg = np.asarray((wash.fermentable_kg + dextrin_hexose_kg) * unknowns.attenuation)
    able_kg = np.asarray(usable_kg * unknowns.gives_out_at)
    share = _held_back_by_strength(wash, able_kg, dextrin_hexose_kg, unknowns)
    return able_kg * share, np.asarray(dextrin_hexose_kg)


def _held_back_by_strength(
    wash: Stream, able_kg: Worlds, dextrin_hexose_kg: Worlds, unknowns: FermentUnknowns
) -> Worlds:
    """Share of what it would use that is used before the alcohol stops it; by secant on the outcome."""
    share = np.ones_like(able_kg)
    already_pct_vol = wash.strength_pct_vol
    bearable_pct_vol = unknowns.tolerance_pct_vol - already_pct_vol
    for _ in range(_MOST_PASSES):
        out, _, _ = _after(wash, share * able_kg, dextrin_hexose_kg, unknowns)
        made_pct_vol = np.maximum(out.strength_pct_vol - already_pct_vol, 1e-9)
        better = np.clip(share * bearable_pct_vol / made_pct_vol, 0.0, 1.0)
        goes_on = np.abs(better - share) >= _CLOSE_ENOUGH
        # A world stops when it is close enough itself: its answer does not hang on the others.
        share = np.where(goes_on, better, share)
        if not np.any(goes_on):
            break
    return share


@dataclass(frozen=True)
class Extent:
    """How far a ferment has gone: every mass follows from it.

    `used_kg` is the hexose that yeast has used, `soured_kg` what bacteria have made acid of,
    `from_dextrin_kg` the hexose that enzymes have split from dextrin; `inverted` the share of the sucrose
    that has taken up its water.
    """

    used_kg: Worlds
    from_dextrin_kg: Worlds
    inverted: Worlds | float = 1.0
    soured_kg: Worlds | float = 0.0


def part_way(
    wash: Stream, extent: Extent, yield_of_theory: Worlds | float, carried_off_share: Worlds | float
) -> tuple[Stream, tuple[Loss, ...]]:
    """The wash with its sugar still in it, and what has left it: carbon dioxide, by-products, gas, acid."""
    used_kg, split_kg = extent.used_kg, extent.from_dextrin_kg
    inverted_kg = wash.sucrose_kg * extent.inverted
    whole_kg = HEXOSE_KG_PER_KG_SUCROSE * inverted_kg
    ethanol_kg = ETHANOL_KG_PER_KG_HEXOSE * yield_of_theory * used_kg
    co2_kg = np.asarray((1.0 - ETHANOL_KG_PER_KG_HEXOSE) * yield_of_theory * used_kg)
    by_kg = (1.0 - yield_of_theory) * used_kg
    carried_kg = np.asarray(carried_off_share * ethanol_kg)
    soured_kg = extent.soured_kg + np.zeros_like(used_kg)
    out = wash.with_masses(
        water_kg=wash.water_kg - (whole_kg - inverted_kg) - split_kg * (1.0 - 1.0 / HEXOSE_KG_PER_KG_GLUCAN),
        ethanol_kg=wash.ethanol_kg + ethanol_kg - carried_kg,
        hexose_kg=np.asarray(wash.hexose_kg + whole_kg + split_kg - used_kg - soured_kg),
        sucrose_kg=wash.sucrose_kg - inverted_kg,
        dextrin_kg=np.asarray(wash.dextrin_kg - split_kg / HEXOSE_KG_PER_KG_GLUCAN),
        solubles_kg=wash.solubles_kg + (1.0 - YEAST_SHARE_OF_BYPRODUCTS) * by_kg + soured_kg,
        insolubles_kg=wash.insolubles_kg + YEAST_SHARE_OF_BYPRODUCTS * by_kg,
    )
    none_kg = np.zeros_like(co2_kg)
    losses = (
        Loss("carbon dioxide", co2_kg, none_kg),
        Loss("yeast, glycerol and acids", none_kg, np.asarray(ETHANOL_KG_PER_KG_HEXOSE * by_kg)),
        Loss("carried off with the gas", carried_kg, carried_kg),
    )
    if not np.any(soured_kg):
        return out, losses
    return out, (*losses, Loss("sugar soured by bacteria", none_kg, ETHANOL_KG_PER_KG_HEXOSE * soured_kg))


def written_off(wash: Stream) -> tuple[Stream, Loss]:
    """A finished wash: the sugar and dextrin that the yeast has left are from now on dissolved solids."""
    left_kg = wash.hexose_kg + wash.sucrose_kg + wash.dextrin_kg
    hexose_kg = wash.fermentable_kg + HEXOSE_KG_PER_KG_GLUCAN * wash.dextrin_kg
    none_kg = np.zeros_like(left_kg)
    out = wash.with_masses(
        hexose_kg=none_kg, sucrose_kg=none_kg, dextrin_kg=none_kg, solubles_kg=wash.solubles_kg + left_kg
    )
    return out, Loss("sugar left by the yeast", none_kg, ETHANOL_KG_PER_KG_HEXOSE * hexose_kg)


def _after(
    wash: Stream, used_kg: Worlds, dextrin_hexose_kg: Worlds, unknowns: FermentUnknowns
) -> tuple[Stream, tuple[Loss, ...], Worlds]:
    extent = Extent(used_kg, dextrin_hexose_kg)
    part, losses = part_way(wash, extent, unknowns.yield_of_theory, unknowns.carried_off_share)
    out, left = written_off(part)
    return out, (losses[0], left, *losses[1:]), losses[0].mass_kg


def co2_m3(co2_kg: Worlds) -> Worlds:
    """Volume of the gas at 20 °C [m³]."""
    return np.asarray(co2_kg * CO2_L_PER_KG_20C / 1000.0)
