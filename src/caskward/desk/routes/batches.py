"""Batches of the book: all of them, and one whole, whose slow parts are asked for by themselves."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import act_parts, batch_parts, cask_pictures, deeds, entries, to_cask_pages
from caskward.desk.batch_of import WAIT_S, at_still, reading_form, record_of, thought_of
from caskward.desk.batch_pages import (
    BatchesPage,
    BatchLine,
    BatchPage,
    ForeseenPart,
)
from caskward.desk.forms import asked, house_of, number_in
from caskward.desk.render import page, units_of
from caskward.desk.screens import BATCHES
from caskward.errors import CaskwardError, InputError
from caskward.errors.desk import NoSuchPage
from caskward.services import batch_answers
from caskward.services.batch_answers import Foreseen
from caskward.services.book import batch_follow, batch_record, filled_words, words
from caskward.services.book.batch_record import BatchRecord

router = APIRouter()
CLOSED_AT_ONCE = 8
LINES = 8


@router.get("/batches")
def batches(request: Request) -> Response:
    """All batches, the open ones first; of closed ones so many at once."""
    seen = house_of(request).seen
    passed = number_in(asked(request, "after")) or 0
    closed = seen.closed_batches()
    shown = closed[passed : passed + CLOSED_AT_ONCE]
    data = BatchesPage(
        title="Batches",
        screen=BATCHES.key,
        open=tuple(line_of(request, name) for name in seen.open_batches()),
        closed=tuple(line_of(request, name) for name in shown),
        older=passed + CLOSED_AT_ONCE if len(closed) > passed + CLOSED_AT_ONCE else 0,
        form=deeds.one_deed("begin", "Its name", "rye 5", "/batches"),
    )
    return page(request, "batches", data, part="batches")


def line_of(request: Request, name: str) -> BatchLine:
    """A batch in a line: how far it has come, and how sure it is where that is known, or what filled it."""
    of, system = record_of(request, name), units_of(request)
    thought = house_of(request).thoughts.known(of) if of.is_open and of.plan else None
    now = thought.good("now") if thought else None
    there = filled_words.filled(of, system) if of.is_open and of.plan else None
    sure = f" {batch_answers.sure(now.report, system, read=True).headline}" if now else ""
    sure = f" {there.sentence}" if there else sure
    return BatchLine(
        name=name, where=batch_record.stage_words(of), sentence=f"{batch_record.sentence(of, system)}{sure}"
    )


@router.get("/batches/{name}")
def batch(request: Request, name: str) -> Response:
    """One batch."""
    of, system = record_of(request, name), units_of(request)
    thought = thought_of(request, of)
    if thought is not None and asked(request, "wait"):
        with house_of(request).waits.turn(WAIT_S) as wait_s:
            thought.part("remedy", wait_s)
    lines = entries.lines(tuple(reversed(of.entries[-LINES:])), system)
    own = batch_parts.path_of(name)
    act = act_parts.act_part(of, thought, system, house_of(request).seen.around())
    found = act_parts.next_part(of, thought, system)
    data = BatchPage(
        title=name[:1].upper() + name[1:],
        screen=BATCHES.key,
        name=name,
        path=own,
        is_open=of.is_open,
        where=batch_record.stage_words(of),
        sentence=batch_record.sentence(of, system),
        planned=bool(of.plan),
        at_still=at_still(of) or bool(of.runs.begun),
        act=act,
        deed=act_parts.deed_form(of, act, own) if of.is_open else None,
        next=found,
        reading=reading_form(of, own, found.goes) if of.is_open else None,
        work=deeds.work_of(name, batch_record.stage_now(of), own) if of.is_open else None,
        to_cask=to_cask_pages.part_of(house_of(request).book.to_read(), of, system),
        casks=tuple(
            (cask_pictures.path_of(account), words.place(account)) for account in batch_record.casks(of)
        ),
        note=deeds.one_deed("note", "Words to keep", "the lid was left open overnight", own, batch=name),
        **{part: batch_parts.part(part, of, thought, system) for part in batch_parts.NAMES},
        rows=tuple(reversed(of.rows_read)),
        entries=lines,
        more=len(of.entries) > LINES,
    )
    return page(request, "batch", data, part="batch_casks" if asked(request, "part") == "casks" else "batch")


@router.get("/batches/{name}/parts/{part}")
def batch_part(request: Request, name: str, part: str) -> Response:
    """One part of a batch's page, or the word that it is being worked out."""
    if part not in (*batch_parts.NAMES, *act_parts.NAMES):
        raise NoSuchPage
    of, system = record_of(request, name), units_of(request)
    thought = thought_of(request, of)
    if part in act_parts.NAMES:
        found = act_parts.part(part, of, thought, system, house_of(request).seen.around())
        if found.answer and asked(request, "was") == getattr(found.answer, "mark", None):
            return Response(status_code=204)  # nothing fell due meanwhile: a screen reader has heard it
        return page(request, f"parts/batch_{part}", found)
    return page(request, f"parts/batch_{part}", batch_parts.part(part, of, thought, system))


@router.get("/batches/{name}/foreseen")
def foreseen(request: Request, name: str) -> Response:
    """What a reading comes to, and about what it would do to the cask, before it is recorded."""
    of = record_of(request, name)
    row = batch_record.whole_row(asked(request, "before"), asked(request, "words"))
    said, error = None, ""
    try:
        said = _foreseen(request, of, row) if row else None
    except (InputError, CaskwardError) as refused:
        error = str(refused)
    data = ForeseenPart(title=name, screen=BATCHES.key, foreseen=said, error=error)
    return page(request, "parts/foreseen", data)


def _foreseen(request: Request, of: BatchRecord, row: str) -> Foreseen:
    read = batch_record.readings_in(row)
    thought = thought_of(request, of)
    now = thought.good("now") if thought else None
    there = filled_words.filled(of, units_of(request))
    then = batch_follow.glimpse(of, now, row) if now and read and not there else None
    return batch_answers.foreseen(read, now.report.chance_now if now else None, then, units_of(request))
