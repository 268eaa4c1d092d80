"""People: who may come in from the network, with which role; for a maker."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk.forms import for_a_maker, house_of, session_of, typed
from caskward.desk.pages import PeoplePage, PersonLine
from caskward.desk.render import page
from caskward.desk.screens import MORE
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


def _page(request: Request, name: str = "", role: str = "", error: str = "", done: str = "") -> PeoplePage:
    house = house_of(request)
    people = house.people.all()
    return PeoplePage(
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
