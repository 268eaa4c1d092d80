"""How much sugar water dissolves, and the cold that makes.

Sucrose and dextrose are taken each in pure water; together in one syrup both dissolve a little better than
side by side, so the water asked for is on the safe side.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from caskward.properties._arrays import Result, Values, all_scalars, check_range

SUCROSE_COLD_KJ_KG: Final = 18.0
"""Heat that a kilogram of sucrose crystals takes up as it dissolves; from memory, 16-18."""
DEXTROSE_COLD_KJ_KG: Final = 115.0
"""The same per kg of glucose in dextrose with its bound water (105 per kg as sold); from memory."""
_SUCROSE_PCT: Final = (64.184, 0.135058, 5.27350e-4)
# Two rows, 83.1 and 281.1 g in 100 g of water at 20 and 63 °C, on a straight line of their logarithms.
_DEXTROSE_AT_20C, _DEXTROSE_PER_K = 0.831, 0.028344


def sucrose_kg_per_kg(temp_c: Values) -> Result:
    """Sucrose that a kilogram of water dissolves [kg/kg].

    w / (100 - w), w = 64.184 + 0.135058 t + 5.2735e-4 t² percent of the solution.

    temp_c: [°C], 0 to 100. Outside: raises `OutOfRange`. Within 0.03 % of solution of its table.
    Source: sucrose-solubility.
    """
    check_range("temperature", temp_c, "°C", 0.0, 100.0)
    a, b, c = _SUCROSE_PCT
    pct = a + b * temp_c + c * temp_c * temp_c
    return pct / (100.0 - pct)


def dextrose_kg_per_kg(temp_c: Values) -> Result:
    """Dextrose that a kilogram of water dissolves [kg/kg]: 0.831 exp(0.02834 (t - 20)).

    temp_c: [°C], 0 to 100; past 63 °C the figure at 63 °C stands. Outside: raises `OutOfRange`.
    Two rows stand behind it; most later figures are higher. Source: dextrose-solubility.
    """
    check_range("temperature", temp_c, "°C", 0.0, 100.0)
    mild_c = np.minimum(temp_c, 63.0)
    result = _DEXTROSE_AT_20C * np.exp(_DEXTROSE_PER_K * (mild_c - 20.0))
    return float(result) if all_scalars(temp_c) else result


def water_for_sugar_kg(sucrose_kg: Values, hexose_kg: Values, temp_c: Values) -> Result:
    """Water that so much sugar needs to dissolve at a temperature [kg]; all hexose counts as dextrose.

    sucrose_kg, hexose_kg: [kg], 0 or more. temp_c: [°C], 0 to 100. Outside: raises `OutOfRange`.
    Source: sucrose-solubility, dextrose-solubility.
    """
    check_range("sucrose", sucrose_kg, "kg", 0.0, np.inf)
    check_range("hexose", hexose_kg, "kg", 0.0, np.inf)
    return sucrose_kg / sucrose_kg_per_kg(temp_c) + hexose_kg / dextrose_kg_per_kg(temp_c)
