"""What the book has of one batch, as its page shows it: its rows, its way so far, its plan."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from caskward.book.corrections import meant_details, meant_kind
from caskward.book.entry import Entry
from caskward.book.history import Happening, as_put_right
from caskward.errors import InputError
from caskward.errors.book import NoSuchBatch
from caskward.planning.readings import STAGES, Reading
from caskward.services import batch_done, batch_receivers, batch_typed, plan_update, river, run_heart, run_log
from caskward.services.batch_answers import CARD_OF
from caskward.services.batch_typed import Rows
from caskward.services.book import run_kind, words
from caskward.services.book.batch_flow import recorded_of
from caskward.services.book.moments import shown
from caskward.services.book.opened import Book
from caskward.services.river import Recorded
from caskward.services.run_log import RunLog
from caskward.services.run_rows import Entered
from caskward.units import show
from caskward.units.types import UnitSystem

_AT_SOME_LITRES = re.compile(
    r"((?:run|strip)(?:\s+\d{1,2}\s+at)?)(?:\s+[\d.,]+\s*(?!at|jar|can|foreshots)[a-z]+(?:\s+oz)?)?\s*",
    re.IGNORECASE,
)
_OF_RUN = re.compile(r"((?:run|strip)\s+\d{1,2})\s+(?:at|jar|can|foreshots)\b", re.IGNORECASE)
_LITRES_FIRST = re.compile(r"[\d.,]+\s*[a-z]+(?:\s+oz)?\s*:", re.IGNORECASE)
_STAGE_OF_KIND = {"mashed": "cook", "converted": "separate", "filled": "fill"}
_STAGE_OF_RUN = {"strip": "strip", "spirit run": "spirit"}
_ENTERED = {"strip": Entered("strip"), "spirit run": Entered("run")}
_CARDS = ("cook", "convert", "ferment", "separate", "strip", "charge", "spirit", "reduce", "fill", "clean")
_CARD_WORDS = {
    "cook": "mashing",
    "convert": "mash",
    "ferment": "fermenting",
    "separate": "wash gauged",
    "strip": "stripping",
    "charge": "charge",
    "spirit": "spirit run",
    "fill": "cask filled",
}


@dataclass(frozen=True)
class RowRead:
    """A row as it was typed: its stage among the readings ("" for what was done), and when."""

    stage: str
    row: str
    at: str
    number: int


@dataclass(frozen=True)
class BatchRecord:
    """A batch of the book. plan: the number of the entry that gave it its plan, 0 for none."""

    name: str
    is_open: bool
    entries: tuple[Entry, ...]
    plan: int

    @cached_property
    def happened(self) -> Sequence[Happening]:
        """What was done, corrections in the place of what they correct."""
        return as_put_right(self.entries)

    @cached_property
    def rows(self) -> tuple[str, ...]:
        """Every row that was measured, in order."""
        return tuple(row for one in self.happened for row in rows_in(one))

    @property
    def runs_planned(self) -> tuple[int, int]:
        """How many strips and spirit runs its plan has; 0 without one."""
        plan = next((one for one in self.entries if one.number == self.plan), None)
        method = meant_details(plan).get("method") if plan else None
        counts = method.get("counts") if isinstance(method, Mapping) else None
        if not isinstance(counts, Mapping):
            return 0, 0
        return int(str(counts.get("strips", 0))), int(str(counts.get("spirit_runs", 0)))

    @cached_property
    def mark(self) -> tuple[str, int, tuple[str, ...]]:
        """What everything that is believed of it follows from."""
        chosen = run_heart.chosen_heart(self.rows)
        return self.name, self.plan, (*self.followed, *(f"chosen {one.said}" for one in chosen))

    @cached_property
    def followed(self) -> tuple[str, ...]:
        """Rows that the plan's worlds follow: all but those of receivers."""
        try:
            return batch_receivers.without(self.rows)
        except InputError:
            return self.rows

    @cached_property
    def runs(self) -> RunLog:
        """Its strips and spirit runs: receivers, what was read at the spout, what was taken."""
        return run_log.log_of(item for one in self.happened for item in self._of_runs(one))

    @cached_property
    def run_kinds(self) -> Mapping[int, run_kind.Kind]:
        """Its strips and spirit runs that the book has as deeds, by their number."""
        return run_kind.kinds(self.happened)

    def _of_runs(self, one: Happening) -> tuple[str | Entered, ...]:
        """What of a deed a log of runs is made of."""
        run = self.run_kinds.get(one.number)
        return (_ENTERED[run],) if run else rows_in(one)

    @cached_property
    def rows_read(self) -> tuple[RowRead, ...]:
        """Rows with their stage and time."""
        return tuple(
            RowRead(stage_of(row), row, shown(one.at), one.number)
            for one in self.happened
            for row in rows_in(one)
        )

    @property
    def read(self) -> tuple[Reading, ...]:
        """Readings of its rows; none where they do not go together."""
        try:
            return plan_update.rows_of((), self.rows).readings
        except InputError:
            return ()

    @cached_property
    def recorded(self) -> Recorded:
        """Its alcohol on its way."""
        found = recorded_of(self.happened, self.read)
        if "heart" in found.reaches or self.runs.whole or not self.runs.heart_lpa:
            return found
        reaches = {**found.reaches, "heart": self.runs.heart_lpa}
        return replace(found, reaches=reaches, so_far=found.so_far | {"heart"})


