"""The application: every screen's routes behind the guard."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import Depends, FastAPI
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import Response

import caskward
from caskward.desk import house, refused, render, routes
from caskward.desk.api import door
from caskward.desk.api.app import make_api
from caskward.desk.forms import checked
from caskward.desk.guard import Guard
from caskward.desk.settings import Settings
from caskward.errors import CaskwardError
from caskward.errors.desk import DeskRefusal, NoSuchPage, NotThatWay, TooMuchSent
from caskward.errors.desk_api import NothingAtThisAddress

_LEAST_TO_PACK = 800
_FROM_HTTP = {404: NoSuchPage, 405: NotThatWay}


def make_app(settings: Settings) -> FastAPI:
    """A desk that answers; raises `DeskFolderShut` where its folder cannot be used."""
    ours = house.house(settings)

    @asynccontextmanager
    async def open_for_now(_: FastAPI) -> AsyncIterator[None]:
        yield
        await ours.live.close()
        for thinking in (ours.sketches, ours.thoughts, ours.beside, ours.seen):
            await asyncio.to_thread(thinking.close)
        ours.book.close()

    app = FastAPI(
        title="Caskward's desk",
        version=caskward.__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        # Nothing of what happens here is told to anyone, whatever the surroundings ask for.
        telemetry={"tracing": False, "metrics": False, "logs": False, "auto_configure": False},
        lifespan=open_for_now,
        dependencies=[Depends(checked)],
    )
    for module in routes.MODULES:
        app.include_router(module.router)
    app.state.api = make_api()
    app.mount(door.PATH, app.state.api)
    app.add_exception_handler(CaskwardError, _refuse)
    app.add_exception_handler(HTTPException, _refuse_http)
    app.add_middleware(Guard, house=ours)
    app.add_middleware(GZipMiddleware, minimum_size=_LEAST_TO_PACK)
    app.state.house = ours
    return app


async def _refuse(request: Request, error: Exception) -> Response:
    """An error's own sentence as a page."""
    if not isinstance(error, CaskwardError):
        raise error
    if isinstance(error, DeskRefusal):
        refused.note(request.state.house, request, error)
    return render.refusal(request, error)


async def _refuse_http(request: Request, error: Exception) -> Response:
    """What the framework refuses, in the house's words."""
    if door.is_here(request):  # an address with signs in it that no route can have
        return door.answer(NothingAtThisAddress())
    status = error.status_code if isinstance(error, HTTPException) else 500
    if status in _FROM_HTTP:
        said: CaskwardError = _FROM_HTTP[status]()
    else:
        said = TooMuchSent(request.state.house.settings.most_bytes)
    return render.refusal(request, said, status=status)
