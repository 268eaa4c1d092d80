"""Sucrose in water: density, gravity, refractive index and the temperature of instruments.

°Brix is grams of sucrose in 100 g of solution; °Plato is the same scale as a hydrometer shows it. In a
wash with alcohol or other solids both are *apparent* figures. Specific gravity is 20 °C/20 °C, in vacuum
(weighing in air changes it by less than 0.0002). Below 0 °Brix, down to -10, the scale goes on as it does
on a hydrometer floating in a liquid lighter than water: a dry wash reads there.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from caskward.properties import water
from caskward.properties._arrays import Result, Values, all_scalars, as_arrays, check_range, polynomial

BRIX_MIN: Final = -10.0
BRIX_MAX: Final = 85.0
TEMP_MIN_C: Final = 0.0
TEMP_MAX_C: Final = 80.0
REFRACTION_MIN_C: Final = 10.0
REFRACTION_MAX_C: Final = 30.0
GLASS_EXPANSION_PER_K: Final = 25e-6

# Excess over water [kg/m³] = sum over i of ((t-20)/100)^i times a polynomial in the mass fraction.
# The first row holds at 20 °C: fitted here to every second row of the handbook's table (0.12 kg/m³ at
# worst on the others). The rows of the temperature are the international ones; their own first row runs
# 0.3 kg/m³ above the handbook at 70 °Brix and 0.8 at 84, 0.1 below 45.
_AT_20C: Final = (0.0, 385.344, 139.678, 5.247, 77.566, -56.805)
_BY_TEMP: Final = (
    (0.0, -46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (0.0, 59.7712, 7.2491, 12.3630, -35.4791),
    (0.0, -47.2207, -21.6977, 27.6301),
    (0.0, 18.3184, 12.3081),
)
_WATER_20C: Final[float] = water.density(20.0)
_NEWTON_STEPS: Final = 4
_TEMP_HINT: Final = "Bring the sample nearer to 20 °C and measure again."
_DENSITY_HINT: Final = (
    "Check the reading, and that it is a density in kg/m³ or a specific gravity like 1.048."
)
_REFRACTION_HINT: Final = "A refractometer for sugar shows 0 to 85 °Brix, 1.333 to 1.504."

_CORRECTION_STEPS: Final = 6

# n at 20 °C, 589 nm, in powers of the mass fraction.
_REFRACTION_20C: Final = (1.33298484, 0.14278476, 0.05468905, 0.01185717, 0.01381891, -0.00987288)
# Correction [°Brix] = d (sum over j of d^j times a polynomial in Brix/100), d = (t - 20)/10.
_CORRECTION: Final = (
    (0.606471, 0.724578, -1.090705, 0.638198),
    (0.109270, -0.168126, 0.038801),
    (0.003592, -0.005988),
)


def density(brix: Values, celsius: Values = 20.0) -> Result:
    """Density of a sucrose solution [kg/m³].

    Water's density plus sum over i, k of b_ik (B/100)^k ((t-20)/100)^i.

    brix: [g/100 g], -10 to 85. celsius: [°C], 0 to 80. Outside: raises `OutOfRange`.
    Within 0.15 kg/m³ of the handbook at 20 °C; at other temperatures the international formula's own shift.
    Source: crc-sucrose (20 °C, fitted), icumsa-sps4 (temperature), kell-1975 (water).
    """
    _check_brix(brix)
    _check_temp(celsius)
    if all_scalars(brix, celsius):
        return _density(float(brix), float(celsius))
    return _density(*as_arrays(brix, celsius))


def _density(brix: Values, celsius: Values) -> Result:
    """`density` without its checks."""
    rows = _rows(celsius)
    return polynomial(rows, 0.01 * brix)


def _rows(celsius: Values) -> tuple[Result, ...]:
    """What multiplies each power of the mass fraction at this temperature, lowest first."""
    part = 0.01 * (celsius - 20.0)
    rows: list[Result] = [water._density(celsius)]
    for power in range(1, len(_AT_20C)):
        shifts = [row[power] for row in _BY_TEMP if len(row) > power]
        rows.append(polynomial((_AT_20C[power], *shifts), part))
    return tuple(rows)


def brix_from_density(density: Values, celsius: Values = 20.0) -> Result:
    """°Brix of a sucrose solution from its density [kg/m³] and temperature.

    Solves the formula of `density` by Newton's method to 1e-10.

    density: [kg/m³], what -10 to 85 °Brix give at that temperature. celsius: [°C], 0 to 80.
    Outside: raises `OutOfRange`. Source: as `density`.
    """
    _check_temp(celsius)
    if all_scalars(density, celsius):
        brix: Values = _brix_from_density(float(density), float(celsius))
    else:
        brix = _brix_from_density(*as_arrays(density, celsius))
    check_range("°Brix behind this density", brix, "", BRIX_MIN - 1e-9, BRIX_MAX + 1e-9, _DENSITY_HINT)
    return brix


def _brix_from_density(density: Values, celsius: Values) -> Result:
    """`brix_from_density` without its checks."""
    rows = _rows(celsius)
    slopes = tuple(power * row for power, row in enumerate(rows))[1:]
    fraction = _first_guess(density - rows[0])
    for _ in range(_NEWTON_STEPS):
        fraction = fraction - (polynomial(rows, fraction) - density) / polynomial(slopes, fraction)
    return 100.0 * fraction


def _first_guess(excess_kg_m3: Values) -> Result:
    """Mass fraction from the first two terms, 382 w + 165 w²; held where the root is real."""
    if isinstance(excess_kg_m3, float):
        return (math.sqrt(max(382.0**2 + 660.0 * excess_kg_m3, 1e4)) - 382.0) / 330.0
    return (np.sqrt(np.maximum(382.0**2 + 660.0 * excess_kg_m3, 1e4)) - 382.0) / 330.0


def sg_from_brix(brix: Values) -> Result:
    """Specific gravity 20 °C/20 °C [-] of a sucrose solution, -10 to 85 °Brix; else `OutOfRange`.

    SG = density(B, 20) / density(0, 20). Source: as `density`.
    """
    return density(brix, 20.0) / _WATER_20C


def brix_from_sg(sg: Values) -> Result:
    """°Brix from specific gravity 20 °C/20 °C: the inverse of `sg_from_brix`.

    sg: [-], 0.962 to 1.448 (-10 to 85 °Brix). Outside: raises `OutOfRange`. Source: as `density`.
    """
    scaled = float(sg) if all_scalars(sg) else as_arrays(sg)[0]
    return brix_from_density(scaled * _WATER_20C, 20.0)


def sg_from_plato(plato: Values) -> Result:
    """Specific gravity 20 °C/20 °C [-] from °Plato, which is °Brix by another name."""
    return sg_from_brix(plato)


def plato_from_sg(sg: Values) -> Result:
    """°Plato from specific gravity 20 °C/20 °C: the inverse of `sg_from_plato`."""
    return brix_from_sg(sg)


def sugar_g_l(brix: Values, celsius: Values = 20.0) -> Result:
    """Grams of sucrose in a litre of solution [g/L], measured at `celsius`.

    c = B/100 density(B, t). Arguments, refusals and source as `density`.
    """
    return 0.01 * brix * density(brix, celsius)


def hydrometer_sg(indicated_sg: Values, celsius: Values, calibrated_at: float = 20.0) -> Result:
    """Specific gravity 20 °C/20 °C behind a glass hydrometer's reading at any temperature.

    The mark stands for a density, its gravity times water's at T0; the liquid's density at t is that times
    (1 - 25e-6 (t - T0)); the °Brix with that density at t gives the gravity at 20 °C.

    indicated_sg: scale reading [-], 1.000 being water at the calibration temperature.
    celsius: of the sample [°C], 0 to 80, best near `calibrated_at`. calibrated_at: [°C], 20, 15.56 or 15.
    Outside: raises `OutOfRange`. In a wash the shift is that of a sugar solution as heavy.
    Source: as `density`; glass as oiml-r22-1975.
    """
    _check_temp(celsius)
    _check_temp(calibrated_at)
    growth = 1.0 - GLASS_EXPANSION_PER_K * (celsius - calibrated_at)
    liquid = indicated_sg * growth * water.density(float(calibrated_at))
    brix = brix_from_density(liquid, celsius)
    return _density(brix, 20.0) / _WATER_20C


def refractive_index(brix: Values, celsius: Values = 20.0) -> Result:
    """Refractive index of a sucrose solution at 589 nm [-].

    At 20 °C a polynomial in the mass fraction; at t the index of the solution that reads alike at 20 °C,
    which is the one whose reading plus `refractometer_correction` is `brix`.

    brix: [g/100 g], 0 to 85 at 20 °C, else 0 to 70. celsius: [°C], 10 to 30. Outside: raises `OutOfRange`.
    Within 0.00001 of the table of 1974 at 20 °C.
    Source: icumsa-refraction-1974 (fitted), refractometer-temperature-1936.
    """
    _check_refractometer(brix, celsius)
    reading = float(brix) if all_scalars(brix, celsius) else as_arrays(brix)[0]
    start = reading
    for _ in range(_CORRECTION_STEPS):
        reading = start - _correction(reading, celsius)
    return polynomial(_REFRACTION_20C, 0.01 * reading)


def brix_from_refractive_index(index: Values, celsius: Values = 20.0) -> Result:
    """°Brix of a sucrose solution from its refractive index at 589 nm.

    Solves the formula of `refractive_index` by Newton's method to 1e-10. Alcohol raises the index too:
    in a fermenting wash the figure is apparent.

    index: [-], 1.3330 (water) to 1.5040. celsius: [°C], 10 to 30. Outside: raises `OutOfRange`.
    Source: as `refractive_index`.
    """
    check_range("refractive index", index, "", 1.329, 1.505, _REFRACTION_HINT)
    value = float(index) if all_scalars(index) else as_arrays(index)[0]
    slopes = tuple(power * row for power, row in enumerate(_REFRACTION_20C))[1:]
    fraction = (value - _REFRACTION_20C[0]) / 0.2
    for _ in range(_NEWTON_STEPS + 1):
        fraction = fraction - (polynomial(_REFRACTION_20C, fraction) - value) / polynomial(slopes, fraction)
    brix = 100.0 * fraction
    brix = brix + _correction(brix, celsius)
    _check_refractometer(brix, celsius)
    return brix


def refractometer_correction(indicated_brix: Values, celsius: Values) -> Result:
    """What to add to a 20 °C refractometer's reading at another temperature [°Brix].

    c = d (sum over j of d^j times a polynomial in B/100), d = (t - 20)/10.

    indicated_brix: [°Brix], 0 to 70. celsius: of prism and sample [°C], 10 to 30.
    Outside: raises `OutOfRange`. Not for instruments that correct themselves. Within 0.01 °Brix of the table.
    Source: refractometer-temperature-1936 (fitted).
    """
    check_range("refractometer reading", indicated_brix, "°Brix", 0.0, 70.0, _REFRACTION_HINT)
    _check_refraction_temp(celsius)
    if all_scalars(indicated_brix, celsius):
        return float(_correction(indicated_brix, celsius))
    return _correction(*as_arrays(indicated_brix, celsius))


def refractometer_brix(indicated_brix: Values, celsius: Values) -> Result:
    """True °Brix behind a 20 °C refractometer's reading at another temperature: reading + correction.

    Arguments, refusals and source as `refractometer_correction`.
    """
    return indicated_brix + refractometer_correction(indicated_brix, celsius)


def _correction(brix: Values, celsius: Values) -> Result:
    part = 0.1 * (celsius - 20.0)
    return part * polynomial(tuple(polynomial(row, 0.01 * brix) for row in _CORRECTION), part)


def _check_brix(brix: Values) -> None:
    check_range("sugar", brix, "°Brix", BRIX_MIN, BRIX_MAX)


def _check_temp(celsius: Values) -> None:
    check_range("temperature", celsius, "°C", TEMP_MIN_C, TEMP_MAX_C, _TEMP_HINT)


def _check_refraction_temp(celsius: Values) -> None:
    check_range("temperature", celsius, "°C", REFRACTION_MIN_C, REFRACTION_MAX_C, _TEMP_HINT)


def _check_refractometer(brix: Values, celsius: Values) -> None:
    _check_refraction_temp(celsius)
    highest = BRIX_MAX if np.all(np.asarray(celsius) == 20.0) else 70.0
    check_range("sugar", brix, "°Brix", -1e-2, highest + 1e-2, _REFRACTION_HINT)
