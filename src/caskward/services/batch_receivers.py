"""What a maker types of a run's receivers: `jar 3: 1 L, 74.2 % at 22 C, +1, bread`, `begins: run 2`.

They stand among the readings of a batch, in the order in which it was done. What is said again of a receiver
holds from then on. `jar: 1 L` is the next jar; `run 12 L: 71 %, head 79.9 C` has the head's warmth beside
the spout's strength. A row may say which run it is of: `run 2 jar: 1 L`, `run 2 at 12 L: 71 %`,
`run 1 taken: jar 3`, `run 1 heart: 4.9 L, 74 %`. The plan's worlds follow the spout and the whole heart;
receivers, and the heart of one run, are of the run day.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final, Literal

from caskward.errors import MomentMissing, OutOfRange
from caskward.errors.batch_receivers import NoSuchRun, NothingOfTheReceiver, NotOfAReceiver, SaidTwice
from caskward.planning.jars import LARGEST_JAR_L, STRONGEST_PCT_VOL, Mark, read_mark
from caskward.properties import alcohol
from caskward.services import batch_typed
from caskward.services.tub_typed import items_of
from caskward.units import parse

RunKind = Literal["strip", "run"]
Vessel = Literal["jar", "can"]
RunKey = tuple[RunKind, int]
FORESHOTS: Final = "foreshots"
EXAMPLE: Final = "jar 3: 1 L, 74.2 % at 22 C, +1, bread"
EXAMPLES: Final = (EXAMPLE, "foreshots: 0.3 L, 80 %", "begins: run 2", "taken: jar 3, jar 4")
LOWEST_HEAD_C, HIGHEST_HEAD_C = 40.0, 105.0
"""Between them lies the vapour of every charge, from high places down; *common practice, no source*."""

_OF_RUN = r"(?:(strip|(?:spirit\s+)?run)(?:\s+([1-9]\d?))?\s+)?"
_RECEIVER = re.compile(
    rf"\s*{_OF_RUN}(jars?|cans?|foreshots)\b\s*([\w][\w .-]{{0,19}})?\s*:(.*)",
    re.DOTALL | re.IGNORECASE,
)
_BEGINS = re.compile(r"\s*begins\s*:(.*)", re.DOTALL | re.IGNORECASE)
_WHICH = re.compile(r"\s*(strip|run|spirit run)\s*(\d{1,2})?\s*", re.IGNORECASE)
_TAKEN = re.compile(rf"\s*{_OF_RUN}taken\s*:(.*)", re.DOTALL | re.IGNORECASE)
_HEART_OF_RUN = re.compile(r"\s*((?:spirit\s+)?run)\s+([1-9]\d?)\s+heart\s*:(.*)", re.DOTALL | re.IGNORECASE)
_IN_RUN_AT = re.compile(
    r"\s*(strip|(?:spirit\s+)?run)\s+([1-9]\d?)\s*(?:(?:at|@)\s*([\d.,]*\d[^:]*?)?)?\s*:(.+)",
    re.DOTALL | re.IGNORECASE,
)
_AT_LITRES = re.compile(
    r"(\s*(?:spirit )?(run|strip)(?:ping)?\s+[^:]*\d[^:]*?)\s*:(.+)", re.DOTALL | re.IGNORECASE
)
_HEAD = re.compile(
    r"(?:head|vapou?r)\s*(?:at|=)?\s*(.+)|([+-]?[\d.,]+\s*°?\s*[cf])\s+(?:at|in)\s+(?:the\s+)?(?:head|vapou?r)",
    re.IGNORECASE,
)
_NUMBER = r"[\d.,]*\d"
_AT = rf"(?:\s*(?:at|@|,)?\s*([+-]?{_NUMBER}\s*°?\s*[cf])\b)?"
_STRENGTH = re.compile(rf"({_NUMBER}\s*(?:%(?:\s*vol\b)?|abv\b|proof\b)){_AT}", re.IGNORECASE)
_VOLUME = re.compile(rf"({_NUMBER}\s*(?:us |imp |uk )?(?!c\b|f\b)(?:fl[ -]?oz|[a-z]+)\b){_AT}", re.IGNORECASE)
_MARK = re.compile(rf"[+\-\N{{MINUS SIGN}}]\s*{_NUMBER}(?!\s*[%\w])|0(?![.,]?\d|\s*[%\w])")
_WORDS = re.compile(r"[^\W\d_](?:[^\d,;+\-\N{MINUS SIGN}]|(?<=\w)-(?=[^\W\d]))*")
_PLACES: Final = ("in", "out", "maybe", "discard")


@dataclass(frozen=True)
class Said:
    """One receiver's row as typed: only what it says.

    of: the run it says it is of, with number 0 where only the kind is said. called: the mark as it was typed,
    which of foreshots changes nothing.
    """

    name: str
    vessel: Vessel
    of: RunKey | None = None
    volume_l: float | None = None
    pct_vol: float | None = None
    mark: Mark | None = None
    smells: tuple[str, ...] = ()
    called: Mark | None = None


@dataclass(frozen=True)
class HeartOf:
    """The heart of one run: litres and strength as far as they were read."""

    of: RunKey
    volume_l: float | None
    pct_vol: float | None


@dataclass(frozen=True)
class OfReceiver:
    """A receiver's row in its parts, before what it says is read. name: what stands behind jar or can."""

    of: RunKey | None
    vessel: str
    name: str
    text: str


