"""What a maker types, turned into the one unit kept inside; anything doubtful ends in one plain sentence.

A number without a unit is in the internal unit: litre, kg, °C, K for a difference, hour, kW, metre, kPa,
W/K, and a fraction from 0 to 1 for a share. `what` names the field in the sentence a wrong value gets.
Below zero, infinite, not a number or above a thousand million is refused everywhere.
"""

from __future__ import annotations

import math
import re
from typing import cast

from caskward.units import convert, names, numbers
from caskward.units.kind import Kind
from caskward.units.names import Factor
from caskward.units.typed import Typed
from caskward.units.types import Dose, DoseUnit, Gravity, GravityScale, Reading, Strength, StrengthBasis

_STRENGTH_LIMITS: dict[StrengthBasis, tuple[float, str]] = {
    "pct_vol_20c": (100, "%vol"),
    "us_proof_60f": (200, "proof"),
    "pct_mass": (100, "%mass"),
}
_GRAVITY_LIMITS: dict[GravityScale, tuple[float, float, str]] = {
    "sg_20_20": (0.7, 1.6, "SG"),
    "sg_60_60F": (0.7, 1.6, "SG"),
    # A dry wash reads a little below zero on a saccharometer.
    "plato": (-10, 100, "P"),
    "brix": (-10, 100, "Bx"),
    "density_kg_m3": (700, 1600, "kg/m3"),
}
_SG_FIRST = re.compile(r"(?:sg|s\.g\.)\s*([\d.,]+)", re.IGNORECASE | re.ASCII)
_ODDS = re.compile(r"(\d+)(?: in | out of | of )(\d+)", re.ASCII)

# After `at` and `@` everything has to be a temperature; after a comma or a mere space only a number with C
# or F is one, so that `5,3` and `1.054 SG` stay whole.
_AT = re.compile(r"(.*?)\s*(?:@|;|\bat\b)\s*(.*)", re.IGNORECASE)
_THEN_TEMP = re.compile(
    r"(.*?\S)(?:\s*,\s+|\s+|(?<=[%a-z])(?=\d))"
    r"([+-]?\d+(?:[.,]\d+)?\s*(?:°|deg(?:rees?)?)?\s*(?:[cf]|celsius|fahrenheit))",
    re.IGNORECASE | re.ASCII,
)

_CURRENCY = r"[^\d\s.,'+-]{1,4}"
_MONEY = re.compile(rf"({_CURRENCY})? ?([+-]?) ?([\d.,][\d.,' ]*)({_CURRENCY})?", re.ASCII)
_CURRENCY_SIGNS = frozenset("$€£¥₹₩₺₽₴₫₱₪₦฿")
_CURRENCY_WORDS = frozenset({"", "kr", "zł", "fr", "kč", "lei"})

_DOSE = re.compile(r"([a-z ]+?)\s*(?:/|\bper\b)\s*([a-z]+)(?:\s+(?:of )?(?:dry )?([a-z]+))?", re.IGNORECASE)
_MATERIALS = frozenset({"", "grain", "grains", "grist", "malt", "meal", "flour", "material", "fruit"})
_LIQUIDS = frozenset({"", "mash", "wash", "must", "juice", "water"})


def volume_l(given: str | float, *, what: str = "a volume") -> float:
    """A volume in litres [L] from `20 L`, `5.3 gal` (US), `750 ml`, `2 imp gal`, or litres as a number."""
    return _amount(given, names.VOLUME, what)


def mass_kg(given: str | float, *, what: str = "a mass") -> float:
    """A mass in kilograms [kg] from `12 kg`, `26 lb`, `1 lb 4 oz`, or kilograms as a number."""
    return _amount(given, names.MASS, what)


def duration_h(given: str | float, *, what: str = "a duration") -> float:
    """A duration in hours [h] from `90 min`, `1 h 30 min`, `2 d`, `18 months`, or hours as a number."""
    return _amount(given, names.DURATION, what)


def power_kw(given: str | float, *, what: str = "a power") -> float:
    """A power in kilowatts [kW] from `5.5 kW`, `1200 W`, `18000 BTU/h`, or kilowatts as a number."""
    return _amount(given, names.POWER, what)


def length_m(given: str | float, *, what: str = "a length") -> float:
    """A length or height in metres [m] from `300 m`, `1200 ft`, `5 ft 6 in`, or metres as a number."""
    return _amount(given, names.LENGTH, what)


def pressure_kpa(given: str | float, *, what: str = "a pressure") -> float:
    """An absolute pressure in kilopascals [kPa] from `1013 hPa`, `29.92 inHg`, or kilopascals as a number."""
    return _amount(given, names.PRESSURE, what)


def temperature_difference_k(given: str | float, *, what: str = "a temperature difference") -> float:
    """A temperature difference in kelvin [K]: `10 F` is 5.56 K, `5 C` is 5 K, a number is in kelvin."""
    return _amount(given, names.DIFFERENCE, what)


