"""A correction card's figures: what a maker's own instrument really says over their usual temperatures.

Three tables for a day without power: true strength by indicated strength and temperature, what to take off a
volume for each degree, and the water that brings a kilogram or a litre from one strength to another.
"""

from __future__ import annotations

import json
import math
import re
from dataclasses import asdict, dataclass, replace

from caskward.errors import InputError, NoSuchCard, NotUnderstood, OptionsClash, OutOfRange
from caskward.gauging.figure import Figure
from caskward.gauging.instruments import Instrument, instrument
from caskward.gauging.liquids import Liquid, by_scale, by_volume
from caskward.gauging.mixing import bring
from caskward.gauging.readings import Scale, SpiritReading
from caskward.gauging.strength import Gauged, gauge
from caskward.properties import alcohol
from caskward.services.gauging_liquids import strength_pct_vol
from caskward.services.gauging_typed import clock
from caskward.units import convert, parse
from caskward.units.types import UnitSystem

MOST_MARKS, MOST_TEMPS, MOST_FROM, MOST_TO = 21, 11, 9, 6
"""Rows and columns that stay readable at arm's length on one page."""
_SCALES: dict[str, Scale] = {
    "%vol": "pct_vol",
    "proof": "us_proof",
    "%mass": "pct_mass",
    "kg/m3": "density_kg_m3",
}
_MARKS = {"%vol": (40.0, 80.0), "proof": (80.0, 160.0), "%mass": (33.0, 74.0), "kg/m3": (860.0, 950.0)}
_MOST_OF = {"%vol": 100.0, "proof": 200.0, "%mass": 100.0, "kg/m3": 1000.0}
_TEMPS: dict[UnitSystem, tuple[float, float]] = {"metric": (10.0, 30.0), "us": (50.0, 90.0)}
_TARGETS: dict[UnitSystem, str] = {
    "metric": "63, 60, 50, 46, 43, 40 %",
    "us": "125, 110, 100, 90, 86, 80 proof",
}
_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_RANGE = re.compile(
    r"(-?\d+(?:[.,]\d+)?)\s*([^\d\s-]*)\s*(?:to|-|\.\.|–)\s*(-?\d+(?:[.,]\d+)?)\s*(.*)", re.ASCII
)
_SPAN_K = 10.0
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


@dataclass(frozen=True, slots=True)
class Reduction:
    """Water from one strength to each target: what to weigh in for one unit of mass, and of volume."""

    start: float
    by_mass: tuple[float | None, ...]
    by_volume: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """The figures of a card. Strengths are %vol at 20 °C, or US proof; temperatures °C, or °F.

    unit          of the instrument's marks
    strength      true strength, one row for each mark, one column for each temperature; none where no spirit
                  shows that
    take_off      from 100 litres or gallons for each degree over 20 °C or 60 °F, one for each mark
    half_width    95 times in 100 the truth lies within plus or minus this
    reductions    kg of water for 1 kg and litres for 1 litre, or lb for 1 lb and gallons for 1 gallon
    """

    instrument: Instrument
    thermometer: Instrument
    calibrated_at: float
    system: UnitSystem
    unit: str
    marks: tuple[float, ...]
    temps: tuple[float, ...]
    strength: tuple[tuple[float | None, ...], ...]
    take_off: tuple[float | None, ...]
    half_width: float
    targets: tuple[float, ...]
    reductions: tuple[Reduction, ...]


def card(ask: CardAsk) -> Card:
    """The figures of a maker's own correction card.

    Raises:
        InputError: an instrument that no card is for, or a range that cannot be.
    """
    device = _device(ask)
    system: UnitSystem = ask.system or ("us" if device.unit == "proof" else "metric")
    made_for_c = _calibration(ask, device)
    marks = _spread(_range(ask.marks, "marks", _MARKS[device.unit]), MOST_MARKS)
    if not 0.0 <= marks[0] <= marks[-1] <= _MOST_OF[device.unit]:
        raise OutOfRange("A mark of the scale", max(marks, key=abs), device.unit, 0.0, _MOST_OF[device.unit])
    temps = _temperatures(ask.temps, system)
    read_by = clock(ask.thermometer)
    grid = [
        [
            _cell(SpiritReading(mark, _SCALES[device.unit], _celsius(t, system), device, read_by, made_for_c))
            for t in temps
        ]
        for mark in marks
    ]
    figures = [[_figure(cell, system) for cell in row] for row in grid]
    strengths = [cell.pct_vol.value for row in grid for cell in row if cell]
    if not strengths:
        raise NoSuchCard(marks[0], marks[-1], device.unit)
    targets = _targets(ask.targets, system)
    return Card(
        instrument=device,
        thermometer=read_by,
        calibrated_at=_shown_temp(made_for_c, system),
        system=system,
        unit=device.unit,
        marks=marks,
        temps=temps,
        strength=tuple(tuple(one.value if one else None for one in row) for row in figures),
        take_off=tuple(_take_off([cell.pct_vol.value for cell in row if cell], system) for row in grid),
        half_width=max(one.half_width for row in figures for one in row if one),
        targets=targets,
        reductions=_reductions(targets, max(strengths), system),
    )


def as_json(made: Card) -> str:
    """A card as JSON."""
    return json.dumps(asdict(made), ensure_ascii=False, indent=2)


# True strength -----------------------------------------------------------------------------------


