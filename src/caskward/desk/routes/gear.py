"""Gear: the vessels, casks and jars that the book knows, with what each takes and holds."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import deeds
from caskward.desk.forms import house_of
from caskward.desk.pages import GearPage
from caskward.desk.render import page, units_of
from caskward.desk.screens import GEAR

router = APIRouter()


@router.get("/gear")
def gear(request: Request) -> Response:
    """Every place with a volume."""
    there = house_of(request).seen.shelf(units_of(request))
    form = deeds.one_deed(
        "declare", "Its name, and what it takes", '"mash tub" 600 L, or cask 12 50 L', "/gear"
    )
    data = GearPage(title="Gear", screen=GEAR.key, vessels=there.vessels, casks=there.casks, form=form)
    return page(request, "gear", data, part="gear")
