"""An amount as it was typed, `20 L 63 % at 18 C on oiml-2`, brought to 20 °C with its doubt.

The reading is kept raw. What was left out is taken from the book where it has it (the strength of what is in
the place) and from habit where it does not, and that is said.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from caskward.book.amounts import NONE, Liquid, liquid, ul
from caskward.book.entry import Reading
from caskward.errors import MissingValue, NotUnderstood, OptionsClash
from caskward.errors.book_asked import HowMuchOfIt
from caskward.errors.book_typed import HowMuch, NotJustWords, WhatStrength
from caskward.gauging.instruments import Instrument, instrument
from caskward.gauging.readings import SpiritReading
from caskward.gauging.strength import Quantity
from caskward.properties import water
from caskward.services import gauging
from caskward.services.book.amount_said import (
    Measured,
    Tools,
    all_taken,
    is_nothing,
    of_instrument,
    reason,
    without_water,
)
from caskward.services.book.kept_readings import kept_reading, rounded
from caskward.services.gauging_asks import GaugeAnswer, GaugeAsk, ReadingAsk, WashAsk
from caskward.services.gauging_said import Said, said
from caskward.units import parse

_AT_20 = 20.0
_NO_DOUBT = "0.001"
"""Limit of error that stands for a strength which is taken as it is [%vol]."""


@dataclass(slots=True)
class _Task:
    text: str
    found: Said
    tools: Tools
    there: Liquid
    notes: list[str] = field(default_factory=list)
    devices: list[str] = field(default_factory=list)


def measured(
    text: str,
    there: Liquid = NONE,
    tools: Tools | None = None,
    *,
    words: bool = False,
    whole: bool = True,
) -> Measured:
    """An amount as typed.

    Args:
        text: `120 L 8.1 % at 24 C`, `18.5 kg 63 % at 18 C`, `20 L` at the strength of what is there, `63 % at
            18 C` of all of it, `all`.
        there: what the book has in the place that the amount is of.
        words: other words may stand behind it, such as a reason; else they are refused.
        whole: a strength alone is of all that is there; else the amount is asked for, since it is taken.

    Raises:
        InputError: text that makes no sense, no amount, or a strength that is missing.
    """
    tools = tools or Tools()
    everything, rest = all_taken(text)
    if not rest.strip() and everything:
        return Measured(there, all=True, unmeasured=True)
    found = without_water(said(rest))
    if found.name and not words:
        raise NotJustWords(found.name, text)
    if everything and not (found.volume or found.mass or found.reading):
        return Measured(there, all=True, unmeasured=True, words=reason(rest, found.name))
    if not (whole or everything or found.volume or found.mass) and found.reading:
        raise HowMuchOfIt(text)
    task = _Task(text, _with_tools(found, tools), tools, there)
    done = _measured(task)
    within = _within(tools.within, done) if tools.within else done.within
    return replace(
        done,
        within=within,
        all=everything,
        words=reason(rest, found.name),
        notes=tuple(task.notes),
        devices=tuple(task.devices),
    )


def volume_20_l(text: str, what: str, pct_vol: float = 0.0) -> float:
    """A volume or mass of a liquid of known strength, `4.2 L at 15 C` or `4.2 kg`, as litres at 20 °C."""
    known = liquid(1, rounded(pct_vol, 6))
    done = measured(text, known)
    if done.all or done.unmeasured:
        raise NotUnderstood(what, text, "4.2 L")
    return done.liquid.bulk_ul / 1e6


# How it is worked out ----------------------------------------------------------------------------


def _measured(task: _Task) -> Measured:
    found = task.found
    if found.volume and found.mass:
        raise OptionsClash(found.volume, found.mass, "Say how much there is in one of the two.")
    if task.tools.original:
        return _of_wash(task)
    if is_nothing(found.reading):
        return _without_alcohol(task)
    if found.reading:
        return _of_reading(task)
    if not (found.volume or found.mass):
        raise HowMuch(task.text)
    return _at_known_strength(task)


def _of_reading(task: _Task) -> Measured:
    """With a strength that was read."""
    found = task.found
    if not (found.volume or found.mass) and not task.there.bulk_ul:
        raise HowMuch(task.text)
    if gauging.is_of_a_wash(found.reading):
        raise MissingValue(
            f"The gravity {found.reading}", "what it was before it fermented", "--original 1.062"
        )
    answer = gauging.gauge(_ask(task))
    task.devices += [note for note in answer.assumed if of_instrument(note)]
    task.notes += [note for note in answer.assumed if not of_instrument(note)]
    readings = (*_amount_read(task, answer.readings[0].temp_c), *_strength_read(task, answer))
    if answer.gauged.quantity is None:
        pct, doubt = answer.gauged.pct_vol.value, answer.gauged.pct_vol.half_width
        bulk_l = task.there.bulk_ul / 1e6
        return Measured(
            liquid(rounded(bulk_l), rounded(pct)), _doubt(ul(rounded(bulk_l * doubt / 100.0)), 0), readings
        )
    return _of_quantity(answer.gauged.quantity, readings)


def _at_known_strength(task: _Task) -> Measured:
    """At the strength that the book has there; the doubt is that of the amount alone."""
    if not task.there.bulk_ul:
        raise WhatStrength(task.text)
    pct = task.there.pct_vol
    if pct == 0.0:
        return _without_alcohol(task)
    known = ReadingAsk(reading=f"{pct:.6f} % at 20 C", error=_NO_DOUBT, thermometer="0.01 K")
    temp = task.found.volume_temp or task.found.temp
    ask = replace(_ask(task), readings=(known,), volume_temp=temp or "20 C")
    quantity = gauging.gauge(ask).gauged.quantity
    assert quantity is not None
    temp_c = parse.temperature_c(temp) if temp else None
    if temp_c is None and task.found.volume:
        task.notes.append("The volume is taken as of 20 °C, since no temperature was said.")
    bulk_ul = ul(rounded(quantity.volume_20_l.value))
    doubt_ul = ul(rounded(quantity.volume_20_l.half_width))
    return Measured(
        task.there.part(bulk_ul),
        task.there.part(doubt_ul),
        _amount_read(task, temp_c if temp_c is not None else _AT_20),
    )


def _without_alcohol(task: _Task) -> Measured:
    """Water, or a mash before yeast: its warmth is that of water, which may be hot."""
    found = task.found
    if not (found.volume or found.mass):
        raise HowMuch(task.text)
    temp = found.volume_temp or found.temp
    temp_c = parse.temperature_c(temp, what="the temperature of the volume") if temp else _AT_20
    at_20 = float(water.density(_AT_20))
    if found.volume:
        bulk_l = parse.volume_l(found.volume) * float(water.density(temp_c)) / at_20
    else:
        bulk_l = parse.mass_kg(found.mass) / (at_20 / 1000.0)
    device = _amount_device(task)
    doubt_l = 1.959964 * device.standard_at(bulk_l)
    return Measured(
        Liquid(0, ul(rounded(bulk_l))), Liquid(0, ul(rounded(doubt_l))), _amount_read(task, temp_c)
    )


def _of_wash(task: _Task) -> Measured:
    """By its gravity before it fermented and its gravity now."""
    found, before = task.found, task.tools.original
    if not found.reading:
        raise MissingValue("A wash", "its gravity now", "1.008 at 24 C")
    now = ReadingAsk(found.reading, found.temp, found.instrument, thermometer=found.thermometer)
    washed = gauging.gauge_wash(WashAsk(ReadingAsk(before, found.temp), now)).washed
    if washed is None:
        raise MissingValue("A wash", "two gravities", "--original 1.062")
    kept = tuple(
        kept_reading(what, text, temp_c=_temp_c(found.temp))
        for what, text in (("gravity before", before), ("gravity", found.reading))
    )
    done = _amount_of_wash(task, rounded(washed.pct_vol.value))
    spread_ul = ul(rounded(done.liquid.bulk_ul * washed.pct_vol.half_width / 100e6))
    return Measured(
        done.liquid, _doubt(done.within.alcohol_ul + spread_ul, done.within.bulk_ul), (*done.readings, *kept)
    )


def _amount_of_wash(task: _Task, pct_vol: str) -> Measured:
    found = task.found
    if not (found.volume or found.mass):
        if not task.there.bulk_ul:
            raise HowMuch(task.text)
        return Measured(liquid(rounded(task.there.bulk_ul / 1e6), pct_vol))
    amount = replace(found, reading="", volume_temp=found.volume_temp or found.temp)
    return _at_known_strength(replace(task, found=amount, there=liquid(1, pct_vol)))


def _of_quantity(quantity: Quantity, readings: tuple[Reading, ...]) -> Measured:
    bulk, alcohol = quantity.volume_20_l, quantity.lpa
    bulk_ul = ul(rounded(bulk.value))
    now = Liquid(min(ul(rounded(alcohol.value)), bulk_ul), bulk_ul)
    return Measured(now, _doubt(ul(rounded(alcohol.half_width)), ul(rounded(bulk.half_width))), readings)


# The parts ---------------------------------------------------------------------------------------


def _doubt(alcohol_ul: int, bulk_ul: int) -> Liquid:
    """A doubt of both; that of the liquid is no smaller than that of the alcohol in it."""
    return Liquid(alcohol_ul, max(alcohol_ul, bulk_ul))


def _with_tools(found: Said, tools: Tools) -> Said:
    """What the words say goes with what the options say; the same said twice is refused."""
    pairs = (
        ("instrument", tools.meter),
        ("doubt", tools.error),
        ("thermometer", tools.thermometer),
        ("by", tools.measured_by),
    )
    for name, given in pairs:
        before = getattr(found, name)
        if given and before:
            raise OptionsClash(before, given, "Say it once.")
    return replace(
        found,
        instrument=found.instrument or tools.meter,
        doubt=found.doubt or tools.error,
        thermometer=found.thermometer or tools.thermometer,
        by=found.by or tools.measured_by,
    )


def _ask(task: _Task) -> GaugeAsk:
    found, tools = task.found, task.tools
    one = ReadingAsk(
        reading=found.reading,
        temp=found.temp,
        instrument=found.instrument,
        error=found.doubt,
        thermometer=found.thermometer,
        calibrated_at=tools.calibrated,
        in_air=found.in_air,
    )
    return GaugeAsk(
        (one,), found.volume, found.volume_temp, found.mass, amount_by=found.by, vessel=tools.vessel
    )


def _within(text: str, done: Measured) -> Liquid:
    """The tolerance that was said: of the liquid, and as much of its alcohol."""
    if text.rstrip().endswith("%"):
        part = parse.share(text, what="the tolerance")
        bulk_ul = ul(rounded(done.liquid.bulk_ul * part / 1e6))
    else:
        bulk_ul = ul(rounded(parse.volume_l(text, what="the tolerance")))
    if done.liquid.bulk_ul:
        return Liquid(done.liquid.alcohol_ul * bulk_ul // done.liquid.bulk_ul, bulk_ul)
    return Liquid(bulk_ul, bulk_ul)


def _amount_device(task: _Task) -> Instrument:
    found = task.found
    return instrument(found.by or ("dip" if found.volume else "scale"), "volume" if found.volume else "scale")


def _amount_read(task: _Task, temp_c: float) -> tuple[Reading, ...]:
    found = task.found
    if not (found.volume or found.mass):
        return ()
    text, device = found.volume or found.mass, _amount_device(task)
    if found.volume_temp:
        temp_c = parse.temperature_c(found.volume_temp)
    what = "volume" if found.volume else "mass"
    return (kept_reading(what, text, device, temp_c if found.volume else None),)


def _strength_read(task: _Task, answer: GaugeAnswer) -> tuple[Reading, ...]:
    read = answer.readings[0]
    if not isinstance(read, SpiritReading):
        return ()
    kept = kept_reading("strength", task.found.reading, read.instrument, read.temp_c)
    return (replace(kept, calibrated_at_c=rounded(read.calibrated_at_c, 3)),)


def _temp_c(text: str) -> float | None:
    return parse.temperature_c(text) if text else None
