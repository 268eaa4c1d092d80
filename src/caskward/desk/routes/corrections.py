"""This was wrong: an entry that never happened is taken back, one that says it wrongly is put right."""

from __future__ import annotations

from dataclasses import replace
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from caskward.desk import deeds, wall_clock
from caskward.desk.forms import house_of, number_in, own_path, session_of, typed
from caskward.desk.record_pages import WrongPage
from caskward.desk.render import page, role_of, units_of
from caskward.desk.routes.record import REFUSED, parts_of
from caskward.desk.screens import BOOK
from caskward.errors import CaskwardError, ImpossibleIntent, InputError
from caskward.errors.desk import NoSuchPage, NotYourRole
from caskward.services.book import wrong
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked
from caskward.services.book.opened import Book

router = APIRouter()


@router.get("/book/entries/{number}/wrong")
def ask(request: Request, number: str) -> Response:
    """What was wrong with an entry."""
    return page(request, "wrong", _page(request, _number(number)))


@router.post("/book/entries/{number}/wrong")
def put_right(request: Request, number: str) -> Response:
    """Take it back, or put it right; sent again with the same key it changes nothing."""
    of = _number(number)
    book = house_of(request).book.to_write()
    _check_role(request, book, of)
    never = typed(request, "never") == "yes"
    verb = "" if never else typed(request, "verb")
    asked = Asked(verb, () if never else parts_of(verb, typed(request, "words")))
    person = session_of(request).person
    doing = Doing(by=person.name if person else "", key=typed(request, "key"), system=units_of(request))
    try:
        done = wrong.put_right(book, of, asked, doing, typed(request, "why"))
    except (InputError, ImpossibleIntent) as error:
        return page(request, "wrong", _page(request, of, error), status=REFUSED)
    back = quote(own_path(typed(request, "back"), f"/book/entries/{of}"), safe="/?=&%")
    return RedirectResponse(f"/recorded/{done.entry.number}?back={quote(back)}", 303)


def _number(number: str) -> int:
    found = number_in(number)
    if found is None:
        raise NoSuchPage
    return found


def _check_role(request: Request, book: Book, number: int) -> None:
    """A maker may correct all; a helper what they recorded themselves today."""
    own, person = role_of(request), session_of(request).person
    name = person.name if person else ""
    if own == "maker":
        return
    if own != "helper" or not wrong.is_own_of_today(book, number, name, wall_clock.now()):
        raise NotYourRole(name, own, "maker")


def _page(request: Request, number: int, error: CaskwardError | None = None) -> WrongPage:
    book = house_of(request).book.to_read()
    found = wrong.wrong(book, number, units_of(request))
    if error is not None:
        found = replace(found, words=typed(request, "words") or found.words)
    return WrongPage(
        title=f"Entry {number} was wrong",
        screen=BOOK.key,
        of=found,
        why=typed(request, "why") if error else "",
        key=deeds.new_key(),
        error=str(error) if error else "",
        back=own_path(request.query_params.get("back", ""), f"/book/entries/{number}"),
    )
