"""One reading or one liquid said in loose words: `20 L of hearts 71.3 % at 25 C`, `0.93 kg in 1 L at 20 C`.

Words become pieces (amounts, strengths, temperatures, names of instruments, other words), and pieces an ask.
The text of every piece goes on as it was typed, so that `units.parse` has the last word on what it means.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any, Literal

from caskward.errors import NotUnderstood, OptionsClash, UnclearValue
from caskward.gauging.instruments import instruments
from caskward.services.gauging_asks import GaugeAsk, LiquidAsk, ReadingAsk
from caskward.units import names, numbers
from caskward.units.kind import Kind

PieceKind = Literal["volume", "mass", "reading", "temp", "time", "number", "key", "word"]

_NUMBER = re.compile(r"[+-]?(?:(?:\d+ )?\d+/\d+(?![\d/])|\d+(?:[.,]\d+)*|[.,]\d+)", re.ASCII)
_DOUBT = re.compile(r"(?:±|\+/-|\+-)\s*(\d+(?:[.,]\d+)?\s*(?:%(?:vol)?|proof|K)?)", re.ASCII)
_SG = re.compile(r"\b(?:sg|s\.g\.)\s*([\d.,]+)", re.IGNORECASE | re.ASCII)
_UNIT = re.compile(r"\s*((?:\S+\s*){0,3})")
"""Up to three words, as the longest name of a unit that is looked for has: `us fl oz`."""
_STRENGTH_AND_TEMP = re.compile(r"^%.*\s\d+(?:[.,]\d+)?\s*°?\s*C$", re.IGNORECASE | re.ASCII)
"""`% 20C` is a strength and the sample's temperature here, never what the scale is made for."""
_FILLERS = frozenset({"of", "at", "the", "a", "an", "is", "in", "on", "by", "it", "to", "hand", "about"})
_KINDS: tuple[tuple[PieceKind, Kind[Any]], ...] = (
    ("volume", names.VOLUME),
    ("mass", names.MASS),
    ("reading", names.STRENGTH),
    ("reading", names.GRAVITY),
    ("temp", names.TEMPERATURE),
    ("time", names.DURATION),
)
_READERS = frozenset({"alcoholmeter", "hydrometer", "density meter", "refractometer"})


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of what was said, as it was typed."""

    kind: PieceKind
    text: str


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of one reading or one liquid; temperatures belong to the piece they stand behind."""

    reading: str = ""
    volume: str = ""
    mass: str = ""
    volume_temp: str = ""
    temp: str = ""
    doubt: str = ""
    instrument: str = ""
    thermometer: str = ""
    by: str = ""
    in_air: bool = False
    corrects_itself: bool = True
    name: str = ""


def reading(text: str) -> ReadingAsk:
    """One reading: `47 % at 28 C`, `931.2 kg/m3 at 20 C on density-meter in air`, `0.93 kg in 1 L at 9 C`."""
    return gauging(text).readings[0]


def gauging(text: str) -> GaugeAsk:
    """A reading, with how much there is if that was said, too: `20 L of 47 % at 28 C`."""
    found = said(text, bare_is_reading=True)
    if found.name:
        raise NotUnderstood("a reading", text, "47 % at 28 C, 126.4 proof at 82 F or 0.9312 at 22 C")
    one = ReadingAsk(
        reading=found.reading,
        temp=found.temp,
        instrument=found.instrument,
        error=found.doubt,
        thermometer=found.thermometer,
        in_air=found.in_air,
        corrects_itself=found.corrects_itself,
    )
    if found.volume and found.mass:
        if found.reading:
            raise OptionsClash(found.volume, found.mass, "Say how much there is in one of the two.")
        temp = found.temp or found.volume_temp
        return GaugeAsk((replace(one, mass=found.mass, volume=found.volume, temp=temp, instrument=found.by),))
    return GaugeAsk(
        (one,),
        volume=found.volume,
        volume_temp=found.volume_temp,
        mass=found.mass,
        amount_by=found.by,
    )


def liquid(text: str) -> LiquidAsk:
    """A liquid, with how much of it there is if that was said: `8 L low wines 24 %`, `water`."""
    found = said(text)
    if found.volume and found.mass:
        raise OptionsClash(found.volume, found.mass, "Say how much there is in one of the two.")
    strength = f"{found.reading} at {found.temp}" if found.reading and found.temp else found.reading
    return LiquidAsk(
        strength=strength,
        volume=found.volume,
        mass=found.mass,
        temp=found.volume_temp or ("" if found.reading else found.temp),
        doubt=found.doubt,
        name=found.name,
        by=found.by,
        instrument=found.instrument,
        thermometer=found.thermometer,
    )


def said(text: str, *, bare_is_reading: bool = False) -> Said:
    """What was said, part by part.

    bare_is_reading: a number without a unit is one, and its parser asks what was meant.
    Raises:
        InputError: the same said twice, or a number without a unit where that matters.
    """
    plain = numbers.tidied(text)
    marked = _DOUBT.search(plain)
    rest = f"{plain[: marked.start()]} {plain[marked.end() :]}" if marked else plain
    rest, in_air = _taken_out(rest, r"\bin air\b")
    rest, _ = _taken_out(rest, r"\bin vacuum\b")
    rest, uncorrected = _taken_out(rest, r"\buncorrected\b")
    found = Said(doubt=marked[1] if marked else "", in_air=in_air, corrects_itself=not uncorrected)
    last = ""
    for piece in pieces(rest):
        bare = piece.kind == "number" and bare_is_reading and not found.reading
        found = _with_piece(found, Piece("reading", piece.text) if bare else piece, last, text)
        last = piece.kind if piece.kind != "word" else last
    return found


