"""Readings that are understood, and yet hardly meant: of a stage that is far off, of a warmth no mash has.

They are entered as typed, since only the maker knows; a page asks first, a command and a program are told.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from caskward.book.history import Happening, as_put_right
from caskward.errors import InputError
from caskward.planning.readings import STAGES, Reading, Stage
from caskward.services.batch_answers import of_stage
from caskward.services.book import batch_record
from caskward.services.book.opened import Book
from caskward.services.book.stage_reached import reached

_MOST_STEPS: Final = 1
"""The next stage is read as it begins; one beyond it is asked about."""
_PASSED_BY: Final = ("charge", "heart")
"""Stages that many makers do not read."""
_USUAL_C: Final[dict[str, tuple[float, float]]] = {"mash": (10.0, 100.0), "ferment": (2.0, 45.0)}
"""Warmth that a tub has, in trouble too; *common practice, no source*."""
_USUAL_PCT: Final[dict[str, tuple[float, float]]] = {
    "wash": (0.0, 23.0),
    "heart": (30.0, 97.2),
    "cask": (20.0, 97.2),
}
"""Strengths that a stage has; no yeast goes beyond the wash's; *common practice, no source*."""


def questions(book: Book, batch: str, rows: Iterable[str]) -> tuple[str, ...]:
    """What to ask of rows of a batch before they are entered; nothing of a row that is not understood."""
    return doubts(as_put_right(book.of_batch(batch)), rows)


def doubts(happened: Sequence[Happening], rows: Iterable[str]) -> tuple[str, ...]:
    """The same, by what happened in the batch."""
    said: dict[str, None] = {}
    for row in rows:
        for reading in _readings(row):
            for text in (*_far(happened, reading), *_odd(reading)):
                said[text] = None
    return tuple(said)


def _readings(row: str) -> tuple[Reading, ...]:
    try:
        return batch_record.readings_in(row)
    except InputError:
        return ()


def _far(happened: Sequence[Happening], of: Reading) -> tuple[str, ...]:
    """A stage that others come before, of which nothing was done or read."""
    seen = reached(happened)
    last: Stage = seen or "mash"
    between = STAGES[STAGES.index(last) + 1 : STAGES.index(of.stage)]
    steps = len([one for one in between if one not in _PASSED_BY]) + 1
    if STAGES.index(of.stage) <= STAGES.index(last) or steps <= _MOST_STEPS:
        return ()
    title = of_stage(of.stage)
    where = f"the batch is at the {of_stage(last)}" if seen else "nothing of it is recorded yet"
    return (f"{title[:1].upper()}{title[1:]} comes {len(between) + 1} stages later: {where}. Is that meant?",)


def _odd(of: Reading) -> tuple[str, ...]:
    """A warmth or a strength that the stage hardly has."""
    if of.quantity in ("temperature", "second_thermometer") and of.stage in _USUAL_C:
        low, high = _USUAL_C[of.stage]
        if not low <= of.value <= high:
            warm = f"{of.value:.0f} °C, {1.8 * of.value + 32.0:.0f} °F,"
            return (f"{warm} is hardly the warmth of a {of.stage}. Is that meant?",)
    if of.quantity == "strength" and of.stage in _USUAL_PCT and not of.bound:
        low, high = _USUAL_PCT[of.stage]
        if not low <= of.value <= high:
            return (f"{of.value:.1f} %vol is hardly the strength of a {of.stage}. Is that meant?",)
    return ()
