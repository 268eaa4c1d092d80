"""Conditions that no run of a charge can have, refused with what is allowed and what to do.

Wide on purpose: only what must be a slip of the pen, or what the model cannot follow, is refused.
"""

from __future__ import annotations

import numpy as np

from caskward.errors import MissingValue, NotForThisRun
from caskward.properties.heat import boiling_point_water_c
from caskward.services.still_gear import Gear
from caskward.services.still_mend import amount
from caskward.services.words import figure
from caskward.stages.still import Stop
from caskward.stages.stream import Stream
from caskward.stages.vapour import ETHANOL_KG_PER_MOL, WATER_KG_PER_MOL, equilibrium_curve
from caskward.units import show
from caskward.units.types import UnitSystem

MOST_KW_PER_L = 2.0
"""Heat for each litre of charge over which no pot still is driven; *common practice, no source*."""
HARD_KW_PER_L = 0.5
"""Heat for each litre of charge from which a boil throws liquid over; *common practice, no source*."""
LOWEST_M, HIGHEST_M = -400.0, 5500.0
"""Heights at which people live and work; *from memory*."""
MOST_HELD_SHARE = 0.5
MOST_REFLUX = 100.0
COLDEST_C = -20.0
_FREEZING_K_KG_PER_MOL = 1.86
"""How far a mole of alcohol in a kilogram of water lowers its freezing point; *from memory*. Stronger liquids
freeze a little colder than it says, so that nothing frozen is let through."""
WARMEST_WATER_C = 45.0
_WALL_K = 65.0
"""How much hotter than its room a boiling pot is."""
_LEAST_W_M2_K = {"pot-insulated": 1.0}
_LIKELY_W_M2_K = {"pot-insulated": 1.5}
_BARE_LEAST_W_M2_K, _BARE_LIKELY_W_M2_K = 6.0, 9.0
"""Bare metal in a still room loses 6 to 12 W/m2/K, insulated 1 to 2; *common practice, no source*."""


def wall_loss_kw(gear: Gear, volume_l: float, *, least: bool) -> float:
    """Heat that the wall of a pot as small as its charge loses at the boil [kW]: the least, or the likely.

    A closed cylinder as high as it is wide: area 1.5 π (4 V / π)^(2/3).
    """
    of, bare = (_LEAST_W_M2_K, _BARE_LEAST_W_M2_K) if least else (_LIKELY_W_M2_K, _BARE_LIKELY_W_M2_K)
    area_m2 = 1.5 * np.pi * (4.0 * volume_l / 1000.0 / np.pi) ** (2.0 / 3.0)
    return float(area_m2 * of.get(gear.known_kind.key, bare) * _WALL_K / 1000.0)


def sensible_gear(gear: Gear, volume_l: float, system: UnitSystem) -> None:
    """Refuse heat, height and dead volume that no run of so many litres can have.

    Raises:
        MissingValue: no heat at all. NotForThisRun: the rest.
    """
    _sensible_power(gear, volume_l, system)
    if not LOWEST_M <= gear.altitude_m <= HIGHEST_M:
        raise NotForThisRun(
            "The altitude",
            show.length(gear.altitude_m, system),
            _between(show.length(LOWEST_M, system), show.length(HIGHEST_M, system)),
            "Check whether it is in metres or feet: 1000 ft are 305 m.",
        )
    if gear.reflux_ratio > MOST_REFLUX:
        raise NotForThisRun(
            "The reflux ratio",
            f"{gear.reflux_ratio:g}",
            f"at most {MOST_REFLUX:g}",
            "At more next to nothing would run: with everything sent back there is no run to see.",
        )
    if gear.hold_up_l > MOST_HELD_SHARE * volume_l:
        raise NotForThisRun(
            "The hold-up",
            figure(gear.hold_up_l, "L", system),
            f"at most half the charge, {figure(MOST_HELD_SHARE * volume_l, 'L', system)}",
            "Give what stands in condenser, pipe and parrot while it runs, not what the pot holds.",
        )


