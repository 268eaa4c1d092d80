"""Boiling of ethanol and water: bubble point, vapour, azeotrope, altitude.

Ideal vapour over a liquid whose activity coefficients follow NRTL; vapour pressures by Antoine.
Against four published sets near 101 kPa the vapour is right within about 0.005 mole fraction and the
temperature within 0.25 K; the sets themselves disagree by 0.01 and 0.2 K. x is ethanol's mole fraction
in the liquid, y in the vapour.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from caskward.properties._arrays import Result, Values, all_scalars, as_arrays, check_range
from caskward.properties.congeners import CONGENERS, relative_volatility, relative_volatility_band

__all__ = [
    "CONGENERS",
    "ETHANOL_KG_KMOL",
    "WATER_KG_KMOL",
    "Azeotrope",
    "Boiling",
    "activity_coefficients",
    "azeotrope",
    "bubble_point",
    "mass_fraction_from_mole",
    "mole_fraction",
    "pressure_at_altitude",
    "relative_volatility",
    "relative_volatility_band",
    "vapour_pressure_kpa",
]

ETHANOL_KG_KMOL: Final = 46.06844
WATER_KG_KMOL: Final = 18.01528
KPA_MIN: Final = 30.0
KPA_MAX: Final = 110.0
STANDARD_KPA: Final = 101.325

_ALPHA: Final = 0.3
_A12, _B12 = -0.8009, 246.18
_A21, _B21 = 3.4578, -586.0809
_ETHANOL_ANTOINE: Final = (8.1122, 1592.864, 226.184)
_WATER_ANTOINE: Final = (8.07131, 1730.63, 233.426)
_KPA_PER_MMHG: Final = 101.325 / 760.0
_LN10: Final = math.log(10.0)
# Two steps reach 2e-10 K from the first guess, which is within 1.4 K; the third is for safety.
_NEWTON_STEPS: Final = 3


class Boiling(NamedTuple):
    """A boiling liquid: its temperature [°C] and the ethanol mole fraction of its vapour."""

    celsius: Result
    y: Result


class Azeotrope(NamedTuple):
    """Where vapour and liquid are alike: ethanol mole fraction and temperature [°C]."""

    x: float
    celsius: float


def vapour_pressure_kpa(celsius: Values) -> tuple[Result, Result]:
    """Vapour pressures of pure ethanol and pure water [kPa], 40 to 105 °C.

    log10 p[mmHg] = A - B/(t + C). Outside: raises `OutOfRange`. Source: antoine-dechema.
    """
    check_range("temperature", celsius, "°C", 40.0, 105.0)
    ethanol, water = _ln_pressure(_ETHANOL_ANTOINE, celsius)[0], _ln_pressure(_WATER_ANTOINE, celsius)[0]
    return _exp(ethanol), _exp(water)


def _water_kpa(celsius: Values) -> Result:
    """Vapour pressure of water [kPa], 0 to 105 °C, for callers that have checked it."""
    return _exp(_ln_pressure(_WATER_ANTOINE, celsius)[0])


def activity_coefficients(x_ethanol: Values, celsius: Values) -> tuple[Result, Result]:
    """Activity coefficients of ethanol and water [-] in the liquid, by NRTL.

    tau12 = -0.8009 + 246.18/T, tau21 = 3.4578 - 586.0809/T, alpha = 0.3 (1 ethanol, 2 water, T in K).

    x_ethanol: [-], 0 to 1. celsius: [°C], 40 to 105. Outside: raises `OutOfRange`.
    Source: nrtl-ethanol-water.
    """
    _check_x(x_ethanol)
    check_range("temperature", celsius, "°C", 40.0, 105.0)
    first, second, _, _ = _ln_gammas(x_ethanol, celsius)
    return _exp(first), _exp(second)


def bubble_point(x_ethanol: Values, kpa: Values = STANDARD_KPA) -> Boiling:
    """Temperature at which a liquid boils [°C] and the vapour it gives [mole fraction of ethanol].

    Solves x gamma1 p1(T) + (1-x) gamma2 p2(T) = P for T by Newton's method to 1e-10 K, then
    y = x gamma1 p1(T) / P.

    x_ethanol: mole fraction of ethanol in the liquid [-], 0 to 1.
    kpa: pressure [kPa], 30 to 110 (sea level 101.325; see `pressure_at_altitude`).
    Outside: raises `OutOfRange`. Good to 0.005 in y and 0.25 K near 101 kPa.
    Source: nrtl-ethanol-water, antoine-dechema.
    """
    _check_x(x_ethanol)
    _check_kpa(kpa)
    return _bubble_point(x_ethanol, kpa)


def _bubble_point(x_ethanol: Values, kpa: Values) -> Boiling:
    """`bubble_point` without its checks."""
    if all_scalars(x_ethanol, kpa):
        return _solve(float(x_ethanol), float(kpa))
    x, pressure = as_arrays(x_ethanol, kpa)
    celsius, y = _solve(x, pressure)
    shape = np.broadcast_shapes(x.shape, pressure.shape)
    return Boiling(np.broadcast_to(celsius, shape).reshape(shape), np.broadcast_to(y, shape).reshape(shape))


def _solve(x: Values, kpa: Values) -> Boiling:
    ln_kpa = _ln(kpa)
    celsius = _guess(x, ln_kpa)
    for _ in range(_NEWTON_STEPS):
        ln_total, slope, _ = _bubble(x, celsius)
        # ln P is nearly straight in 1/T, so the step is taken there.
        kelvin = celsius + 273.15
        celsius = 1.0 / (1.0 / kelvin + (ln_total - ln_kpa) / (slope * kelvin * kelvin)) - 273.15
    ln_total, slope, share = _bubble(x, celsius)
    return Boiling(celsius, share)


def _guess(x: Values, ln_kpa: Values) -> Result:
    at_standard = 351.3 + 21.9 * (1.0 - x) / (1.0 + 11.0 * x)
    return 1.0 / (1.0 / at_standard - (ln_kpa - math.log(STANDARD_KPA)) / 5000.0) - 273.15


def _bubble(x: Values, celsius: Values) -> tuple[Result, Result, Result]:
    """ln of the total pressure [kPa], its slope in temperature [1/K], and ethanol's share of it."""
    ln_g1, ln_g2, d_g1, d_g2 = _ln_gammas(x, celsius)
    ln_p1, d_p1 = _ln_pressure(_ETHANOL_ANTOINE, celsius)
    ln_p2, d_p2 = _ln_pressure(_WATER_ANTOINE, celsius)
    ethanol, water = x * _exp(ln_g1 + ln_p1), (1.0 - x) * _exp(ln_g2 + ln_p2)
    total = ethanol + water
    share = ethanol / total
    return _ln(total), share * (d_g1 + d_p1) + (1.0 - share) * (d_g2 + d_p2), share


