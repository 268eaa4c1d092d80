"""Internal values, shown in the maker's own system, with the digits a shed can use.

Three digits up to 100 and whole units above, so that a forecast does not look sharper than it is; `weigh_out`
and `measure_out` print an amount to be put on a scale exactly. Plain spaces only. What is no number raises
`NotShowable`; nothing prints as -0.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from caskward.errors import NotShowable
from caskward.units import convert
from caskward.units.rounding import nice_volume as nice_volume  # noqa: PLC0414 - also offered from here
from caskward.units.rounding import round_to_weigh as round_to_weigh  # noqa: PLC0414
from caskward.units.types import Dose, Gravity, Reading, Strength, UnitSystem

_HALF_A_GALLON = 63.95 / 128
"""What three digits would call 64.0 fl oz is said in gallons."""
_ONE_UNIT = re.compile(r"(-?[\d.]+)( \D+)")
_UNITS_OF_STRENGTH = {"pct_vol_20c": "%vol", "us_proof_60f": "proof", "pct_mass": "%mass"}
_UNITS_OF_DOSE = {
    "ml_per_kg": "mL/kg",
    "g_per_kg": "g/kg",
    "ml_per_kg_starch": "mL/kg starch",
    "g_per_kg_starch": "g/kg starch",
    "ml_per_l": "mL/L",
}


def volume(volume_l: float, system: UnitSystem = "metric") -> str:
    """A volume [L]: `24.6 L`, `750 mL`; for a US maker `6.50 gal`, and `25.4 fl oz` below half a gallon."""
    _check(volume_l, "a volume")
    if system == "us":
        gallons = convert.us_gallons_from_litres(volume_l)
        small = 0 < abs(gallons) < _HALF_A_GALLON
        return f"{_three(gallons * 128)} fl oz" if small else f"{_three(gallons)} gal"
    return f"{_three(volume_l * 1000)} mL" if 0 < abs(volume_l) < 0.9995 else f"{_three(volume_l)} L"


def mass(mass_kg: float, system: UnitSystem = "metric") -> str:
    """A mass [kg]: `24.6 kg`, `420 g`, `50.0 mg`; `26.5 lb`, `1 lb 4 oz`, `4.50 oz` for a US maker."""
    _check(mass_kg, "a mass")
    if system == "us":
        return _pounds(convert.pounds_from_kg(mass_kg), decimals=None)
    grams = abs(mass_kg) * 1000
    if grams >= 999.5 or grams == 0:
        return f"{_three(mass_kg)} kg"
    return f"{_three(mass_kg * 1000)} g" if grams >= 0.9995 else f"{_three(mass_kg * 1e6)} mg"


def temperature(temp_c: float, system: UnitSystem = "metric") -> str:
    """A temperature [°C]: `31.0 °C`, `87.8 °F`."""
    _check(temp_c, "a temperature")
    if system == "us":
        return f"{_fixed(convert.fahrenheit_from_celsius(temp_c), 1)} °F"
    return f"{_fixed(temp_c, 1)} °C"


def temperature_difference(difference_k: float, system: UnitSystem = "metric") -> str:
    """A temperature difference [K]: `5.0 °C`, `9.0 °F`."""
    _check(difference_k, "a temperature difference")
    if system == "us":
        return f"{_fixed(convert.fahrenheit_difference_from_kelvin(difference_k), 1)} °F"
    return f"{_fixed(difference_k, 1)} °C"


def temperatures_in(text: str, system: UnitSystem) -> str:
    """A sentence with its temperatures in the maker's own: `above 60 °C` becomes `above 140 °F`.

    Whole degrees stay whole, rounded to the cooler. `between -5 and 105 °C` has two of them; what says both
    already, `71 °C, 159 °F`, stays.
    """
    return text if system == "metric" else _CELSIUS.sub(_fahrenheit, text)


def _fahrenheit(found: re.Match[str]) -> str:
    first, value, how = found[1] or "", float(found[2]), found[3] or ""
    if how:
        return f"{first}{math.floor(convert.fahrenheit_difference_from_kelvin(value) + _ROUNDED)} °F{how}"
    return f"{_ONE_TEMPERATURE.sub(_whole_fahrenheit, first)}{_whole_fahrenheit(found[2])} °F"


def _whole_fahrenheit(given: re.Match[str] | str) -> str:
    celsius = float(given if isinstance(given, str) else given[0])
    return str(math.floor(convert.fahrenheit_from_celsius(celsius) + _ROUNDED))


_ROUNDED = 1e-3
"""What a temperature of six digits may have lost of its Fahrenheit [°F]."""
_ONE_TEMPERATURE = re.compile(r"-?\d+(?:\.\d+)?")
_CELSIUS = re.compile(
    r"((?:-?\d+(?:\.\d+)?) (?:and|to) )?(-?\d+(?:\.\d+)?) °C(?!, -?\d+ °F)"
    r"( (?:warmer|colder|cooler|higher|lower|more|less)\b)?"
)


def strength(pct_vol: float, system: UnitSystem = "metric", *, proof_60f: float | None = None) -> str:
    """A strength [%vol at 20 °C]: `63.0 %vol`; as proof for a US maker if the caller has worked that out.

    `proof_60f` [US proof at 60 °F]: without it a US maker sees %vol, which is true in either system.
    """
    _check(pct_vol, "a strength")
    if system == "us" and proof_60f is not None:
        return proof(proof_60f)
    return f"{_fixed(pct_vol, 1)} %vol"


def proof(proof_60f: float) -> str:
    """A US proof at 60 °F: `126.0 proof`."""
    _check(proof_60f, "a proof")
    return f"{_fixed(proof_60f, 1)} proof"


def stated_strength(value: Strength) -> str:
    """A strength on the basis it was stated in: `63.0 %vol`, `126.0 proof`, `54.0 %mass`."""
    _check(value.value, "a strength")
    return f"{_fixed(value.value, 1)} {_UNITS_OF_STRENGTH[value.basis]}"


def gravity(value: Gravity) -> str:
    """A gravity on its own scale: `1.062 SG`, `1.0545 SG 60/60F`, `15.2 P`, `13.2 Bx`, `931.2 kg/m3`."""
    _check(value.value, "a gravity")
    if value.scale in ("sg_20_20", "sg_60_60F"):
        digits = _fixed(value.value, 4).removesuffix("0")
        return f"{digits} SG" if value.scale == "sg_20_20" else f"{digits} SG 60/60F"
    unit = {"plato": "P", "brix": "Bx"}.get(value.scale, "kg/m3")
    return f"{_fixed(value.value, 1)} {unit}"


def reading(value: Reading, system: UnitSystem = "metric") -> str:
    """A reading as it was taken: `47.0 %vol at 28.0 °C`."""
    read = value.value
    shown = stated_strength(read) if isinstance(read, Strength) else gravity(read)
    return shown if value.temp_c is None else f"{shown} at {temperature(value.temp_c, system)}"


def dose(value: Dose) -> str:
    """A dose: `0.400 mL/kg`, `1.25 g/kg starch`."""
    _check(value.value, "a dose")
    return f"{_three(value.value)} {_UNITS_OF_DOSE[value.unit]}"


def duration(duration_h: float) -> str:
    """A duration [h]: `45 s`, `35 min`, `1 h 35 min`, `2 d 5 h`, `21 d`, `18 months`, `3.5 years`."""
    _check(duration_h, "a duration")
    sign, hours = ("-" if duration_h < 0 else ""), abs(duration_h)
    if round(hours * 3600) == 0:
        return "0 min"
    return sign + (_under_a_day(hours) if round(hours * 60) < 24 * 60 else _days_and_more(hours))


def energy_kwh(energy: float) -> str:
    """An energy [kWh]: `12.4 kWh`."""
    _check(energy, "an energy")
    return f"{_three(energy)} kWh"


def power(power_kw: float, system: UnitSystem = "metric") -> str:
    """A power [kW]: `5.50 kW`, `850 W`; `18000 BTU/h` for a US maker, three digits here too."""
    _check(power_kw, "a power")
    if system == "us":
        return f"{_three(float(f'{convert.btu_per_hour_from_kw(power_kw):.3g}'))} BTU/h"
    return f"{_three(power_kw * 1000)} W" if 0 < abs(power_kw) < 0.9995 else f"{_three(power_kw)} kW"


def length(length_m: float, system: UnitSystem = "metric") -> str:
    """A length [m]: `300 m`, `45.0 cm`; `984 ft`, `17.7 in` for a US maker."""
    _check(length_m, "a length")
    if system == "us":
        feet = convert.feet_from_metres(length_m)
        return f"{_three(feet * 12)} in" if 0 < abs(feet) < 0.995 else f"{_three(feet)} ft"
    return f"{_three(length_m * 100)} cm" if 0 < abs(length_m) < 0.9995 else f"{_three(length_m)} m"


def pressure(pressure_kpa: float, system: UnitSystem = "metric") -> str:
    """An absolute pressure [kPa]: `101.3 kPa`, `29.92 inHg`."""
    _check(pressure_kpa, "a pressure")
    if system == "us":
        return f"{_fixed(convert.inches_of_mercury_from_kpa(pressure_kpa), 2)} inHg"
    return f"{_fixed(pressure_kpa, 1)} kPa"


def money(value: float, currency: str = "") -> str:
    """An amount of money: `12.50 EUR`, `$12.50`, or `12.50` if no currency is set."""
    _check(value, "an amount of money")
    digits = _fixed(value, 2)
    if not currency:
        return digits
    if currency.isalpha():
        return f"{digits} {currency}"
    return f"-{currency}{digits[1:]}" if digits.startswith("-") else f"{currency}{digits}"


def share(fraction: float) -> str:
    """A share of a whole [0 to 1]: `55 %`, `33.3 %`."""
    _check_fraction(fraction, "a share")
    return f"{_trimmed(fraction * 100, 1)} %"


def in_ten(probability: float) -> str:
    """A confidence [0 to 1] in words: `8 in 10`, else `76 in 100`, at the ends `over 99 in 100`.

    Tenths only where they are true to two in a hundred; what is rounded is rounded towards less confidence.
    """
    _check_fraction(probability, "a confidence")
    if probability > 0.99:
        return "over 99 in 100"
    if probability < 0.01:
        return "under 1 in 100"
    tenths = round(probability * 10)
    if 0 < tenths < 10 and abs(probability - tenths / 10) <= 0.02 + 1e-9:
        return f"{tenths} in 10"
    return f"{math.floor(probability * 100 + 1e-9)} in 100"


def band(low: float, mid: float, high: float, show: Callable[[float], str]) -> str:
    """A forecast with its band: `24.1 L (22.0–25.9)`; `show` is one of the functions here."""
    if not low <= mid <= high:
        raise NotShowable("the middle of a band that it lies outside of", mid)
    shown = [show(value) for value in (mid, low, high)]
    parts = [_ONE_UNIT.fullmatch(text) for text in shown]
    if len({part[2] if part else text for part, text in zip(parts, shown, strict=True)}) == 1:
        shown[1:] = [part[1] if part else text for part, text in zip(parts[1:], shown[1:], strict=True)]
    return f"{shown[0]} ({shown[1]}–{shown[2]})"


def weigh_out(mass_kg: float, system: UnitSystem = "metric") -> str:
    """The mass to put on the scale [kg], rounded up and then printed in full: `246.5 kg`, `2 lb 5 oz`."""
    rounded_kg = round_to_weigh(mass_kg, system)
    if system == "us":
        return _pounds(convert.pounds_from_kg(rounded_kg), decimals=2)
    return f"{_trimmed(rounded_kg * 1000, 1)} g" if 0 < rounded_kg < 1 else f"{_trimmed(rounded_kg, 2)} kg"


def measure_out(volume_l: float, system: UnitSystem = "metric") -> str:
    """The volume to measure [L], rounded up and then printed in full: `246.5 L`, `35 mL`, `12 fl oz`."""
    rounded_l = nice_volume(volume_l, system)
    if system == "us":
        gallons = convert.us_gallons_from_litres(rounded_l)
        small = 0 < gallons < 1 - 1e-9
        return f"{_trimmed(gallons * 128, 2)} fl oz" if small else f"{_trimmed(gallons, 2)} gal"
    return f"{_trimmed(rounded_l * 1000, 1)} mL" if 0 < rounded_l < 1 else f"{_trimmed(rounded_l, 2)} L"


# The parts ---------------------------------------------------------------------------------------


def _check(value: float, what: str) -> None:
    if not math.isfinite(value):
        raise NotShowable(what, value)


def _check_fraction(value: float, what: str) -> None:
    if not -1e-9 <= value <= 1 + 1e-9:
        raise NotShowable(what, value)


def _fixed(value: float, decimals: int) -> str:
    """The value with so many decimals, without the sign of a zero."""
    digits = f"{value:.{decimals}f}"
    return digits.removeprefix("-") if float(digits) == 0 else digits


def _trimmed(value: float, decimals: int) -> str:
    """The value with no more decimals than it needs."""
    digits = _fixed(value, decimals)
    return digits.rstrip("0").rstrip(".") if "." in digits else digits


def _three(value: float) -> str:
    """The value with three digits, with whole ones above 100; a zero is just 0."""
    for decimals, limit in ((3, 1), (2, 10), (1, 100)):
        if round(abs(value), decimals) < limit:
            digits = _fixed(value, decimals)
            return digits if float(digits) else "0"
    return _fixed(value, 0)


def _pounds(pounds: float, decimals: int | None) -> str:
    """Pounds, pounds and ounces below 10 lb, ounces below 1 lb; in full if the decimals are given."""
    tenths_oz = round(abs(pounds) * 160)
    if tenths_oz < 160:
        ounces = pounds * 16
        shown = _three(ounces) if decimals is None else _trimmed(ounces, decimals)
        return f"{shown} {'oz' if pounds else 'lb'}"
    if tenths_oz >= 1600:
        return f"{_three(pounds) if decimals is None else _trimmed(pounds, decimals)} lb"
    whole, rest = divmod(tenths_oz, 160)
    ounces_shown = f" {rest / 10:g} oz" if rest else ""
    return f"{'-' if pounds < 0 else ''}{whole} lb{ounces_shown}"


def _under_a_day(hours: float) -> str:
    if round(hours * 3600) < 60:
        return f"{round(hours * 3600)} s"
    whole, minutes = divmod(round(hours * 60), 60)
    return " ".join(part for part in (f"{whole} h" * bool(whole), f"{minutes} min" * bool(minutes)) if part)


def _days_and_more(hours: float) -> str:
    days, rest = divmod(round(hours), 24)
    if days < 14:
        return f"{days} d {rest} h" if rest else f"{days} d"
    if hours < 90 * 24:
        return f"{round(hours / 24)} d"
    months = round(hours / convert.MONTH_H)
    return f"{months} months" if months < 24 else f"{_trimmed(hours / convert.YEAR_H, 1)} years"
