"""The liquid a distiller really has: water, ethanol, dissolved solids, and the grain in it.

Amounts are kg, so everything adds up; volume, gravity, °Brix and strength follow from them. Solubles count
as sucrose, for whose solutions the scales are made; other sugars and grain extract differ by 0.001 to 0.002
in gravity at 20 °Brix (from memory). Nothing at all counts as water: gravity 1, strength 0.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from caskward.errors import OutOfRange
from caskward.properties import alcohol, sugar, water
from caskward.properties._arrays import Result, Values, all_scalars, as_arrays, check_range

INSOLUBLES_L_KG: Final = 0.67
"""Specific volume of grain and husk in the mash, without the water they hold [L/kg], ± 0.03."""
TEMP_MAX_C: Final = 100.0
_WATER_20C: Final[float] = water.density(20.0)
_WARM_C: Final = 40.0
_MAX_SUGAR_FRAC: Final = sugar.BRIX_MAX / 100.0


def liquid_volume_l(
    water_kg: Values, ethanol_kg: Values, solubles_kg: Values, temp_c: Values = 20.0
) -> Result:
    """Volume of a wash's liquid [L].

    V = V_spirit(w, e) + V_syrup(w, s) - V_water(w): each solute takes the room it takes alone in that water.
    Above 40 °C the volume at 40 °C grows as water's does.

    water_kg, ethanol_kg, solubles_kg: [kg], 0 or more; solubles at most 85 % of water and solubles.
    temp_c: [°C], 0 to 100. Outside: raises `OutOfRange`.
    Exact without solubles, to 0.0003 % without ethanol; a hot mash is within 0.05 % of the syrup formula.
    With both it leaves out how they act on each other, as Tabarié's relation does: the two agree within
    0.0003 in gravity up to 15 %vol and 25 °Brix. No measurement of all three stands behind either.
    Source: oiml-r22-1975, crc-sucrose, icumsa-sps4, kell-1975.
    """
    _check(water_kg, ethanol_kg, solubles_kg, temp_c)
    if all_scalars(water_kg, ethanol_kg, solubles_kg, temp_c):
        return _liquid_volume_l(float(water_kg), float(ethanol_kg), float(solubles_kg), float(temp_c))
    return _liquid_volume_l(*as_arrays(water_kg, ethanol_kg, solubles_kg, temp_c))


def _liquid_volume_l(water_kg: Values, ethanol_kg: Values, solubles_kg: Values, temp_c: Values) -> Result:
    """`liquid_volume_l` without its checks."""
    mild_c = min(temp_c, _WARM_C) if isinstance(temp_c, float) else np.minimum(temp_c, _WARM_C)
    spirit_l = alcohol._volume_l(water_kg, ethanol_kg, mild_c)
    base = water._density(mild_c)
    brix = 100.0 * _share(solubles_kg, water_kg)
    syrup_l = 1000.0 * (water_kg + solubles_kg) / sugar._density(brix, mild_c)
    mild_l = spirit_l + syrup_l - 1000.0 * water_kg / base
    return mild_l * (base / water._density(temp_c))


def volume_l(
    water_kg: Values, ethanol_kg: Values, solubles_kg: Values, insolubles_kg: Values, temp_c: Values = 20.0
) -> Result:
    """Volume of a mash or wash with the grain in it [L].

    V = liquid_volume_l + 0.67 L/kg times the insolubles.

    All masses [kg], 0 or more. temp_c: [°C], 0 to 100. Outside: raises `OutOfRange`.
    Foam and floating husks stand above it. Source: as `liquid_volume_l`; insolubles common-practice.
    """
    check_range("insolubles", insolubles_kg, "kg", 0.0, np.inf)
    return liquid_volume_l(water_kg, ethanol_kg, solubles_kg, temp_c) + INSOLUBLES_L_KG * insolubles_kg


def density(water_kg: Values, ethanol_kg: Values, solubles_kg: Values, temp_c: Values = 20.0) -> Result:
    """Density of a wash's liquid [kg/m³]; nothing at all counts as water.

    Arguments, refusals, error and source as `liquid_volume_l`.
    """
    volume = liquid_volume_l(water_kg, ethanol_kg, solubles_kg, temp_c)
    mass_kg = water_kg + ethanol_kg + solubles_kg
    if all_scalars(volume):
        return 1000.0 * mass_kg / volume if volume > 0.0 else water._density(float(temp_c))
    some = volume > 0.0
    return np.where(some, 1000.0 * mass_kg / np.where(some, volume, 1.0), water._density(temp_c))


def specific_gravity(water_kg: Values, ethanol_kg: Values, solubles_kg: Values) -> Result:
    """Specific gravity of a wash's liquid, 20 °C/20 °C [-].

    SG = density(w, e, s, 20) / density of water at 20. Arguments, refusals, error and source as
    `liquid_volume_l`.
    """
    return density(water_kg, ethanol_kg, solubles_kg, 20.0) / _WATER_20C


def brix(water_kg: Values, ethanol_kg: Values, solubles_kg: Values) -> Result:
    """Apparent °Brix of a wash's liquid: what a sugar hydrometer shows in it at 20 °C.

    The °Brix of the sucrose solution with the wash's gravity; alcohol pulls it below the true figure and
    below zero in a dry wash. A liquid lighter than -10 °Brix (over about 30 %vol) raises `OutOfRange`.
    Arguments, error and source as `liquid_volume_l`.
    """
    return sugar.brix_from_density(density(water_kg, ethanol_kg, solubles_kg, 20.0), 20.0)


def strength_pct_vol(water_kg: Values, ethanol_kg: Values, solubles_kg: Values) -> Result:
    """Strength of a wash's liquid [%vol at 20 °C]; nothing at all has none.

    q = 100 (e / 0.78924 kg/L) / V(20 °C). Arguments, refusals, error and source as `liquid_volume_l`.
    """
    volume = liquid_volume_l(water_kg, ethanol_kg, solubles_kg, 20.0)
    ethanol_l = ethanol_kg * (1000.0 / alcohol.ETHANOL_DENSITY_20C)
    if all_scalars(volume):
        return 100.0 * ethanol_l / volume if volume > 0.0 else 0.0
    return 100.0 * ethanol_l / np.where(volume > 0.0, volume, 1.0)


def _share(part_kg: Values, other_kg: Values) -> Result:
    """part / (part + other), 0 where there is nothing."""
    total_kg = part_kg + other_kg
    if all_scalars(total_kg):
        return part_kg / total_kg if total_kg > 0.0 else 0.0
    return part_kg / np.where(total_kg > 0.0, total_kg, 1.0)


def _check(water_kg: Values, ethanol_kg: Values, solubles_kg: Values, temp_c: Values) -> None:
    check_range("water", water_kg, "kg", 0.0, np.inf)
    check_range("ethanol", ethanol_kg, "kg", 0.0, np.inf)
    check_range("solubles", solubles_kg, "kg", 0.0, np.inf)
    check_range("temperature", temp_c, "°C", 0.0, TEMP_MAX_C)
    share = (
        _share(solubles_kg, water_kg)
        if all_scalars(water_kg, solubles_kg)
        else np.max(_share(*as_arrays(solubles_kg, water_kg)), initial=0.0)
    )
    if share > _MAX_SUGAR_FRAC + 1e-12:
        hint = "That is syrup, not wash: add water."
        raise OutOfRange(
            "solubles in water and solubles", 100.0 * float(share), "%", 0.0, sugar.BRIX_MAX, hint
        )
