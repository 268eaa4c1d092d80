"""Typed text to readings, amounts and liquids; what was left out is filled in and said."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import cast

from caskward.errors import (
    InputError,
    MissingValue,
    NotUnderstood,
    OutOfRange,
    PerhapsProof,
    TemperatureNotSaid,
    WrongKind,
)
from caskward.gauging.amounts import VESSEL_GROWTH_PER_K, Amount
from caskward.gauging.instruments import Instrument, Kind, instrument
from caskward.gauging.readings import Reading, Scale, SpiritReading, WeighedReading, strength_of_density
from caskward.gauging.solids import Solids, residue_g_l
from caskward.properties import alcohol
from caskward.services.gauging_asks import ReadingAsk
from caskward.units import parse
from caskward.units import types as units

_STRENGTH_KINDS: tuple[Kind, ...] = ("alcoholmeter", "hydrometer", "density meter")
_PER = re.compile(r"(.+?)\s*(?:/|\bper\b|\bin\b|\bfrom\b)\s*(.+)", re.IGNORECASE)
_BARE = re.compile(
    r"\s*[01]?[.,]\d+\s*(?:(?:at|@|,)?\s*[+-]?\d+(?:[.,]\d+)?\s*°?\s*[CF])?\s*", re.IGNORECASE | re.ASCII
)
_EXAMPLES = "47 % at 28 C, 126.4 proof at 82 F or 0.9312 g/mL at 22 C"
USUAL_C = 20.0
MOST_THERMOMETER_K = 5.0
_SPIRIT_BELOW_SG = 0.975
_COLDEST_SCALE_C, _WARMEST_SCALE_C = 4.0, 30.0
NAMES = {
    "pct_vol_20c": "pct_vol",
    "us_proof_60f": "us_proof",
    "pct_mass": "pct_mass",
    "sg_20_20": "sg",
    "sg_60_60F": "sg",
    "density_kg_m3": "density_kg_m3",
    "plato": "plato",
    "brix": "plato",
}


@dataclass(slots=True)
class Notes:
    """What was assumed for want of being told, in whole sentences, each once."""

    said: list[str] = field(default_factory=list)

    def say(self, sentence: str) -> None:
        """Keep a sentence, once."""
        if sentence not in self.said:
            self.said.append(sentence)


def is_of_a_wash(text: str) -> bool:
    """Whether a reading is a wash's or a sugar solution's, not a spirit's.

    °Brix and °Plato are; so is a gravity from 0.975 up, as a dry wash shows.
    """
    value = read(text, "the reading").value
    if isinstance(value, units.Strength):
        return False
    if value.scale in ("plato", "brix"):
        return True
    return value.value >= (1000.0 * _SPIRIT_BELOW_SG if value.scale == "density_kg_m3" else _SPIRIT_BELOW_SG)


def read(text: str, what: str) -> units.Reading:
    """A typed reading; over 100 % asks whether a proof was meant."""
    try:
        return parse.reading(text, what=what)
    except OutOfRange as refusal:
        if refusal.unit == "%vol" and 100.0 < refusal.given <= 200.0:
            raise PerhapsProof(refusal.given) from None
        raise


def spirit_reading(ask: ReadingAsk, notes: Notes, number: int = 1) -> Reading:
    """A reading of a spirit, checked for what it can be later."""
    if not ask.reading:
        return _weighed(ask, notes)
    found = read(ask.reading, "the reading")
    scale = NAMES[found.value.basis if isinstance(found.value, units.Strength) else found.value.scale]
    if scale == "plato":
        raise WrongKind(
            "the strength of a spirit", ask.reading, "a sugar reading", "a strength or a density", _EXAMPLES
        )
    shown_by = device(ask, notes, _STRENGTH_KINDS, _usual_for_spirit(scale, ask.reading))
    temp_c = _temperature(ask, found, shown_by, notes)
    as_density = scale == "sg" and is_density_without_unit(ask.reading, shown_by, notes)
    reading = SpiritReading(
        value=1000.0 * found.value.value if as_density else found.value.value,
        scale="density_kg_m3" if as_density else cast(Scale, scale),
        temp_c=temp_c,
        instrument=shown_by,
        thermometer=thermometer(ask, shown_by, notes),
        calibrated_at_c=calibration(ask, found),
        in_air=ask.in_air,
        name="reading" if number == 1 else f"reading {number}",
    )
    if reading.scale == "sg" and _BARE.fullmatch(ask.reading):
        notes.say(_said_of_bare(reading))
    return reading


def is_density_without_unit(text: str, shown_by: Instrument, notes: Notes) -> bool:
    """Whether a bare `0.9312` is a density in g/mL: on a density meter it is, and the notes say so."""
    if shown_by.kind != "density meter" or not _BARE.fullmatch(text):
        return False
    notes.say(f"{_bare_number(text)} on a density meter is taken as g/mL; write SG behind it if it is one.")
    return True


def _bare_number(text: str) -> str:
    return re.split(r"[^\d.,]", text.strip())[0]


def _said_of_bare(reading: SpiritReading) -> str:
    """What a bare `0.9312` was taken for, and what it would be as g/mL."""
    other = replace(reading, scale="density_kg_m3", value=1000.0 * reading.value)
    try:
        values = [one.value for one in other.inputs()]
        would = f"it would be {strength_of_density(*other.density_at(values)):.1f} %vol"
    except InputError:
        would = "it would be no spirit"
    base = f"{reading.calibrated_at_c:.3g} °C"
    return (
        f"{reading.value:g} is taken as relative to water at {base}; as g/mL {would}: write g/mL behind it."
    )


def amount(
    volume: str, mass: str, temp: str, by: str, vessel: str, thermometer: str, sample_c: float, notes: Notes
) -> Amount | None:
    """How much there is, if it was said."""
    if not volume and not mass:
        return None
    kind: Kind = "volume" if volume else "scale"
    usual = "dip" if volume else "scale"
    device = instrument(by or usual, kind)
    if not by:
        notes.say(f"The {'volume' if volume else 'mass'} is taken as measured with a {device.name}.")
    if vessel not in VESSEL_GROWTH_PER_K:
        raise NotUnderstood("the vessel's material", vessel, "steel, glass or plastic")
    temp_c = parse.temperature_c(temp, what="the volume's temperature") if temp else sample_c
    read_by = clock(thermometer)
    if volume:
        return Amount("volume", parse.volume_l(volume), device, temp_c, read_by, vessel)
    return Amount("mass", parse.mass_kg(mass), device, temp_c, read_by)


def solids(residue: str, sugar: str) -> Solids | None:
    """Dissolved solids: `0.125 g from 25 mL` of an evaporated sample, or `5 g/L` of known sugar."""
    text = residue or sugar
    if not text:
        return None
    parted = _PER.fullmatch(text.strip())
    if not parted:
        raise NotUnderstood("dissolved solids", text, "5 g/L, 500 mg/100 mL or 0.125 g from 25 mL")
    below = parted[2] if re.match(r"\d", parted[2]) else f"1 {parted[2]}"
    grams = 1000.0 * parse.mass_kg(parted[1], what="the dissolved solids")
    grams_l = residue_g_l(grams, 1000.0 * parse.volume_l(below, what="the sample"))
    # A residue is weighed to 2 parts in 100, sugar known to 1: common practice, no source.
    return Solids(grams_l, (0.02 if residue else 0.01) * grams_l, "residue" if residue else "sugar")


# The parts ---------------------------------------------------------------------------------------


def _weighed(ask: ReadingAsk, notes: Notes) -> Reading:
    if not (ask.mass and ask.volume):
        raise MissingValue(
            "A reading", "what the instrument shows, or both a mass and a volume", "47 % at 28 C"
        )
    if not ask.temp:
        raise TemperatureNotSaid(f"{ask.mass} in {ask.volume}")
    if not ask.instrument:
        notes.say("Mass and volume are taken to be as good as a shop scale's and a volumetric flask's.")
    scale, vessel = "scale", ask.instrument or "flask"
    return WeighedReading(
        parse.mass_kg(ask.mass),
        parse.volume_l(ask.volume),
        parse.temperature_c(ask.temp),
        instrument(scale, "scale"),
        instrument(vessel, "volume"),
        clock(ask.thermometer),
    )


def device(ask: ReadingAsk, notes: Notes, kinds: tuple[Kind, ...], usual: str) -> Instrument:
    """The instrument that was named, with the maker's own limit of error if given; else the usual one."""
    device = instrument(ask.instrument or usual, *kinds)
    if not ask.glass:
        device = replace(device, grows=False)
    if ask.error:
        return device.with_error(_limit(ask.error))
    if not ask.instrument:
        notes.say(f"Read on a {device.name}, as far as its digits tell; name yours for its own doubt.")
    return device


