"""Rinsing spent solids: water stirred in, drained off, again, and at last pressed; what that wins and costs.

Each rinse is well mixed: what the solids hold takes the strength of the whole. That is the most a rinse can
do; in lumps and thick beds less comes out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from caskward.properties import alcohol, heat, vle, water
from caskward.stages.separate import MOST_HELD
from caskward.stages.stream import Stream, Worlds, mixed

_LIQUID = ("water_kg", "ethanol_kg", "hexose_kg", "sucrose_kg", "dextrin_kg", "solubles_kg")


@dataclass(frozen=True)
class RinseSettings:
    """How often and with how much water [L at 20 °C], how warm [°C], and whether a press comes last."""

    steps: int
    litres_each: float | Worlds
    water_c: float
    presses: bool


@dataclass(frozen=True)
class RinseUnknowns:
    """Liquid held by drained solids [kg per kg dry], and the share of it that a press gives back."""

    held_kg_per_kg: Worlds
    press_recovery: Worlds


@dataclass(frozen=True)
class Rinsed:
    """Rinsings by step, what is left in the solids, and what they win over doing without.

    `together` is the wash with rinsings and pressings.

    `pressed_without` is what the press alone would have given: the gain counts from there. `extra_kwh` is
    into the still, before its losses.
    """

    rinsings: tuple[Stream, ...]
    pressed: Stream
    left: Stream
    pressed_without: Stream
    together: Stream
    water_l: Worlds
    gained_lpa: Worlds
    gained_by_step_lpa: Worlds
    wash_pct_vol: Worlds
    wash_before_pct_vol: Worlds
    extra_kwh: Worlds

    @property
    def kwh_per_lpa(self) -> Worlds:
        """Heat for each litre of pure alcohol won [kWh/L]; inf where none is."""
        some = self.gained_lpa > 0.0
        return np.where(some, self.extra_kwh / np.where(some, self.gained_lpa, 1.0), np.inf)


def rinse(
    spent: Stream,
    wash: Stream,
    settings: RinseSettings,
    unknowns: RinseUnknowns,
    kwh_of: Callable[[Stream], Worlds] | None = None,
) -> Rinsed:
    """Rinse spent solids and send the rinsings to the still with the wash.

    Args:
        spent: drained solids with the liquid they hold. wash: what has run off already.
        kwh_of: heat that stripping a wash takes in the maker's own still; without it `strip_kwh`, which
            leaves out that a thinner wash gives weaker low wines.
    """
    kg_each = np.asarray(settings.litres_each) * water.density(20.0) / 1000.0
    fresh = Stream.of(temp_c=settings.water_c, water_kg=kg_each)
    pressed_without, _ = _run_off(spent, unknowns.press_recovery if settings.presses else 0.0)
    solids, drawn = spent, []
    for _ in range(settings.steps):
        solids, rinsing = _drain(mixed(solids, fresh), solids.liquid_kg, unknowns)
        drawn.append(rinsing)
    pressed, left = _run_off(solids, unknowns.press_recovery if settings.presses else 0.0)
    together, without = mixed(wash, *drawn, pressed), mixed(wash, pressed_without)
    stripped = strip_kwh if kwh_of is None else kwh_of
    by_step = [*(rinsing.lpa for rinsing in drawn), pressed.lpa]
    return Rinsed(
        rinsings=tuple(drawn),
        pressed=pressed,
        left=left,
        pressed_without=pressed_without,
        together=together,
        water_l=np.asarray(settings.steps * np.asarray(settings.litres_each)),
        gained_lpa=together.lpa - without.lpa,
        gained_by_step_lpa=np.cumsum(np.stack(np.broadcast_arrays(*by_step)), axis=0) - pressed_without.lpa,
        wash_pct_vol=together.strength_pct_vol,
        wash_before_pct_vol=without.strength_pct_vol,
        extra_kwh=np.asarray(stripped(together) - stripped(without)),
    )


def _run_off(solids: Stream, share: float | Worlds) -> tuple[Stream, Stream]:
    """A share of the liquid runs off; the rest stays with the solids."""
    none = np.zeros_like(solids.insolubles_kg)
    liquid = solids.with_masses(starch_kg=none, insolubles_kg=none)
    off = liquid.scaled(np.asarray(share, dtype=float))
    dry = solids.with_masses(**dict.fromkeys(_LIQUID, none))
    return off, mixed(dry, liquid.scaled(1.0 - np.asarray(share, dtype=float))).at(solids.temp_c)


def _drain(stirred: Stream, before_kg: Worlds, unknowns: RinseUnknowns) -> tuple[Stream, Stream]:
    """What runs off: never so much that solids keep less liquid than they had before the water [kg]."""
    most_kg = np.maximum(MOST_HELD * stirred.liquid_kg, before_kg)
    held_kg = np.minimum(unknowns.held_kg_per_kg * stirred.solids_kg, most_kg)
    off, solids = _run_off(stirred, 1.0 - held_kg / np.maximum(stirred.liquid_kg, 1e-12))
    return solids, off


def strip_kwh(wash: Stream, low_wines_pct_vol: float | Worlds = 25.0) -> Worlds:
    """Heat to strip a wash of all its alcohol into low wines of a strength, before the still's losses [kWh].

    Warming to the boil, and the latent heat of what comes over. low_wines_pct_vol: above 0 [%vol].
    """
    liquid_kg = wash.water_kg + wash.ethanol_kg
    share = wash.ethanol_kg / np.where(liquid_kg > 0.0, liquid_kg, 1.0)
    boils_c = vle.bubble_point(np.asarray(vle.mole_fraction(share))).celsius
    warming = heat.heating_kwh(wash.heat_capacity_kj_k, np.maximum(boils_c - wash.temp_c, 0.0))
    low_wines = np.asarray(alcohol.mass_fraction(low_wines_pct_vol))
    water_kg = wash.ethanol_kg * (1.0 - low_wines) / low_wines
    return np.asarray(warming + heat.boiling_kwh(wash.ethanol_kg, water_kg))


def hours_of_hands(solids_kg: float | Worlds, per_100_kg: float | Worlds, at_least: float | Worlds) -> Worlds:
    """Hours of hands to part a wash from so many wet solids [h]: in proportion, never under the least.

    Figures by way of straining stand in the catalogue; settling itself takes days, but no hands.
    """
    return np.maximum(np.asarray(solids_kg) * per_100_kg / 100.0, at_least)
