"""Readings as they go into the book: as typed, with the number in them, the instrument and its warmth."""

from __future__ import annotations

import re
from collections.abc import Callable

from caskward.book.entry import Reading, decimal_text
from caskward.gauging.instruments import Instrument
from caskward.units import parse
from caskward.units.types import Strength

_NUMBER_AND_UNIT = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*(\D.*)?", re.ASCII)


def kept_reading(
    quantity: str, typed: str, device: Instrument | None = None, temp_c: float | None = None
) -> Reading:
    """A reading as it goes into the book: as typed, with what it was read on and how warm it was [°C]."""
    value, unit = _number(typed, quantity)
    tolerance = None
    if device is not None and device.unit == "share":
        tolerance = rounded(abs(float(value)) * device.error)
    elif device is not None and device.unit.casefold() == (unit if unit != "%" else "%vol").casefold():
        tolerance = rounded(device.error + device.division / 2.0)
    return Reading(
        quantity=quantity,
        typed=typed,
        value=value,
        unit=unit,
        instrument=device.name if device else "",
        temp_c=None if temp_c is None else rounded(temp_c, 2),
        tolerance=tolerance,
    )


def _number(typed: str, quantity: str) -> tuple[str, str]:
    """Number and unit as they were typed; written in another way, in the unit that is kept."""
    plain = _NUMBER_AND_UNIT.fullmatch(" ".join(typed.split()))
    if plain:
        return plain[1], (plain[2] or "").strip() or ("SG" if quantity.startswith("gravity") else "")
    if quantity in _IN_ONE_UNIT:
        unit, read = _IN_ONE_UNIT[quantity]
        return rounded(read(typed)), unit
    value = parse.reading(typed).value
    return rounded(value.value), "%vol" if isinstance(value, Strength) else "SG"


_IN_ONE_UNIT: dict[str, tuple[str, Callable[[str], float]]] = {
    "volume": ("L", parse.volume_l),
    "mass": ("kg", parse.mass_kg),
}


def rounded(value: float, digits: int = 9) -> str:
    """A figure as the decimal that is kept of it."""
    return decimal_text(round(value, digits))
