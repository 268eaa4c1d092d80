"""Whole amounts as a person reads them, with enough digits to tell two of them apart."""

from __future__ import annotations

from caskward.book.accounts import ALCOHOL, BULK, family_of, name_of
from caskward.units import convert
from caskward.units.types import UnitSystem

_SHORT, _FULL, _OF_AN_OUNCE = 3, 6, 2
_SMALL = {"gal": ("fl oz", 128.0), "lb": ("oz", 16.0)}
_SMALL_BELOW = {"gal": 0.49995, "lb": 0.9995}


def said(amount: int, commodity: str, system: UnitSystem = "metric", decimals: int = _SHORT) -> str:
    """An amount with its unit: `24.6 L`, `12.5 kg`, `40 pieces`; `6.499 gal`, `27.558 lb` for a US maker.

    Rounded to `decimals`; what that would show as nothing is shown in full. A US maker reads less than half a
    gallon in fluid ounces and less than a pound in ounces, unless all digits are asked for.
    """
    family = family_of(commodity)
    if family == "piece":
        return f"{amount} piece{'' if abs(amount) == 1 else 's'}"
    unit, value = _in_units(amount, mass=family == "mass", system=system)
    if decimals == _SHORT and abs(value) < _SMALL_BELOW.get(unit, 0.0):
        small, parts = _SMALL[unit]
        unit, value, decimals = small, value * parts, _OF_AN_OUNCE
    shown = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    if amount and shown in ("0", "-0"):
        shown = f"{value:.{_FULL}f}".rstrip("0").rstrip(".")
    return f"{shown} {unit}"


def apart(one: int, other: int, commodity: str, system: UnitSystem = "metric") -> tuple[str, str]:
    """Two unequal amounts, with as many digits as show that they differ."""
    short = said(one, commodity, system), said(other, commodity, system)
    if short[0] != short[1] or one == other:
        return short
    return said(one, commodity, system, _FULL), said(other, commodity, system, _FULL)


def name_in_words(commodity: str) -> str:
    """`pure alcohol`, `liquid`, `rye`."""
    return {ALCOHOL: "pure alcohol", BULK: "liquid"}.get(commodity) or name_of(commodity)


def _in_units(amount: int, *, mass: bool, system: UnitSystem) -> tuple[str, float]:
    metric = amount / 1_000_000
    if system == "us":
        return (
            ("lb", convert.pounds_from_kg(metric))
            if mass
            else ("gal", convert.us_gallons_from_litres(metric))
        )
    return ("kg" if mass else "L"), metric
