"""Signing in and out."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from caskward.desk import refused
from caskward.desk.forms import asked, house_of, own_path, session_of, typed
from caskward.desk.pages import SignInPage
from caskward.desk.render import page
from caskward.errors.desk import DeskRefusal, WrongPassphrase

router = APIRouter()


@router.get("/sign-in")
def ask(request: Request) -> Response:
    """Name and passphrase; on this machine's own screen there is nothing to sign in to."""
    if session_of(request).person or not house_of(request).settings.lan:
        return RedirectResponse(own_path(asked(request, "next")), 303)
    data = SignInPage(title="Sign in", screen="", next=own_path(asked(request, "next")), name="", error="")
    return page(request, "sign_in", data)


@router.post("/sign-in")
def sign_in(request: Request) -> Response:
    """Begin a session of one's own; each wrong try is counted by name and by address."""
    house, name = house_of(request), typed(request, "name")
    client = request.client.host if request.client else "-"
    keys = (f"from {client}", f"as {name.casefold()[:80]}")
    back = own_path(typed(request, "next"))
    try:
        house.tries.begin(*keys)
        person = house.people.check(name, typed(request, "passphrase"))
        if person is None:
            raise WrongPassphrase
    except DeskRefusal as error:
        refused.note(house, request, error)
        data = SignInPage(title="Sign in", screen="", next=back, name=name, error=str(error))
        return page(request, "sign_in", data, status=error.status)
    house.tries.right(*keys)
    request.state.session = house.sessions.new(person)
    return RedirectResponse(back, 303)


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    """End the session on this browser."""
    request.state.session = house_of(request).sessions.new()
    return RedirectResponse("/sign-in", 303)