RecordOf = Callable[[Book, str], BatchRecord]
"""What finds the record of a batch: `record_of`, or what keeps records."""


def record_of(book: Book, name: str) -> BatchRecord:
    """What the book has of a batch.

    Raises:
        NoSuchBatch: there is none of that name.
    """
    entries = book.of_batch(name)
    if not entries:
        raise NoSuchBatch(name, None)
    plans = [one.number for one in entries if meant_kind(one) == "planned"]
    with book.holdings() as holdings:
        is_open = holdings.standing(name) == "open"
    return BatchRecord(name, is_open, entries, plans[-1] if plans else 0)


def with_entries(of: BatchRecord, new: Sequence[Entry], book: Book) -> BatchRecord:
    """The record with what was entered of the batch since."""
    plans = [one.number for one in new if meant_kind(one) == "planned"]
    with book.holdings() as holdings:
        is_open = holdings.standing(of.name) == "open"
    return BatchRecord(of.name, is_open, (*of.entries, *new), plans[-1] if plans else of.plan)


def with_row(of: BatchRecord, row: str) -> Rows:
    """Its rows and one more, as it is typed.

    Raises:
        InputError: a row that is not understood, or does not go with the others.
    """
    return plan_update.rows_of((), (*of.rows, row))


def readings_in(row: str) -> tuple[Reading, ...]:
    """The readings of one row; none of a row that says what was done.

    Raises:
        InputError: a row that is not understood.
    """
    return tuple(
        reading
        for kept in batch_receivers.without((row,))
        if not batch_done.says_done(kept)
        for reading in batch_typed.row_of(kept)
    )


def whole_row(begin: str, text: str) -> str:
    """A row as typed, or what was typed behind the beginning that stood beside the field.

    Behind `run 12 L`, `18 L: 71 %` is of the same run at other litres; behind `run 2 jar`, a row that says no
    run is of run 2.
    """
    text = text.strip()
    stage, of = _AT_SOME_LITRES.fullmatch(begin), _OF_RUN.match(begin)
    if stage and _LITRES_FIRST.match(text):
        return f"{stage[1]} {text}"
    if begin and text and ":" not in text:
        return f"{begin}: {text}"
    return batch_receivers.in_run(text, of[1]) if of else text


# Where it stands ---------------------------------------------------------------------------------


def stage_now(of: BatchRecord) -> str:
    """Key of the plan's stage at which it was last seen at work; "" before any."""
    seen = [_stage_at(one, of.run_kinds) for one in of.happened]
    keys = [key for key in seen if key]
    return max(keys, key=_CARDS.index) if keys else ""


def stage_words(of: BatchRecord) -> str:
    """Where it stands, in a word or two."""
    if not of.is_open:
        return "closed"
    return _CARD_WORDS.get(stage_now(of), "begun")


def sentence(of: BatchRecord, system: UnitSystem) -> str:
    """How far its alcohol has come, in one sentence; before there is any, what was recorded last."""
    found = of.recorded.reaches
    if "cask" in found:
        where = " and ".join(sorted(words.place(one) for one in casks(of))) or "the cask"
        return f"{show.volume(found['cask'], system)} of pure alcohol went into {where}."
    for key, begin in _SO_FAR:
        if key in found:
            return f"{show.volume(found[key], system)} of pure alcohol {begin}."
    last = of.entries[-1]
    return f"Last recorded {shown(last.done_at)}: {words.summary(last, system)}."


def casks(of: BatchRecord) -> tuple[str, ...]:
    """Accounts of the casks that were filled from it, in their order."""
    filled = (part for one in of.happened if one.kind == "filled" for part in one.postings)
    return tuple(
        dict.fromkeys(one.account for one in filled if one.account.startswith("cask/") and one.amount > 0)
    )


_SO_FAR: tuple[tuple[river.ReachKey, str], ...] = (
    ("heart", "is in the heart"),
    ("charge", "went into the spirit run"),
    ("low wines", "is in the low wines so far"),
    ("wash", "is in the wash"),
    ("tub", "was made in the tub"),
)


def _stage_at(one: Happening, runs: Mapping[int, run_kind.Kind]) -> str:
    rows = [stage for row in rows_in(one) if (stage := stage_of(row))]
    if rows:
        return CARD_OF[max(rows, key=[*STAGES].index)]  # type: ignore[arg-type] # a stage's name
    if one.number in runs:
        return _STAGE_OF_RUN[runs[one.number]]
    if one.kind == "measured" and str(one.details.get("of", "")).startswith("vessel"):
        return "ferment"
    return _STAGE_OF_KIND.get(one.kind, "")


def rows_in(one: Happening) -> tuple[str, ...]:
    """Rows that were measured in it."""
    said = one.details.get("rows") if one.kind == "measured" else None
    return tuple(str(row) for row in said) if isinstance(said, tuple) else ()


def stage_of(row: str) -> str:
    """The stage among the readings that a row is of; "" for what was done, or what is not understood."""
    try:
        if stage := batch_receivers.stage_of(row):
            return stage
        found = readings_in(row)
    except InputError:
        return ""
    return found[0].stage if found else ""
