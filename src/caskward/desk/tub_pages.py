"""What the templates of a batch's tub may use; with help as in `pages`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from caskward.desk.batch_pages import ActShown, DeedForm, Part
from caskward.desk.line_drawing import Drawn
from caskward.desk.pages import RecordForm, Titled, told
from caskward.services.book.tub_now import NowShown

Answer = TypeVar("Answer")


@dataclass(frozen=True, kw_only=True)
class TubPart(Titled, Generic[Answer]):
    """A part of a tub's page that takes a while."""

    path: str = told("Where it is asked for again.")
    answer: Answer | None = told("What it says; None while it is worked out, or failed.")
    error: str = told("Why it cannot be had; empty while it is worked out.")
    over: str = told("That the stage is over, so that nothing is asked any more; empty while it goes on.")
    again: tuple[str, ...] = told("What to look at again, as the batch's page has it.")
    asked: bool = told("Whether there is anything to go by: a plan, and readings where it needs them.")
    planned: bool = told("Whether its batch has a plan.")


@dataclass(frozen=True, kw_only=True)
class CourseDrawn:
    """A tub over time."""

    plots: tuple[Drawn, ...] = told("Gravity, warmth, pH.")
    readings: tuple[tuple[str, ...], ...] = told("Each reading beside what was expected; columns first.")
    figures: tuple[tuple[str, ...], ...] = told("The figures of the picture; columns first.")
    sentences: tuple[str, ...] = told("What fits badly.")


@dataclass(frozen=True, kw_only=True)
class TubPage(Titled):
    """A batch's tub, in one of its stages."""

    name: str = told("The batch's name.")
    batch_path: str = told("The batch's page.")
    path: str = told("This page, without its stage.")
    stage: str = told("mash or ferment.")
    open: bool = told("Whether the batch is open, so that readings are recorded.")
    slug: str = told("The batch's name as a word for ids.")
    act: Part[ActShown] = told("What to do next.")
    deed: DeedForm = told("The form for the deed that ends it.")
    form: RecordForm = told("The form for a reading; `before` is how its row begins.")
    since_s: int = told("How long the stage has gone on [s] as the page was made; -1 where nobody knows.")
    fills: tuple[str, ...] = told("Answers of one of two words, each a button.")
    read: tuple[tuple[str, str, int], ...] = told("Rows of the stage, when, their entry; newest first.")
    now: TubPart[NowShown] = told("What now?")
    course: TubPart[CourseDrawn] = told("The course.")
