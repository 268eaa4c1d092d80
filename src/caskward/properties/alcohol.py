"""Ethanol and water: density, strength, temperature, dilution.

Everything derives from one formula, the general formula of OIML R 22 (1975), equal to the annex of
Directive 76/766/EEC: density from mass fraction of ethanol and temperature, -20 to 40 °C. Masses and
densities are true ones (in vacuum); `density_air_to_vacuum` and its inverse convert what was weighed
in air. Strength is %vol at 20 °C on a 0-100 scale unless a name says otherwise.
"""

from __future__ import annotations

from typing import Final, NamedTuple, NoReturn

import numpy as np

from caskward.errors import OutOfRange
from caskward.properties import _oiml
from caskward.properties._arrays import Result, Values, all_scalars, as_arrays, check_range
from caskward.properties.air import (
    AIR_DENSITY_KG_M3,
    WEIGHT_DENSITY_KG_M3,
    density_air_to_vacuum,
    density_vacuum_to_air,
)

__all__ = [
    "AIR_DENSITY_KG_M3",
    "ETHANOL_DENSITY_20C",
    "GLASS_EXPANSION_PER_K",
    "TEMP_60F_C",
    "TEMP_MAX_C",
    "TEMP_MIN_C",
    "WATER_DENSITY_20C",
    "WEIGHT_DENSITY_KG_M3",
    "Reduction",
    "density",
    "density_air_to_vacuum",
    "density_vacuum_to_air",
    "ethanol_kg",
    "indicated_strength",
    "litres_pure_alcohol",
    "mass_fraction",
    "mass_fraction_from_density",
    "pct_vol",
    "pct_vol_20_from_proof",
    "proof_60f",
    "reduce",
    "true_strength",
    "volume_at_20",
    "volume_l",
]

TEMP_MIN_C: Final = -20.0
TEMP_MAX_C: Final = 40.0
TEMP_60F_C: Final = (60.0 - 32.0) / 1.8
GLASS_EXPANSION_PER_K: Final = 25e-6
"""Cubic expansion of an instrument's glass, as OIML R 22 takes it [1/K]."""
WATER_DENSITY_20C: Final[float] = _oiml.density(0.0, 20.0)
"""Density of pure water at 20 °C by the formula [kg/m³]."""
ETHANOL_DENSITY_20C: Final[float] = _oiml.density(1.0, 20.0)
"""Density of pure ethanol at 20 °C by the formula [kg/m³]; rounded, 789.24."""

_ROWS_60F: Final[list[float]] = _oiml.rows_at(TEMP_60F_C)
_TEMP_HINT: Final = "Bring the sample nearer to 20 °C and measure again."
_FRACTION_HINT: Final = "A mass fraction is kg of ethanol per kg of mixture."
_STRENGTH_HINT: Final = "Give the strength in %vol at 20 °C, not as proof."
_DENSITY_HINT: Final = "Give the density in kg/m³: 0.914 g/mL is 914."
_HEAVY_HINT: Final = "A liquid heavier than water holds sugar or salt; distil a sample and measure that."
_LIGHT_HINT: Final = "Nothing of water and ethanol is so light; check the reading and the temperature."
_ROUNDING: Final = 1e-10
"""How far past 0 or 1 a mass fraction may come out and still be rounding."""


class Reduction(NamedTuple):
    """What it takes to bring a spirit down to a lower strength."""

    water_kg: Result
    water_l: Result
    final_l: Result


def density(mass_fraction: Values, celsius: Values) -> Result:
    """Density of an ethanol-water mixture [kg/m³], in vacuum.

    Sum over k of A_k p^(k-1), over k of B_k (t-20)^k and over i, k of C_ik p^k (t-20)^i.

    mass_fraction: kg of ethanol per kg of mixture [-], 0 to 1.
    celsius: temperature [°C], -20 to 40.
    Outside: raises `OutOfRange`. Below the freezing line of the mixture the value is that of the
    undercooled liquid, as the formula continues it.
    Source: oiml-r22-1975, general formula.
    """
    _check_fraction(mass_fraction)
    _check_temp(celsius)
    return _oiml.density(mass_fraction, celsius)