# What the plan's worlds do not follow ------------------------------------------------------------


def without(rows: Iterable[str]) -> tuple[str, ...]:
    """Rows that readings and deeds are made of; each that is of receivers is checked and left out.

    Raises:
        InputError: a row of a receiver that is not understood.
    """
    found = []
    for row in rows:
        if is_of_receivers(row):
            check(row)
        elif kept := _without_head(at_litres(row)[1]):
            found.append(kept)
    return tuple(found)


def is_of_receivers(row: str) -> bool:
    """True for a row that says only what receivers hold, what was taken, or which run begins."""
    return any(pattern.fullmatch(row) for pattern in (_RECEIVER, _BEGINS, _TAKEN, _HEART_OF_RUN))


def stage_of(row: str) -> Literal["", "strip", "run"]:
    """Where a row of receivers has its place among the stages, as far as it says so; "" for any other row."""
    if not is_of_receivers(row):
        return ""
    begins, receiver = _BEGINS.fullmatch(row), _RECEIVER.fullmatch(row)
    words = begins[1] if begins else receiver[1] or "" if receiver else ""
    return "strip" if "strip" in words.lower() else "run"


def check(row: str) -> None:
    """Refuse a row of receivers that is not understood."""
    if _RECEIVER.fullmatch(row):
        said(row)
    elif begins := _BEGINS.fullmatch(row):
        which_run(begins[1])
    elif taken := _TAKEN.fullmatch(row):
        names_of(taken[3])
    else:
        heart_of(row)


def at_litres(row: str) -> tuple[RunKey | None, str]:
    """The run that a reading at some litres says it is of, and the row without that: `run 12 L: 71 %`.

    Raises:
        MomentMissing: a run by its number, without litres.
    """
    matched = _IN_RUN_AT.fullmatch(row)
    if not matched:
        return None, row
    kind = _kind(matched[1])
    if not matched[3]:
        raise MomentMissing(kind, "litres since the first drop", f"{kind} {matched[2]} at 12 L: 71 %")
    return (kind, int(matched[2])), f"{kind} {matched[3]}:{matched[4]}"


def in_run(row: str, run: str) -> str:
    """A row as it is typed on the page of a run, `run 2`, with its run; one that says its own stays."""
    kind = run.partition(" ")[0]
    if one := _RECEIVER.fullmatch(row):
        return row if one[1] else f"{run} {row.strip()}"
    if (one := _AT_LITRES.fullmatch(row)) and at_litres(row)[0] is None and _kind(one[2]) == kind:
        litres = re.sub(r"^\D*", "", one[1])
        return f"{run} at {litres}:{one[3]}"
    return row


