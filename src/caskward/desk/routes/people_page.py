"""People: who may come in from the network, with which role, and which programs; for a maker."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk.forms import for_a_maker, house_of, session_of, typed
from caskward.desk.pages import PersonLine
from caskward.desk.render import page
from caskward.desk.screens import MORE
from caskward.desk.tokens_pages import PeopleShown, TokenLine
from caskward.errors import InputError

router = APIRouter()
ROLES = (
    ("reader", "looks, and changes nothing"),
    ("helper", "looks, and records what is done"),
    ("maker", "everything: people, corrections, copies of the book, too"),
)


@router.get("/people")
@for_a_maker
def people(request: Request) -> Response:
    """Everybody."""
    return page(request, "people", _page(request))


@router.post("/people")
@for_a_maker
def add(request: Request) -> Response:
    """Add someone, or give them another role and passphrase."""
    name, role, house = typed(request, "name"), typed(request, "role"), house_of(request)
    try:
        person = house.people.add(name, role, typed(request, "passphrase"))
    except InputError as error:
        return page(request, "people", _page(request, name, role, error=str(error)), status=422)
    own = session_of(request).person
    if own is not None and own.name == person.name:  # their own session goes on
        request.state.session = house.sessions.new(person)
    return page(request, "people", _page(request, done=f"{person.name} may come in as {person.role}."))


@router.post("/people/remove")
@for_a_maker
def remove(request: Request) -> Response:
    """Take someone off; their sessions end at once."""
    name = typed(request, "name")
    try:
        house_of(request).people.remove(name)
    except InputError as error:
        return page(request, "people", _page(request, error=str(error)), status=422)
    return page(request, "people", _page(request, done=f"{name} may no longer come in."))


@router.post("/people/sign-outs")
@for_a_maker
def end_sessions(request: Request) -> Response:
    """End every sign-in of somebody: of a phone that was lost."""
    try:
        person = house_of(request).people.end_sessions(typed(request, "name"))
    except InputError as error:
        return page(request, "people", _page(request, error=str(error)), status=422)
    own = session_of(request).person
    if own is not None and own.name == person.name:  # this one goes on
        request.state.session = house_of(request).sessions.new(person)
    said = f"Every sign-in of {person.name} is ended. They sign in again with their passphrase."
    return page(request, "people", _page(request, done=said))


# Programs ----------------------------------------------------------------------------------------


@router.post("/people/tokens")
@for_a_maker
def add_token(request: Request) -> Response:
    """Let a program come in; its token is shown on this answer and never again."""
    name, role = typed(request, "name"), typed(request, "role")
    try:
        made = house_of(request).tokens.add(name, role)
    except InputError as error:
        failed = replace(_page(request), token_name=name, token_role=role, token_error=str(error))
        return page(request, "people", failed, status=422)
    return page(request, "people", replace(_page(request), token_made=made, token_for=" ".join(name.split())))


@router.post("/people/tokens/remove")
@for_a_maker
def remove_token(request: Request) -> Response:
    """Take a program off; it is refused from then on."""
    try:
        name = house_of(request).tokens.remove(typed(request, "name"))
    except InputError as error:
        return page(request, "people", replace(_page(request), token_error=str(error)), status=422)
    return page(request, "people", _page(request, done=f"{name} may no longer come in."))


def _token_lines(request: Request) -> tuple[TokenLine, ...]:
    kept = house_of(request).tokens
    used = kept.last_used()
    return tuple(
        TokenLine(name=one.name, role=one.role, made=_local(one.made_at), used=_local(used.get(one.name, "")))
        for one in kept.all()
    )


def _local(moment: str) -> str:
    return f"{datetime.fromisoformat(moment).astimezone():%Y-%m-%d %H:%M}" if moment else ""


def _page(request: Request, name: str = "", role: str = "", error: str = "", done: str = "") -> PeopleShown:
    house = house_of(request)
    people = house.people.all()
    return PeopleShown(
        tokens=_token_lines(request),
        title="People",
        screen=MORE,
        people=tuple(PersonLine(name=one.name, role=one.role) for one in people),
        roles=ROLES,
        name=name,
        role=role or ("helper" if people else "maker"),
        error=error,
        done=done,
        lan=house.settings.lan,
    )
