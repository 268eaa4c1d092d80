"""Styles, scripts, type, and the icons that a browser asks for by itself."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk.forms import house_of
from caskward.errors.desk import NoSuchPage

router = APIRouter()


@router.get("/static/{version}/{name:path}")
def static(request: Request, version: str, name: str) -> Response:
    """A file; kept for good only under the version that has it."""
    ours = house_of(request).static
    answer = ours.answer(request, name, forever=version == ours.version)
    if answer is None:
        raise NoSuchPage
    return answer


@router.get("/favicon.ico")
@router.get("/favicon.svg")
def icon(request: Request) -> Response:
    """The icon; browsers that ask for the old name take the same picture."""
    answer = house_of(request).static.answer(request, "icon.svg", forever=False)
    if answer is None:
        raise NoSuchPage
    return answer
