"""A new batch: what it begins from, its form that answers while one types, and the press that begins it."""

from __future__ import annotations

from dataclasses import replace

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from caskward.desk import batch_parts, wish_forms
from caskward.desk.forms import asked, doer_of, for_a_maker, house_of, session_of, typed
from caskward.desk.render import is_update, page, units_of
from caskward.desk.screens import BATCHES
from caskward.desk.wish_pages import WishCarried, WishStartPage
from caskward.errors import ImpossibleIntent, InputError
from caskward.errors.book import NoSuchBatch
from caskward.errors.book_typed import NothingPlanned
from caskward.errors.desk import NoSuchPage
from caskward.services import wish_form
from caskward.services.book import taught_kept, wish_begun, wish_starts
from caskward.services.book.acting import Doing
from caskward.services.book.wish_starts import Start
from caskward.services.wish_file import table_of

router = APIRouter()
FIRST_S = 0.35
"""How long an answer waits for its first look before it says that it is being worked out."""
WHOLE_S = 90.0
REFUSED = 422


@router.get("/batches/new")
@for_a_maker
def start(request: Request) -> Response:
    """What to begin from; or the form, where that is said."""
    to = asked(request, "to")
    begun = _start(request)
    if begun is None:
        return page(request, "wish_start", _start_page(request, to), part="wish_past")
    book = wish_forms.book_or_none(request)
    taught = taught_kept.taken_over(book) if book and asked(request, "taught") != "no" else None
    text = taught_kept.beginning_with(begun.text, taught)
    carried = wish_forms.new(text, asked(request, "batch"), to)
    found = wish_forms.answer(request, carried)
    return page(request, "wish", wish_forms.page_of(request, carried, found))


def _start(request: Request) -> Start | None:
    """What the address says to begin from."""
    book, system = wish_forms.book_or_none(request), units_of(request)
    if asked(request, "start"):
        invented = house_of(request).book.invented()
        return wish_starts.from_point(asked(request, "start"), book, system, invented=invented)
    if asked(request, "batch"):
        if book is None:
            raise NoSuchPage
        try:
            return wish_starts.from_batch(book, asked(request, "batch"), asked(request, "cask"))
        except (NoSuchBatch, NothingPlanned):
            raise NoSuchPage from None
    return wish_starts.blank(book, system) if asked(request, "blank") else None


def _start_page(request: Request, to: str, error: str = "", pasted: str = "") -> WishStartPage:
    book = wish_forms.book_or_none(request)
    looked_up = is_update(request) or bool(asked(request, "past")) or book is None
    return WishStartPage(
        title=f"A plan for {to}" if to else "New batch",
        screen=BATCHES.key,
        points=wish_starts.points(),
        past=wish_starts.past(book) if looked_up and book else () if looked_up else None,
        to=to,
        error=error,
        pasted=pasted,
    )


@router.post("/batches/new")
@for_a_maker
def change(request: Request) -> Response:
    """The form again after a button that changes it, or with its whole answer."""
    act = typed(request, "act")
    if act == "paste":
        return _pasted(request)
    carried = wish_forms.carried_from(request)
    if act == "way":
        carried = replace(carried, source=request.state.typed.get("file", "").replace("\r\n", "\n"))
        table_of(carried.source)
    elif act == "stores":
        carried = replace(carried, source=_with_stores(request, carried))
    elif act.startswith(("add-", "drop-")):
        return _with_rows(request, carried, act)
    found = wish_forms.answer(request, carried, WHOLE_S if not act else 0.0, whole=True)
    return page(request, "wish", wish_forms.page_of(request, carried, found))


def _pasted(request: Request) -> Response:
    """The form of a file that was pasted, to the letter."""
    text, to = request.state.typed.get("file", "").replace("\r\n", "\n"), typed(request, "to")
    try:
        table_of(text)
        wish_form.fields_of(text)
    except InputError as error:
        data = _start_page(request, to, str(error), text)
        return page(request, "wish_start", data, status=REFUSED)
    carried = wish_forms.new(text, to=to)
    return page(request, "wish", wish_forms.page_of(request, carried, wish_forms.answer(request, carried)))


def _with_stores(request: Request, carried: WishCarried) -> str:
    free = wish_forms.stores_now(request, carried.to).free
    if free is None:
        return carried.source
    held = wish_starts.held(carried.source, free, units_of(request))
    return wish_form.text_with(carried.source, held)


def _with_rows(request: Request, carried: WishCarried, act: str) -> Response:
    """One row more or less; a row that is still empty is not in the file yet, only on the page."""
    does, _, which = act.partition("-")
    sent: dict[str, str] = dict(request.state.typed)
    if does == "drop":
        sent |= {field: "" for field in sent if field.startswith(f"{which}-")}
        carried = replace(carried, source=wish_form.text_with(carried.source, sent))
    found = wish_forms.answer(request, carried)
    data = wish_forms.page_of(request, carried, found)
    more = which if does == "add" and which in wish_form.ROWS else ""
    return page(request, "wish", replace(data, groups=wish_forms.with_a_row(data.groups, more)))


# The answer --------------------------------------------------------------------------------------


@router.post("/batches/new/answer")
@for_a_maker
def answer(request: Request) -> Response:
    """What is typed comes to, as soon as a first look at it is there."""
    carried = wish_forms.carried_from(request)
    return page(request, "parts/wish_answer", wish_forms.answer(request, carried, FIRST_S))


@router.get("/batches/new/answers/{mark}")
@for_a_maker
def answer_again(request: Request, mark: str) -> Response:
    """The same wish, as far as it is worked out by now."""
    sketch = house_of(request).sketches.known(mark)
    if sketch is None:
        raise NoSuchPage
    carried = WishCarried(
        key="", source=sketch.text, of=asked(request, "of"), to=asked(request, "to"),
        batch=asked(request, "batch"), day=asked(request, "day"),
    )  # fmt: skip
    return page(request, "parts/wish_answer", wish_forms.part_of(request, carried, sketch))


# Into the book -----------------------------------------------------------------------------------


@router.post("/batches/new/begin")
@for_a_maker
def begin(request: Request) -> Response:
    """Begin the batch with its plan, or give an open one the plan; sent again it changes nothing."""
    carried = wish_forms.carried_from(request)
    name = carried.to or " ".join(carried.batch.split())
    try:
        _into_the_book(request, carried, name)
    except (InputError, ImpossibleIntent) as error:
        found = wish_forms.answer(request, carried, FIRST_S)
        sentence = found.error or str(error)
        data = wish_forms.page_of(request, carried, found, error=sentence)
        return page(request, "wish", data, status=REFUSED)
    return RedirectResponse(batch_parts.path_of(name), 303)


def _into_the_book(request: Request, carried: WishCarried, name: str) -> None:
    files = wish_forms.files_of(request, carried.of)
    book = house_of(request).book.to_write()
    doing = doing_of(request, carried.key, f"Mash meant for {carried.day}." if carried.day else "")
    if carried.to:
        wish_begun.give(book, name, carried.source, files, doing)
    else:
        wish_begun.begin(book, name, carried.source, files, doing)


def doing_of(request: Request, key: str, note: str = "") -> Doing:
    """Who does it, and by which form."""
    person = session_of(request).person
    return Doing(
        by=person.name if person else "", key=key, note=note, system=units_of(request), role=doer_of(request)
    )