def mass_fraction_from_density(density: Values, celsius: Values) -> Result:
    """Mass fraction of ethanol from density and temperature [-].

    Solves the general formula by Newton's method to 1e-11. Density falls strictly with the mass
    fraction at every temperature from -20 to 40 °C, also below 4 °C where water itself is densest, so
    the answer is the only one.

    density: of the mixture, in vacuum [kg/m³], between ethanol's and water's at that temperature.
    celsius: temperature [°C], -20 to 40.
    Outside: raises `OutOfRange`, naming the lightest and the heaviest mixture at that temperature.
    Source: oiml-r22-1975, general formula, inverted.
    """
    _check_temp(celsius)
    check_range("density", density, "kg/m³", 700.0, 1100.0, _DENSITY_HINT)
    fraction = _oiml.mass_fraction_from_density(density, celsius)
    if isinstance(fraction, float):
        if not -_ROUNDING <= fraction <= 1.0 + _ROUNDING:
            _refuse_density(density, celsius, fraction)
        return min(max(fraction, 0.0), 1.0)
    if fraction.size and not (fraction.min() >= -_ROUNDING and fraction.max() <= 1.0 + _ROUNDING):
        _refuse_density(density, celsius, fraction)
    return np.clip(fraction, 0.0, 1.0, out=fraction)


def pct_vol(mass_fraction: Values) -> Result:
    """Strength by volume at 20 °C [%vol] from the mass fraction.

    q = 100 p density(p, 20) / density(1, 20).

    mass_fraction: [-], 0 to 1. Outside: raises `OutOfRange`.
    Source: oiml-r22-1975, definition of strength by volume.
    """
    _check_fraction(mass_fraction)
    fraction = mass_fraction if all_scalars(mass_fraction) else as_arrays(mass_fraction)[0]
    return _oiml.strength(fraction, _oiml.DENSITY_ROWS_20C)


def mass_fraction(pct_vol: Values) -> Result:
    """Mass fraction of ethanol [-] from the strength by volume at 20 °C.

    Solves q = 100 p density(p, 20) / density(1, 20) by Newton's method to 1e-12.

    pct_vol: [%vol at 20 °C], 0 to 100. Outside: raises `OutOfRange`.
    Source: oiml-r22-1975, inverted.
    """
    check_range("strength", pct_vol, "%vol", 0.0, 100.0, _STRENGTH_HINT)
    return _oiml.mass_fraction_from_strength(pct_vol, _oiml.DENSITY_ROWS_20C)


def true_strength(
    indicated_pct_vol: Values, celsius: Values, calibrated_at: float = 20.0, glass: bool = True
) -> Result:
    """True strength [%vol at 20 °C] behind the reading of an alcoholometer at any temperature.

    The mark q of the scale stands for the density d of a mixture of strength q at the calibration
    temperature T0; at t the liquid's density is d (1 - 25e-6 (t - T0)), because a glass instrument
    grows with warmth. The strength follows from that density at t.

    indicated_pct_vol: the scale's mark [%vol at the scale's own temperature], 0 to 100.
    celsius: temperature of the sample [°C], -20 to 40.
    calibrated_at: temperature the scale is made for [°C], usually 20, 15 or 15.56 (60 °F).
    glass: False for an instrument that does not expand (a corrected electronic one).
    Outside: raises `OutOfRange`, also where no mixture at `celsius` floats the scale so deep.
    Sugar and cask extract hide strength: this is for clean spirit.
    Source: oiml-r22-1975 (glass expansion as in its tables of apparent strength).
    """
    check_range("indicated strength", indicated_pct_vol, "%vol", 0.0, 100.0, _STRENGTH_HINT)
    _check_temp(celsius)
    _check_temp(calibrated_at)
    rows = _oiml.rows_at(float(calibrated_at))
    at_mark = _oiml.value(rows, _oiml.mass_fraction_from_strength(indicated_pct_vol, rows))
    growth_k = GLASS_EXPANSION_PER_K if glass else 0.0
    liquid = at_mark * (1.0 - growth_k * (celsius - calibrated_at))
    return pct_vol(mass_fraction_from_density(liquid, celsius))


