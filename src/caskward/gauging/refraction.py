"""Refractive index of a wash: water, ethanol and sugar together.

The two pairs are measured (ethanol in water, sucrose in water); the three together follow by the
Lorentz-Lorenz rule, each solute bringing the refraction it brings alone in that water, as the volume of a
wash is put together. Written for 20 °C and 589 nm.
"""

from __future__ import annotations

from typing import Final

from caskward.errors import OutOfRange
from caskward.properties import alcohol, sugar, wash, water

# n of ethanol in water less n of water, in powers of the mass fraction; fitted to every second row to 40 %.
_ETHANOL_20C: Final = (0.05729793, 0.08038462, 0.12994239, -1.44110612, 1.76892008)
_MOST_ETHANOL: Final = 0.40
_WATER: Final = float(sugar.refractive_index(0.0))


def ethanol_refractive_index(ethanol_mass_frac: float) -> float:
    """Refractive index of ethanol in water at 20 °C, 589 nm [-].

    n = n_water + sum over k of c_k p^k.

    ethanol_mass_frac: kg per kg of ethanol and water [-], 0 to 0.40 (48 %vol). Outside: raises `OutOfRange`.
    Within 0.00006 of the table, which is printed to 0.0001.
    Source: crc-ethanol-refraction (fitted).
    """
    if not 0.0 <= ethanol_mass_frac <= _MOST_ETHANOL:
        hint = "Stronger spirit is gauged by its density."
        raise OutOfRange(
            "Ethanol in the wash", 100.0 * ethanol_mass_frac, "%mass", 0.0, 100.0 * _MOST_ETHANOL, hint
        )
    total = 0.0
    for coefficient in reversed(_ETHANOL_20C):
        total = (total + coefficient) * ethanol_mass_frac
    return _WATER + total


def wash_refractive_index(water_kg: float, ethanol_kg: float, solubles_kg: float) -> float:
    """Refractive index of a wash's liquid at 20 °C, 589 nm [-].

    With P(V, n) = V (n² - 1) / (n² + 2): P = P_spirit(w, e) + P_syrup(w, s) - P_water(w), and the volume
    likewise, as in wash.liquid_volume_l.

    water_kg, ethanol_kg, solubles_kg: [kg], 0 or more, water above 0; solubles count as sucrose.
    Outside: raises `OutOfRange`. Exact for the two pairs; for all three it agrees with Siebert's relation for
    beer within 0.3 %mass of alcohol (0.0004 in the index). No measurement of all three was at hand.
    Source: crc-ethanol-refraction, icumsa-refraction-1974; Lorentz-Lorenz from memory.
    """
    if not water_kg > 0.0:
        raise OutOfRange("Water in the wash", water_kg, "kg", 1e-9, 1e9)
    spirit_n = ethanol_refractive_index(ethanol_kg / (water_kg + ethanol_kg))
    brix = 100.0 * solubles_kg / (water_kg + solubles_kg)
    syrup_n = float(sugar.refractive_index(brix))
    spirit_l = float(alcohol.volume_l(water_kg, ethanol_kg))
    syrup_l = 1000.0 * (water_kg + solubles_kg) / float(sugar.density(brix))
    water_l = 1000.0 * water_kg / float(water.density(20.0))
    power = spirit_l * _lorentz(spirit_n) + syrup_l * _lorentz(syrup_n) - water_l * _lorentz(_WATER)
    share = power / float(wash.liquid_volume_l(water_kg, ethanol_kg, solubles_kg))
    return float(((1.0 + 2.0 * share) / (1.0 - share)) ** 0.5)


def _lorentz(index: float) -> float:
    return (index * index - 1.0) / (index * index + 2.0)
