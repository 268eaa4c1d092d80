"""Exact factors between the units a maker types and the ones kept inside, with small functions both ways.

Sources: NIST SP 811 (2008), appendix B; NIST Handbook 44, appendix C (gallon of 231 cubic inches, *read*);
international yard and pound of 1959 (*from memory*); 5th International Conference on Properties of Steam,
London 1956: 1 Btu/lb = 2.326 J/g (*read*); UK Weights and Measures Act 1985 for the gallon of 4.546 09 L
(*from memory*). A factor without a note is exact by definition or is derived from exact ones.
All functions take a number or an array and give the same shape.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Amount = TypeVar("Amount", float, NDArray[np.float64])

# Lengths in metres
INCH_M = 0.0254
FOOT_M = 0.3048
YARD_M = 0.9144
MILE_M = 1609.344

# Volumes in litres
US_GALLON_L = 3.785411784  # 231 cubic inches
US_QUART_L = US_GALLON_L / 4
US_PINT_L = US_GALLON_L / 8
US_CUP_L = US_GALLON_L / 16
US_FLUID_OUNCE_L = US_GALLON_L / 128
US_TABLESPOON_L = US_GALLON_L / 256
US_TEASPOON_L = US_GALLON_L / 768
IMPERIAL_GALLON_L = 4.54609
IMPERIAL_QUART_L = IMPERIAL_GALLON_L / 4
IMPERIAL_PINT_L = IMPERIAL_GALLON_L / 8
IMPERIAL_FLUID_OUNCE_L = IMPERIAL_GALLON_L / 160
CUBIC_INCH_L = 0.016387064
CUBIC_FOOT_L = 28.316846592

# Masses in kilograms
POUND_KG = 0.45359237
OUNCE_KG = POUND_KG / 16
SHORT_TON_KG = 2000 * POUND_KG

# Temperatures
ZERO_CELSIUS_K = 273.15
FAHRENHEIT_OF_ICE = 32.0
KELVIN_PER_FAHRENHEIT = 5 / 9

# Times in hours; a month is a twelfth of a Julian year of 365.25 d, near enough for a cask
MINUTE_H = 1 / 60
SECOND_H = 1 / 3600
DAY_H = 24.0
WEEK_H = 168.0
YEAR_H = 8766.0
MONTH_H = YEAR_H / 12

# Energy and power
BTU_J = 1055.05585262  # International Table: 2.326 J/g x 453.592 37 g
KWH_J = 3.6e6
BTU_PER_H_KW = BTU_J / KWH_J
BTU_PER_H_F_W_K = BTU_J / 3600 / KELVIN_PER_FAHRENHEIT

# Pressures in kPa; columns of mercury are the conventional ones of 13 595.1 kg/m3 and 9.806 65 m/s2
ATMOSPHERE_KPA = 101.325
BAR_KPA = 100.0
PSI_KPA = POUND_KG * 9.80665 / INCH_M**2 / 1000
MM_MERCURY_KPA = 0.133322387415
INCH_MERCURY_KPA = 25.4 * MM_MERCURY_KPA
TORR_KPA = ATMOSPHERE_KPA / 760

# Densities in kg/m3
POUND_PER_US_GALLON_KG_M3 = POUND_KG / US_GALLON_L * 1000
POUND_PER_CUBIC_FOOT_KG_M3 = POUND_KG / CUBIC_FOOT_L * 1000


def litres_from_us_gallons(volume_us_gal: Amount) -> Amount:
    """US liquid gallons [US gal] in litres [L]."""
    return volume_us_gal * US_GALLON_L


def us_gallons_from_litres(volume_l: Amount) -> Amount:
    """Litres [L] in US liquid gallons [US gal]."""
    return volume_l / US_GALLON_L


def litres_from_imperial_gallons(volume_imp_gal: Amount) -> Amount:
    """Imperial gallons [imp gal] in litres [L]."""
    return volume_imp_gal * IMPERIAL_GALLON_L


def imperial_gallons_from_litres(volume_l: Amount) -> Amount:
    """Litres [L] in imperial gallons [imp gal]."""
    return volume_l / IMPERIAL_GALLON_L


def litres_from_us_fluid_ounces(volume_us_fl_oz: Amount) -> Amount:
    """US fluid ounces [US fl oz] in litres [L]."""
    return volume_us_fl_oz * US_FLUID_OUNCE_L


def us_fluid_ounces_from_litres(volume_l: Amount) -> Amount:
    """Litres [L] in US fluid ounces [US fl oz]."""
    return volume_l / US_FLUID_OUNCE_L


def kg_from_pounds(mass_lb: Amount) -> Amount:
    """Pounds [lb] in kilograms [kg]."""
    return mass_lb * POUND_KG


def pounds_from_kg(mass_kg: Amount) -> Amount:
    """Kilograms [kg] in pounds [lb]."""
    return mass_kg / POUND_KG


def kg_from_ounces(mass_oz: Amount) -> Amount:
    """Ounces [oz] in kilograms [kg]."""
    return mass_oz * OUNCE_KG


def ounces_from_kg(mass_kg: Amount) -> Amount:
    """Kilograms [kg] in ounces [oz]."""
    return mass_kg / OUNCE_KG


def celsius_from_fahrenheit(temp_f: Amount) -> Amount:
    """A temperature [°F] in [°C]: `(F - 32) 5/9`."""
    return (temp_f - FAHRENHEIT_OF_ICE) * 5 / 9


def fahrenheit_from_celsius(temp_c: Amount) -> Amount:
    """A temperature [°C] in [°F]: `9/5 C + 32`."""
    return temp_c * 9 / 5 + FAHRENHEIT_OF_ICE


def celsius_from_kelvin(temp_k: Amount) -> Amount:
    """A temperature [K] in [°C]."""
    return temp_k - ZERO_CELSIUS_K


def kelvin_from_celsius(temp_c: Amount) -> Amount:
    """A temperature [°C] in [K]."""
    return temp_c + ZERO_CELSIUS_K


def kelvin_from_fahrenheit_difference(difference_f: Amount) -> Amount:
    """A temperature difference [°F] in [K]; not for temperatures, which also shift by 32."""
    return difference_f * 5 / 9


def fahrenheit_difference_from_kelvin(difference_k: Amount) -> Amount:
    """A temperature difference [K] in [°F]; not for temperatures, which also shift by 32."""
    return difference_k * 9 / 5


def metres_from_feet(length_ft: Amount) -> Amount:
    """Feet [ft] in metres [m]."""
    return length_ft * FOOT_M


def feet_from_metres(length_m: Amount) -> Amount:
    """Metres [m] in feet [ft]."""
    return length_m / FOOT_M


def kw_from_btu_per_hour(power_btu_h: Amount) -> Amount:
    """British thermal units (IT) per hour [BTU/h] in kilowatts [kW]."""
    return power_btu_h * BTU_PER_H_KW


def btu_per_hour_from_kw(power_kw: Amount) -> Amount:
    """Kilowatts [kW] in British thermal units (IT) per hour [BTU/h]."""
    return power_kw / BTU_PER_H_KW


def kpa_from_psi(pressure_psi: Amount) -> Amount:
    """Pounds per square inch, absolute [psi] in kilopascals [kPa]."""
    return pressure_psi * PSI_KPA


def psi_from_kpa(pressure_kpa: Amount) -> Amount:
    """Kilopascals [kPa] in pounds per square inch, absolute [psi]."""
    return pressure_kpa / PSI_KPA


def kpa_from_inches_of_mercury(pressure_inhg: Amount) -> Amount:
    """Conventional inches of mercury [inHg] in kilopascals [kPa]."""
    return pressure_inhg * INCH_MERCURY_KPA


def inches_of_mercury_from_kpa(pressure_kpa: Amount) -> Amount:
    """Kilopascals [kPa] in conventional inches of mercury [inHg]."""
    return pressure_kpa / INCH_MERCURY_KPA