def indicated_strength(
    true_pct_vol: Values, celsius: Values, calibrated_at: float = 20.0, glass: bool = True
) -> Result:
    """What an alcoholometer shows [%vol on its scale] in a spirit at any temperature.

    The inverse of `true_strength`; arguments, scale and source as there, true_pct_vol in %vol at 20 °C.
    Outside: raises `OutOfRange`, also where the liquid floats the scale past its 0 or its 100.
    """
    fraction = mass_fraction(true_pct_vol)
    _check_temp(calibrated_at)
    growth_k = GLASS_EXPANSION_PER_K if glass else 0.0
    at_mark = density(fraction, celsius) / (1.0 - growth_k * (celsius - calibrated_at))
    marked = mass_fraction_from_density(at_mark, float(calibrated_at))
    return _oiml.strength(marked, _oiml.rows_at(float(calibrated_at)))


def volume_at_20(volume: Values, pct_vol: Values, celsius: Values) -> Result:
    """Volume a spirit would fill at 20 °C, in the unit of `volume`.

    V20 = V density(p, t) / density(p, 20).

    volume: as measured at `celsius`, any unit, 0 or more.
    pct_vol: true strength [%vol at 20 °C], 0 to 100. celsius: [°C], -20 to 40.
    Outside: raises `OutOfRange`. The vessel's own growth with warmth is not included.
    Source: oiml-r22-1975.
    """
    _check_amount("volume", volume, "")
    fraction = mass_fraction(pct_vol)
    return volume * density(fraction, celsius) / density(fraction, 20.0)


def reduce(volume_l: Values, from_pct_vol: Values, to_pct_vol: Values, celsius: Values = 20.0) -> Reduction:
    """Water that brings a spirit down to a lower strength, and the volume that results.

    The ethanol's mass stays, so the mass grows by p1/p2; volumes follow from the densities, which
    includes the contraction. Add the water by weight where you can: volumes do not add up.

    volume_l: spirit as measured at `celsius` [L]. from_pct_vol, to_pct_vol: true strengths
    [%vol at 20 °C], with 0.1 <= to <= from <= 100. celsius: of spirit, water and result [°C], -20 to 40.
    Returns water_kg (true mass; a scale in air shows 0.1 % less), water_l and final_l at `celsius`.
    Outside: raises `OutOfRange`.
    Source: oiml-r22-1975.
    """
    _check_amount("volume", volume_l, "L")
    check_range("target strength", to_pct_vol, "%vol", 0.1, 100.0)
    if np.any(np.asarray(to_pct_vol) > np.asarray(from_pct_vol)):
        _refuse_raising(from_pct_vol, to_pct_vol)
    first, last = mass_fraction(from_pct_vol), mass_fraction(to_pct_vol)
    spirit_kg = volume_l * density(first, celsius) / 1000.0
    final_kg = spirit_kg * first / last
    water_kg = final_kg - spirit_kg
    water_l = water_kg * 1000.0 / density(0.0, celsius)
    return Reduction(water_kg, water_l, final_kg * 1000.0 / density(last, celsius))


def _refuse_raising(from_pct_vol: Values, to_pct_vol: Values) -> None:
    above = np.asarray(to_pct_vol) - np.asarray(from_pct_vol)
    start, goal = np.broadcast_arrays(*as_arrays(from_pct_vol, to_pct_vol))
    worst = np.unravel_index(int(np.argmax(above)), above.shape)
    hint = "Water only lowers the strength; blend with something stronger instead."
    raise OutOfRange("target strength", float(goal[worst]), "%vol", 0.1, float(start[worst]), hint)


