"""A pot's question as a maker types it: how full of what, its water, how warm, how long."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.catalogue.kinds import Material, PotKind
from caskward.catalogue.load import load
from caskward.errors import MissingValue, NotUnderstood, OptionsClash, OutOfRange, WrongKind
from caskward.stages.stirring import strike_water_c
from caskward.stages.stream import Stream
from caskward.units import parse

EXAMPLE: Final = 'caskward tub pot "20 % of 120 L" rye --power "9 kW"'
WORDS_EXAMPLE: Final = '"20 % of 120 L" rye, or "17 kg in 120 L" rye'
WATER_EXAMPLE: Final = '"4.5 L/kg" or "80 L"'
USUAL_KIND: Final = "gas-ring"
_COLD_C, ROOM_C = 12.0, 18.0
_COOK_C, _MASH_C, _HOLD_H = 85.0, 64.0, 1.0
"""Where a grain's own cook is not known; a malt is only mashed. *Common practice, no source*."""

_WORDS = re.compile(
    r"(.+?)\s+(?:of|in)\s+(?:an?\s+|my\s+)?(\d[\d.,]*\s*(?:(?:us|imp)\s+)?[a-z]+)\b\s*(.*)", re.IGNORECASE
)
_GRAIN_FIRST = re.compile(
    r"([a-z][a-z -]*?)[,:]?\s+(\d.*?\s(?:of|in)\s+(?:an?\s+|my\s+)?\d.*)", re.IGNORECASE
)
_GRAIN_WITHIN = re.compile(
    r"(\d[\d.,]*\s*[a-z%]+)\s+(?:of\s+)?([a-z][a-z -]*?)\s+in\s+(?:an?\s+|my\s+)?(\d.*)", re.IGNORECASE
)
_SPOKEN: Final = {
    "half": "1/2",
    "third": "1/3",
    "quarter": "1/4",
    "two thirds": "2/3",
    "three quarters": "3/4",
}
_LEADS = re.compile(r"^(?:pot\b|kettle\b)?\s*(?:with\b|of\b)?\s*", re.IGNORECASE)
_PER = re.compile(r"(.+?)\s*(?:/|\bper\b)\s*([a-z]+)", re.IGNORECASE)


@dataclass(frozen=True)
class PotAsk:
    """The question as typed, every part a text; what was not typed is empty.

    strike: what the stirred mash should come to. comes_at: the water comes at this and is warmed in this pot.
    """

    words: str
    water: str = ""
    water_c: str = ""
    strike: str = ""
    comes_at: str = ""
    cook: str = ""
    hold: str = ""
    power: str = ""
    kind: str = ""
    room: str = ""


@dataclass(frozen=True)
class Filled:
    """What was typed, understood."""

    material: Material
    pot_l: float
    share: float | None
    kg: float | None


def filled_of(given: str) -> Filled:
    """A pot, a grain, and how full the pot is of it or how much was weighed.

    Raises:
        InputError: words that are not understood, a material that no pot cooks, a part that cannot be.
    """
    words = " ".join(given.split())
    if first := _GRAIN_FIRST.fullmatch(words):
        words = f"{first[2]} {first[1]}"
    elif within := _GRAIN_WITHIN.fullmatch(words):
        words = f"{within[1]} in {within[3]} {within[2]}"
    found = _WORDS.fullmatch(words)
    name = _LEADS.sub("", found[3], count=1).strip() if found else ""
    if not found or not name:
        raise NotUnderstood("a pot and its grain", given, WORDS_EXAMPLE)
    material = load().material(name)
    if material.prepare not in ("cook", "mash"):
        raise NotUnderstood("a grain for a cook pot", name, "rye, oats or maize")
    pot_l = parse.volume_l(found[2], what="the pot")
    if not 2.0 <= pot_l <= 20_000.0:
        raise OutOfRange("The pot", pot_l, "L", 2.0, 20_000.0)
    share, kg = _part(found[1])
    for value, what, low, unit in ((share, "The part of the pot", 0.01, ""), (kg, "The grain", 0.05, "kg")):
        if value is not None and value < low:
            raise OutOfRange(what, value, unit, low, 1.0 if not unit else 20_000.0)
    return Filled(material, pot_l, share, kg)


