"""Casks, gear, bottles and stores."""

from __future__ import annotations

from collections.abc import Iterable

from caskward.desk.api.answers import Account, Missing, Place, Places, Stores
from caskward.desk.api.answers import Lot as LotAnswer
from caskward.desk.api.book import leaf_answer
from caskward.desk.api.fields import USUAL, CaskName, Limit, Skip, TheBook, TheHouse
from caskward.desk.api.routing import router as new_router
from caskward.desk.house import House
from caskward.services.book import look
from caskward.services.book.opened import Book
from caskward.services.book.shelf_figures import NOTHING, PlaceFigures, ShelfFigures, shelf_figures

router = new_router("places")


@router.get("/casks")
def casks(house: TheHouse, book: TheBook, limit: Limit = USUAL, skip: Skip = 0) -> Places:
    """Every cask with what is in it, in the order of their names."""
    return _page((one for one in seen(house, book).places if one.kind == "cask"), limit, skip)


@router.get("/casks/{name}")
def cask(book: TheBook, name: CaskName, limit: Limit = USUAL) -> Account:
    """A cask by its number or name, with what went in and out, the newest first."""
    return leaf_answer(look.account(book, f"cask/{name}", limit))


@router.get("/gear")
def gear(house: TheHouse, book: TheBook, limit: Limit = USUAL, skip: Skip = 0) -> Places:
    """Every vessel, jar and cask that the book knows, empty ones too."""
    return _page((one for one in seen(house, book).places if one.kind != "bottles"), limit, skip)


@router.get("/bottles")
def bottles(house: TheHouse, book: TheBook, limit: Limit = USUAL, skip: Skip = 0) -> Places:
    """Bottles that are here, lot by lot."""
    return _page((one for one in seen(house, book).places if one.kind == "bottles"), limit, skip)


@router.get("/stores")
def stores(house: TheHouse, book: TheBook, limit: Limit = USUAL, skip: Skip = 0) -> Stores:
    """Materials, dry goods and liquids to work with, and what nobody has explained."""
    there = seen(house, book)
    liquids = [one for one in there.places if one.kind in ("vessel", "jar") and one.bulk_l]
    return Stores(
        lots=[LotAnswer.model_validate(one) for one in there.lots[skip : skip + limit]],
        total=len(there.lots),
        liquids=[Place.model_validate(one) for one in liquids],
        unexplained=[Missing.model_validate(one) for one in there.unexplained],
        alcohol_l=there.alcohol_l,
    )


def seen(house: House, _: Book) -> ShelfFigures:
    """What stands where in a book that is there, kept until something is recorded."""
    return house.seen.at_once("api places", lambda: shelf_figures(house.seen.there()), NOTHING)


def _page(found: Iterable[PlaceFigures], limit: int, skip: int) -> Places:
    every = list(found)
    return Places(
        places=[Place.model_validate(one) for one in every[skip : skip + limit]],
        total=len(every),
        alcohol_l=round(sum(one.alcohol_l for one in every), 6),
    )
