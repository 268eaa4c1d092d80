"""What a maker types of things done in a batch: `mashed: rye 28 kg, 110 L water`, `rinse: 2 x 34 L`.

They stand among the readings, where they were done: a rinse below the row of a wash came after that reading.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from itertools import combinations
from typing import Final

from caskward.errors import NotUnderstood
from caskward.errors.batch_done import CaskReadOnBothSides, DoneTwice
from caskward.planning.as_done import AT_THE_CASK, Done, DoneKey
from caskward.planning.readings import STAGES, Stage
from caskward.planning.strengths import read_strength
from caskward.services import batch_typed
from caskward.services.tub_typed import items_of, quantity_and_value
from caskward.units import parse

EXAMPLES: Final[Mapping[DoneKey, str]] = {
    "mashed": "mashed: rye 28 kg, barley-malt 13 kg, 110 L water",
    "hold": "hold: 1 h",
    "sugar": "sugar: 4.5 kg",
    "rinse": "rinse: 2 x 34 L",
    "strip stop": "strip stop: 5 %",
    "feints": "feints: 8 L, 28 %",
    "heart end": "heart end: 58 %",
    "entry strength": "entry strength: 58 %",
    "top-up": "top-up: 2.6 L, 63 %",
    "less full": "less full: 21.6 L",
    "smaller cask": "smaller cask: 20 L",
}
_NAMES: Final[dict[str, DoneKey]] = {
    **{key: key for key in EXAMPLES},
    "mashed in": "mashed",
    "held": "hold",
    "held longer": "hold",
    "rinsed": "rinse",
    "top up": "top-up",
    "topped up": "top-up",
}
_ROW = re.compile(r"\s*([a-z][a-z -]*?)\s*:\s*(.+)", re.DOTALL | re.IGNORECASE)
_TIMES = re.compile(r"(\d{1,2})\s*(?:x|×|times)\s*(.+)", re.IGNORECASE)
_AMOUNT = re.compile(r"(?:(.*?)\s+)?([\d.,]+\s*[a-z]+)(?:\s+(?:of\s+)?(.+))?", re.IGNORECASE)


def apart(rows: Iterable[str]) -> tuple[tuple[str, ...], tuple[Done, ...]]:
    """Rows of readings, and what the others say was done.

    Raises:
        InputError: a row that is not understood; one thing said to be done twice; a cask read before
            something was done to it and after.
    """
    read: list[str] = []
    done: list[Done] = []
    last: Stage | None = None
    for row in rows:
        key, value = _key(row)
        if key is not None:
            done.append(_done(key, value, row, last))
            continue
        stage = batch_typed.row_of(row)[0].stage
        _refuse_both_sides(done, stage, row, last)
        last = stage if last is None else max(last, stage, key=STAGES.index)
        read.append(row)
    _refuse_twice(done)
    return tuple(read), tuple(done)


def says_done(row: str) -> bool:
    """True for a row of something done."""
    return _key(row)[0] is not None


def _key(row: str) -> tuple[DoneKey | None, str]:
    matched = _ROW.fullmatch(row)
    if not matched:
        return None, ""
    return _NAMES.get(" ".join(matched[1].lower().split())), matched[2].strip()


def _done(key: DoneKey, value: str, row: str, after: Stage | None) -> Done:
    said = " ".join(row.split())
    what = f"what was done ({key})"
    if key == "mashed":
        bill_kg, water_l = _mashed(value)
        return Done(key, bill_kg=bill_kg, water_l=water_l, after=after, said=said)
    if key in ("feints", "top-up"):
        volume_l, pct_vol = _spirit(key, value)
        return Done(key, volume_l, pct_vol=pct_vol, after=after, said=said)
    times = 1
    if key == "rinse" and (found := _TIMES.fullmatch(value)):
        times, value = int(found[1]), found[2]
    amount = _READ.get(key, parse.volume_l)(re.sub(r"\s+longer$", "", value), what=what)
    if amount <= 0.0 or times < 1 or re.fullmatch(r"[\d.,\s]+", value):
        raise NotUnderstood(what, value, repr(EXAMPLES[key]))
    return Done(key, amount, times, after=after, said=said)


_READ: Final[Mapping[DoneKey, Callable[..., float]]] = {
    "hold": parse.duration_h,
    "sugar": parse.mass_kg,
    "strip stop": read_strength,
    "heart end": read_strength,
    "entry strength": read_strength,
}


def _spirit(key: DoneKey, value: str) -> tuple[float, float]:
    read = dict(quantity_and_value(item) for item in items_of(value))
    if set(read) != {"volume", "strength"} or min(read.values()) <= 0.0:
        raise NotUnderstood(f"the {key}, litres and strength", value, repr(EXAMPLES[key]))
    return read["volume"], read["strength"]


def _mashed(value: str) -> tuple[dict[str, float], float | None]:
    """Kilograms by material as it was called, and litres of water."""
    bill_kg: dict[str, float] = {}
    water_l: float | None = None
    for item in items_of(value):
        matched = _AMOUNT.fullmatch(item)
        name = " ".join((matched[1] or matched[3] or "").lower().split()) if matched else ""
        if not matched or (matched[1] and matched[3]):
            raise NotUnderstood("what was mashed", item, repr(EXAMPLES["mashed"]))
        if name in ("water", ""):
            water_l = parse.volume_l(matched[2], what="the water of the mash")
        else:
            bill_kg[name] = bill_kg.get(name, 0.0) + parse.mass_kg(matched[2], what=f"the {name} mashed")
    if not bill_kg and water_l is None:
        raise NotUnderstood("what was mashed", value, repr(EXAMPLES["mashed"]))
    return bill_kg, water_l


_PLACES: Final[Mapping[DoneKey, tuple[Stage, Stage]]] = {
    "mashed": ("mash", "mash"),
    "hold": ("mash", "mash"),
    "sugar": ("mash", "mash"),
    "rinse": ("mash", "wash"),
    "strip stop": ("strip", "strip"),
    "feints": ("strip", "strip"),
    "heart end": ("run", "heart"),
    **dict.fromkeys(AT_THE_CASK, ("heart", "cask")),
}
"""Of each, the first stage that may be read below its row, and the last that may be read above it."""


def out_of_place(rows: Iterable[str]) -> tuple[str, ...]:
    """A sentence for each row of something done that stands where it cannot have been done."""
    said: dict[str, None] = {}
    rows = [" ".join(row.split()) for row in rows]
    for before, row in combinations(rows, 2):
        done, read = (before, row) if says_done(before) else (row, before)
        key, _ = _key(done)
        if key is None or says_done(read):
            continue
        stage = STAGES.index(batch_typed.row_of(read)[0].stage)
        first, last = (STAGES.index(s) for s in _PLACES[key])
        if (stage < first) if done is before else (stage > last):
            said.setdefault(f"{row!r} came after {before!r} but is earlier: taken in its place.")
    return tuple(said)


def _refuse_twice(done: list[Done]) -> None:
    """Feints may go in by several rows, each of its own strength; all else is one row with all of it."""
    first: dict[DoneKey, Done] = {}
    for one in done:
        if one.key in first and one.key != "feints":
            raise DoneTwice(first[one.key].said, one.said)
        first[one.key] = one


def _refuse_both_sides(done: list[Done], stage: Stage, row: str, last: Stage | None) -> None:
    if stage != "cask" or last != "cask":
        return
    late = next((d for d in done if d.key in AT_THE_CASK and d.after == "cask"), None)
    if late is not None:
        raise CaskReadOnBothSides(late.said, " ".join(row.split()))
