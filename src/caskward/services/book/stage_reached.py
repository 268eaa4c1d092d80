"""How far a batch has come, by all that the book has of it: its rows and its deeds."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from caskward.book.accounts import name_of
from caskward.book.history import Happening
from caskward.errors import InputError
from caskward.planning.readings import STAGES, Stage
from caskward.services import batch_receivers
from caskward.services.book import batch_record
from caskward.services.book.run_kind import Kind, kinds
from caskward.services.book.yeasts import is_yeast

_KINDS: Final[dict[str, Stage]] = {"mashed": "mash", "converted": "wash", "filled": "cask"}
_RUNS: Final[dict[Kind, Stage]] = {"strip": "strip", "spirit run": "run"}


def reached(happened: Iterable[Happening]) -> Stage | None:
    """The last stage that was read, or that a deed begins: yeast that went in begins a ferment."""
    every = tuple(happened)
    runs = kinds(every)
    seen = [stage for one in every for stage in _stages_of(one, runs.get(one.number))]
    return max(seen, key=STAGES.index) if seen else None


def _stages_of(one: Happening, run: Kind | None) -> list[Stage]:
    rows = [stage for row in batch_record.rows_in(one) for stage in _stages_in(row)]
    used = [name_of(part.commodity) for part in one.postings if part.account.startswith("used/")]
    found: list[Stage] = ["ferment"] if any(map(is_yeast, used)) else []
    kind = _KINDS.get(one.kind) or (_RUNS[run] if run else None)
    return [*rows, *found, *((kind,) if kind else ())]


def _stages_in(row: str) -> list[Stage]:
    """Stages that a row speaks of; one of receivers, or of a first drop, is of its run."""
    try:
        if of_run := batch_receivers.stage_of(row):
            return [of_run]
        return [reading.stage for reading in batch_record.readings_in(row)]
    except InputError:
        return []
