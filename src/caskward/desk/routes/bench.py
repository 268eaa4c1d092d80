"""Bench: what is open now, each with one field for the next reading."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import entries
from caskward.desk.forms import house_of
from caskward.desk.pages import BatchPage, BenchPage
from caskward.desk.render import page, units_of
from caskward.desk.routes.batches import forms_of
from caskward.desk.screens import BENCH
from caskward.errors import NoBookYet
from caskward.services.book.shelf import Batch, shelf

router = APIRouter()
LAST = 3


@router.get("/")
def bench(request: Request) -> Response:
    """Open batches, newest entries first, and what nobody has explained."""
    try:
        there = shelf(house_of(request).book.to_read(), units_of(request))
    except NoBookYet:
        data = BenchPage(title="Bench", screen=BENCH.key, open=(), unexplained=())
        return page(request, "bench", data, part="bench")
    open_now = tuple(_open(request, one) for one in there.batches if one.is_open)
    data = BenchPage(title="Bench", screen=BENCH.key, open=open_now, unexplained=there.unexplained)
    return page(request, "bench", data, part="bench")


def _open(request: Request, one: Batch) -> BatchPage:
    found = entries.of_batch(house_of(request).book.to_read(), one.name, units_of(request))
    return BatchPage(
        title=one.name, screen=BENCH.key, batch=one, entries=found[:LAST], forms=forms_of(one, "/")[:1]
    )
