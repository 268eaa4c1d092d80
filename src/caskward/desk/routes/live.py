"""Live updates: every open screen hears when the book has moved on."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from caskward.desk.forms import house_of

router = APIRouter()


@router.get("/live")
async def live(request: Request) -> Response:
    """Server-sent events; who finds the house full asks again later."""
    broker = house_of(request).live
    if broker.full:
        return Response(status_code=503, headers={"Retry-After": "30"})
    headers = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
    return StreamingResponse(broker.listen(), media_type="text/event-stream", headers=headers)
