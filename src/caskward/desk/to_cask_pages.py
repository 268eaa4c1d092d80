"""What the template of the way from heart to cask may use; and how it is made."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from caskward.desk import batch_parts, deeds
from caskward.desk.pages import RecordForm, Titled, told
from caskward.desk.screens import BATCHES
from caskward.services.book import batch_record, to_cask, words
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.opened import Book
from caskward.services.book.to_cask import Step
from caskward.units.types import UnitSystem

_CAUTION: Final = "No flame and no spark near open spirit; air the room, and earth metal vessels."
_LABELS: Final = {
    "vat": "Which jars, into what",
    "reduce": "How much water, weighed or measured",
    "declare": "The cask, and what it takes",
    "fill": "From where, into which cask, how much",
}


@dataclass(frozen=True, kw_only=True)
class ToCaskPart(Titled):
    """The one thing to do next on the way from heart to cask."""

    path: str = told("Where it is asked for again.")
    run: str = told("The page of the batch's run.")
    slug: str = told("The batch's name as a word for ids.")
    step: Step | None = told("What is done next; None where nothing of a heart is there yet.")
    form: RecordForm | None = told("The form for it, filled in; None where nothing is typed.")
    labels: tuple[tuple[str, str], ...] = told("Path and name of each filled cask's label.")
    caution: str = told("What to mind; empty where spirit is not open.")
    mark: str = told("What it says, as a word: only what differs is shown anew.")


def part_of(book: Book, of: BatchRecord, system: UnitSystem) -> ToCaskPart:
    """The part as it stands."""
    own = batch_parts.path_of(of.name)
    step = to_cask.step_of(book, of, system)
    return ToCaskPart(
        title=of.name,
        screen=BATCHES.key,
        path=f"{own}/to-cask",
        run=f"{own}/run",
        slug=batch_parts.slug_of(of.name),
        step=step,
        form=_form(step, of.name, own) if step and step.verb else None,
        labels=tuple(
            (f"/casks/{account.removeprefix('cask/')}/label", words.place(account))
            for account in (batch_record.casks(of) if step and step.kind == "filled" else ())
        ),
        caution=_CAUTION if step and step.kind in ("vat", "reduce", "fill") else "",
        mark=f"{step.kind} {step.words}" if step else "",
    )


def _form(step: Step, batch: str, own: str) -> RecordForm:
    # A cask is declared for the house, whoever fills it first.
    whose = "" if step.verb == "declare" else batch
    form = deeds.one_deed(step.verb, _LABELS[step.verb], step.words, own, batch=whose)
    return replace(form, words=step.words)