def heat_loss_w_k(given: str | float, *, what: str = "a heat loss") -> float:
    """Heat lost for each degree above the surroundings [W/K] from `2.2 W/K` or `4 BTU/h/F`."""
    return _amount(given, names.HEAT_LOSS, what)


def temperature_c(given: str | float, *, what: str = "a temperature") -> float:
    """A temperature in [°C] from `31 C`, `88 F`, `31°C`, `300 K`, or degrees Celsius as a number.

    From absolute zero to 1500 °C; outside, `OutOfRange`.
    """
    typed = Typed(given, names.TEMPERATURE, what)
    value, unit = typed.value_and_unit()
    scale = typed.meaning(unit) if unit else "c"
    if scale == "f":
        temp_c = convert.celsius_from_fahrenheit(value)
    else:
        temp_c = convert.celsius_from_kelvin(value) if scale == "k" else value
    if not -convert.ZERO_CELSIUS_K <= temp_c <= 1500:
        raise typed.outside(temp_c, "°C", -convert.ZERO_CELSIUS_K, 1500)
    return temp_c


def share(given: str | float, *, what: str = "a share") -> float:
    """A fraction from 0 to 1 from `55 %`, `0.55`, `8 in 10` or `1/3`; a bare number over 1 is refused."""
    typed = Typed(given, names.SHARE, what)
    odds = _ODDS.fullmatch(numbers.tidied(given)) if isinstance(given, str) else None
    value, unit = (typed.number("", f"{odds[1]}/{odds[2]}", ""), "") if odds else typed.value_and_unit()
    typed.not_negative(value)
    if unit:
        times, per = typed.meaning(unit)
        if value > per:
            raise typed.outside(value, "%", 0, 100)
        return value * times / per
    if value > 100 or (odds and value > 1):
        raise typed.outside(value, "", 0, 1)
    if value > 1:
        raise typed.unclear(f"{value:g} %", f"{value / 100:g}")
    return value


def strength(given: str | float, *, what: str = "a strength") -> Strength:
    """A strength from `63 %`, `63 %vol`, `126 proof`, `54 %mass`; a bare number is %vol at 20 °C.

    0 to 100 %, 0 to 200 proof (US); outside, `OutOfRange`. The basis is kept, never converted.
    """
    typed = Typed(given, names.STRENGTH, what)
    value, unit = typed.value_and_unit()
    basis = typed.meaning(unit) if unit else "pct_vol_20c"
    high, unit_shown = _STRENGTH_LIMITS[basis]
    if typed.not_negative(value) > high:
        raise typed.outside(value, unit_shown, 0, high)
    return Strength(value, basis)


def gravity(given: str | float, *, what: str = "a gravity") -> Gravity:
    """A gravity from `1.062`, `1.054 SG 60/60F`, `15.2 P`, `13.2 Bx`, `0.9312 g/ml`, `931.2 kg/m3`.

    A bare number is a relative density 20/20 °C from 0.7 to 1.6; `1062` gets a sentence that guesses 1.062.
    Plato and Brix from -10 to 100, densities from 700 to 1600 kg/m3; outside, `OutOfRange`.
    """
    sg_first = _SG_FIRST.fullmatch(numbers.tidied(given)) if isinstance(given, str) else None
    typed = Typed(f"{sg_first[1]} SG" if sg_first else given, names.GRAVITY, what)
    value, unit = typed.value_and_unit()
    scale, factor = typed.meaning(unit or "SG")
    low, high, unit_shown = _GRAVITY_LIMITS[scale]
    if scale in ("sg_20_20", "sg_60_60F") and 700 <= value <= 1600:
        raise typed.unclear(f"{value / 1000:g}", f"{value:g} kg/m3")
    if not unit and (-10 <= value < low or high < value <= 100):
        raise typed.unclear(f"{value:g} P", f"{value:g} Bx", "a relative density like 1.054")
    if not low <= value * factor <= high:
        raise typed.outside(value * factor, unit_shown, low, high)
    return Gravity(value * factor, scale)


def reading(given: str | float, *, what: str = "a reading") -> Reading:
    """An instrument's reading, with the liquid's temperature if it is said: `47 % at 28C`, `126.4 proof 82F`.

    Also `1.054 @ 31 C`, `13.2 Bx`, `0.9312`. The temperature needs its C or F here, because a bare 82 beside
    a proof would mean °F to one maker and °C to the next.
    """
    if not isinstance(given, str):
        return Reading(gravity(given, what=what), None)
    typed = Typed(given, names.READING, what)
    text = typed.text()
    parted = _AT.fullmatch(text) or _THEN_TEMP.fullmatch(text)
    if not parted:
        return Reading(_strength_or_gravity(text, what), None)
    value_said, temp_said = parted[1].rstrip(" ,"), parted[2]
    if re.fullmatch(r"[+-]?[\d.,]+", temp_said, re.ASCII):
        raise typed.unclear(f"{value_said} at {temp_said} C", f"{value_said} at {temp_said} F")
    value = _strength_or_gravity(value_said, what)
    return Reading(value, temperature_c(temp_said, what=f"the temperature of {what}"))