def _ln_pressure(antoine: tuple[float, float, float], celsius: Values) -> tuple[Result, Result]:
    """ln of a vapour pressure [kPa] and its slope [1/K]."""
    a, b, c = antoine
    above = celsius + c
    return _LN10 * (a - b / above) + math.log(_KPA_PER_MMHG), _LN10 * b / (above * above)


def _ln_gammas(x: Values, celsius: Values) -> tuple[Result, Result, Result, Result]:
    """ln of both activity coefficients and their slopes in temperature [1/K]."""
    kelvin = celsius + 273.15
    z = 1.0 - x
    tau12, tau21 = _A12 + _B12 / kelvin, _A21 + _B21 / kelvin
    d_tau12, d_tau21 = -_B12 / (kelvin * kelvin), -_B21 / (kelvin * kelvin)
    g12, g21 = _exp(-_ALPHA * tau12), _exp(-_ALPHA * tau21)
    d_g12, d_g21 = -_ALPHA * g12 * d_tau12, -_ALPHA * g21 * d_tau21
    n12, n21 = z + x * g12, x + z * g21
    r12, r21 = g12 / (n12 * n12), g21 / (n21 * n21)
    ln_1 = z * z * (tau21 * r21 * g21 + tau12 * r12)
    ln_2 = x * x * (tau12 * r12 * g12 + tau21 * r21)
    d_r12 = d_g12 / (n12 * n12) - 2.0 * r12 * x * d_g12 / n12
    d_r21 = d_g21 / (n21 * n21) - 2.0 * r21 * z * d_g21 / n21
    d_1 = d_tau21 * r21 * g21 + tau21 * (d_r21 * g21 + r21 * d_g21) + d_tau12 * r12 + tau12 * d_r12
    d_2 = d_tau12 * r12 * g12 + tau12 * (d_r12 * g12 + r12 * d_g12) + d_tau21 * r21 + tau21 * d_r21
    return ln_1, ln_2, z * z * d_1, x * x * d_2


