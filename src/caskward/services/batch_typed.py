"""What a maker types of a whole batch: a row for each stage, `mash 3 h: 1.060, 61 C`, `run 12 L: 71 %`.

A mash and a ferment are read at hours since they began, a cask at days since it was filled (without them,
that day), a strip and a run at litres since the first drop; what is measured once, a wash, a charge, a
heart, has no moment. "over" and "under" stand before a figure that is only where the instrument ends.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from caskward.errors import (
    MomentMissing,
    MomentNotNeeded,
    MoreThanTheWhole,
    NotAtTheSpout,
    NotUnderstood,
    OutOfRange,
    ReadingsOutOfOrder,
    UnknownName,
    WhoseWarmth,
)
from caskward.planning.as_done import Done
from caskward.planning.observing import drives
from caskward.planning.readings import QUANTITIES, STAGES, Bound, Reading, Stage, reading_of
from caskward.properties import alcohol
from caskward.services.tub_typed import items_of, quantity_and_value
from caskward.units import parse

EXAMPLES: Final = '"mash 3 h: 1.060, 61 C", "wash: 8.4 %, 340 L" or "run 12 L: 71 %"'

_ROW = re.compile(
    r"\s*([a-z][a-z ]*?)\s*((?:at |after |@ ?)?\d[^:]*?)?\s*:\s*(.+)", re.DOTALL | re.IGNORECASE
)
_STAGES: Final[dict[str, Stage]] = {
    "mash": "mash",
    "ferment": "ferment",
    "tub": "ferment",
    "wash": "wash",
    "strip": "strip",
    "stripping": "strip",
    "low wines": "strip",
    "charge": "charge",
    "run": "run",
    "spirit run": "run",
    "heart": "heart",
    "hearts": "heart",
    "cask": "cask",
    "barrel": "cask",
}
_BY_HOURS: Final = ("mash", "ferment")
_BY_LITRES: Final = ("strip", "run")
_EXAMPLES: Final[dict[Stage, str]] = {
    "mash": "mash 3 h: 1.060, 61 C",
    "ferment": "ferment 4 d: 1.010, 24 C",
    "wash": "wash: 8.4 %, 340 L",
    "strip": "strip: 110 L, 26 %",
    "charge": "charge: 119 L, 26 %",
    "run": "run 12 L: 71 %",
    "heart": "heart: 22 L, 70 %",
    "cask": "cask 30 d: 61 %",
}
_BOUND = re.compile(r"\s*(\b(?:over|above|more than|under|below|less than)\b|[<>])\s*", re.IGNORECASE)
_MEASURES_ALIKE: Final = 1.1
"""How far two measures of the same litres may lie apart; *common practice, no source*."""
_GRAVITY_AT = re.compile(
    r"(?:gravity\s+|sg\s+)?((?:0[.,]9|1[.,][01])\d*|[\d.,]+\s*(?:p|bx|brix|plato))\s*(?:at|@)\s*"
    r"([+-]?[\d.,]+\s*°?\s*[cf])",
    re.IGNORECASE,
)
_WARM = re.compile(r"(.*?%.*?|.*?proof)\s*(?:at|@|,)?\s*([+-]?[\d.,]+\s*°?\s*[cf])", re.IGNORECASE)


@dataclass(frozen=True)
class Pair:
    """Two readings of one thing at one moment that differ, or of which one rules the other out."""

    first: Reading
    second: Reading


@dataclass(frozen=True)
class Rows:
    """Readings in the order of the batch's way; pairs of one moment; what has to be said of how they came.

    done: what was done beside the plan, from rows of another kind.
    """

    readings: tuple[Reading, ...]
    pairs: tuple[Pair, ...]
    notes: tuple[str, ...]
    done: tuple[Done, ...] = ()


def rows(logged: Iterable[str], typed: Iterable[str], log: str = "The log") -> Rows:
    """Readings of a log and of a command line, put in order.

    Raises:
        InputError: a row that is not understood; a log whose rows of one stage go back in time.
    """
    logged, typed = tuple(logged), tuple(typed)
    in_log = [reading for row in logged for reading in row_of(row)]
    _refuse_disorder(in_log, log)
    found = [*in_log, *(reading for row in typed for reading in row_of(row))]
    _refuse_more_than_the_whole(found)
    once, notes = _once(found)
    in_order = sorted(once, key=lambda r: r.moment)
    return Rows(tuple(in_order), _pairs(in_order), (*notes, *_late(found), *_on_filling_day(in_order)))


def row_of(given: str) -> tuple[Reading, ...]:
    """The readings of one row.

    Raises:
        InputError: a row, a stage, a moment or an item that is not understood or has no place there.
    """
    matched = _ROW.fullmatch(given)
    if not matched:
        raise NotUnderstood("readings of a batch", _short(given), EXAMPLES)
    stage, said = _stage(matched[1]), " ".join(given.split())
    written = re.sub(r"^(?:at |after |@ ?)", "", matched[2] or "", flags=re.IGNORECASE)
    at_h, at_l = _moment(stage, written, matched[3])
    found = []
    for item in items_of(matched[3]):
        bound, exact = _bound(item)
        quantity, value = _item(stage, exact, bool(written) and stage in _BY_LITRES)
        reading = _read(stage, quantity, value, at_h, said, at_l, bound)
        if bound and (QUANTITIES[quantity].yes_or_no or drives(reading)):
            raise NotUnderstood(f"a reading of a {stage}", _short(item), repr(_EXAMPLES[stage]))
        found.append(reading)
    return tuple(found)


def _read(
    stage: Stage, quantity: str, value: float, at_h: float, said: str, at_l: float, bound: Bound
) -> Reading:
    """A reading; where it is out of range, its row is named, and the other unit is asked about."""
    try:
        return reading_of(stage, quantity, value, at_h, said, at_l, bound)
    except OutOfRange as out:
        hint = str(out).partition(f"and {out.high:g}{f' {out.unit}' if out.unit else ''}.")[2].strip()
        if out.unit == "°C" and out.low <= (out.given - 32.0) / 1.8 <= out.high:
            hint = f"Or was it {out.given:g} °F?"
        raise OutOfRange(f"{out.name} in {said!r}", out.given, out.unit, out.low, out.high, hint) from None


def same_thing(one: Reading, other: Reading) -> bool:
    """True for readings of one quantity at one moment; what is only over or under is a thing of its own."""
    return (one.quantity, one.bound) == (other.quantity, other.bound) and one.moment == other.moment


def example(stage: Stage) -> str:
    """How a reading of a stage is written."""
    return _EXAMPLES[stage]


# The parts of a row ------------------------------------------------------------------------------


def _stage(words: str) -> Stage:
    word = " ".join(words.lower().split())
    if word not in _STAGES:
        close = difflib.get_close_matches(word, _STAGES, n=1)
        raise UnknownName("stage of a batch", word, close[0] if close else None, STAGES)
    return _STAGES[word]


def _moment(stage: Stage, written: str, items: str) -> tuple[float, float]:
    """Hours and litres at which a row was read."""
    what = f"the moment of a {stage} reading"
    if stage in _BY_HOURS:
        if not written:
            raise MomentMissing(stage, "hours since it began", _EXAMPLES[stage])
        return parse.duration_h(written, what=what), 0.0
    if stage in _BY_LITRES:
        if written:
            return 0.0, parse.volume_l(written, what=f"{what}, litres since the first drop")
        if stage == "run":
            more = f"What the heart comes to as a whole is {_EXAMPLES['heart']!r}."
            raise MomentMissing(stage, "litres since the first drop", _EXAMPLES[stage], more)
        return 0.0, 0.0
    if stage == "cask":
        return (parse.duration_h(written, what=what) if written else 0.0), 0.0
    if written:
        tub = f'"ferment {written}: {items.strip()}" while it is in its tub, else ' if stage == "wash" else ""
        raise MomentNotNeeded(stage, written, f'{tub}"{stage}: {items.strip()}"')
    return 0.0, 0.0


def _bound(text: str) -> tuple[Bound, str]:
    """Whether an item only says "over" or "under", and the item without that."""
    found = _BOUND.search(text)
    if not found:
        return "", text
    over = found[1].lower() in ("over", "above", "more than", ">")
    return "over" if over else "under", f"{text[: found.start()]} {text[found.end() :]}".strip()


def _item(stage: Stage, text: str, at_the_spout: bool) -> tuple[str, float]:
    """Quantity and value; a strength with the sample's warmth beside it is brought to 20 °C."""
    if at_the_spout:
        text = re.sub(r"^\s*(?:at the )?spout\b\s*[:=]?\s*", "", text, flags=re.IGNORECASE)
    if stage in _BY_HOURS and (both := _GRAVITY_AT.fullmatch(text.strip())):
        raise WhoseWarmth(_short(text), both[1], both[2])
    warm = _WARM.fullmatch(text.strip()) if stage not in _BY_HOURS else None
    quantity, value = _known(stage, warm[1] if warm else text)
    if warm and quantity == "strength":
        temp_c = parse.temperature_c(warm[2], what="the temperature of the sample")
        value = _true_pct_vol(warm[1], value, temp_c)
    if at_the_spout:
        if quantity != "strength":
            raise NotAtTheSpout(stage, _short(text), _EXAMPLES["run"].split(": ")[1], _WHOLE[stage])
        quantity = "spout"
    return quantity, value


