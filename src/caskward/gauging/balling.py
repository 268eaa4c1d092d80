"""Balling's relation, the wine rule, the UK's factors: from sugar gone to alcohol made, as published.

Extract is in °Plato (g in 100 g), alcohol in %mass (g in 100 g) unless a name says %vol.
"""

from __future__ import annotations

from bisect import bisect_right

from caskward.errors import OutOfRange
from caskward.properties import alcohol

EXTRACT_PER_ALCOHOL = 2.0665
"""Extract that makes 1 g of ethanol [g]: with it 0.9565 g of carbon dioxide and 0.11 g of yeast (Balling)."""
YEAST_AND_GAS = 1.0665
REAL_FROM_APPARENT = 0.8192
"""Real attenuation over apparent: RE = 0.1808 OE + 0.8192 AE."""
SUGAR_PER_PCT_VOL_G_L = 16.83
"""Grams of sugar in a litre of must that give 1 %vol, the wine rule (Oeno 21/2004)."""
_UK_DEGREES = (6.9, 10.4, 17.2, 26.1, 36.0, 46.5, 57.1, 67.9, 78.8, 89.7, 100.7)
_UK_FACTORS = (0.125, 0.126, 0.127, 0.128, 0.129, 0.130, 0.131, 0.132, 0.133, 0.134, 0.135)


def balling_alcohol(original_plato: float, real_extract_plato: float) -> float:
    """Alcohol made [%mass] by Balling.

    A = (OE - RE) / (2.0665 - 0.010665 OE).

    original_plato, real_extract_plato: [°P], 0 <= RE <= OE <= 40. Outside: raises `OutOfRange`.
    Source: balling.
    """
    _check(original_plato, real_extract_plato)
    return (original_plato - real_extract_plato) / (
        EXTRACT_PER_ALCOHOL - 0.01 * YEAST_AND_GAS * original_plato
    )


def balling_original(alcohol_pct_mass: float, real_extract_plato: float) -> float:
    """Original extract [°P]: the inverse of `balling_alcohol`.

    OE = 100 (2.0665 A + RE) / (100 + 1.0665 A). Source: balling.
    """
    gone = EXTRACT_PER_ALCOHOL * alcohol_pct_mass
    return 100.0 * (gone + real_extract_plato) / (100.0 + YEAST_AND_GAS * alcohol_pct_mass)


def balling_factor(original_plato: float) -> float:
    """Alcohol [%mass] for each °P of apparent attenuation, by the closed formula.

    f = 0.8192 / (2.0665 - 0.010665 OE). The tabulated factors lie under it, by 0.4 % at 6 °P, 2.4 % at 30 °P.

    original_plato: [°P], 0 to 40. Outside: raises `OutOfRange`. Source: balling.
    """
    _check(original_plato, 0.0)
    return REAL_FROM_APPARENT / (EXTRACT_PER_ALCOHOL - 0.01 * YEAST_AND_GAS * original_plato)


def balling_shortfall(original_plato: float) -> float:
    """How far the tabulated factors lie under the closed formula, as a share [-].

    A straight line from 0.4 % at 6 °P to 2.4 % at 30 °P. Source: balling-factors, derived.
    """
    return 0.004 + (original_plato - 6.0) / 24.0 * 0.020


def wine_rule_pct_vol(sugar_g_l: float) -> float:
    """Potential strength of a must [%vol], by the wine rule: g/L over 16.83. Source: oiv-must-sugar."""
    return sugar_g_l / SUGAR_PER_PCT_VOL_G_L


def potential_pct_vol(original_plato: float) -> float:
    """Strength if all of the extract ferments [%vol at 20 °C], by Balling with no extract left.

    original_plato: [°P], 0 to 40. Outside: raises `OutOfRange`. Source: balling.
    """
    return float(alcohol.pct_vol(balling_alcohol(original_plato, 0.0) / 100.0))


def uk_factor_pct_vol(degrees: float) -> float:
    """Strength [%vol] by the UK's factors for beer: the degrees of gravity lost times a factor.

    degrees: 1000 (OG - PG), 0 to 100.7. Outside: raises `OutOfRange`. Source: hmrc-notice-226.
    """
    if not 0.0 <= degrees <= _UK_DEGREES[-1]:
        raise OutOfRange("Gravity lost", degrees, "degrees", 0.0, _UK_DEGREES[-1])
    row = bisect_right(_UK_DEGREES, round(degrees, 1) - 0.05)
    return degrees * _UK_FACTORS[row]


def _check(original_plato: float, real_extract_plato: float) -> None:
    if not 0.0 <= original_plato <= 40.0:
        raise OutOfRange("Original extract", original_plato, "°P", 0.0, 40.0)
    if not 0.0 <= real_extract_plato <= original_plato:
        raise OutOfRange("Real extract", real_extract_plato, "°P", 0.0, original_plato)
