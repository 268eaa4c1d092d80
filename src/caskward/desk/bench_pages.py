"""What the templates of the Bench may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.desk.batch_pages import ActShown, DeedForm, NextPart, Part, ReadingForm
from caskward.desk.pages import EntryLine, Titled, told
from caskward.desk.to_cask_pages import ToCaskPart
from caskward.services.batch_answers import ChanceLine
from caskward.services.book.shelf import Lot


@dataclass(frozen=True, kw_only=True)
class BenchTask:
    """An open batch that needs hands."""

    name: str = told("The batch's name.")
    path: str = told("Its page.")
    slug: str = told("Its name as a word for ids.")
    where: str = told("Where it stands.")
    sentence: str = told("How far its alcohol has come.")
    planned: bool = told("Whether it has a plan.")
    at_still: bool = told("Whether the still is its next work, or at work now.")
    act: Part[ActShown] = told("What to do next.")
    chance: Part[ChanceLine] = told("How sure the cask fills, and what the last record changed.")
    deed: DeedForm = told("The form for the deed that ends the act.")
    next: NextPart = told("What to read next.")
    to_cask: ToCaskPart = told("What is next on the way from heart to cask.")
    reading: ReadingForm = told("The form for it.")


@dataclass(frozen=True, kw_only=True)
class BenchPage(Titled):
    """What needs hands now."""

    tasks: tuple[BenchTask, ...] = told("Open batches.")
    unexplained: tuple[Lot, ...] = told("Differences that a reason is still asked for.")
    last: tuple[EntryLine, ...] = told("What was recorded last.")
