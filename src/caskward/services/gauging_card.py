"""A correction card's figures: what a maker's own instrument really says over their usual temperatures.

Three tables for a day without power: true strength by indicated strength and temperature, what to take off a
volume for each degree, and the water that brings a kilogram or a litre from one strength to another.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from caskward.errors import InputError, NoSuchCard
from caskward.gauging.figure import Figure
from caskward.gauging.instruments import Instrument
from caskward.gauging.liquids import Liquid, by_scale, by_volume
from caskward.gauging.mixing import bring
from caskward.gauging.readings import Scale, SpiritReading
from caskward.gauging.strength import Gauged, gauge
from caskward.properties import alcohol
from caskward.services.gauging_card_asks import (
    MOST_FROM,
    CardAsk,
    calibration_c,
    celsius,
    device_of,
    marks_of,
    shown_temp,
    targets_of,
    temperatures,
)
from caskward.services.gauging_typed import clock
from caskward.units.types import UnitSystem

_SCALES: dict[str, Scale] = {
    "%vol": "pct_vol",
    "proof": "us_proof",
    "%mass": "pct_mass",
    "kg/m3": "density_kg_m3",
}
_SPAN_K = 10.0


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
    device = device_of(ask)
    system: UnitSystem = ask.system or ("us" if device.unit == "proof" else "metric")
    made_for_c = calibration_c(ask, device)
    marks = marks_of(ask, device)
    temps = temperatures(ask.temps, system)
    read_by = clock(ask.thermometer)

    def cell(mark: float, temp: float) -> Gauged | None:
        here_c = celsius(temp, system)
        return _cell(SpiritReading(mark, _SCALES[device.unit], here_c, device, read_by, made_for_c))

    grid = [[cell(mark, temp) for temp in temps] for mark in marks]
    figures = [[_figure(cell, system) for cell in row] for row in grid]
    strengths = [[one.pct_vol.value for one in row if one] for row in grid]
    if not any(strengths):
        raise NoSuchCard(marks[0], marks[-1], device.unit)
    targets = targets_of(ask.targets, system)
    return Card(
        instrument=device,
        thermometer=read_by,
        calibrated_at=shown_temp(made_for_c, system),
        system=system,
        unit=device.unit,
        marks=marks,
        temps=temps,
        strength=tuple(tuple(one.value if one else None for one in row) for row in figures),
        take_off=tuple(_take_off(row, system) for row in strengths),
        half_width=max(one.half_width for row in figures for one in row if one),
        targets=targets,
        reductions=_reductions(targets, max(max(row, default=0.0) for row in strengths), system),
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
