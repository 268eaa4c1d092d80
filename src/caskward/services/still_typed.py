"""A still's questions as a maker types them: a charge, a stop, a row of receivers."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from caskward.catalogue.load import load
from caskward.errors import NotUnderstood, OutOfRange, UnknownName
from caskward.planning.strengths import read_strength
from caskward.planning.wish import Cap, cap
from caskward.services import still_methanol
from caskward.stages.distil import Stop
from caskward.stages.receivers import Receiver, jars
from caskward.stages.still import StopBy
from caskward.units import parse

CHARGE_EXAMPLES = "60 L 28 %, or 16 gal of 56 proof"
STOP_EXAMPLES = (
    '"10 %" at the spout, "1 % in the pot", "24 L", "98 C in the pot", "95 C vapour", "90 % of the alcohol" '
    'or "6 h"'
)
RECEIVER_EXAMPLES = '"24 x 1 L", or "foreshots 0.3 L, 20 x 1 L, tails to 10 %"'
MOST_RECEIVERS = 200

_STRENGTH = r"[\d.,]+\s*(?:%|°|pct|proof|us\b|abv|vol|mass)[^,]*"
_CHARGE = re.compile(rf"(.*?[a-z]\.?)\s*(?:,|@|\bof\b|\bat\b)?\s*({_STRENGTH})", re.IGNORECASE)
_OF_WHAT = re.compile(r"\s(?:of\s+)?(?:low wines|wash)\b(?:\s+(?:of|at))?", re.IGNORECASE)
_PLACE = re.compile(
    r"(.*?)\s*\b(?:at the |in the |of the |the |at |in )?(spout|pot|vapou?r|head|collected)\s*$",
    re.IGNORECASE,
)
_OF_ALCOHOL = re.compile(
    r"(.*?)\s*\b(?:of|from)\s+(?:the |its |all )?(?:charge'?s? )?(?:pure )?alcohol\s*$", re.IGNORECASE
)
_CAP = re.compile(r"(.*?[a-z])\s+(?:at most\s+|<\s*)?(\d+(?:[.,]\d+)?)\s*(mg/l|g/hl)", re.IGNORECASE)
_ROW = re.compile(r"(?:(?P<name>[a-z][a-z -]*?)\s+)?(?P<count>\d+)\s*[x×]\s*(?P<each>.+)", re.IGNORECASE)
_TO = re.compile(r"(?:(?P<name>[a-z][a-z -]*?)\s+)?(?:to|until|till)\s+(?P<stop>.+)", re.IGNORECASE)
_ONE = re.compile(r"(?:(?P<name>[a-z][a-z -]*?)\s+)?(?P<each>\d.*)", re.IGNORECASE)


FromWhat = Literal["by strength", "wash", "low wines"]
_FROM: dict[str, FromWhat] = {"wash": "wash", "low wines": "low wines"}


_DRINKS = {"cider": "apples", "perry": "pears", "wine": "wine grapes", "mead": "honey", "beer": "grain"}
"""What a maker may name instead of the fruit it came from."""


def from_what(word: str) -> FromWhat:
    """What is charged; by its strength where no word says it."""
    return _FROM.get(word, "wash" if word else "by strength")


def fermented(style: str, charged: str = "", bill: str = "") -> tuple[str, str]:
    """A style, and the bill behind it, from whichever word names what was fermented.

    style: a style, a material or a drink: `fruit`, `pears`, `grape pomace`, `cider`. charged: the word for
    what is charged, where it is no wash or low wines. bill: `60 kg pears`, whose first material has a style.

    Raises:
        UnknownName: none of them is known.
    """
    word = style.strip() or ("" if charged in _FROM else charged.strip())
    if not word:
        first = re.split(r",\s+|\s+and\s+|;", bill.strip())[0]
        name = re.sub(r"^\d[\d.,]*\s*[a-z]+\s+(?:of\s+)?", "", first.strip(), flags=re.IGNORECASE)
        return (load().material(name).usual_style if name else "grain"), bill
    known, named = still_methanol.style_of(_DRINKS.get(word.casefold(), word))
    if known in load().practices:
        return known, bill or named
    try:
        material = load().material(known)
    except UnknownName:
        load().practice(known)  # refuses in the words of a style
        raise
    return material.usual_style, bill or material.plural.lower()


@dataclass(frozen=True)
class Typed:
    """A charge as typed: litres at 20 °C and %vol."""

    volume_l: float
    pct_vol: float


def charge(given: str) -> Typed:
    """Litres and strength from `60 L 28 %`.

    Raises:
        InputError: one sentence about what cannot be read.
    """
    found = _CHARGE.fullmatch(" ".join(_OF_WHAT.sub(" ", given).split()))
    if not found:
        raise NotUnderstood("a charge", given, CHARGE_EXAMPLES)
    return Typed(
        parse.volume_l(found[1], what="the charge"), read_strength(found[2], what="the charge's strength")
    )


def strength_pct_vol(given: str, what: str) -> float:
    """A strength in %vol at 20 °C, however it was written."""
    return read_strength(given, what=what)


def cap_of(given: str) -> Cap:
    """A limit on a congener from `ethyl acetate 300 mg/L` or `fusel oils 200 g/hL`, of pure alcohol.

    Raises:
        InputError: one sentence about what cannot be read.
    """
    found = _CAP.fullmatch(" ".join(given.split()))
    if not found:
        raise NotUnderstood(
            "a limit on a congener", given, '"ethyl acetate 300 mg/L" or "fusel oils 200 g/hL"'
        )
    unit: Literal["mg/L", "g/hL"] = "g/hL" if found[3].casefold() == "g/hl" else "mg/L"
    return cap(found[1].strip().lower(), float(found[2].replace(",", ".")), unit)


def stop(given: str) -> Stop:
    """A stop from its words: strength at the spout or in the pot, a temperature, litres, or hours.

    Raises:
        InputError: one sentence about what cannot be read.
    """
    text = " ".join(given.split())
    if of_alcohol := _OF_ALCOHOL.fullmatch(text):
        return Stop("alcohol_share", parse.share(of_alcohol[1], what="the stop"))
    placed = _PLACE.fullmatch(text)
    amount, place = (placed[1], placed[2].lower()) if placed else (text, "")
    place = "vapour" if place in ("vapor", "head") else place
    by, value = _stop(given, amount, place)
    return Stop(by, value)


def _stop(given: str, amount: str, place: str) -> tuple[StopBy, float]:
    low = amount.lower()
    if re.search(r"%|proof|vol|abv", low):
        value = read_strength(amount, what="the stop")
        return ("pot_pct_vol" if place == "pot" else "spout_pct_vol"), value
    if re.search(r"[\d°\s](?:[cfk]|celsius|fahrenheit)$", low):
        if place not in ("pot", "vapour"):
            raise NotUnderstood("a stop (which thermometer?)", given, '"98 C in the pot" or "95 C vapour"')
        return ("pot_c" if place == "pot" else "vapour_c"), parse.temperature_c(amount, what="the stop")
    if re.search(r"\d\s*(?:h|hr|hrs|hours?|min|minutes?|m)\b", low):
        return "hours", parse.duration_h(amount, what="the stop")
    if re.search(r"\d\s*[a-z]", low):
        try:
            return "volume_l", parse.volume_l(amount, what="the stop")
        except (NotUnderstood, UnknownName):
            raise NotUnderstood("a stop", given, STOP_EXAMPLES) from None
    raise NotUnderstood("a stop", given, STOP_EXAMPLES)


def receivers(given: str) -> tuple[Receiver, ...]:
    """A plan of receivers, the last of them taking all that still comes.

    Raises:
        InputError: one sentence about what cannot be read.
    """
    plan: list[Receiver] = []
    for part in re.split(r"\s*[,;]\s+|\s*;\s*", given.strip().rstrip(",;")):
        plan += _receivers_of(part, given, len(plan))
    if not 1 <= len(plan) <= MOST_RECEIVERS:
        raise OutOfRange("The number of receivers", len(plan), "", 1, MOST_RECEIVERS)
    if not plan[-1].stops:
        return _unlike(plan)
    return _unlike([*plan, Receiver("rest")])


def _receivers_of(part: str, given: str, before: int) -> tuple[Receiver, ...]:
    text = " ".join(part.split())
    if row := _ROW.fullmatch(text):
        count = int(row["count"])
        if not 1 <= count <= MOST_RECEIVERS:
            raise OutOfRange("The number of receivers", count, "", 1, MOST_RECEIVERS)
        return jars(count, _litres(row["each"]), row["name"] or "jar")
    if to := _TO.fullmatch(text):
        return (Receiver(to["name"] or f"can {before + 1}", stop(to["stop"])),)
    if one := _ONE.fullmatch(text):
        size = Stop("own_volume_l", _litres(one["each"]))
        return (Receiver(one["name"] or f"jar {before + 1}", size, vessel="jar"),)
    if re.fullmatch(r"[a-z][a-z -]*", text, re.IGNORECASE):
        return (Receiver(text),)
    raise NotUnderstood("a row of receivers", given, RECEIVER_EXAMPLES)


def _litres(given: str) -> float:
    litres = parse.volume_l(given, what="a receiver")
    if not 0.001 <= litres <= 2000.0:
        raise OutOfRange("A receiver", litres, "L", 0.001, 2000.0)
    return litres


def _unlike(plan: list[Receiver]) -> tuple[Receiver, ...]:
    """The plan, if no name stands twice and only the last one has no end."""
    names = [receiver.name for receiver in plan]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise NotUnderstood("a row of receivers (a name stands twice)", twice, RECEIVER_EXAMPLES)
    endless = next((receiver.name for receiver in plan[:-1] if not receiver.stops), None)
    if endless is not None:
        raise NotUnderstood(
            "a receiver that others follow", endless, f'"{endless} 2 L" or "{endless} to 60 %"'
        )
    return tuple(plan)