def _without_head(row: str) -> str:
    """The row without the head's warmth; "" where nothing else was read."""
    matched = _AT_LITRES.fullmatch(row)
    if not matched or not any(_HEAD.fullmatch(item) for item in items_of(matched[3])):
        return row
    head_c(matched[3])
    rest = [item for item in items_of(matched[3]) if not _HEAD.fullmatch(item)]
    return f"{matched[1]}: {', '.join(rest)}" if rest else ""


def head_c(items: str) -> float | None:
    """The warmth at the head among the items of a row [°C]."""
    for item in items_of(items):
        if matched := _HEAD.fullmatch(item):
            temp_c = parse.temperature_c(matched[1] or matched[2], what="the warmth at the head")
            if not LOWEST_HEAD_C <= temp_c <= HIGHEST_HEAD_C:
                raise OutOfRange("The warmth at the head", temp_c, "°C", LOWEST_HEAD_C, HIGHEST_HEAD_C)
            return temp_c
    return None


# One row -----------------------------------------------------------------------------------------


def said(row: str) -> Said:
    """What one row says of a receiver.

    Raises:
        InputError: it is not understood, or cannot be.
    """
    parts = parts_of(row)
    if not parts:
        raise NotOfAReceiver("a receiver", row, EXAMPLE)
    vessel: Vessel = "can" if parts.vessel == "can" else "jar"
    name = f"{parts.vessel} {parts.name}".strip()
    found = _Items(name, parts.text).read()
    # Whatever is said of them: foreshots never go where a person drinks from.
    mark = read_mark("discard") if parts.vessel == FORESHOTS else found.mark
    return replace(found, vessel=vessel, mark=mark, of=parts.of, called=found.mark)


def parts_of(row: str) -> OfReceiver | None:
    """A receiver's row in its parts; None for any other row."""
    matched = _RECEIVER.fullmatch(row)
    if not matched:
        return None
    vessel = matched[3].lower().removesuffix("s")
    name = " ".join((matched[4] or "").lower().split())
    return OfReceiver(
        _of(matched[1], matched[2]), FORESHOTS if vessel == "foreshot" else vessel, name, matched[5]
    )


class _Items:
    """The items behind a receiver's name, read from left to right; commas may be left out."""

    def __init__(self, name: str, text: str) -> None:
        self.name, self.left = name, text.strip(" ,;\n")
        self.read_as: dict[str, str] = {}
        self.temp_c: float | None = None

    def read(self) -> Said:
        """All of them."""
        if not self.left:
            raise NothingOfTheReceiver(self.name, EXAMPLE)
        found = Said(self.name, "jar")
        while self.left:
            found = self._next(found)
            self.left = self.left.strip(" ,;\n")
        if found.volume_l is not None and found.pct_vol is not None and self.temp_c is not None:
            at_20 = float(alcohol.volume_at_20(found.volume_l, found.pct_vol, self.temp_c))
            found = replace(found, volume_l=at_20)
        return found

    def _next(self, found: Said) -> Said:
        if matched := _STRENGTH.match(self.left):
            return replace(found, pct_vol=self._strength(matched))
        if matched := _VOLUME.match(self.left):
            return replace(found, volume_l=self._volume(matched))
        if matched := _MARK.match(self.left):
            text = self._once("mark", matched).replace(" ", "")
            return replace(found, mark=read_mark(text, self.name))
        if matched := _WORDS.match(self.left):
            return self._word(found, matched)
        raise NotOfAReceiver(self.name, self.left.split(",")[0][:40], EXAMPLE)

    def _word(self, found: Said, matched: re.Match[str]) -> Said:
        words = " ".join(matched[0].split())
        if words.lower() in _PLACES:
            self._once("mark", matched)
            return replace(found, mark=read_mark(words, self.name))
        self.left = self.left[matched.end() :]
        return replace(found, smells=(*found.smells, words))

    def _strength(self, matched: re.Match[str]) -> float:
        text = self._once("strength", matched)
        self._warmth(matched[2])
        pct_vol = batch_typed.row_of(f"heart: {text}")[0].value
        if pct_vol > STRONGEST_PCT_VOL:
            raise OutOfRange(f"The strength of {self.name}", pct_vol, "%vol", 0.0, STRONGEST_PCT_VOL)
        return pct_vol

    def _volume(self, matched: re.Match[str]) -> float:
        self._once("volume", matched)
        self._warmth(matched[2])
        volume_l = parse.volume_l(matched[1], what=f"the volume of {self.name}")
        if not 0.0 < volume_l <= LARGEST_JAR_L:
            raise OutOfRange(f"The volume of {self.name}", volume_l, "L", 0.0, LARGEST_JAR_L)
        return volume_l

    def _warmth(self, text: str | None) -> None:
        if text:
            self.temp_c = parse.temperature_c(text, what=f"how warm {self.name} was")

    def _once(self, what: str, matched: re.Match[str]) -> str:
        text = matched[0]
        if what in self.read_as:
            raise SaidTwice(self.name, what, self.read_as[what], text)
        self.read_as[what] = text
        self.left = self.left[matched.end() :]
        return text


