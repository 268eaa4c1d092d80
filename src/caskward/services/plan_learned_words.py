"""What closed batches taught, in a maker's words and units."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, cast

from caskward.planning.learning import MOVED_SD
from caskward.planning.plan import Band, Unit
from caskward.services.plan_doubt import inside
from caskward.services.plan_learned import HabitLine, PlanLearned
from caskward.services.words import banded, counted
from caskward.units.types import UnitSystem

MEANS: Final = (
    "In brackets: 8 in 10 of your next batches lie there. A batch strays from what is usual with you, and "
    "older ones weigh less, so one batch moves little."
)
_UNITS: Final = {
    ".litres": "L",
    "_l": "L",
    ".hours": "h",
    "lag_h": "h",
    "warmer_k": "K",
    "room_k": "K",
    "_pct_vol": "pct_vol",
}
"""Units by how a name ends; what is not here is a plain number, with what it counts behind it."""
_PLAIN: Final = {"_w_k": " W/K", "kg_per_kg": " kg/kg", "_per_h": " per h", "cells_per_g": " per g"}


def headline(of: PlanLearned) -> str:
    """How much stands apart from the defaults, and how many batches stand behind it."""
    batches = "1 closed batch" if of.batches == 1 else f"{of.batches} closed batches"
    behind = f"{batches}, {counted(of.readings, 'reading')}"
    if not of.lines:
        return f"Learned from {behind}: nothing stands apart from the defaults yet."
    moved = sum(abs(h.mean) >= MOVED_SD for h in of.lines)
    surer = len(of.lines) - moved
    apart = f"{counted(moved, 'thing')} moved from the default{'s' if moved > 1 else ''}" if moved else ""
    narrow = (
        f"{surer if moved else counted(surer, 'thing')} became surer where {_they(surer)}" if surer else ""
    )
    return f"Learned from {behind}: {', '.join(part for part in (apart, narrow) if part)}."


def _they(count: int) -> str:
    return "it was" if count == 1 else "they were"


def habit_rows(of: PlanLearned, system: UnitSystem) -> list[tuple[str, str, str, str]]:
    """A head, then each thing that moved: by default, with you, and how many batches told of it."""
    return rows_of(of.lines, system)


def rows_of(lines: Iterable[HabitLine], system: UnitSystem) -> list[tuple[str, str, str, str]]:
    """The same of any of them."""
    head = ("", "default", "with you", "batches")
    return [head, *((_capital(inside(h.words)), *_bands(h, system), str(h.batches)) for h in lines)]


def rest_sentence(of: PlanLearned) -> str:
    """What did not move."""
    if not of.still:
        return ""
    return f"{counted(of.still, 'other thing')} stay{'s' if of.still == 1 else ''} where the defaults are."


def kept_sentence(out: str) -> str:
    """Where it is kept, and how a plan begins with it."""
    return f'Kept in {out}. The next plan begins with it where its file says at the top: learned = "{out}"'


def _bands(of: HabitLine, system: UnitSystem) -> tuple[str, str]:
    return _band(of, of.default, system), _band(of, of.learned, system)


def _band(of: HabitLine, band: Band, system: UnitSystem) -> str:
    if of.scale == "share":
        return banded(band, "share", system)
    plain = next((words for end, words in _PLAIN.items() if of.key.endswith(end)), None)
    unit = next((unit for end, unit in _UNITS.items() if of.key.endswith(end)), None)
    if plain is None and unit is not None:
        return banded(band, cast(Unit, unit), system)
    words = " lb/lb" if system == "us" and plain == " kg/kg" else plain or " times"
    return f"{_two_digits(band.mid)}{words} ({_two_digits(band.low)}–{_two_digits(band.high)})"


def _two_digits(of: float) -> str:
    return f"{of:#.2g}".removesuffix(".")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
