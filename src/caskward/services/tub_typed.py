"""What a maker types of a tub: readings in rows, `mash 90 min: starch blue, 62 C, pH 5.4`."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import Final, cast

from caskward.errors import EmptyLog, NotUnderstood, SameReadingTwice, UnknownName, UnreadableFile
from caskward.planning.readings import QUANTITIES, Reading, Stage, reading_of
from caskward.planning.strengths import read_strength
from caskward.properties import alcohol, sugar
from caskward.units import parse
from caskward.units.types import Gravity

EXAMPLES: Final = '"mash 90 min: starch blue, 62 C, pH 5.4" or "ferment 4 d: 1.030, 24 C, bubbles no"'

_ROW = re.compile(r"\s*(\w+)\s+(.*?)\s*:\s*(.+)", re.DOTALL)
_STAGES: Final = {"mash": "mash", "ferment": "ferment", "tub": "ferment", "wash": "ferment"}
_NAMES: Final = {
    "starch": "starch",
    "iodine": "starch",
    "starch test": "starch",
    "temperature": "temperature",
    "temp": "temperature",
    "second thermometer": "second_thermometer",
    "other thermometer": "second_thermometer",
    "ph": "ph",
    "ph checked": "ph_checked",
    "checked ph": "ph_checked",
    "ph strip": "ph_checked",
    "gravity": "gravity",
    "sg": "gravity",
    "checked gravity": "gravity_checked",
    "gravity checked": "gravity_checked",
    "gravity cooled": "gravity_checked",
    "volume": "volume",
    "grits": "grits",
    "lumps": "grits",
    "glucose": "glucose",
    "sugar": "glucose",
    "label thin": "label_thin",
    "thinning label": "label_thin",
    "label sweeten": "label_sweeten",
    "sweetening label": "label_sweeten",
    "jar warmer": "jar_warmer",
    "warmer jar": "jar_warmer",
    "jar dosed": "jar_dosed",
    "dosed jar": "jar_dosed",
    "jar warm": "jar_warm",
    "warm jar": "jar_warm",
    "jar pitched": "jar_pitched",
    "pitched jar": "jar_pitched",
    "jar fed": "jar_fed",
    "fed jar": "jar_fed",
    "bubbles": "bubbles",
    "sour": "sour",
    "spoiled": "spoiled",
    "skin": "spoiled",
    "smell": "spoiled",
    "pitched at": "pitched_at",
    "pitch temperature": "pitched_at",
    "yeast packet": "yeast_packet",
    "packet": "yeast_packet",
    "ammonium": "ammonium",
    "ammonium strip": "ammonium",
    "yeast as planned": "yeast_packet",
    "yeast food": "food_packet",
    "food given": "food_packet",
    "food packet": "food_packet",
    "food": "food_packet",
    "lid": "lid_tight",
    "lid tight": "lid_tight",
    "strength": "strength",
}
_YES_WORDS: Final = (
    "yes y blue black blue-black dark positive bubbles sour same tight lumps grits vinegar butter skin"
)
_NO_WORDS: Final = "no n clear gone yellow brown amber negative none still sweet clean different leaks smooth"
_NO_NAME: Final = re.compile(r"(?:no|not|without)\s+(.+)")
_POINTS: Final = re.compile(r"(?:9[5-9]|1[01]\d)\d")
"""A gravity as it is often noted: 1030 for 1.030."""
_FIGURES: Final = "62 C, 144 F, pH 5.4 or 1.030"
_CELSIUS = re.compile(r"[+-]?[\d.,]+\s*°?\s*[cf]", re.IGNORECASE)


def rows(given: Iterable[str]) -> tuple[Reading, ...]:
    """Readings from rows, in order of time within each stage.

    Raises:
        InputError: a row that is not understood, a reading of another stage, or one moment read twice.
    """
    found = [reading for row in given for reading in row_of(row)]
    seen: dict[tuple[str, str, float], Reading] = {}
    for reading in found:
        key = (reading.stage, reading.quantity, reading.at_h)
        if key in seen and seen[key].value == reading.value:
            continue
        if key in seen:
            raise SameReadingTwice(QUANTITIES[reading.quantity].words, seen[key].said, reading.said)
        seen[key] = reading
    return tuple(sorted(seen.values(), key=lambda r: (r.stage != "mash", r.at_h)))


def log_rows(content: bytes, called: str) -> tuple[str, ...]:
    """Rows of a log: one reading a line, lines that begin with # are notes.

    Raises:
        UnreadableFile: it is not text. EmptyLog: there is none.
    """
    try:
        lines = content.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise UnreadableFile(called, "it is not plain text (UTF-8)") from None
    rows = tuple(line for line in lines if line.strip() and not line.lstrip().startswith("#"))
    if not rows:
        raise EmptyLog(called, EXAMPLES.partition(" or ")[0])
    return rows


def row_of(given: str) -> tuple[Reading, ...]:
    """The readings of one row: a stage, a time since it began, then what was read."""
    matched = _ROW.fullmatch(given)
    if not matched:
        raise NotUnderstood("readings of a tub", _short(given), EXAMPLES)
    stage = _stage(matched[1])
    at_h = _hours(matched[2], f"the time of a {stage} reading")
    return tuple(_item(item, stage, at_h, given) for item in items_of(matched[3]))


def items_of(given: str) -> tuple[str, ...]:
    """What was read, one text for each: between commas that are not a figure's own."""
    return tuple(
        item.strip()
        for item in re.split(r",(?!\d)|(?<=[a-zA-Z%]),|(?<=\.\d{3}),|(?<=\.\d{4}),|;", given)
        if item.strip()
    )


