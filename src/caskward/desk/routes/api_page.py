"""What programs can ask of this desk and record, for a person to read."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk.api import described, door
from caskward.desk.api.app import ALWAYS
from caskward.desk.api_pages import ApiPage
from caskward.desk.forms import house_of
from caskward.desk.render import page
from caskward.desk.screens import MORE

router = APIRouter()


@router.get("/api")
def about(request: Request) -> Response:
    """Every call, with what it takes, what comes back, and a command to try it with."""
    of, settings = request.app.state.api.openapi(), house_of(request).settings
    data = ApiPage(
        title="For programs",
        screen=MORE,
        about=described.about(of),
        address=f"{settings.address.rstrip('/')}{door.PATH}",
        description=door.DESCRIPTION,
        lan=settings.lan,
        groups=described.groups(of, settings.address),
        refusals=tuple((str(number), what) for number, what in ALWAYS.items()),
        shapes=described.shapes(of),
    )
    return page(request, "api", data)
