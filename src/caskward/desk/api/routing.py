"""A route that answers a fault of its own as data, before half an answer is on its way."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import APIRouter
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk.api import door
from caskward.desk.guard import note_fault
from caskward.errors import CaskwardError
from caskward.errors.desk import OwnFault

Handler = Callable[[Request], Coroutine[Any, Any, Response]]
_SAID = (CaskwardError, HTTPException, RequestValidationError)


class Route(APIRoute):
    """What is refused goes on to the application, which has a sentence for it; anything else ends here."""

    def get_route_handler(self) -> Handler:
        """The handler within."""
        handle = super().get_route_handler()

        async def answered(request: Request) -> Response:
            try:
                return await handle(request)
            except _SAID:
                raise
            except Exception as error:
                note_fault(error)
                return door.answer(OwnFault())

        return answered


def router(tag: str) -> APIRouter:
    """A router for addresses of one kind."""
    return APIRouter(route_class=Route, tags=[tag])