def _hours(given: str, what: str) -> float:
    """A time since the stage began: `90 min`, `at 4 d`, `day 4`; a bare number could be any of them."""
    words = given.removeprefix("at ").removeprefix("after ").strip()
    words = re.sub(r"(?i)^(min|hour|day)s?\s+([\d.,]+)$", r"\2 \1", words)
    if re.fullmatch(r"[\d.,]+", words):
        raise NotUnderstood(what, words, f"{words} min, {words} h or {words} d")
    return parse.duration_h(words, what=what)


def _stage(word: str) -> Stage:
    found = _STAGES.get(word.lower())
    if found is None:
        close = difflib.get_close_matches(word.lower(), _STAGES, n=1)
        raise UnknownName("stage of a tub", word, close[0] if close else None, ("mash", "ferment"))
    return cast(Stage, found)


def _item(text: str, stage: Stage, at_h: float, row: str) -> Reading:
    quantity, value = quantity_and_value(text)
    return reading_of(stage, quantity, value, at_h, " ".join(row.split()))


def quantity_and_value(text: str) -> tuple[str, float]:
    """The quantity that one item is of, by its name or its unit, and its value in that quantity's unit.

    Raises:
        InputError: it is not understood.
    """
    lowered = " ".join(text.lower().split())
    denied = _NO_NAME.fullmatch(lowered)
    if denied and denied[1] in _NAMES and QUANTITIES[_NAMES[denied[1]]].yes_or_no:
        lowered = f"{denied[1]} no"
    name = next((n for n in sorted(_NAMES, key=len, reverse=True) if _begins(lowered, n)), "")
    rest = lowered.removeprefix(name).strip(" =") if name else lowered
    if _POINTS.fullmatch(rest) and (not name or QUANTITIES[_NAMES[name]].unit == "sg"):
        rest = f"{float(rest) / 1000.0:.3f}"
    quantity = _NAMES[name] if name else _by_its_unit(rest, text)
    return quantity, _value(quantity, rest, text)


def _begins(text: str, name: str) -> bool:
    return text == name or (text.startswith(name) and not text[len(name)].isalpha())


def _by_its_unit(rest: str, text: str) -> str:
    """A figure without a name: a temperature, a strength or a gravity says so itself."""
    if _CELSIUS.fullmatch(rest):
        return "temperature"
    if re.fullmatch(r"[\d.,]+\s*(?:l|litres?|gal|gallons?)", rest):
        return "volume"
    if re.fullmatch(r"[\d.,]+\s*(?:% ?(?:vol|mass)?|abv|proof)", rest):
        return "strength"
    if re.fullmatch(r"(?:0[.,]9|1[.,][01])\d*|[01][.,]\d{3,}|[\d.,]+\s*(?:p|bx|brix|plato|sg)", rest):
        return "gravity"
    if re.fullmatch(r"[+-]?[\d.,]+\s*(?:°|deg|degrees?)?", rest):
        raise NotUnderstood("a reading: its name or its unit is missing", _short(text), _FIGURES)
    close = difflib.get_close_matches(rest.split(" ", maxsplit=1)[0], _NAMES, n=1)
    first_names = {_NAMES[name]: name for name in reversed(_NAMES)}
    raise UnknownName("reading", _short(text), close[0] if close else None, tuple(first_names.values())[::-1])


def _value(quantity: str, rest: str, text: str) -> float:
    kind = QUANTITIES[quantity]
    if kind.yes_or_no:
        return _yes_or_no(kind.words, rest, text)
    if kind.unit == "C":
        return parse.temperature_c(rest, what=f"the {kind.words}")
    if kind.unit == "sg":
        return _specific_gravity(parse.gravity(rest, what=f"the {kind.words}"))
    if kind.unit == "L":
        return parse.volume_l(rest, what=f"the {kind.words}")
    if kind.unit == "pct_vol":
        return read_strength(rest, what=f"the {kind.words}")
    return _plain(kind.words, rest.removesuffix("g/l").strip(), text)


def _specific_gravity(given: Gravity) -> float:
    """Gravity at 20 °C over water at 20 °C; one at 60 °F differs by less than a hydrometer can show."""
    if given.scale == "density_kg_m3":
        return given.value / float(alcohol.density(0.0, 20.0))
    if given.scale in ("plato", "brix"):
        return float(sugar.sg_from_brix(given.value))
    return given.value


def _yes_or_no(words: str, rest: str, text: str) -> float:
    said = rest or "yes"
    if said in _YES_WORDS.split():
        return 1.0
    if said in _NO_WORDS.split():
        return 0.0
    raise NotUnderstood(f"an answer for the {words}", _short(text), _answers(words))


def _answers(words: str) -> str:
    return "starch blue or starch clear" if words.startswith("starch test") else "yes or no"


def _plain(words: str, rest: str, text: str) -> float:
    try:
        return float(rest.replace(",", "."))
    except ValueError:
        raise NotUnderstood(f"the {words}", _short(text), "pH 5.4") from None


def _short(text: str) -> str:
    words = " ".join(text.split())
    return words if len(words) <= 60 else f"{words[:57]}..."
