"""Amounts as a report shows them, in the maker's own unit and so rounded that what is shown adds up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from caskward.book.accounts import family_of
from caskward.book.amounts import UL_PER_L
from caskward.book.words import said
from caskward.properties import alcohol
from caskward.units import convert
from caskward.units.types import UnitSystem

_THOUSANDTHS = 1000


@dataclass(frozen=True, slots=True)
class PureUnit:
    """A unit of pure alcohol: its short name, its name in a heading, and how many µL at 20 °C it is."""

    short: str
    words: str
    ul: Fraction


LITRE = PureUnit("L", "litres of pure alcohol", Fraction(UL_PER_L))


def proof_gallon() -> PureUnit:
    """The proof gallon: half a US gallon of pure alcohol at 60 °F, here in µL at 20 °C. Source: 27-cfr-30."""
    growth = float(alcohol.density(1.0, alcohol.TEMP_60F_C)) / alcohol.ETHANOL_DENSITY_20C
    litres = convert.litres_from_us_gallons(0.5) * growth
    return PureUnit("proof gal", "proof gallons", Fraction(litres) * UL_PER_L)


def pure_unit(system: UnitSystem) -> PureUnit:
    """What pure alcohol is counted in."""
    return LITRE if system == "metric" else proof_gallon()


def thousandths(parts_ul: Sequence[int], unit: PureUnit) -> list[int]:
    """Amounts [µL], above or below nothing, in thousandths of a unit, whose sum is the rounded sum of all.

    Each is within one thousandth of its own value: rounded down, and the largest remainders get one more.
    """
    exact = [Fraction(part) * _THOUSANDTHS / unit.ul for part in parts_ul]
    floors = [value.__floor__() for value in exact]
    missing = round(sum(exact, Fraction(0))) - sum(floors)
    by_remainder = sorted(range(len(exact)), key=lambda place: (floors[place] - exact[place], place))
    for place in by_remainder[:missing]:
        floors[place] += 1
    return floors


def decimal(thousandth: int) -> str:
    """`-1.292` of -1292."""
    whole, rest = divmod(abs(thousandth), _THOUSANDTHS)
    return f"{'-' if thousandth < 0 else ''}{whole}.{rest:03d}"


def pure(amount_ul: int, unit: PureUnit) -> str:
    """One amount of pure alcohol, without its unit: `15.246`."""
    return decimal(round(Fraction(amount_ul) * _THOUSANDTHS / unit.ul))


def goods(amount: int, commodity: str, system: UnitSystem) -> str:
    """A material or dry good, to the gram or millilitre: `64.5 kg`, `240 g`, `42 mL`, `60 pieces`."""
    family = family_of(commodity)
    if family == "piece":
        return said(amount, commodity, system)
    whole = amount / UL_PER_L
    large, small, parts = ("kg", "g", 1000.0) if family == "mass" else ("L", "mL", 1000.0)
    if system == "us":
        mass = family == "mass"
        large, small, parts = ("lb", "oz", 16.0) if mass else ("gal", "fl oz", 128.0)
        whole = convert.pounds_from_kg(whole) if mass else convert.us_gallons_from_litres(whole)
    if abs(whole) < 1.0:
        return f"{_trimmed(whole * parts, 1)} {small}"
    return f"{_trimmed(whole, 3 if system == 'metric' else 2)} {large}"


def _trimmed(value: float, decimals: int) -> str:
    return f"{value:.{decimals}f}".rstrip("0").rstrip(".")


def volume(amount_ul: int, system: UnitSystem) -> str:
    """A volume with its unit and three decimals, so that columns add up to the millilitre: `24.200 L`."""
    litres = amount_ul / UL_PER_L
    if system == "us":
        return f"{convert.us_gallons_from_litres(litres):.3f} gal"
    return f"{decimal(round(Fraction(amount_ul, UL_PER_L // _THOUSANDTHS)))} L"
