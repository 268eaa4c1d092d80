"""Batches of the book: all of them, and what was recorded of one."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import deeds, entries
from caskward.desk.forms import house_of
from caskward.desk.pages import BatchesPage, BatchPage, RecordForm
from caskward.desk.render import page, units_of
from caskward.desk.screens import BATCHES
from caskward.errors import NoBookYet
from caskward.errors.desk import NoSuchPage
from caskward.services.book.shelf import NOTHING, Batch, shelf

router = APIRouter()


@router.get("/batches")
def batches(request: Request) -> Response:
    """All batches, the open ones first."""
    try:
        there = shelf(house_of(request).book.to_read(), units_of(request))
    except NoBookYet:
        there = NOTHING
    form = deeds.one_deed("begin", "Its name", "rye 5", "/batches")
    data = BatchesPage(title="Batches", screen=BATCHES.key, batches=there.batches, form=form)
    return page(request, "batches", data, part="batches")


@router.get("/batches/{name}")
def batch(request: Request, name: str) -> Response:
    """One batch."""
    book, system = house_of(request).book.to_read(), units_of(request)
    found = next((one for one in shelf(book, system).batches if one.name == name), None)
    if found is None:
        raise NoSuchPage
    data = BatchPage(
        title=found.name.capitalize(),
        screen=BATCHES.key,
        batch=found,
        entries=entries.of_batch(book, name, system),
        forms=forms_of(found, f"/batches/{name}"),
    )
    return page(request, "batch", data, part="batch")


def forms_of(found: Batch, back: str) -> tuple[RecordForm, ...]:
    """A reading while it is open; a note may always be added."""
    note = deeds.one_deed("note", "Words to keep", "the lid was left open overnight", back, batch=found.name)
    if not found.is_open:
        return (note,)
    reading = deeds.one_deed("measure", "What you read", "wash: 8.4 %, 340 L", back, batch=found.name)
    return reading, note
