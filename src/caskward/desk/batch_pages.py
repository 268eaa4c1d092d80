"""What the templates of batches and of the Bench may use; with help as in `pages`."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Generic, TypeVar

from caskward.desk.pages import EntryLine, RecordForm, Titled, told
from caskward.desk.river_drawing import RiverDrawn
from caskward.desk.to_cask_pages import ToCaskPart
from caskward.services.batch_answers import Doubt, Foreseen, NextRead, Sure, Surer
from caskward.services.book.batch_follow import StageShown
from caskward.services.book.batch_record import RowRead
from caskward.services.book.next_act import NextAct
from caskward.services.book.ready_deeds import ReadyDeed

Answer = TypeVar("Answer")


@dataclass(frozen=True, kw_only=True)
class Part(Titled, Generic[Answer]):
    """A part of a batch's page that may take a while."""

    name: str = told("The part's name, and its end of the address.")
    path: str = told("Where it is asked for again.")
    slug: str = told("The batch's name as a word for ids.")
    planned: bool = told("Whether the batch has a plan.")
    answer: Answer | None = told("What it says; None while it is worked out, or failed.")
    error: str = told("Why it cannot be had; empty while it is worked out.")
    waiting: bool = told("Whether it is still being worked out, or will say more soon.")


@dataclass(frozen=True, kw_only=True)
class WhereItGoes:
    """Of which stage a bare reading is, and when it was taken, as the book knows it."""

    before: str = told("How its row begins: the stage, and how long that has gone on.")
    since_s: int = told(
        "How long that is [s] as the page was made; -1 where nobody knows, or it has no clock."
    )
    counts: str = told("How the clock counts: mash, to the minute; ferment, to the hour; empty without one.")
    example: str = told("What may be typed behind it.")
    asks: str = told("What to add to it first, such as the time; empty where nothing is missing.")


@dataclass(frozen=True, kw_only=True)
class NextPart(Part[NextRead]):
    """What to read next; while it is being worked out, what was said before the last record."""

    goes: WhereItGoes = told("Where a bare reading goes.")


@dataclass(frozen=True, kw_only=True)
class DeedForm(RecordForm):
    """A form with a deed in it, ready to be looked over."""

    button: str = told("What its button says; empty while there is no such deed.")


@dataclass(frozen=True, kw_only=True)
class ActShown:
    """The next act of a batch as it stands now."""

    act: NextAct = told("What to do, how much, in which window.")
    clock: str = told("How long it has gone on, in words; empty without a clock.")
    since_s: int = told("The same [s]; -1 without a clock.")
    counts: str = told("How its clock counts: mash, to the minute; ferment, to the hour.")
    ready: ReadyDeed | None = told("The deed that ends it, with what is planned; None where none does.")

    @property
    def mark(self) -> str:
        """Stays as long as it says the same, whatever its clock shows."""
        act = self.act
        said = (act.title, act.do, act.more, act.due, act.begun, self.ready)
        return hashlib.sha256(repr(said).encode()).hexdigest()[:16]


@dataclass(frozen=True, kw_only=True)
class StageLine:
    """A stage of a batch."""

    shown: StageShown = told("Its title, figures, notes and cautions.")
    state: str = told("done, now or later.")
    rows: tuple[RowRead, ...] = told("What was read of it.")


@dataclass(frozen=True, kw_only=True)
class BatchPage(Titled):
    """One batch whole; parts that are known already stand in it, the others ask for themselves."""

    name: str = told("The batch's name.")
    path: str = told("Its page.")
    is_open: bool = told("Whether it is open.")
    where: str = told("Where it stands, in a word or two.")
    sentence: str = told("How far its alcohol has come.")
    planned: bool = told("Whether it has a plan.")
    at_still: bool = told("Whether its runs have a page worth going to.")
    reading: ReadingForm | None = told("The form for a reading; None where nothing is read any more.")
    work: RecordForm | None = told("The form for what moves grain and liquid; None once it is closed.")
    to_cask: ToCaskPart = told("What is next on the way from heart to cask.")
    casks: tuple[tuple[str, str], ...] = told("Path and name of each cask that was filled from it.")
    note: RecordForm = told("The form for a note.")
    sure: Part[Sure] = told("How sure the cask fills.")
    act: Part[ActShown] = told("What to do next.")
    deed: DeedForm | None = told("The form for the deed that ends it; None once the batch is closed.")
    next: NextPart = told("What to read next.")
    doubt: Part[Doubt] = told("Whose the doubt is.")
    surer: Part[Surer] = told("What would help.")
    river: Part[RiverDrawn] = told("Its alcohol on its way.")
    stages: Part[tuple[StageLine, ...]] = told("Its stages, where it has a plan.")
    rows: tuple[RowRead, ...] = told("Everything that was read, the newest first.")
    entries: tuple[EntryLine, ...] = told("Its entries, the newest first.")
    more: bool = told("Whether only the newest entries are shown.")


@dataclass(frozen=True, kw_only=True)
class ReadingForm:
    """A form for a reading of a batch."""

    slug: str = told("The batch's name as a word for ids.")
    key: str = told("Its own key: sent twice, it is entered once.")
    batch: str = told("For which batch.")
    path: str = told("The batch's page; what a reading would do is asked for below it.")
    back: str = told("The page to return to.")
    big: bool = told("Whether the field is the page's main thing.")
    goes: WhereItGoes | None = told(
        "Where a bare reading goes; None where another part of the page says it.", None
    )


@dataclass(frozen=True, kw_only=True)
class ForeseenPart(Titled):
    """What a reading comes to before it is recorded."""

    foreseen: Foreseen | None = told("Its figures, and what they would do; None for an empty field.")
    error: str = told("Why it is not understood yet.")


@dataclass(frozen=True, kw_only=True)
class BatchLine:
    """A batch in a list."""

    name: str = told("Its name.")
    where: str = told("Its stage, in a word or two.")
    sentence: str = told("One sentence.")


@dataclass(frozen=True, kw_only=True)
class BatchesPage(Titled):
    """Batches of the book."""

    open: tuple[BatchLine, ...] = told("Open ones.")
    closed: tuple[BatchLine, ...] = told("Closed ones, the newest first.")
    older: int = told("How many closed ones to pass to come to older ones; 0 if there are none.")
    form: RecordForm = told("To begin another.")