def pieces(text: str) -> tuple[Piece, ...]:
    """The text in pieces; words that only join others are left out."""
    plain = _SG.sub(r"\1 SG ", numbers.tidied(text.replace("@", " at ")))
    found: list[Piece] = []
    while plain:
        number = _NUMBER.match(plain)
        if number:
            piece, plain = _measured(number[0], plain[number.end() :])
            if found and found[-1].kind == piece.kind in ("mass", "time"):  # 1 lb 4 oz
                piece = Piece(piece.kind, f"{found.pop().text} {piece.text}")
        else:
            piece, plain = _worded(plain)
        if piece.text.strip(" ,;.") and piece.text.casefold() not in _FILLERS:
            found.append(piece)
        plain = plain.lstrip(" ,;")
    return tuple(found)


# The parts ---------------------------------------------------------------------------------------


def _measured(number: str, after: str) -> tuple[Piece, str]:
    """A number with the longest unit that follows it, and what comes after."""
    words = _UNIT.match(after)
    tail = words[1] if words else ""
    ends = [m.end() for m in re.finditer(r"\S+", tail)]
    start = len(after) - len(after.lstrip())
    for end in reversed(ends):
        for unit in _as_units(tail[:end]):
            kind = _kind_of(unit)
            if kind:
                return Piece(kind, f"{number} {unit}"), after[start + len(unit) :]
    return Piece("number", number), after


def _as_units(text: str) -> tuple[str, ...]:
    """The text as a unit: as it stands, without a comma after it, and up to a digit glued to it (`%25C`)."""
    bare = text.rstrip(" ,;")
    glued = re.match(r"[^\d\s]+(?=\d)", bare)
    return (bare, glued[0]) if glued and " " not in bare else (bare,)


def _kind_of(unit: str) -> PieceKind | None:
    if not unit or re.search(r"(?:^|\s)(?:at|@)(?:\s|$)", unit) or _STRENGTH_AND_TEMP.search(unit):
        return None
    for kind, each in _KINDS:
        try:
            if each.find(unit) is not None:
                return kind
        except numbers.TwoWays:
            if kind in ("temp", "mass"):
                return kind  # `28 °` is a temperature all the same; the parser asks which
    return None


def _worded(text: str) -> tuple[Piece, str]:
    """The next word, or the name of an instrument in one or two words."""
    first = re.match(r"\S+", text)
    word = first[0] if first else text
    both = re.match(r"(\S+)\s+([a-z]+)\b", text, re.IGNORECASE)
    if both and f"{both[1]}-{both[2]}".casefold() in instruments():
        return Piece("key", f"{both[1]}-{both[2]}".casefold()), text[both.end() :]
    bare = word.strip(",;").casefold()
    if bare in instruments():
        return Piece("key", bare), text[len(word) :]
    return Piece("word", word.rstrip(",;")), text[len(word) :]


def _with_piece(found: Said, piece: Piece, last: str, text: str) -> Said:
    """What was said so far and one piece more."""
    if piece.kind == "key":
        return _with_key(found, piece.text, text)
    if piece.kind == "word":
        return replace(found, name=f"{found.name} {piece.text}".strip())
    if piece.kind == "temp":
        field = "volume_temp" if last in ("volume", "mass") and not found.volume_temp else "temp"
        return _once(found, field, piece.text, text)
    if piece.kind == "number":
        return _with_number(found, piece.text, text)
    if piece.kind == "time":
        raise NotUnderstood("a liquid", text, "20 L of 63 % or 5 kg at 71.3 %")
    return _once(found, piece.kind, piece.text, text)


def _with_number(found: Said, number: str, text: str) -> Said:
    """A number without a unit: a gravity like 0.9312, or a question back."""
    if re.fullmatch(r"[01]?[.,]\d+", number) and not found.reading:
        return replace(found, reading=number)
    if found.reading:
        raise UnclearValue("a temperature", f"{text}", (f"{number} C", f"{number} F"))
    if found.volume or found.mass:
        raise UnclearValue("a strength", number, (f"{number} %", f"{number} proof"))
    raise UnclearValue("an amount or a strength", number, (f"{number} L", f"{number} kg", f"{number} %"))


def _with_key(found: Said, key: str, text: str) -> Said:
    kind = instruments()[key].kind
    if kind in _READERS:
        return _once(found, "instrument", key, text)
    return _once(found, "thermometer" if kind == "thermometer" else "by", key, text)


def _once(found: Said, field: str, value: str, text: str) -> Said:
    """A field set; a sentence if it was said before."""
    before = getattr(found, field)
    if before:
        raise OptionsClash(before, value, f"Say only one of them in {text!r}.")
    change: dict[str, Any] = {field: value}
    return replace(found, **change)


def _taken_out(text: str, pattern: str) -> tuple[str, bool]:
    without, times = re.subn(pattern, " ", text, flags=re.IGNORECASE)
    return " ".join(without.split()), times > 0
