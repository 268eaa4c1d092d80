"""Musts and washes from typed text: one reading for a must, two or three for a wash."""

from __future__ import annotations

from typing import cast

from caskward.errors import LighterThanWater, MissingValue, TooSweetToTell, WrongKind
from caskward.gauging.attenuation import wash_now
from caskward.gauging.gravity import GravityReading, GravityScale, RefractometerReading, SugarReading, must
from caskward.gauging.instruments import Kind, instrument
from caskward.services import gauging_typed as typed
from caskward.services.gauging_asks import ReadingAsk, WashAnswer, WashAsk
from caskward.units import types as units

_SUGAR_KINDS: tuple[Kind, ...] = ("hydrometer", "density meter")


def gauge_wash(ask: WashAsk) -> WashAnswer:
    """The answer to `gauging.gauge_wash`."""
    notes = typed.Notes()
    original = sugar_reading(ask.original, notes, "original gravity") if ask.original else None
    now = "gravity now" if ask.original or ask.refractometer else "gravity"
    gravity = sugar_reading(ask.gravity, notes, now) if ask.gravity else None
    light = (
        sugar_reading(ask.refractometer, notes, "refractometer", by_light=True) if ask.refractometer else None
    )
    if isinstance(gravity, RefractometerReading):
        light, gravity = light or gravity, None
    found = tuple(one for one in (original, gravity, light) if one)
    if not found:
        raise MissingValue("A wash", "at least one reading", "1.062 at 24 C")
    if len(found) == 1:
        alone = must(found[0])
        if alone.plato.high < 0.0:
            raise LighterThanWater(alone.plato.value)
        return WashAnswer(alone, None, found, tuple(notes.said))
    if original and gravity and must(gravity).plato.low > must(original).plato.high:
        why = "now it is heavier than before it fermented, as if the two were swapped"
        raise TooSweetToTell("The original gravity", "the gravity now", why)
    washed = wash_now(
        original,
        gravity if isinstance(gravity, GravityReading) else None,
        light if isinstance(light, RefractometerReading) else None,
    )
    return WashAnswer(None, washed, found, tuple(notes.said))


def sugar_reading(ask: ReadingAsk, notes: typed.Notes, name: str, by_light: bool = False) -> SugarReading:
    """A reading of a wash or a sugar solution, by hydrometer, density meter or refractometer."""
    found = typed.read(ask.reading, f"the {name}")
    if isinstance(found.value, units.Strength):
        raise WrongKind(f"the {name}", ask.reading, "a strength", "a gravity", "1.062, 15.2 P or 13.2 Bx")
    scale = typed.NAMES[found.value.scale]
    light = by_light or (bool(ask.instrument) and instrument(ask.instrument).kind == "refractometer")
    if light:
        if scale != "plato":
            raise WrongKind(f"the {name}", ask.reading, "a gravity", "a refractometer reading", "13.2 Bx")
        device = typed.device(ask, notes, ("refractometer",), "refractometer")
        return RefractometerReading(
            found.value.value,
            _sugar_temperature(ask, found, notes, name),
            device,
            typed.thermometer(ask, device, notes),
            ask.corrects_itself,
            name,
        )
    device = typed.device(ask, notes, _SUGAR_KINDS, typed.usual_for_wash(scale, ask.reading))
    as_density = scale == "sg" and typed.is_density_without_unit(ask.reading, device, notes)
    return GravityReading(
        1000.0 * found.value.value if as_density else found.value.value,
        "density_kg_m3" if as_density else cast(GravityScale, scale),
        _sugar_temperature(ask, found, notes, name),
        device,
        typed.thermometer(ask, device, notes),
        typed.calibration(ask, found),
        ask.in_air,
        name,
    )


def _sugar_temperature(ask: ReadingAsk, found: units.Reading, notes: typed.Notes, name: str) -> float:
    temp_c = typed.said_temperature(ask, found)
    if temp_c is not None:
        return temp_c
    notes.say(f"The {name} is taken at 20 °C, as no temperature was said.")
    return typed.USUAL_C
