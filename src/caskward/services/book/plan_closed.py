"""What a batch of the book taught, by its plan and all its readings; and its plan, whole again."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass

from caskward.catalogue.load import load
from caskward.planning.plan import Plan
from caskward.planning.planner import plan_of
from caskward.services import plan_learned, plan_learned_words, plan_update, plan_update_words
from caskward.services.book import plan_kept
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.opened import Book
from caskward.units.types import UnitSystem


@dataclass(frozen=True)
class Taught:
    """What a batch taught, in words. rows: a head, then each thing that moved; file: for the next plan."""

    headline: str
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]
    file: str

    def after(self, earlier: str) -> bool:
        """Whether its plan began with what another file says, so that this one has it in it."""
        return set(tomllib.loads(earlier)["closed"]) <= set(tomllib.loads(self.file)["closed"])


def teaches(of: BatchRecord) -> bool:
    """Whether a batch has what can be learned from: a plan, and a reading of it."""
    return bool(of.plan and of.rows)


def taught(book: Book, of: BatchRecord, system: UnitSystem) -> Taught:
    """What a batch taught; some seconds where nothing of it is kept.

    Raises:
        InputError: readings that do not go together, or a batch that its own plan begins from.
    """
    opened = plan_kept.sized_of(book, of.name)
    told = plan_update.told_of(opened.sized, plan_update.rows_of((), of.rows))
    report = plan_learned.learned_of(told)
    rest = plan_learned_words.rest_sentence(report)
    return Taught(
        headline=plan_learned_words.headline(report),
        rows=tuple(plan_learned_words.habit_rows(report, system)) if report.lines else (),
        notes=(
            *plan_update_words.doubted_sentences(report.update, system),
            *((rest,) if rest else ()),
            plan_learned_words.MEANS,
        ),
        file=report.file_text,
    )


def whole_plan(book: Book, batch: str) -> Plan:
    """A batch's plan as it was sized, with all that follows from it.

    Raises:
        NothingPlanned: it has none. PlanNotReopened: today's Caskward reads it otherwise.
    """
    return plan_of(plan_kept.sized_of(book, batch).sized, load())
