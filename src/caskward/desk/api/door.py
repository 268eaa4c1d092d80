"""Who may come in by `/api/v1/`, looked at before anything that was sent is read.

A token says who asks, and since no browser sends it by itself, no page elsewhere can borrow it: it needs no
word of its origin. Without one only the desk of this machine alone answers, and it takes something in only
from its own pages: whoever sits here can read the book's file, but a page elsewhere must not write in it.
"""

from __future__ import annotations

from contextlib import suppress
from typing import cast

from starlette.requests import Request
from starlette.responses import JSONResponse

from caskward.desk import refused
from caskward.desk.house import House
from caskward.desk.people import Person
from caskward.desk.render import role_of, status_of
from caskward.desk.session import Session
from caskward.errors import CaskwardError
from caskward.errors.book import KeyUsedForAnother, NoSuchBatch
from caskward.errors.book_read import AccountUnheard
from caskward.errors.desk import DeskRefusal, NotYourRole, SentFromElsewhere, TriedTooOften
from caskward.errors.desk_api import TokenMissing, TokenWrong
from caskward.errors.desk_work import NotYet
from caskward.errors.store import NoBookYet
from caskward.services.book.roles import Role, may

PATH = "/api/v1"
DESCRIPTION = f"{PATH}/openapi.json"
"""Says nothing of the book, so that a program may read it before it has a token."""
LOOKS = ("GET", "HEAD", "OPTIONS")
_SOON_S = 5.0
_NOT_THERE = (NoSuchBatch, AccountUnheard, NoBookYet)


def is_here(request: Request) -> bool:
    """Whether this is asked of the interface and not of a page."""
    return request.url.path == PATH or request.url.path.startswith(f"{PATH}/")


def refusal(request: Request, house: House, *, own_page: bool) -> CaskwardError | None:
    """Why a request goes no further; else it has its session.

    Args:
        own_page: whether the request's origin is the desk itself.
    """
    request.state.session = Session("")
    try:
        person = _person(request, house)
        request.state.session = Session("", person)
        sends = request.method not in LOOKS
        if person is None and request.url.path != DESCRIPTION:
            _without_token(request, house, own_page=own_page, sends=sends)
        own = role_of(request)
        if sends and not (own and may(cast(Role, own), "helper")):
            raise NotYourRole(person.name if person else "", own, "helper")
    except DeskRefusal as error:
        return error
    return None


def _person(request: Request, house: House) -> Person | None:
    """Whose token this is; None if there is none."""
    given = request.headers.get("authorization")
    if given is None:
        return None
    scheme, _, secret = given.partition(" ")
    token = house.tokens.find(secret.strip()) if scheme.casefold() == "bearer" else None
    if token is None:
        # A right one always passes: it cannot be guessed, and a mistyped one beside it must not shut it out.
        client = request.client.host if request.client else "-"
        house.tries.begin(f"token from {client}")
        raise TokenWrong
    with suppress(CaskwardError):  # when it was used last is only for looking at
        house.tokens.used(token)
    return Person(token.name, token.role)


def _without_token(request: Request, house: House, *, own_page: bool, sends: bool) -> None:
    if house.settings.lan:
        raise TokenMissing
    headers = request.headers
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        raise SentFromElsewhere
    if "origin" in headers and not own_page:
        raise SentFromElsewhere
    if sends and not own_page:
        raise TokenMissing


def answer(error: CaskwardError, *, status: int = 0, headers: dict[str, str] | None = None) -> JSONResponse:
    """A refusal as data: its sentence, and nothing else."""
    number = status or number_of(error)
    more = dict(headers or {})
    if number == 401:
        more["WWW-Authenticate"] = 'Bearer realm="caskward"'
    if isinstance(error, (TriedTooOften, NotYet)):
        wait_s = error.wait_s if isinstance(error, TriedTooOften) else _SOON_S
        more["Retry-After"] = str(max(1, round(wait_s)))
    sentence = str(error).encode("utf-8", "replace").decode()
    return JSONResponse({"error": sentence}, number, headers=more)


def number_of(error: CaskwardError) -> int:
    """HTTP's number for an error."""
    if isinstance(error, _NOT_THERE):
        return 404
    return 409 if isinstance(error, KeyUsedForAnother) else status_of(error)


def note(request: Request, error: CaskwardError) -> None:
    """Keep a line of what was refused for who asks, as the pages do."""
    if isinstance(error, DeskRefusal):
        refused.note(request.state.house, request, error)
