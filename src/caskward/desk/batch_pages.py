"""What the templates of batches and of the Bench may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from caskward.desk.pages import EntryLine, RecordForm, Titled, told
from caskward.desk.river_drawing import RiverDrawn
from caskward.desk.to_cask_pages import ToCaskPart
from caskward.services.batch_answers import Doubt, Foreseen, NextRead, Sure, Surer
from caskward.services.book.batch_follow import StageShown
from caskward.services.book.batch_record import RowRead
from caskward.services.book.shelf import Lot

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
    next: Part[NextRead] = told("What to read next.")
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


@dataclass(frozen=True, kw_only=True)
class BenchTask:
    """An open batch that needs hands."""

    name: str = told("The batch's name.")
    path: str = told("Its page.")
    where: str = told("Where it stands.")
    sentence: str = told("How far its alcohol has come.")
    planned: bool = told("Whether it has a plan.")
    at_still: bool = told("Whether the still is its next work, or at work now.")
    next: Part[NextRead] = told("What to do next.")
    to_cask: ToCaskPart = told("What is next on the way from heart to cask.")
    reading: ReadingForm = told("The form for it.")


@dataclass(frozen=True, kw_only=True)
class BenchPage(Titled):
    """What needs hands now."""

    tasks: tuple[BenchTask, ...] = told("Open batches.")
    unexplained: tuple[Lot, ...] = told("Differences that a reason is still asked for.")
    last: tuple[EntryLine, ...] = told("What was recorded last.")
