"""What is typed for a correction card: the instrument, ranges of marks and temperatures, the targets."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

from caskward.errors import NotUnderstood, OptionsClash, OutOfRange
from caskward.gauging.instruments import Instrument, instrument
from caskward.properties import alcohol
from caskward.services.gauging_liquids import strength_pct_vol
from caskward.units import convert, parse
from caskward.units.types import UnitSystem

MOST_MARKS, MOST_TEMPS, MOST_FROM, MOST_TO = 21, 11, 9, 6
"""Rows and columns that stay readable at arm's length on one page."""
_MARKS = {"%vol": (40.0, 80.0), "proof": (80.0, 160.0), "%mass": (33.0, 74.0), "kg/m3": (860.0, 950.0)}
_MOST_OF = {"%vol": 100.0, "proof": 200.0, "%mass": 100.0, "kg/m3": 1000.0}
_TEMPS: dict[UnitSystem, tuple[float, float]] = {"metric": (10.0, 30.0), "us": (50.0, 90.0)}
_TARGETS: dict[UnitSystem, str] = {
    "metric": "63, 60, 50, 46, 43, 40 %",
    "us": "125, 110, 100, 90, 86, 80 proof",
}
_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_NUMBER = r"(-?\d+(?:[.,]\d+)?)"
_RANGE = re.compile(
    rf"{_NUMBER}\s*(?:%(?:vol|mass)?|proof|°?[CF]|kg/m[3³])?\s*(?:to|-|–|\.\.)\s*{_NUMBER}", re.IGNORECASE
)
_EXAMPLES = {"marks": "40 to 75", "temps": "5 to 35 C"}


@dataclass(frozen=True, slots=True)
class CardAsk:
    """A card as a maker asks for it; an empty field takes what is usual.

    meter         key of an alcoholometer or a density hydrometer; error, thermometer: as in `ReadingAsk`
    calibrated_at what its scale is made for; glass: false if it does not grow like glass
    marks, temps  from which to which: `40 to 75`, `5 to 35 C`, `40 to 95 F`
    targets       strengths to reduce to: `63, 46, 40 %`
    system        units of the card; otherwise those of the instrument
    """

    meter: str = "glass-narrow"
    error: str = ""
    thermometer: str = ""
    calibrated_at: str = ""
    glass: bool = True
    marks: str = ""
    temps: str = ""
    targets: str = ""
    system: UnitSystem | None = None


def device_of(ask: CardAsk) -> Instrument:
    """The instrument, with the maker's own limit of error if one is given."""
    device = instrument(ask.meter, "alcoholmeter", "hydrometer")
    if device.unit not in _MARKS:
        advice = "Name an alcoholometer or a density hydrometer: it is for spirit."
        raise OptionsClash("A correction card", f"a {device.name}", advice)
    if ask.error:
        error = re.match(r"[±\s]*(\d+(?:[.,]\d+)?)", ask.error)
        if not error or not 0.0 < float(error[1].replace(",", ".")) < 100.0:
            raise NotUnderstood("a limit of error", ask.error, "0.2")
        device = device.with_error(float(error[1].replace(",", ".")))
    return device if ask.glass else replace(device, grows=False)


def calibration_c(ask: CardAsk, device: Instrument) -> float:
    """The temperature [°C] that the scale is made for."""
    if not ask.calibrated_at:
        return alcohol.TEMP_60F_C if device.unit == "proof" else 20.0
    temp_c = parse.temperature_c(ask.calibrated_at, what="the scale's own temperature")
    if not 4.0 <= temp_c <= 30.0:
        raise OutOfRange(
            "The scale's own temperature", temp_c, "°C", 4.0, 30.0, "It stands on the instrument."
        )
    return temp_c


def marks_of(ask: CardAsk, device: Instrument) -> tuple[float, ...]:
    """Marks of the rows, in the instrument's unit."""
    marks = _spread(_range(ask.marks, "marks", _MARKS[device.unit]), MOST_MARKS)
    if not 0.0 <= marks[0] <= marks[-1] <= _MOST_OF[device.unit]:
        raise OutOfRange("A mark of the scale", max(marks, key=abs), device.unit, 0.0, _MOST_OF[device.unit])
    return marks


def _range(text: str, what: str, usual: tuple[float, float]) -> tuple[float, float]:
    if not text:
        return usual
    found = _RANGE.match(text.strip())
    if not found:
        raise NotUnderstood(f"the card's {what}", text, _EXAMPLES[what])
    low, high = (float(found[n].replace(",", ".")) for n in (1, 2))
    if not low < high:
        raise NotUnderstood(f"the card's {what}, the lower one first", text, _EXAMPLES[what])
    return low, high


def temperatures(text: str, system: UnitSystem) -> tuple[float, ...]:
    """Temperatures of the columns, in the card's own unit."""
    low, high = _range(text, "temps", _TEMPS[system])
    unit = re.search(r"[cf]\b", text, re.IGNORECASE)
    if unit:
        to_c = convert.celsius_from_fahrenheit if unit[0].casefold() == "f" else float
        low, high = (shown_temp(to_c(one), system) for one in (low, high))
    for end in (low, high):
        temp_c = celsius(end, system)
        if not alcohol.TEMP_MIN_C <= temp_c <= alcohol.TEMP_MAX_C:
            raise OutOfRange(
                "A temperature of the card", temp_c, "°C", alcohol.TEMP_MIN_C, alcohol.TEMP_MAX_C
            )
    return _spread((low, high), MOST_TEMPS)


def _spread(ends: tuple[float, float], most: int) -> tuple[float, ...]:
    """Round figures from one end to the other, as many as fit."""
    low, high = ends
    for step in _STEPS:
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first < most:
            return tuple(round(n * step, 6) for n in range(first, last + 1))
    raise OutOfRange("The range of the card", high - low, "", 0.1, most * _STEPS[-1])


def targets_of(text: str, system: UnitSystem) -> tuple[float, ...]:
    """Strengths to reduce to in the card's own unit, the strongest first."""
    parts = [part.strip() for part in re.split(r"[;/]|,\s|\band\b", text or _TARGETS[system]) if part.strip()]
    unit = "proof" if "proof" in (text or _TARGETS[system]) else "%"
    if not 1 <= len(parts) <= MOST_TO:
        raise OutOfRange("How many strengths the card reduces to", len(parts), "", 1, MOST_TO)
    found = []
    for part in parts:
        pct_vol = strength_pct_vol(
            part if re.search(r"[%a-z]", part) else f"{part} {unit}", "a target of the card"
        )
        if not 1.0 <= pct_vol <= 95.0:
            raise OutOfRange("A target of the card", pct_vol, "%vol", 1.0, 95.0)
        found.append(round(float(alcohol.proof_60f(pct_vol)) if system == "us" else pct_vol, 6))
    return tuple(sorted(set(found), reverse=True))


def celsius(temp: float, system: UnitSystem) -> float:
    """A temperature of the card [°C or °F] in °C."""
    return convert.celsius_from_fahrenheit(temp) if system == "us" else temp


def shown_temp(temp_c: float, system: UnitSystem) -> float:
    """A temperature [°C] in the card's own unit."""
    return convert.fahrenheit_from_celsius(temp_c) if system == "us" else temp_c