def sensible_heat_stop(stop: Stop, gear: Gear, what: str, system: UnitSystem) -> None:
    """Refuse a stop at a temperature that nothing in this pot can reach.

    Raises:
        NotForThisRun: at or over the boil of water where the still stands.
    """
    water_c = float(boiling_point_water_c(gear.still.kpa))
    if stop.by in ("pot_c", "vapour_c") and float(np.max(stop.value)) >= water_c:
        raise NotForThisRun(
            what,
            show.temperature(float(np.max(stop.value)), system),
            f"under {show.temperature(water_c, system)}, where water boils at this height",
            "The last of the alcohol comes within a degree of it: stop a little sooner, or at a strength.",
        )


def sensible_start(charge: Stream, start_c: float, gear: Gear, system: UnitSystem) -> None:
    """Refuse a charge that would be frozen or boil before it is lit.

    Raises:
        NotForThisRun: colder than any charge, or at its boil.
    """
    ratio = charge.ethanol_kg / ETHANOL_KG_PER_MOL / (charge.water_kg / WATER_KG_PER_MOL)
    boils_c = float(equilibrium_curve(gear.still.kpa).boiling_c(np.log(ratio)))
    coldest_c = max(COLDEST_C, -_FREEZING_K_KG_PER_MOL * float(ratio) / WATER_KG_PER_MOL)
    if not coldest_c <= start_c < boils_c:
        coldest, boils = show.temperature(coldest_c, system), show.temperature(boils_c, system)
        raise NotForThisRun(
            "The charge's temperature before it is lit",
            show.temperature(start_c, system),
            f"over {coldest}, where it may freeze, and under {boils}, its boil",
            f"Most are charged at {show.temperature(20.0, system)} or so.",
        )


def sensible_water(water_c: float, system: UnitSystem) -> None:
    """Refuse cooling water that is ice, or that no longer cools.

    Raises:
        NotForThisRun: under 0 or over 45 °C.
    """
    if not 0.0 <= water_c <= WARMEST_WATER_C:
        raise NotForThisRun(
            "The cooling water",
            show.temperature(water_c, system),
            _between(show.temperature(0.0, system), show.temperature(WARMEST_WATER_C, system)),
            "Warmer water lets vapour through the condenser.",
        )


def sensible_stop(stop: Stop, volume_l: float, what: str, system: UnitSystem) -> None:
    """Refuse a stop that no charge of so many litres can reach.

    Raises:
        NotForThisRun: no volume, no time, or more than was charged.
    """
    value = float(np.max(stop.value))
    if stop.by in ("volume_l", "own_volume_l") and not 0.0 < value < volume_l:
        raise NotForThisRun(
            what,
            figure(value, "L", system),
            f"over 0 and under the {amount(volume_l, system)} that are charged",
            "A pot of low wines gives about half of its charge; of a wash, about a third.",
        )
    if stop.by == "hours" and not 0.0 < value <= 1000.0:
        raise NotForThisRun(
            what, show.duration(value), "over 0 and under 1000 h", "Hours count from the first drop on."
        )
    if stop.by == "alcohol_share" and not 0.0 < value < 1.0:
        raise NotForThisRun(
            what,
            f"{show.share(value)} of the alcohol",
            "over 0 and under 100 %",
            "The last of the alcohol never comes over; 98 % takes long already.",
        )


def _sensible_power(gear: Gear, volume_l: float, system: UnitSystem) -> None:
    if gear.power_kw <= 0.0:
        raise MissingValue("The still", "the heat of its burner or element", '--power "6 kW"')
    least_kw, most_kw = wall_loss_kw(gear, volume_l, least=True), MOST_KW_PER_L * volume_l
    allowed = _between(show.power(least_kw, system), show.power(most_kw, system))
    allowed += f" for a charge of {amount(volume_l, system)}"
    said = show.power(gear.power_kw, system)
    if gear.power_kw > most_kw:
        slip = (
            f"If it is {gear.power_kw:g} W, write {gear.power_kw / 1000:g} kW. "
            if gear.power_kw > 50.0
            else ""
        )
        raise NotForThisRun(
            "The still's power", said, allowed, f"{slip}More would throw the liquid over the head."
        )
    if gear.power_kw < least_kw:
        raise NotForThisRun(
            "The still's power",
            said,
            allowed,
            "The pot's own walls lose as much as that, so it would never boil: give the heat of the burner "
            "or element at full power, or insulate.",
        )


def _between(low: str, high: str) -> str:
    return f"between {low} and {high}"