def _true_pct_vol(text: str, pct_vol: float, temp_c: float) -> float:
    """Strength [%vol at 20 °C] behind what an instrument showed in a sample as warm as said.

    A proof hydrometer is made for 60 °F, an alcoholometer for 20 °C. text: as it was read, with its unit.
    pct_vol: the same as if it were true.
    """
    if "proof" in text.lower():
        mark_pct_vol = float(alcohol.proof_60f(pct_vol)) / 2.0
        return float(alcohol.true_strength(mark_pct_vol, temp_c, alcohol.TEMP_60F_C))
    return float(alcohol.true_strength(pct_vol, temp_c))


_WHOLE: Final[dict[Stage, str]] = {"strip": _EXAMPLES["strip"], "run": _EXAMPLES["heart"]}
"""How what such a stage gives in all is written."""


def _known(stage: Stage, text: str) -> tuple[str, float]:
    """Quantity and value; where no name is near, how this stage is written says more than every name."""
    bare = re.fullmatch(r"[\d.,]+", text.strip()) is not None
    try:
        return quantity_and_value(text)
    except (NotUnderstood, UnknownName) as unknown:
        if not bare and (isinstance(unknown, NotUnderstood) or unknown.nearest):
            raise
        raise NotUnderstood(
            f"a reading of a {stage}, with its unit", _short(text), repr(_EXAMPLES[stage])
        ) from None


