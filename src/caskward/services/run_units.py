"""Figures of a run as plain numbers in the maker's own units, for a picture's scales and prefilled fields."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from caskward.properties import alcohol
from caskward.units import convert
from caskward.units.types import UnitSystem


@dataclass(frozen=True)
class Scale:
    """How a figure is counted: the unit's name, and a value's own number in it."""

    unit: str
    own: Callable[[float], float]


def scales(system: UnitSystem) -> tuple[Scale, Scale, Scale]:
    """Scales for litres over, strength at the spout, warmth at the head."""
    if system == "us":
        return (
            Scale("gallons", convert.us_gallons_from_litres),
            Scale("proof", lambda pct_vol: float(alcohol.proof_60f(pct_vol))),
            Scale("°F", convert.fahrenheit_from_celsius),
        )
    return Scale("litres", float), Scale("%vol", float), Scale("°C", float)


def typed_litres(volume_l: float, system: UnitSystem) -> str:
    """A volume as a maker types it, to a hundredth of a litre: `12.3 L`, `3.25 gal`."""
    if system == "us":
        return f"{_bare(convert.us_gallons_from_litres(volume_l), 3)} gal"
    return f"{_bare(volume_l, 2)} L"


def _bare(value: float, digits: int) -> str:
    return f"{value:.{digits}f}".rstrip("0").rstrip(".") or "0"
