"""Typed text to liquids with their true strength, and to how much of them there is."""

from __future__ import annotations

import math

from caskward.errors import MissingValue, OutOfRange, PerhapsProof, WrongKind
from caskward.gauging.figure import COVERAGE_95
from caskward.gauging.instruments import Instrument, Kind, instrument
from caskward.gauging.liquids import Liquid, Portion, by_scale, by_volume
from caskward.gauging.strength import Gauged, gauge
from caskward.properties import alcohol
from caskward.services.gauging_asks import LiquidAsk, ReadingAsk
from caskward.services.gauging_typed import USUAL_C, Notes, read, spirit_reading
from caskward.units import parse
from caskward.units import types as units


def strength_pct_vol(text: str, what: str) -> float:
    """A true strength [%vol at 20 °C] from `40 %`, `80 proof` or `33 %mass`."""
    try:
        found = parse.strength(text, what=what)
    except OutOfRange as refusal:
        if refusal.unit == "%vol" and 100.0 < refusal.given <= 200.0:
            raise PerhapsProof(refusal.given) from None
        raise
    if found.basis == "us_proof_60f":
        return float(alcohol.pct_vol_20_from_proof(found.value))
    return float(alcohol.pct_vol(found.value / 100.0)) if found.basis == "pct_mass" else found.value


def label_pct_vol(text: str) -> float:
    """What a label says [%vol as the law counts it there]: half of a proof is the %vol at 60 °F."""
    found = parse.strength(text, what="the label")
    if found.basis == "pct_mass":
        raise WrongKind("a label", text, "a strength by mass", "a strength by volume", "40 % or 80 proof")
    return found.value / 2.0 if found.basis == "us_proof_60f" else found.value


def liquid(ask: LiquidAsk, notes: Notes, usual_name: str) -> tuple[Liquid, Gauged | None]:
    """A liquid with its true strength; a reading is corrected first."""
    name = ask.name or usual_name
    if not ask.strength:
        raise MissingValue(name.capitalize(), "its strength", "63 %")
    found = read(ask.strength, f"the strength of {name}")
    temp_c = parse.temperature_c(ask.temp, what=f"the temperature of {name}") if ask.temp else None
    if found.temp_c is None and isinstance(found.value, units.Strength):
        doubt = parse.strength(ask.doubt, what="the doubt").value if ask.doubt else 0.0
        if not ask.doubt and found.value.value > 0.0:
            notes.say(f"The strength of {name} is taken as exact; give its doubt to see what it does.")
        here_c = USUAL_C if temp_c is None else temp_c
        pct_vol = strength_pct_vol(ask.strength, f"the strength of {name}")
        return Liquid(name, pct_vol, here_c, doubt / COVERAGE_95), None
    read_as = ReadingAsk(
        ask.strength, instrument=ask.instrument, error=ask.doubt, thermometer=ask.thermometer
    )
    reading = spirit_reading(read_as, notes)
    gauged = gauge([reading])
    here_c = reading.temp_c if temp_c is None else temp_c
    return Liquid(name, gauged.pct_vol.value, here_c, gauged.pct_vol.standard), gauged


def portion(ask: LiquidAsk, of: Liquid, notes: Notes) -> Portion:
    """How much of a liquid, with the doubt of what measures it; without an amount as much as is needed."""
    if ask.volume:
        share = _measure(ask, of, notes, "volume", "dip")
        return by_volume(of, parse.volume_l(ask.volume, what=f"the volume of {of.name}"), share)
    if ask.mass:
        share = _measure(ask, of, notes, "scale", "scale")
        return by_scale(of, parse.mass_kg(ask.mass, what=f"the mass of {of.name}"), share)
    share = instrument(ask.by, "scale", "volume").standard if ask.by else instrument("scale").standard
    return Portion(of, math.inf, share)


def _measure(ask: LiquidAsk, of: Liquid, notes: Notes, kind: Kind, usual: str) -> float:
    """Standard uncertainty of an amount as a share of it, by the gear that was named or the usual."""
    device = instrument(ask.by or usual, kind)
    if not ask.by:
        what = "volume" if kind == "volume" else "mass"
        notes.say(
            f"The {what} of {of.name} is taken as measured with a {device.name}, ± {_per_cent(device)} %."
        )
    return device.standard


def _per_cent(device: Instrument) -> str:
    return f"{100.0 * device.error:g}"
