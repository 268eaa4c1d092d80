"""The batch that a page is of: what the book has of it, what is believed of it, the form for its readings."""

from __future__ import annotations

from starlette.requests import Request

from caskward.desk import batch_parts, deeds
from caskward.desk.batch_pages import ReadingForm, WhereItGoes
from caskward.desk.forms import house_of
from caskward.desk.thoughts import Thought
from caskward.errors import NoBookYet
from caskward.errors.book import NoSuchBatch
from caskward.errors.desk import NoSuchPage
from caskward.services.book import batch_record
from caskward.services.book.batch_record import BatchRecord

WAIT_S = 120.0
"""How long a page waits for all its parts where no script asks for them."""
_AT_THE_STILL = ("separate", "strip", "charge", "spirit")


def record_of(request: Request, name: str) -> BatchRecord:
    """What the book has of a batch; raises `NoSuchPage` if there is none of that name."""
    try:
        house = house_of(request)
        return house.records.of(house.book.to_read(), name)
    except (NoSuchBatch, NoBookYet):
        raise NoSuchPage from None


def thought_of(request: Request, of: BatchRecord) -> Thought | None:
    """What is believed of a batch, as far as it is worked out; None without a plan."""
    return house_of(request).thoughts.of(of) if of.plan else None


def at_still(of: BatchRecord) -> bool:
    """Whether the still is an open batch's next work, or at work now."""
    return of.is_open and batch_record.stage_now(of) in _AT_THE_STILL


def reading_form(of: BatchRecord, back: str, goes: WhereItGoes, *, big: bool = False) -> ReadingForm:
    """A form to record a reading of a batch."""
    return ReadingForm(
        slug=batch_parts.slug_of(of.name),
        key=deeds.new_key(),
        batch=of.name,
        path=batch_parts.path_of(of.name),
        back=back,
        big=big,
        goes=goes,
    )