def begun(row: str) -> RunKey | None:
    """The run that a row says begins; None for any other row."""
    matched = _BEGINS.fullmatch(row)
    return which_run(matched[1]) if matched else None


def taken(row: str) -> tuple[str, ...] | None:
    """Names of receivers that a row says went into the heart; None for any other row."""
    matched = _TAKEN.fullmatch(row)
    return names_of(matched[3]) if matched else None


def taken_of(row: str) -> RunKey | None:
    """The run whose heart alone a row of what was taken speaks of; None where it is of all runs."""
    matched = _TAKEN.fullmatch(row)
    return _of(matched[1], matched[2]) if matched else None


def heart_of(row: str) -> HeartOf | None:
    """What a row says of the heart of one run; None for any other row, and for the whole heart.

    Raises:
        InputError: it measures nothing that a heart has.
    """
    matched = _HEART_OF_RUN.fullmatch(row)
    if not matched:
        return None
    read = {one.quantity: one.value for one in batch_typed.row_of(f"heart:{matched[3]}")}
    return HeartOf(("run", int(matched[2])), read.get("volume"), read.get("strength"))


def head(row: str) -> tuple[RunKind, float, float] | None:
    """Kind of run, litres over and warmth at the head [°C] of a row that has it, else None."""
    matched = _AT_LITRES.fullmatch(row)
    temp_c = head_c(matched[3]) if matched else None
    if matched is None or temp_c is None:
        return None
    litres = re.sub(r"^\D*", "", matched[1])
    return _kind(matched[2]), parse.volume_l(litres, what="litres over"), temp_c


def which_run(text: str) -> RunKey:
    """Which run is meant by `run 2` or `strip`."""
    matched = _WHICH.fullmatch(text)
    if not matched:
        raise NoSuchRun(" ".join(text.split()))
    return _kind(matched[1]), max(int(matched[2] or 1), 1)


def _kind(words: str) -> RunKind:
    return "strip" if words.lower().startswith("strip") else "run"


def _of(kind: str | None, number: str | None) -> RunKey | None:
    return (_kind(kind), int(number or 0)) if kind else None


def names_of(text: str) -> tuple[str, ...]:
    """Names of receivers between commas."""
    found = tuple(dict.fromkeys(" ".join(item.lower().split()) for item in text.split(",") if item.strip()))
    if not found:
        raise NothingOfTheReceiver("what was taken", "taken: jar 3, jar 4")
    return found
