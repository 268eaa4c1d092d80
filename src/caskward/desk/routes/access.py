"""Signing in and out."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from caskward.desk import refused
from caskward.desk.forms import asked, house_of, own_path, session_of, typed
from caskward.desk.pages import SignInPage
from caskward.desk.render import page
from caskward.desk.session import KNOWN_DAYS
from caskward.desk.tries import FREE, FREE_OF_A_NAME, FREE_OF_AN_ADDRESS
from caskward.errors.desk import DeskRefusal, WrongPassphrase

router = APIRouter()
KNOWN_COOKIE = "caskward-known"


@router.get("/sign-in")
def ask(request: Request) -> Response:
    """Name and passphrase; on this machine's own screen there is nothing to sign in to."""
    if session_of(request).person or not house_of(request).settings.lan:
        return RedirectResponse(own_path(asked(request, "next")), 303)
    data = SignInPage(title="Sign in", screen="", next=own_path(asked(request, "next")), name="", error="")
    return page(request, "sign_in", data)


@router.post("/sign-in")
def sign_in(request: Request) -> Response:
    """Begin a session of one's own; each wrong try is counted."""
    house, name = house_of(request), typed(request, "name")
    back, cookie = own_path(typed(request, "next")), f"{KNOWN_COOKIE}-{house.settings.port}"
    kept = request.cookies.get(cookie, "")
    counts = _counts(request, name, kept)
    try:
        for key, free in counts.items():
            house.tries.begin(key, free=free)
        person = house.people.check(name, typed(request, "passphrase"))
        if person is None:
            raise WrongPassphrase
    except DeskRefusal as error:
        refused.note(house, request, error)
        data = SignInPage(title="Sign in", screen="", next=back, name=name, error=str(error))
        return page(request, "sign_in", data, status=error.status)
    house.tries.right(*counts)
    request.state.session = house.sessions.new(person)
    answer = RedirectResponse(back, 303)
    answer.set_cookie(
        cookie, house.sessions.known(person.name), max_age=KNOWN_DAYS * 86400, path="/sign-in",
        httponly=True, samesite="strict",
    )  # fmt: skip
    return answer


def _counts(request: Request, name: str, kept: str) -> dict[str, int]:
    """Under what a try is counted, and how many are free: the closest count first."""
    if kept and house_of(request).sessions.is_known(kept, name):
        return {f"known {kept[-40:]}": FREE}
    client, who = request.client.host if request.client else "-", name.casefold()[:80]
    return {
        f"from {client} as {who}": FREE,
        f"from {client}": FREE_OF_AN_ADDRESS,
        f"as {who}": FREE_OF_A_NAME,
    }


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    """End the session, for whoever has its cookie; on wish every other one of this person, too."""
    house, session = house_of(request), session_of(request)
    if session.person is not None:
        house.sessions.end(session)
        if typed(request, "everywhere"):
            house.people.end_sessions(session.person.name)
    request.state.session = house.sessions.new()
    return RedirectResponse("/sign-in", 303)
