"""Stores: materials, dry goods and liquids to work with; and what comes in."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import deeds
from caskward.desk.forms import house_of
from caskward.desk.render import page, units_of
from caskward.desk.screens import STORES
from caskward.desk.stores_pages import StoresPage
from caskward.desk.wish_forms import stores_now
from caskward.services.book import promised

router = APIRouter()


@router.get("/stores")
def stores(request: Request) -> Response:
    """What there is."""
    system = units_of(request)
    there = house_of(request).seen.shelf(system)
    form = deeds.one_deed("receive", "What came in, and from whom", "", "/stores")
    data = StoresPage(
        title="Stores",
        screen=STORES.key,
        shelf=there,
        liquids=there.liquids,
        promised=promised.lines(stores_now(request).promised, system),
        form=form,
    )
    return page(request, "stores", data, part="stores")
