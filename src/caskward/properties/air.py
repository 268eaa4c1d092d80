"""Weighing in air: what was weighed against brass is a little heavier in truth.

A litre displaces 1.2 g of air, and so do its weights, in proportion to their bulk. Tables of strength come
in both kinds; mixing them up costs up to 1 %vol.
"""

from __future__ import annotations

from typing import Final

from caskward.properties._arrays import Result, Values

AIR_DENSITY_KG_M3: Final = 1.2
"""Conventional density of air in weighing (OIML R 111) [kg/m³]."""
WEIGHT_DENSITY_KG_M3: Final = 8000.0
"""Conventional density of weights (OIML R 111) [kg/m³]."""


def density_air_to_vacuum(
    density_in_air: Values,
    air_kg_m3: Values = AIR_DENSITY_KG_M3,
    weights_kg_m3: Values = WEIGHT_DENSITY_KG_M3,
) -> Result:
    """True density [kg/m³] from the conventional density 'in air' (mass by weights in air / volume).

    d = d_air (1 - a/w) + a. Mixing the two up costs up to 1 %vol.

    density_in_air: [kg/m³]. air_kg_m3, weights_kg_m3: densities of the air and of the weights [kg/m³].
    Source: common-practice (buoyancy; conventional densities of OIML R 111).
    """
    return density_in_air * (1.0 - air_kg_m3 / weights_kg_m3) + air_kg_m3


def density_vacuum_to_air(
    density: Values, air_kg_m3: Values = AIR_DENSITY_KG_M3, weights_kg_m3: Values = WEIGHT_DENSITY_KG_M3
) -> Result:
    """Conventional density 'in air' [kg/m³] from the true one: the inverse of `density_air_to_vacuum`."""
    return (density - air_kg_m3) / (1.0 - air_kg_m3 / weights_kg_m3)
