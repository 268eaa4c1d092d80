"""What a form sent, checked to come from a page of this sign-in, and who may send it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

from starlette.datastructures import UploadFile
from starlette.requests import Request

from caskward.desk.house import House
from caskward.desk.render import role_of
from caskward.desk.session import Session
from caskward.errors.desk import FieldTooLong, NotYourRole, SentFromElsewhere
from caskward.services.book.roles import ROLES, Role, may

Route = TypeVar("Route", bound=Callable[..., Any])
MOST_LETTERS = 4000
_LONGEST_NUMBER = 12
_NEEDED, _PHOTO = "caskward_needs", "caskward_photo"
_MOST_FIELDS = 400
_LONG = {"source": 60_000, "file": 60_000}
"""Fields that hold a plan's file."""
_LOOKS = ("GET", "HEAD", "OPTIONS")
_FREE = ("/sign-in", "/sign-out", "/first", "/more")
"""Forms that change nothing in the book, which a reader may send, too."""


async def checked(request: Request) -> None:
    """Read what was sent before any page sees it.

    Raises:
        DeskRefusal: it was not sent from a page of this sign-in, or by someone who may not.
    """
    house, session = house_of(request), session_of(request)
    if request.method in _LOOKS:
        _check_role(request)
        return
    photos = 1 if getattr(request.scope.get("endpoint"), _PHOTO, False) else 0
    if photos:
        _check_role(request)  # before so much is read
    async with request.form(
        max_files=photos, max_fields=_MOST_FIELDS, max_part_size=house.settings.most_bytes
    ) as form:
        typed = {name: value for name, value in form.items() if not isinstance(value, UploadFile)}
        if photos and isinstance(sent := form.get("photo"), UploadFile):
            request.state.photo = await sent.read()
    token = typed.pop("token", "") or request.headers.get("x-caskward-token", "")
    if not house.sessions.is_token(session, token):
        raise SentFromElsewhere
    for name, value in typed.items():
        if len(value) > (most := _LONG.get(name, MOST_LETTERS)):
            raise FieldTooLong(name, len(value), most)
    request.state.typed = typed
    _check_role(request)


def for_a_maker(route: Route) -> Route:
    """Marks a route that only a maker may ask for."""
    setattr(route, _NEEDED, "maker")
    return route


def takes_a_photo(route: Route) -> Route:
    """Marks a route whose form has a file, `photo`: what was in it is in `request.state.photo`."""
    setattr(route, _PHOTO, True)
    return route


def _check_role(request: Request) -> None:
    """Everybody may look and a helper may send, unless the route says otherwise."""
    sends = request.method not in _LOOKS and not request.url.path.startswith(_FREE)
    needed: Role = getattr(request.scope.get("endpoint"), _NEEDED, "helper" if sends else "reader")
    own = role_of(request)
    if needed != "reader" and not (own and may(doer_of(request), needed)):
        person = session_of(request).person
        raise NotYourRole(person.name if person else "", own, needed)


def typed(request: Request, name: str) -> str:
    """One field of what was sent; empty if it was not there."""
    sent: dict[str, str] = request.state.typed
    return sent.get(name, "").replace("\0", "").strip()


def asked(request: Request, name: str) -> str:
    """One field of the address; empty if it is not there.

    Raises:
        FieldTooLong: it is longer than anybody types.
    """
    value = request.query_params.get(name, "")
    if len(value) > MOST_LETTERS:
        raise FieldTooLong(name, len(value), MOST_LETTERS)
    return value.replace("\0", "").strip()


def number_in(text: str) -> int | None:
    """A whole number as an address has it; None where it is something else, or longer than any there is."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= _LONGEST_NUMBER else None


def own_path(text: str, otherwise: str = "/") -> str:
    """A page of this desk to go on to; anything else is not followed."""
    fine = text.startswith("/") and not text.startswith(("//", "/\\")) and text.isprintable()
    return text if fine and "\\" not in text else otherwise


def house_of(request: Request) -> House:
    """What all requests share."""
    return cast(House, request.state.house)


def doer_of(request: Request) -> Role:
    """The role in which something is done; whoever may do nothing only looks."""
    return next((one for one in ROLES if one == role_of(request)), "reader")


def session_of(request: Request) -> Session:
    """The session of this browser."""
    return cast(Session, request.state.session)
