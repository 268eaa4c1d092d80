"""The way from heart to cask: the one thing to do next, asked for again as the book moves on."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import to_cask_pages
from caskward.desk.batch_of import record_of
from caskward.desk.forms import asked, house_of
from caskward.desk.render import page, units_of

router = APIRouter()


@router.get("/batches/{name}/to-cask")
def to_cask(request: Request, name: str) -> Response:
    """What is next; nothing to show where that is what stands there, since somebody may be typing in it."""
    book, of = house_of(request).book.to_read(), record_of(request, name)
    found = to_cask_pages.part_of(book, of, units_of(request))
    if "was" in request.query_params and asked(request, "was") == found.mark:
        return Response(status_code=204)
    return page(request, "parts/batch_to_cask", found)
