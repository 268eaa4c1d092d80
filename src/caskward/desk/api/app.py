"""The application at `/api/v1`: its addresses, its description, and what it says when it refuses."""

from __future__ import annotations

from functools import cache
from typing import Any

from fastapi import Depends, FastAPI
from fastapi.exceptions import RequestValidationError
from fastapi.security import HTTPBearer
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

import caskward
from caskward.desk.api import batches, book, door, gauging, places, recording, reports
from caskward.desk.api.answers import Problem
from caskward.desk.api.fields import only_json, only_known
from caskward.errors import CaskwardError
from caskward.errors.desk_api import NotAsDescribed, NothingAtThisAddress, NotThatMethod

_ABOUT = """
The same services as the desk's pages and the command line, for a sensor in the shed, a spreadsheet, a script.

Send a token as `Authorization: Bearer TOKEN`. A maker makes one on the page *People*, or with
`caskward desk token add NAME --role helper`; a reader looks, a helper records. A desk that is open to its own
machine alone answers what is only looked at without one.

Whatever is refused comes as `{"error": sentence}`. Figures are metric, liquid is counted at 20 °C, and the
unit stands in each name. A deed that you send carries a `key` of your own: sent twice, it is entered once.
Estimates only; local codes and licensed practice decide.
"""
ALWAYS = {
    401: "No token, or one that the desk does not know.",
    403: "Not for this role, or sent from a page elsewhere.",
    404: "There is none of that name or number, or no book yet.",
    413: "More than the desk takes at once.",
    421: "The desk does not answer to that host name.",
    422: "Something is not as described, or cannot be; the sentence says what.",
    429: "Too many wrong tokens; `Retry-After` says how long to wait [s].",
    500: "A fault of Caskward's own, or of the place where the book is kept.",
}
_ON_THE_WHOLE = {503: "It goes through the whole book and is still being made; `Retry-After` says when [s]."}
_ON_SENDING = {
    409: "This key belongs to another deed.",
    415: "What is sent must be JSON.",
}
_UNREADABLE = NotAsDescribed("", "it cannot be read as JSON in UTF-8")
TAGS = (
    ("batches", "What there is, what is believed of it, what to read next, what can still be done."),
    ("places", "Casks, vessels, stores, gear."),
    ("book", "Entries, accounts, the proof."),
    ("reports", "Where something came from or went, the alcohol account of a period."),
    ("gauging", "What is it really, how much water, what results."),
    ("recording", "What was done goes into the book."),
)


class _Described(FastAPI):
    """Every interface of this program has the same description, made once."""

    def openapi(self) -> dict[str, Any]:
        """The description."""
        return _description()


@cache
def _description() -> dict[str, Any]:
    return FastAPI.openapi(make_api())


def make_api() -> FastAPI:
    """The interface; who may come in was looked at before (`door`)."""
    api = _Described(
        title="Caskward's desk",
        summary="A book of spirit made in small batches, and what can be worked out of it.",
        description=_ABOUT,
        version=caskward.__version__,
        openapi_url="/openapi.json",
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        servers=[{"url": door.PATH}],
        root_path_in_servers=False,
        telemetry={"tracing": False, "metrics": False, "logs": False, "auto_configure": False},
        openapi_tags=[{"name": name, "description": what} for name, what in TAGS],
        generate_unique_id_function=lambda route: route.name,
        dependencies=[
            Depends(only_known),
            Depends(only_json),
            Depends(HTTPBearer(auto_error=False, description="A token that a maker made.")),
        ],
    )
    for module in (batches, places, book, gauging):
        api.include_router(module.router, responses=_problems(ALWAYS))
    api.include_router(reports.router, responses=_problems(ALWAYS | _ON_THE_WHOLE))
    api.include_router(recording.router, responses=_problems(ALWAYS | _ON_SENDING))
    api.add_exception_handler(CaskwardError, _refuse)
    api.add_exception_handler(HTTPException, _refuse_http)
    api.add_exception_handler(RequestValidationError, _refuse_fields)
    return api


def _problems(said: dict[int, str]) -> dict[int | str, dict[str, Any]]:
    found: dict[int | str, dict[str, Any]] = {}
    for number, what in said.items():
        found[number] = {"model": Problem, "description": what}
    whole = {"schema": {"type": "integer", "minimum": 1}}
    for number in (429, 503):
        if number in found:
            found[number]["headers"] = {"Retry-After": {"description": "Wait so long [s].", **whole}}
    return found


async def _refuse(request: Request, error: Exception) -> Response:
    if not isinstance(error, CaskwardError):
        raise error
    door.note(request, error)
    return door.answer(error)


async def _refuse_http(request: Request, error: Exception) -> Response:
    """What the framework refuses, in the house's words."""
    if not isinstance(error, HTTPException):
        raise error
    cause = error.__cause__
    if isinstance(cause, CaskwardError):
        said: CaskwardError = cause
    elif error.status_code == 404:
        said = NothingAtThisAddress()
    elif error.status_code == 405:
        said = NotThatMethod()
    else:
        said = _UNREADABLE
    door.note(request, said)
    return door.answer(said, headers=_allowed(request) if error.status_code == 405 else {})


def _allowed(request: Request) -> dict[str, str]:
    """Every method of an address: the framework names those of one of its routes only."""
    route = request.scope.get("route")
    methods = request.app.openapi()["paths"].get(getattr(route, "path", ""), {})
    return {"Allow": ", ".join(sorted(one.upper() for one in methods)) or "GET"}


async def _refuse_fields(_: Request, error: Exception) -> Response:
    """Which field is not as described, and why."""
    if not isinstance(error, RequestValidationError):
        raise error
    first = error.errors()[0]
    if first["type"] == "json_invalid":
        return door.answer(_UNREADABLE)
    where = ".".join(str(part) for part in first["loc"] if part not in ("body", "query", "path"))
    given = first.get("input")
    shown = f" ({given!r:.60})" if isinstance(given, (str, int, float)) and first["type"] != "missing" else ""
    why = str(first["msg"]).removeprefix("Value error, ")
    return door.answer(NotAsDescribed(f"{where[:80]!r}{shown}" if where else "", why[:1].lower() + why[1:]))