def _limit(text: str) -> float:
    plain = text.replace("±", "").replace("+/-", "").strip()
    match = re.match(r"[\d.,]+", plain)
    value = float(match[0].replace(",", ".")) if match else 0.0
    if not 0.0 < value < 100.0:
        raise NotUnderstood("a limit of error", text, "0.2")
    return value


def thermometer(ask: ReadingAsk, device: Instrument, notes: Notes) -> Instrument:
    """The thermometer that was named; else one good to 0.5 K."""
    if not ask.thermometer and device.own_temp is None:
        notes.say("The thermometer is taken to be good to 0.5 K.")
    return clock(ask.thermometer)


def clock(text: str) -> Instrument:
    """A thermometer by its key, or good to so much: `0.2 K`, `0.5 F`; the usual one if nothing is said."""
    limit = text.replace("±", "").replace("+/-", "").strip()
    if not limit[:1].isdigit():
        return instrument(text or "thermometer", "thermometer")
    error_k = parse.temperature_difference_k(limit, what="the thermometer's limit of error")
    if not 0.0 < error_k <= MOST_THERMOMETER_K:
        raise OutOfRange("The thermometer's limit of error", error_k, "K", 0.001, MOST_THERMOMETER_K)
    return replace(instrument("thermometer").with_error(error_k), name=f"thermometer good to {error_k:.3g} K")