def _cell(reading: SpiritReading) -> Gauged | None:
    """What a mark at a temperature really says, or nothing where no spirit shows it."""
    try:
        return gauge([reading])
    except InputError:
        return None


def _figure(cell: Gauged | None, system: UnitSystem) -> Figure | None:
    """A strength in the card's own unit."""
    if cell is None:
        return None
    return cell.us_proof if system == "us" else cell.pct_vol


def _device(ask: CardAsk) -> Instrument:
    device = instrument(ask.meter, "alcoholmeter", "hydrometer")
    if device.unit not in _SCALES:
        advice = "Name an alcoholometer or a density hydrometer: it is for spirit."
        raise OptionsClash("A correction card", f"a {device.name}", advice)
    if ask.error:
        error = re.match(r"[±\s]*(\d+(?:[.,]\d+)?)", ask.error)
        if not error or not 0.0 < float(error[1].replace(",", ".")) < 100.0:
            raise NotUnderstood("a limit of error", ask.error, "0.2")
        device = device.with_error(float(error[1].replace(",", ".")))
    return device if ask.glass else replace(device, grows=False)


def _calibration(ask: CardAsk, device: Instrument) -> float:
    if not ask.calibrated_at:
        return alcohol.TEMP_60F_C if device.unit == "proof" else 20.0
    temp_c = parse.temperature_c(ask.calibrated_at, what="the scale's own temperature")
    if not 4.0 <= temp_c <= 30.0:
        raise OutOfRange(
            "The scale's own temperature", temp_c, "°C", 4.0, 30.0, "It stands on the instrument."
        )
    return temp_c


# Ranges ------------------------------------------------------------------------------------------


def _range(text: str, what: str, usual: tuple[float, float]) -> tuple[float, float]:
    if not text:
        return usual
    found = _RANGE.match(text.strip())
    if not found:
        raise NotUnderstood(f"the card's {what}", text, _EXAMPLES[what])
    low, high = (float(found[n].replace(",", ".")) for n in (1, 3))
    if not low < high:
        raise NotUnderstood(f"the card's {what}, the lower one first", text, _EXAMPLES[what])
    return low, high


def _temperatures(text: str, system: UnitSystem) -> tuple[float, ...]:
    """Temperatures of the columns, in the card's own unit."""
    low, high = _range(text, "temps", _TEMPS[system])
    unit = re.search(r"[cf]\b", text, re.IGNORECASE)
    if unit:
        to_c = convert.celsius_from_fahrenheit if unit[0].casefold() == "f" else float
        low, high = (_shown_temp(to_c(one), system) for one in (low, high))
    for end in (low, high):
        temp_c = _celsius(end, system)
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


def _targets(text: str, system: UnitSystem) -> tuple[float, ...]:
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


# Volumes and water -------------------------------------------------------------------------------


def _take_off(row: list[float], system: UnitSystem) -> float | None:
    """What 100 litres (gallons) measured warm are more than at 20 °C (60 °F), for each degree, on average.

    row: true strengths behind one mark [%vol]; the middle one stands for them.
    """
    if not row:
        return None
    fraction = alcohol.mass_fraction(row[len(row) // 2])
    base_c = alcohol.TEMP_60F_C if system == "us" else 20.0
    cold, here, warm = (float(alcohol.density(fraction, base_c + d)) for d in (-_SPAN_K, 0.0, _SPAN_K))
    per_k = 100.0 * (cold - warm) / here / (2.0 * _SPAN_K)
    return per_k / 1.8 if system == "us" else per_k


def _reductions(
    targets: tuple[float, ...], highest_pct_vol: float, system: UnitSystem
) -> tuple[Reduction, ...]:
    """Water from round strengths down to each target."""
    step = 10.0 if system == "us" else 5.0
    top = float(alcohol.proof_60f(highest_pct_vol)) if system == "us" else highest_pct_vol
    lowest = min(targets)
    starts = [n * step for n in range(int(top // step), 0, -1) if n * step > lowest][:MOST_FROM]
    return tuple(_reduction(start, targets, system) for start in starts)


def _reduction(start: float, targets: tuple[float, ...], system: UnitSystem) -> Reduction:
    temp_c = alcohol.TEMP_60F_C if system == "us" else 20.0
    spirit = Liquid("spirit", _pct_vol(start, system), temp_c)
    by_mass: list[float | None] = []
    by_measure: list[float | None] = []
    for target in targets:
        if target >= start - 1e-9:
            by_mass.append(None)
            by_measure.append(None)
            continue
        goal, water = _pct_vol(target, system), Liquid("water", 0.0, temp_c)
        weighed = bring([by_scale(spirit, 1.0)], goal, water, temp_c).add
        measured = bring([by_volume(spirit, 1.0)], goal, water, temp_c).add
        by_mass.append(weighed.shown_kg if weighed else None)
        by_measure.append(measured.volume_l if measured else None)
    return Reduction(start, tuple(by_mass), tuple(by_measure))


# Units -------------------------------------------------------------------------------------------


def _pct_vol(strength: float, system: UnitSystem) -> float:
    return float(alcohol.pct_vol_20_from_proof(strength)) if system == "us" else strength


def _celsius(temp: float, system: UnitSystem) -> float:
    return convert.celsius_from_fahrenheit(temp) if system == "us" else temp


def _shown_temp(temp_c: float, system: UnitSystem) -> float:
    return convert.fahrenheit_from_celsius(temp_c) if system == "us" else temp_c
