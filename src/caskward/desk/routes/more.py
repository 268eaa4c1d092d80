"""More: looks and units, law and safety, opening the desk on a phone."""

from __future__ import annotations

import io

import segno
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

import caskward
from caskward.desk.forms import asked, house_of, own_path, typed
from caskward.desk.guard import READ_COOKIE
from caskward.desk.pages import FirstPage, MorePage
from caskward.desk.render import LOOK_COOKIE, LOOKS, UNITS_COOKIE, page
from caskward.desk.screens import MORE
from caskward.errors.desk import NoSuchPage

router = APIRouter()
_YEAR_S = 365 * 86400
_LOOK_NAMES = dict(zip(LOOKS, ("As this device", "Light", "Dark", "High contrast"), strict=True))
_UNIT_NAMES = {"metric": "Litres, °C, %vol", "us": "US gallons, °F, proof"}


@router.get("/more")
def more(request: Request) -> Response:
    """Everything else."""
    settings = house_of(request).settings
    data = MorePage(
        title="More",
        screen=MORE,
        looks=tuple(_LOOK_NAMES.items()),
        units=tuple(_UNIT_NAMES.items()),
        lan=settings.lan,
        address=settings.address if settings.lan else "",
        version=caskward.__version__,
    )
    return page(request, "more", data)


@router.post("/more")
def choose(request: Request) -> Response:
    """Keep the look and the units in this browser."""
    answer = RedirectResponse("/more", 303)
    for cookie, field, allowed in ((LOOK_COOKIE, "look", _LOOK_NAMES), (UNITS_COOKIE, "units", _UNIT_NAMES)):
        if typed(request, field) in allowed:
            _keep(answer, cookie, typed(request, field))
    return answer


@router.get("/more/phone.svg")
def phone(request: Request) -> Response:
    """The address as a picture that a phone's camera reads."""
    settings = house_of(request).settings
    if not settings.lan:
        raise NoSuchPage
    out = io.BytesIO()
    segno.make(settings.address, error="m").save(
        out, kind="svg", scale=6, border=4, light="#fff", dark="#000"
    )
    return Response(out.getvalue(), media_type="image/svg+xml")


@router.get("/first")
def first(request: Request) -> Response:
    """Law and safety."""
    data = FirstPage(
        title="Before you begin",
        screen="",
        next=own_path(asked(request, "next")),
        read=READ_COOKIE in request.cookies,
    )
    return page(request, "first", data)


@router.post("/first")
def read(request: Request) -> Response:
    """It has been read on this browser."""
    answer = RedirectResponse(own_path(typed(request, "next")), 303)
    _keep(answer, READ_COOKIE, "1")
    return answer


def _keep(answer: Response, name: str, value: str) -> None:
    answer.set_cookie(name, value, max_age=_YEAR_S, path="/", httponly=True, samesite="strict")
