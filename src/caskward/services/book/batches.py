"""A batch begun, with its plan, and followed by what was recorded of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from caskward.book.deeds import Act
from caskward.errors import MissingValue
from caskward.errors.book_typed import WhichBatch
from caskward.services.book import plan_kept, verbs
from caskward.services.book.acting import Doing, Made, Maker, Recorded, record, view_of
from caskward.services.book.asked import Asked, View
from caskward.services.book.opened import Book
from caskward.services.book.plan_kept import Prepared
from caskward.services.kept_beliefs import Say, quiet
from caskward.services.plan_update import PlanUpdate


def begin(
    book: Book, asked: Asked, doing: Doing, plan: tuple[str, Path] | None = None, say: Say = quiet
) -> tuple[Recorded, ...]:
    """Begin a batch, and give it its plan; a plan that cannot be used begins nothing.

    Args:
        asked: `begin rye 5`. plan: its text, and the folder of the files that it names.
    """
    ready = plan_kept.prepared(*plan, say) if plan else None
    return begin_with(book, asked, doing, ready)


def begin_with(book: Book, asked: Asked, doing: Doing, ready: Prepared | None) -> tuple[Recorded, ...]:
    """Begin a batch, and give it a plan that was sized."""
    begun = verbs.done_in(book, asked, doing)
    if ready is None:
        return (begun,)
    # A key of its own, so that the same words sent again finish what was cut short.
    of_plan = replace(doing, key=f"{begun.entry.key} plan", batch=begun.entry.batch or "", costs=())
    return begun, planned(book, replace(asked, verb="plan"), of_plan, ready)


def planned(book: Book, asked: Asked, doing: Doing, ready: Prepared) -> Recorded:
    """Give a batch a plan, or another one: the last holds."""
    batch = doing.batch or the_open_one(book, "planned")
    return record(book, asked, replace(doing, batch=batch), _maker(ready))


def _maker(ready: Prepared) -> Maker:
    def make(asked: Asked, act: Act, view: View) -> Made:  # noqa: ARG001 - a plan hangs on nothing there
        return Made(ready.deed(act))

    return make


def the_open_one(book: Book, verb: str = "read") -> str:
    """The only batch that is open; raises `WhichBatch`."""
    with view_of(book) as view:
        there = view.open_batches
    if len(there) != 1:
        raise WhichBatch(verb, there)
    return there[0]


def forecast(book: Book, batch: str, say: Say = quiet) -> PlanUpdate:
    """What is believed of a batch by its plan and all that was recorded of it.

    Raises:
        MissingValue: nothing was recorded of it yet that a plan could follow.
    """
    name = batch or the_open_one(book)
    plan_kept.kept_plan(book, name)
    rows = plan_kept.readings_of(book, name)
    if not rows.readings and not rows.done:
        raise MissingValue(f"A forecast of {name}", "a reading", 'caskward book measure "wash: 8.4 %, 340 L"')
    return plan_kept.followed(book, name, rows, say)
