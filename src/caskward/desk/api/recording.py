"""What was done goes into the book, once for each key."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from caskward.desk.api.answers_batch import ReadingRecorded, Recorded
from caskward.desk.api.batches import band, part, thought_of
from caskward.desk.api.fields import (
    BatchName,
    BeginSent,
    CloseSent,
    DeedSent,
    NoteSent,
    Once,
    ReadingSent,
    TheBook,
    TheHouse,
)
from caskward.desk.api.routing import router as new_router
from caskward.desk.forms import doer_of
from caskward.desk.house import House
from caskward.errors import CaskwardError
from caskward.services.book import batch_follow, batch_record, look, verbs, words
from caskward.services.book.acting import Doing
from caskward.services.book.acting import Recorded as Entered
from caskward.services.book.asked import Asked, in_words
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.opened import Book
from caskward.services.gauging_systems import system_for
from caskward.services.plan_glimpse import Glimpse
from caskward.units.types import UnitSystem

router = new_router("recording")
_CREATED, _ALREADY = 201, 200
_SAID_BEFORE = "This key was entered before; nothing was changed."
_BEFORE: dict[int | str, dict[str, Any]] = {_ALREADY: {"model": Recorded, "description": _SAID_BEFORE}}
_READ_BEFORE: dict[int | str, dict[str, Any]] = {
    _ALREADY: {"model": ReadingRecorded, "description": _SAID_BEFORE}
}


@router.post("/batches", status_code=_CREATED, responses=_BEFORE)
def begin(request: Request, house: TheHouse, response: Response, sent: BeginSent) -> Recorded:
    """Begin a batch; needs a maker's token."""
    return _recorded(request, house, response, sent, Asked("begin", (sent.name,)))


@router.post("/batches/{name}/readings", status_code=_CREATED, responses=_READ_BEFORE)
def reading(
    request: Request, house: TheHouse, book: TheBook, response: Response, name: BatchName, sent: ReadingSent
) -> ReadingRecorded:
    """Record a reading of a batch, and say about what it changes."""
    of = house.records.of(book, name)
    _, _, now = part(house, of, "now", sent.wait_s)
    then = _glimpse(of, now, sent.row) if now else None
    done = _recorded(request, house, response, sent, Asked("measure", (sent.row,)), name)
    thought_of(house, house.records.of(book, name))  # begun now, so that it is sooner there
    return ReadingRecorded(
        **done.model_dump(),
        chance_before=now.report.chance_now if now else None,
        chance=then.chance if then else None,
        fill_l=band(then.fill_l) if then else None,
        exact=then.exact if then else None,
    )


@router.post("/deeds", status_code=_CREATED, responses=_BEFORE)
def deed(request: Request, house: TheHouse, response: Response, sent: DeedSent) -> Recorded:
    """Record a deed: the same verbs and words as on the page and in a terminal."""
    lines = sent.verb in ("measure", "note")
    parts = tuple(line for line in sent.words.splitlines() if line.strip()) if lines else in_words(sent.words)
    return _recorded(request, house, response, sent, Asked(sent.verb, parts), sent.batch)


@router.post("/notes", status_code=_CREATED, responses=_BEFORE)
def note(request: Request, house: TheHouse, response: Response, sent: NoteSent) -> Recorded:
    """Keep words, of a batch or of none."""
    return _recorded(request, house, response, sent, Asked("note", (sent.text,)), sent.batch)


@router.post("/batches/{name}/close", status_code=_CREATED, responses=_BEFORE)
def close(
    request: Request, house: TheHouse, response: Response, name: BatchName, sent: CloseSent
) -> Recorded:
    """Close a batch; needs a maker's token."""
    return _recorded(request, house, response, sent, Asked("close", (name,)))


def _glimpse(of: BatchRecord, now: batch_follow.Now, row: str) -> Glimpse | None:
    """About what it changes; nothing where that cannot be said: the book decides what it takes."""
    try:
        return batch_follow.glimpse(of, now, row) if batch_record.readings_in(row) else None
    except CaskwardError:
        return None


def _recorded(
    request: Request, house: House, response: Response, sent: Once, asked: Asked, batch: str = ""
) -> Recorded:
    system = system_for("", asked.parts)
    person = request.state.session.person
    doing = Doing(
        by=person.name if person else "", at=sent.at, batch=batch, key=sent.key, note=sent.note,
        system=system, role=doer_of(request),
    )  # fmt: skip
    verbs.maker(asked.verb)
    book = house.book.to_write()
    done = verbs.done_in(book, asked, doing)
    response.status_code = _ALREADY if done.repeated else _CREATED
    return Recorded(
        number=done.entry.number,
        repeated=done.repeated,
        sentences=[*_sentences(book, done, system), *done.notes],
    )


def _sentences(book: Book, done: Entered, system: UnitSystem) -> list[str]:
    """What was entered and what is there now, without what a terminal is told to type."""
    said = words.recorded(done, look.after(book, done), system)
    return [text.partition(" Say it with: ")[0] for text in said]