def _temperature(ask: ReadingAsk, found: units.Reading, device: Instrument, notes: Notes) -> float:
    temp_c = said_temperature(ask, found)
    if temp_c is not None:
        return temp_c
    if device.own_temp is not None:
        notes.say("The density meter is taken to hold 20 °C.")
        return USUAL_C
    raise TemperatureNotSaid(ask.reading)


def said_temperature(ask: ReadingAsk, found: units.Reading) -> float | None:
    """The sample's temperature [°C], if it was said anywhere."""
    if ask.temp:
        return parse.temperature_c(ask.temp, what="the sample's temperature")
    return found.temp_c


def calibration(ask: ReadingAsk, found: units.Reading) -> float:
    """The temperature [°C] that the scale is made for."""
    if ask.calibrated_at:
        made_for_c = parse.temperature_c(ask.calibrated_at, what="the scale's own temperature")
        if not _COLDEST_SCALE_C <= made_for_c <= _WARMEST_SCALE_C:
            hint = "Scales are made for 15 °C, 60 °F, 20 °C or 25 °C; it stands on the instrument."
            raise OutOfRange(
                "The scale's own temperature", made_for_c, "°C", _COLDEST_SCALE_C, _WARMEST_SCALE_C, hint
            )
        return made_for_c
    value = found.value
    at_60f = (
        value.basis == "us_proof_60f" if isinstance(value, units.Strength) else value.scale == "sg_60_60F"
    )
    return alcohol.TEMP_60F_C if at_60f else USUAL_C


def _usual_for_spirit(scale: str, text: str) -> str:
    """A kind of instrument that shows so many digits."""
    fine = bool(re.match(r"\s*\d+[.,]\d", text))
    if scale == "sg":
        return usual_for_wash(scale, text)
    wide, narrow = {
        "pct_vol": ("glass-wide", "glass-narrow"),
        "us_proof": ("proof-wide", "proof-narrow"),
        "pct_mass": ("mass-glass", "mass-glass"),
        "density_kg_m3": ("density-hydrometer", "density-meter-portable"),
    }[scale]
    return narrow if fine else wide


def usual_for_wash(scale: str, text: str) -> str:
    """A kind of instrument for washes that shows so many digits."""
    if scale == "plato":
        return "saccharometer"
    if scale == "sg":
        return "wash-hydrometer-fine" if re.match(r"\s*\d[.,]\d{4}", text) else "wash-hydrometer"
    return "density-hydrometer"
