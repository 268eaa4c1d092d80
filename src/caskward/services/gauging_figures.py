"""Figures of gauging as a maker reads them: the digits that their doubt leaves, amounts to weigh in full."""

from __future__ import annotations

import math

from caskward.gauging.figure import Figure
from caskward.units import convert
from caskward.units.types import UnitSystem

_FINEST = 4


def with_doubt(figure: Figure, unit: str, most_decimals: int = 2, times: float = 1.0) -> str:
    """A figure with half its 95 % interval: `43.9 ± 1.3 %vol`; cut off at a bound: `0.2 %vol (0 to 1.2)`."""
    value, half = times * figure.value, times * figure.half_width
    decimals = decimals_for(half, most_decimals)
    after = f" {unit}" if unit else ""
    if half < 0.5 * 10.0**-most_decimals:
        return f"{plain(value, most_decimals)}{after}"
    low, high = times * figure.low, times * figure.high
    if low > value - half + 1e-9 or high < value + half - 1e-9:
        return f"{plain(value, decimals)}{after} ({plain(low, decimals)} to {plain(high, decimals)})"
    return f"{plain(value, decimals)} ± {plain(half, decimals)}{after}"


def decimals_for(half_width: float, most: int) -> int:
    """Decimals that show a doubt with two digits if it begins with 1 or 2, else with one."""
    if half_width <= 0.0:
        return most
    lead = math.floor(math.log10(half_width))
    digits = 1 if half_width / 10.0**lead < 2.95 else 0
    return min(max(digits - lead, 0), most)


def plain(value: float, decimals: int) -> str:
    """The value with so many decimals, without the sign of a zero."""
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def exact_mass(mass_kg: float, system: UnitSystem) -> str:
    """A mass to put on a scale, to one part in some thousands: `7.727 kg`, `351.2 g`, `17.04 lb`."""
    if system == "us":
        pounds = convert.pounds_from_kg(mass_kg)
        return f"{_four(16.0 * pounds)} oz" if 0.0 < pounds < 1.0 else f"{_four(pounds)} lb"
    return f"{_four(1000.0 * mass_kg)} g" if 0.0 < mass_kg < 1.0 else f"{_four(mass_kg)} kg"


def exact_volume(volume_l: float, system: UnitSystem) -> str:
    """A volume to one part in some thousands: `7.749 L`, `297.4 mL`, `2.047 gal`."""
    if system == "us":
        gallons = convert.us_gallons_from_litres(volume_l)
        return f"{_four(128.0 * gallons)} fl oz" if 0.0 < gallons < 1.0 else f"{_four(gallons)} gal"
    return f"{_four(1000.0 * volume_l)} mL" if 0.0 < volume_l < 1.0 else f"{_four(volume_l)} L"


def amount(figure: Figure, kind: str, system: UnitSystem) -> str:
    """A volume (`L`) or mass (`kg`) with its doubt, in the maker's system."""
    if system == "us":
        unit, times = ("gal", 1 / convert.US_GALLON_L) if kind == "L" else ("lb", 1 / convert.POUND_KG)
        return with_doubt(figure, unit, 3, times)
    return with_doubt(figure, kind, 3)


def temperature(temp_c: float, system: UnitSystem) -> str:
    """A temperature without needless decimals: `20 °C`, `60 °F`."""
    value = convert.fahrenheit_from_celsius(temp_c) if system == "us" else temp_c
    return f"{plain(value, 1).removesuffix('.0')} °{'F' if system == 'us' else 'C'}"


def _four(value: float) -> str:
    """Four digits, at most four decimals, whole numbers from 1000 up."""
    if value == 0.0:
        return "0"
    lead = math.floor(math.log10(abs(value)))
    return plain(value, min(max(3 - lead, 0), _FINEST))