def _exp(value: Values) -> Result:
    return math.exp(value) if isinstance(value, float) else np.exp(value)


def _ln(value: Values) -> Result:
    return math.log(value) if isinstance(value, float) else np.log(value)


def azeotrope(kpa: float = STANDARD_KPA) -> Azeotrope:
    """Ethanol mole fraction [-] and temperature [°C] at which vapour and liquid are alike.

    Solves ln(gamma1 p1) = ln(gamma2 p2) along the bubble curve by bisection on x.

    kpa: pressure [kPa], 30 to 110. Outside: raises `OutOfRange`. No pot or column passes it.
    Source: as `bubble_point`; published values at 101.3 kPa lie between 0.894 and 0.901, 78.11-78.17 °C.
    """
    _check_kpa(kpa)
    low, high = 0.5, 1.0 - 1e-9
    for _ in range(60):
        middle = 0.5 * (low + high)
        if _solve(middle, float(kpa)).y > middle:
            low = middle
        else:
            high = middle
    return Azeotrope(middle, _solve(middle, float(kpa)).celsius)


def pressure_at_altitude(metres: Values) -> Result:
    """Pressure of the standard atmosphere [kPa]; the day's weather adds up to 3 kPa either way.

    P = 101.325 (1 - 2.25577e-5 h)^5.25588.

    metres: height above the sea [m], -400 to 9,000. Outside: raises `OutOfRange`.
    Source: iso-2533-1975.
    """
    check_range("altitude", metres, "m", -400.0, 9000.0)
    base = 1.0 - 2.25577e-5 * (metres if all_scalars(metres) else as_arrays(metres)[0])
    return STANDARD_KPA * base**5.25588


def mole_fraction(mass_fraction: Values) -> Result:
    """Mole fraction of ethanol [-] from its mass fraction [-], 0 to 1. Outside: raises `OutOfRange`."""
    check_range("mass fraction of ethanol", mass_fraction, "", 0.0, 1.0)
    return _mole_fraction(mass_fraction)


def _mole_fraction(mass_fraction: Values) -> Result:
    w = mass_fraction if all_scalars(mass_fraction) else as_arrays(mass_fraction)[0]
    return w / (w + (1.0 - w) * (ETHANOL_KG_KMOL / WATER_KG_KMOL))


def mass_fraction_from_mole(mole_fraction: Values) -> Result:
    """Mass fraction of ethanol [-] from its mole fraction [-], 0 to 1. Outside: raises `OutOfRange`."""
    _check_x(mole_fraction)
    return _mass_fraction_from_mole(mole_fraction)


def _mass_fraction_from_mole(mole_fraction: Values) -> Result:
    x = mole_fraction if all_scalars(mole_fraction) else as_arrays(mole_fraction)[0]
    return x / (x + (1.0 - x) * (WATER_KG_KMOL / ETHANOL_KG_KMOL))


def _check_x(x_ethanol: Values) -> None:
    check_range("mole fraction of ethanol", x_ethanol, "", 0.0, 1.0, "Convert a strength first.")


def _check_kpa(kpa: Values) -> None:
    hint = "Give the local pressure, not the one reduced to sea level."
    check_range("pressure", kpa, "kPa", KPA_MIN, KPA_MAX, hint)