# Rows together -----------------------------------------------------------------------------------


def _refuse_disorder(found: Sequence[Reading], log: str) -> None:
    last: dict[Stage, Reading] = {}
    for reading in found:
        before = last.get(reading.stage)
        if before is not None and reading.moment < before.moment:
            raise ReadingsOutOfOrder(log, before.said, reading.said)
        last[reading.stage] = reading


def _refuse_more_than_the_whole(found: Sequence[Reading]) -> None:
    """No strip is read after more litres than all strips gave together."""
    wholes = [r for r in found if r.of_whole and r.quantity == "volume" and not r.bound]
    for whole in wholes:
        for reading in found:
            if reading.stage == whole.stage and reading.at_l > _MEASURES_ALIKE * whole.value:
                raise MoreThanTheWhole(reading.said, whole.said, whole.stage)


def _once(found: Sequence[Reading]) -> tuple[list[Reading], list[str]]:
    """Readings without those that say the same of the same moment again, and a sentence for each such."""
    kept: list[Reading] = []
    again: dict[str, None] = {}
    for reading in found:
        if any(same_thing(reading, one) and reading.value == one.value for one in kept):
            again[f"{QUANTITIES[reading.quantity].words} in {reading.said!r}"] = None
        else:
            kept.append(reading)
    return kept, [f"Given twice, taken once: the {words}." for words in again]


def _pairs(readings: Sequence[Reading]) -> tuple[Pair, ...]:
    """Readings of one moment; and a starch test clear, then blue, for starch does not come back."""
    return tuple(
        Pair(one, other)
        for i, one in enumerate(readings)
        for other in readings[i + 1 :]
        if (same_thing(one, other) and not one.bound) or exclude(one, other)
    ) + tuple(
        Pair(before, after)
        for before, after in pairwise(r for r in readings if (r.stage, r.quantity) == ("mash", "starch"))
        if before.moment < after.moment and before.value < after.value
    )


def exclude(one: Reading, other: Reading) -> bool:
    """True where one moment's "over" lies above its "under": no figure is both."""
    if (one.quantity, one.moment) != (other.quantity, other.moment):
        return False
    ends = {r.bound: r.value for r in (one, other)}
    return "over" in ends and "under" in ends and ends["over"] >= ends["under"]


def _late(found: Sequence[Reading]) -> tuple[str, ...]:
    """A sentence for each row that came after one of a later moment."""
    said: dict[str, None] = {}
    for before, reading in pairwise(found):
        if reading.moment < before.moment:
            said[
                f"{reading.said!r} came after {before.said!r} but is earlier: taken in its place. Count from "
                "the start of each stage."
            ] = None
    return tuple(said)


def _on_filling_day(readings: Sequence[Reading]) -> tuple[str, ...]:
    """A sentence where a cask's strength came without its day, for its wood waters it down later."""
    said = [r.said for r in readings if (r.stage, r.quantity) == ("cask", "strength") and r.at_h == 0.0]
    return tuple(
        f"{row!r} is taken as of the day the cask was filled, before its wood gives water. Read later, write "
        f"the day: {_EXAMPLES['cask']!r}."
        for row in dict.fromkeys(said)
    )


def _short(text: str) -> str:
    words = " ".join(text.split())
    return words if len(words) <= 60 else f"{words[:57]}..."