def proof_60f(pct_vol_20: Values) -> Result:
    """US proof (twice the %vol at 60 °F) of a spirit whose strength at 20 °C is known.

    proof = 200 p density(p, 60 °F) / density(1, 60 °F).

    pct_vol_20: [%vol at 20 °C], 0 to 100. Outside: raises `OutOfRange`.
    Source: oiml-r22-1975; definition of proof 27-cfr-30.
    """
    return 2.0 * _oiml.strength(mass_fraction(pct_vol_20), _ROWS_60F)


def pct_vol_20_from_proof(proof: Values) -> Result:
    """Strength at 20 °C [%vol] from US proof at 60 °F: the inverse of `proof_60f`.

    proof: [proof], 0 to 200. Outside: raises `OutOfRange`. Source: as `proof_60f`.
    """
    check_range("proof", proof, "proof", 0.0, 200.0)
    half = 0.5 * (proof if all_scalars(proof) else as_arrays(proof)[0])
    return pct_vol(_oiml.mass_fraction_from_strength(half, _ROWS_60F))


def litres_pure_alcohol(ethanol_kg: Values) -> Result:
    """Litres of pure alcohol at 20 °C [LPA] in this mass of ethanol [kg, 0 or more].

    LPA = 1000 m / ETHANOL_DENSITY_20C. Source: oiml-r22-1975.
    """
    _check_amount("ethanol", ethanol_kg, "kg")
    return ethanol_kg * (1000.0 / ETHANOL_DENSITY_20C)


def ethanol_kg(litres_pure_alcohol: Values) -> Result:
    """Mass of ethanol [kg] in these litres of pure alcohol at 20 °C: inverse of `litres_pure_alcohol`."""
    _check_amount("pure alcohol", litres_pure_alcohol, "L")
    return litres_pure_alcohol * (ETHANOL_DENSITY_20C / 1000.0)


def volume_l(water_kg: Values, ethanol_kg: Values, temp_c: Values = 20.0) -> Result:
    """Volume of a mixture of water and ethanol [L] at a temperature; nothing in it fills nothing.

    V = 1000 (w + e) / density(e / (w + e), t).

    water_kg, ethanol_kg: true masses [kg], 0 or more. temp_c: [°C], -20 to 40.
    Outside: raises `OutOfRange`. Source: oiml-r22-1975.
    """
    _check_amount("water", water_kg, "kg")
    _check_amount("ethanol", ethanol_kg, "kg")
    _check_temp(temp_c)
    return _volume_l(water_kg, ethanol_kg, temp_c)


def _volume_l(water_kg: Values, ethanol_kg: Values, temp_c: Values) -> Result:
    total_kg = water_kg + ethanol_kg
    if all_scalars(total_kg):
        share: Values = ethanol_kg / total_kg if total_kg > 0.0 else 0.0
    else:
        share = ethanol_kg / np.where(total_kg > 0.0, total_kg, 1.0)
    return 1000.0 * total_kg / _oiml.density(share, temp_c)


def _check_fraction(mass_fraction: Values) -> None:
    check_range("mass fraction of ethanol", mass_fraction, "", 0.0, 1.0, _FRACTION_HINT)


def _check_temp(celsius: Values) -> None:
    check_range("temperature", celsius, "°C", TEMP_MIN_C, TEMP_MAX_C, _TEMP_HINT)


def _check_amount(name: str, amount: Values, unit: str) -> None:
    check_range(name, amount, unit, 0.0, np.inf)


def _refuse_density(density: Values, celsius: Values, fraction: Values) -> NoReturn:
    """Name the density that lies furthest from what a mixture at its temperature can have."""
    strays = np.abs(np.asarray(fraction) - 0.5)
    worst = np.unravel_index(int(np.argmax(strays)), strays.shape)
    given, temp_c = np.broadcast_arrays(*as_arrays(density, celsius))
    light, heavy = _oiml.end_densities(float(temp_c[worst]))
    hint = _HEAVY_HINT if given[worst] > heavy else _LIGHT_HINT
    raise OutOfRange(f"density at {temp_c[worst]:g} °C", float(given[worst]), "kg/m³", light, heavy, hint)
