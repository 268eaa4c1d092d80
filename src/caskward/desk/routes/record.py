"""What was done goes into the book: from a form, or from readings that waited on a phone without network."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from caskward.desk import deeds, refused, wall_clock
from caskward.desk.forms import doer_of, house_of, number_in, own_path, session_of, typed
from caskward.desk.pages import RecordedPage, RecordPage
from caskward.desk.record_pages import AgainForm
from caskward.desk.render import page, units_of, wants_json
from caskward.desk.screens import BOOK
from caskward.desk.spoken import spoken
from caskward.errors import CaskwardError, ImpossibleIntent, InputError, NotUnderstood
from caskward.errors.desk import NoSuchPage, NotYourRole
from caskward.errors.meant import IsItMeant, OnlyOfTheTub
from caskward.services.book import look, meant, verbs, words
from caskward.services.book.acting import Doing, Recorded
from caskward.services.book.asked import Asked, in_words
from caskward.services.book.batch_record import stage_of, whole_row
from caskward.services.book.batch_tub import STAGES
from caskward.services.book.opened import Book
from caskward.services.gauging_systems import system_for
from caskward.units import show

router = APIRouter()
_LONGEST_WAIT = timedelta(days=60)
REFUSED = 422
"""What is wrong is for whoever typed it to mend; a phone that kept it does not send it again by itself."""


@router.post("/record")
def record(request: Request) -> Response:
    """Record one deed; sent again with the same key it changes nothing."""
    in_json = wants_json(request)
    try:
        done, sentences = _recorded(request)
    except NotYourRole as error:
        if not in_json:
            raise
        # Thrown away on the phone like what the book refuses, so that it holds up nothing behind it.
        refused.note(house_of(request), request, error)
        return JSONResponse({"error": str(error)}, REFUSED)
    except (InputError, ImpossibleIntent) as error:
        if in_json:
            ask = {"ask": True} if isinstance(error, IsItMeant) else {}
            return JSONResponse({"error": _refused_as(request, error), **ask}, REFUSED)
        data = RecordPage(title="Not recorded", screen=BOOK.key, form=_again(request, error))
        return page(request, "record", data, status=REFUSED)
    if in_json:
        return JSONResponse({"said": sentences, "number": done.entry.number, "repeated": done.repeated})
    back = quote(own_path(typed(request, "back"), "/book"), safe="/?=&%")
    # To a page of its own, so that a reload asks for it and does not send the form again.
    return RedirectResponse(f"/recorded/{done.entry.number}?back={quote(back)}", 303)


def _refused_as(request: Request, error: CaskwardError) -> str:
    return spoken(show.temperatures_in(str(error), units_of(request)))


@router.get("/recorded/{number}")
def recorded(request: Request, number: str) -> Response:
    """What was entered, and what is in its places now."""
    found = number_in(number)
    if found is None:
        raise NoSuchPage
    book = house_of(request).book.to_read()
    (entry,) = look.one(book, found)
    done = Recorded(entry)
    data = RecordedPage(
        title="Recorded",
        screen=BOOK.key,
        sentences=words.recorded(done, look.after(book, done), units_of(request)),
        repeated=False,
        back=own_path(request.query_params.get("back", ""), "/book"),
        number=found,
    )
    return page(request, "recorded", data)


def _recorded(request: Request) -> tuple[Recorded, list[str]]:
    asked_for = Asked(typed(request, "verb"), _parts(request))
    system = system_for("", asked_for.parts, units_of(request))
    person = session_of(request).person
    doing = Doing(
        by=person.name if person else "",
        at=_when(request),
        batch=typed(request, "batch"),
        key=typed(request, "key"),
        note=typed(request, "note"),
        system=system,
        role=doer_of(request),
    )
    verbs.maker(asked_for.verb)
    book = house_of(request).book.to_write()
    if asked_for.verb == "measure":
        asked_for = _made_sure(request, book, asked_for, doing)
    done = verbs.done_in(book, asked_for, doing)
    _think_on(request, done.entry.batch)
    said = (*words.recorded(done, look.after(book, done), system), *done.notes)
    return done, [spoken(one) for one in said]


def _made_sure(request: Request, book: Book, asked_for: Asked, doing: Doing) -> Asked:
    """The same, once its readings are of the field's own stages and whoever typed them means them.

    Raises:
        OnlyOfTheTub, IsItMeant: they are not, or it was not said yet.
    """
    rows = tuple(row for row in asked_for.parts if row.strip())
    if typed(request, "only") == "tub":
        for row in rows:
            if (stage := stage_of(row)) and stage not in STAGES:
                raise OnlyOfTheTub(stage)
    if not (typed(request, "meant") or (doing.key and book.find(doing.key))):
        found = meant.questions(book, doing.batch, rows) if doing.batch else ()
        if found:
            raise IsItMeant(found)
    return replace(asked_for, options={"yes": ("",)} if doing.batch else {})


def _think_on(request: Request, batch: str | None) -> None:
    """What a record does to its batch is begun at once, for the page that will ask."""
    house = house_of(request)
    if not batch:
        return
    record = house.records.of(house.book.to_read(), batch)
    if record.plan and record.is_open:
        house.thoughts.of(record)


def _parts(request: Request) -> tuple[str, ...]:
    return parts_of(typed(request, "verb"), typed(request, "words"), typed(request, "before"))


def parts_of(verb: str, text: str, before: str = "") -> tuple[str, ...]:
    """The words as a command would have them: a name in quotes is one, a stray quote is only a letter."""
    if verb in ("measure", "note"):
        lines = tuple(line for line in text.splitlines() if line.strip())
        return tuple(whole_row(before, line) for line in lines) if verb == "measure" else lines
    return in_words(f"{before} {text}")


def _when(request: Request) -> str:
    """When it was done: as typed, or as long ago as it has waited on the phone, whose clock may be wrong."""
    waited = typed(request, "waited_s")
    if typed(request, "at") or not waited:
        return typed(request, "at")
    if not waited.isascii() or not waited.isdigit() or len(waited) > 9:
        raise NotUnderstood("how long a reading has waited", waited[:40], "90")
    ago = min(timedelta(seconds=int(waited)), _LONGEST_WAIT)
    return (wall_clock.now() - ago).isoformat(timespec="seconds")


def _again(request: Request, error: CaskwardError) -> AgainForm:
    """The form as it was sent, with why it was refused."""
    verb = typed(request, "verb")
    chosen = deeds.DEEDS.get(verb)
    one = bool(typed(request, "before")) or not typed(request, "several")
    return AgainForm(
        ask=isinstance(error, IsItMeant),
        key=typed(request, "key") or deeds.new_key(),
        deeds=(chosen,) if chosen and one else tuple(deeds.DEEDS.values()),
        verb=verb if chosen else "measure",
        words=typed(request, "words"),
        before=typed(request, "before"),
        example=chosen.example if chosen else "",
        batch=typed(request, "batch"),
        at=typed(request, "at"),
        note=typed(request, "note"),
        error=str(error),
        back=own_path(typed(request, "back"), "/book"),
    )
