"""Parts of a batch's page: what is worked out of each already, in the maker's units."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import Any, Final
from urllib.parse import quote

from caskward.desk import river_drawing
from caskward.desk.batch_pages import Part, StageLine
from caskward.desk.screens import BATCHES
from caskward.desk.thoughts import Failed, Thought
from caskward.services import batch_answers
from caskward.services.book import batch_follow, batch_record, filled_words
from caskward.services.book.batch_record import BatchRecord
from caskward.units.types import UnitSystem

SLOW: Final = {"sure": "now", "doubt": "why", "surer": "remedy", "stages": "cards"}
"""Parts of the page, and which part of a thought each waits for."""
FIRST_LOOK_S: Final = 0.25
"""How long the answer waits for a first look at what was just recorded."""
NAMES: Final = (*SLOW, "river")
_FORECAST: Final = ("sure", "doubt", "surer")
"""What is of no more use once the cask is filled: then the book says with what."""


def path_of(name: str) -> str:
    """A batch's page."""
    return f"/batches/{quote(name, safe='')}"


def slug_of(name: str) -> str:
    """A batch's name as a word that may stand in an id."""
    return hashlib.sha256(name.encode()).hexdigest()[:8]


def part(name: str, of: BatchRecord, thought: Thought | None, system: UnitSystem) -> Part[Any]:
    """One part as far as it is known. thought: None for a batch without a plan."""
    if name == "river":
        return as_part(name, of, _river(of, thought, system), waiting=_thinks(thought, "now"))
    if thought is None:
        return as_part(name, of)
    found = thought.part(SLOW[name])
    if isinstance(found, Failed):
        # One reason is said once: beside how sure it is.
        first = name == "sure" or found is not thought.part("now")
        return as_part(name, of, error=found.sentence if first else "")
    if name in _FORECAST and (there := filled_words.filled(of, system)):
        report = found.report if found and name == "sure" else None
        return as_part(name, of, filled_words.sure(there, report, system) if name == "sure" else None)
    if found is None:
        return as_part(name, of, _first(thought, system) if name == "sure" else None, waiting=True)
    return as_part(name, of, _ANSWERS[name](of, thought, found, system))


def as_part(
    name: str, of: BatchRecord, answer: Any = None, error: str = "", *, waiting: bool = False
) -> Part[Any]:
    """What a part says, as its template takes it."""
    return Part(
        title=of.name,
        screen=BATCHES.key,
        name=name,
        path=f"{path_of(of.name)}/parts/{name}",
        slug=slug_of(of.name),
        planned=bool(of.plan),
        answer=answer,
        error=error,
        waiting=waiting,
    )


def _first(thought: Thought, system: UnitSystem) -> batch_answers.Sure | None:
    """About how sure it is, while all of it is being worked out."""
    found = thought.part("first", FIRST_LOOK_S)
    return batch_answers.first_sure(found, system) if found and not isinstance(found, Failed) else None


def _thinks(thought: Thought | None, name: str) -> bool:
    return thought is not None and not thought.has(name)


def _river(of: BatchRecord, thought: Thought | None, system: UnitSystem) -> river_drawing.RiverDrawn | None:
    plan, now = (thought.good("plan"), thought.good("now")) if thought else (None, None)
    found = river_drawing.drawn(batch_follow.river_of(of, plan, now), system)
    return found if found.reaches else None


def _stages(of: BatchRecord, _: Thought, found: Any, system: UnitSystem) -> tuple[StageLine, ...]:
    keys = [card.key for card in found]
    at = batch_record.stage_now(of)
    here = keys.index(at) if at in keys else 0
    read: dict[str, list[batch_record.RowRead]] = {}
    for row in of.rows_read:
        read.setdefault(batch_answers.CARD_OF.get(row.stage, ""), []).append(row)
    states = [
        "done" if n < here or not of.is_open else "now" if n == here else "later" for n in range(len(keys))
    ]
    return tuple(
        StageLine(shown=batch_follow.shown(card, system), state=state, rows=tuple(read.get(card.key, ())))
        for card, state in zip(found, states, strict=True)
    )


_ANSWERS: Final[dict[str, Callable[[BatchRecord, Thought, Any, UnitSystem], Any]]] = {
    "sure": lambda of, _, found, system: batch_answers.sure(found.report, system, read=bool(of.rows)),
    "doubt": lambda _of, _, found, _system: batch_answers.doubt(found),
    "surer": lambda _of, _, found, system: batch_answers.surer(found, system),
    "stages": _stages,
}