def _part(given: str) -> tuple[float | None, float | None]:
    """A part of the pot, or kilograms where a mass was typed."""
    spoken = _SPOKEN.get(re.sub(r"^an? ", "", given.lower()), given)
    try:
        return parse.share(spoken, what="the part of the pot"), None
    except WrongKind:
        return None, parse.mass_kg(given, what="the grain")


def kind_of(ask: PotAsk) -> PotKind:
    """What heats the pot; a gas ring where it was not said."""
    if (ask.kind or ask.hold) and not ask.power:
        raise MissingValue("tub pot", "the power of its heat", '--power "9 kW"')
    return load().pot(ask.kind or USUAL_KIND)


def temperature_c(given: str, what: str, otherwise: float, low_c: float = 0.0) -> float:
    """A temperature that a pot, its water or its room can have [°C]."""
    temp_c = parse.temperature_c(given, what=what) if given else otherwise
    if not low_c <= temp_c <= 100.0:
        raise OutOfRange(what[:1].upper() + what[1:], temp_c, "°C", low_c, 100.0)
    return temp_c


def per_kg(given: str) -> re.Match[str] | None:
    """Water for a weight of grain, `4.5 L/kg` or `2 qt/lb`, in its two units; nothing for mere litres."""
    return _PER.fullmatch(given.strip())


def water_litres(given: str, material: Material, kg: float) -> tuple[float, bool]:
    """Litres of water, and whether they are the catalogue's."""
    if not given:
        return kg * material.water_l_per_kg.likely, True
    if ratio := per_kg(given):
        per = parse.volume_l(ratio[1], what="the water") / parse.mass_kg(f"1 {ratio[2]}", what="the grain")
    else:
        try:
            per = parse.volume_l(given, what="the water") / kg
        except WrongKind:
            raise NotUnderstood("the water", given, WATER_EXAMPLE) from None
    if not 0.5 <= per <= 50.0:
        hint = "Grain takes 2 to 6 L/kg."
        raise OutOfRange("The water for the grain", round(per, 2), "L/kg", 0.5, 50.0, hint)
    return per * kg, False


def water_temperature_c(ask: PotAsk, water_l: float, grain: Stream) -> tuple[float, float | None]:
    """How warm the water goes in; and what the stirred mash was asked to come to."""
    if ask.strike and ask.water_c:
        raise OptionsClash("--strike", "--water-c", "Give how warm the water is, or what the mash should be.")
    if not ask.strike:
        return temperature_c(ask.water_c or ask.comes_at, "the water's temperature", _COLD_C), None
    target_c = temperature_c(ask.strike, "the mash's temperature", _MASH_C)
    water_c = float(np.median(strike_water_c(target_c, water_l, (grain,))))
    if not 0.0 <= water_c <= 100.0:
        hint = "Take more water, or heat the mash in the pot."
        raise OutOfRange("The water that would bring it there", round(water_c, 1), "°C", 0.0, 100.0, hint)
    return water_c, target_c


def cook_temperature_c(given: str, material: Material, stirred_c: float) -> float:
    """What the pot is heated to [°C]: as typed, or what the grain asks for; never under the stirred mash."""
    usual = _MASH_C if material.prepare == "mash" else _COOK_C
    if not given:
        return max(material.cook_c.likely if material.cook_c else usual, stirred_c)
    cook_c = temperature_c(given, "the cook's temperature", usual)
    if cook_c < stirred_c - 0.05:
        hint = "Stirred in it is that warm already."
        raise OutOfRange("The cook's temperature", cook_c, "°C", round(stirred_c, 1), 100.0, hint)
    return cook_c


def hold_h(given: str, material: Material) -> float:
    """How long the cook is held [h]: as typed, or what the grain asks for."""
    hours = parse.duration_h(given, what="the hold") if given else _usual_hold_h(material)
    if hours > 24.0:
        raise OutOfRange("The hold", hours, "h", 0.0, 24.0)
    return hours


def _usual_hold_h(material: Material) -> float:
    return material.cook_hold_min.likely / 60.0 if material.cook_hold_min else _HOLD_H