def dose(given: str, *, what: str = "a dose") -> Dose:
    """A dose per kg of material or of its starch, or per litre: `0.4 mL/kg`, `0.6 kg/t starch`, `1 ml/L`.

    Up to 1000 of its unit; above, `OutOfRange`. A number without a unit says too little and is refused.
    """
    typed = Typed(given, names.DOSE, what)
    parted = numbers.split_number(typed.text())
    units = _DOSE.fullmatch(parted[2]) if parted else None
    if not parted or not units:
        raise typed.stranger(parted[2] if parted else "")
    found = _dose_unit(units[1], units[2], (units[3] or "").lower())
    if not found:
        raise typed.not_understood()
    value = typed.not_negative(typed.number(*parted)) * found[1]
    if value > 1000:
        raise typed.outside(value, found[0].replace("_per_", "/").replace("_", " "), 0, 1000)
    return Dose(value, found[0])


def money(given: str | float, *, what: str = "an amount of money") -> float:
    """An amount of money from `12.50`, `12,50 EUR` or `$12`; which currency it is in is the book's affair."""
    typed = Typed(given, names.MONEY, what)
    if not isinstance(given, str):
        return typed.not_negative(typed.value_and_unit()[0])
    found = _MONEY.fullmatch(typed.text())
    if not found or (found[1] and found[4]):
        raise typed.not_understood()
    sign = found[1] or found[4] or ""
    if not _is_currency(sign):
        raise typed.stranger(sign)
    value = typed.number(found[2], found[3].strip(), found[4] or "")
    return typed.within_reason(typed.not_negative(value))


# The parts ---------------------------------------------------------------------------------------


def _amount(given: str | float, kind: Kind[Factor], what: str) -> float:
    """The value of a quantity in its internal unit, zero or more."""
    typed = Typed(given, kind, what)
    value, unit = typed.value_and_unit()
    if unit:
        factor = typed.find(unit)
        value = value * factor[0] / factor[1] if factor else _sum_of_parts(typed, unit)
    return typed.within_reason(typed.not_negative(value))


def _sum_of_parts(typed: Typed[Factor], unit: str) -> float:
    """The value of `1 lb 4 oz`, `1 h 30 min` or `1h30`: each unit smaller than the one before."""
    text = typed.text()
    parts = numbers.components(text.lstrip("+- "))
    if (
        typed.kind is names.DURATION
        and len(parts) == 2
        and not parts[1][1]
        and typed.find(parts[0][1]) == (1, 1)
    ):
        parts[1] = (parts[1][0], "min")
    if len(parts) < 2:
        raise typed.stranger(unit)
    total, last = 0.0, math.inf
    for written, name in parts:
        times, per = typed.meaning(name)
        if times / per >= last:
            raise typed.not_understood()
        last = times / per
        total += typed.number("", written, name) * times / per
    return -total if text.startswith("-") else total


def _strength_or_gravity(text: str, what: str) -> Strength | Gravity:
    """Whichever the unit says; without one a relative density, as a strength carries its sign."""
    typed = Typed(text, names.READING, what)
    if _SG_FIRST.fullmatch(text):
        return gravity(text, what=what)
    value, unit = typed.value_and_unit()
    if unit and names.STRENGTH.find(unit):
        return strength(text, what=what)
    if not unit and 1.6 < value <= 100:
        raise typed.unclear(*(f"{value:g} {name}" for name in ("%", "P", "Bx")))
    if unit and not names.GRAVITY.find(unit):
        raise typed.stranger(unit)
    return gravity(text, what=what)


def _dose_unit(above: str, below: str, of: str) -> tuple[DoseUnit, float] | None:
    """The dose's unit and the factor to it, or nothing if the two units make no dose."""
    volume, per_volume = _found(names.VOLUME, above), _found(names.VOLUME, below)
    measured, per_mass = volume or _found(names.MASS, above), _found(names.MASS, below)
    if not measured:
        return None
    in_thousandths = 1000 * measured[0] / measured[1]
    if volume and per_volume and of in _LIQUIDS:
        return "ml_per_l", in_thousandths / per_volume[0] * per_volume[1]
    if not per_mass or not (of in _MATERIALS or of == "starch"):
        return None
    unit = f"{'ml' if volume else 'g'}_per_kg{'_starch' if of == 'starch' else ''}"
    return cast(DoseUnit, unit), in_thousandths / per_mass[0] * per_mass[1]


def _found(kind: Kind[Factor], name: str) -> Factor | None:
    """What a unit stands for, or nothing if it is unknown or not clear."""
    try:
        return kind.find(name)
    except numbers.TwoWays:
        return None


def _is_currency(sign: str) -> bool:
    """Whether this can be a currency's sign or its code of three letters, and no unit of something else."""
    if sign.casefold() in _CURRENCY_WORDS or not _CURRENCY_SIGNS.isdisjoint(sign):
        return True
    return len(sign) == 3 and sign.isalpha() and names.kind_of(sign) is None
