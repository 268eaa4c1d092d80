"""Gear: the vessels, casks and jars that the book knows, and what closed batches taught of the gear."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import batch_parts, deeds
from caskward.desk.forms import house_of
from caskward.desk.gear_pages import GearPage
from caskward.desk.render import page, units_of
from caskward.desk.screens import GEAR
from caskward.services.book import taught_kept

router = APIRouter()
_EXAMPLES = {
    "metric": '"mash tub" 600 L, or cask 12 50 L',
    "us": '"mash tub" 160 gal, or cask 12 13 gal',
}


@router.get("/gear")
def gear(request: Request) -> Response:
    """Every place with a volume."""
    house, system = house_of(request), units_of(request)
    there = house.seen.shelf(system)
    nothing: tuple[str, ...] = ()
    taught = house.seen.at_once("taught", lambda: taught_kept.taken_over(house.book.to_read()), without=None)
    closed = house.seen.at_once(
        "closed lately",
        lambda: taught_kept.lately_closed(house.book.to_read(), house.records.of),
        without=nothing,
    )
    data = GearPage(
        title="Gear",
        screen=GEAR.key,
        vessels=there.vessels,
        casks=there.casks,
        taught=taught_kept.gear_taught(taught, system) if taught else None,
        closed=tuple((f"{batch_parts.path_of(name)}/close", name) for name in closed),
        form=deeds.one_deed("declare", "Its name, and what it takes", _EXAMPLES[system], "/gear"),
    )
    return page(request, "gear", data, part="gear")
