"""Labels of casks and of lots of bottles: to look at, to print, to take as PDF."""

from __future__ import annotations

from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import wall_clock
from caskward.desk.cask_pictures import path_of
from caskward.desk.forms import asked, house_of, number_in
from caskward.desk.label_pages import LabelPage, LabelsPage
from caskward.desk.render import page, units_of
from caskward.desk.screens import CASKS
from caskward.errors import NoBookYet
from caskward.errors.book_read import NothingOfIt
from caskward.errors.book_typed import PlaceUnknown
from caskward.errors.desk import NoSuchPage
from caskward.services.book import labels, look, words
from caskward.services.book.labels import Label
from caskward.sheets import labels as printed

router = APIRouter()
AT_ONCE = 60
"""Casks, and lots, on one page."""


@router.get("/labels")
def every(request: Request) -> Response:
    """Every filled cask and every lot of bottles."""
    there = house_of(request).seen.shelf(units_of(request))
    casks, bottles = there.filled, there.counted
    passed = number_in(asked(request, "after")) or 0
    data = LabelsPage(
        title="Labels",
        screen=CASKS.key,
        casks=tuple(
            (f"{path_of(one.account)}/label", one.name, one.liquid)
            for one in casks[passed : passed + AT_ONCE]
        ),
        bottles=tuple(
            (f"{_lot_path(one.account)}/label", one.name.removeprefix("bottles "), f"{one.pieces} bottles")
            for one in bottles[passed : passed + AT_ONCE]
        ),
        more=passed + AT_ONCE if max(len(casks), len(bottles)) > passed + AT_ONCE else 0,
    )
    return page(request, "labels", data)


@router.get("/casks/{name}/label")
def of_cask(request: Request, name: str) -> Response:
    """A cask's label."""
    found = _of_cask(request, name)
    own = path_of(found.account)
    data = LabelPage(
        title=f"Label of {words.place(found.account)}",
        screen=CASKS.key,
        label=found,
        path=f"{own}/label",
        back=(own, words.place(found.account).capitalize()),
        opens=_address(request, own),
        tolerances=(),
    )
    return page(request, "label", data)


@router.get("/casks/{name}/label.svg")
def code_of_cask(request: Request, name: str) -> Response:
    """The code on a cask's label."""
    found = _of_cask(request, name)
    return _code(_address(request, path_of(found.account)) or found.plain)


@router.get("/casks/{name}/label.pdf")
def pdf_of_cask(request: Request, name: str) -> Response:
    """A cask's label as PDF."""
    found = _of_cask(request, name)
    return _pdf(printed.pdf(found, _address(request, path_of(found.account)), "cask"), "cask-label")


@router.get("/bottles/{lot}/label")
def of_bottles(request: Request, lot: str) -> Response:
    """The data for the label of a lot of bottles."""
    found = _of_bottles(request, lot)
    data = LabelPage(
        title=f"Label data of {lot}",
        screen=CASKS.key,
        label=found,
        path=f"{_lot_path(found.account)}/label",
        back=("/labels", "Labels"),
        opens="",
        tolerances=labels.tolerances(),
    )
    return page(request, "label", data)


@router.get("/bottles/{lot}/label.svg")
def code_of_bottles(request: Request, lot: str) -> Response:
    """The code on a bottle: words only, since a bottle leaves the house."""
    return _code(_of_bottles(request, lot).plain)


@router.get("/bottles/{lot}/label.pdf")
def pdf_of_bottles(request: Request, lot: str) -> Response:
    """A sheet of labels for a lot as PDF."""
    return _pdf(printed.pdf(_of_bottles(request, lot), "", "bottles"), "bottle-labels")


def _of_cask(request: Request, name: str) -> Label:
    house = house_of(request)
    try:
        book = house.book.to_read()
        account = look.account(book, f"cask/{name}", 1).account
        now = wall_clock.now()
        return labels.cask_label(book, account, now, units_of(request), invented=house.book.invented())
    except (NothingOfIt, NoBookYet, PlaceUnknown):
        raise NoSuchPage from None


def _of_bottles(request: Request, lot: str) -> Label:
    house = house_of(request)
    try:
        return labels.bottle_label(
            house.book.to_read(), f"bottles/{lot}", units_of(request), invented=house.book.invented()
        )
    except (NothingOfIt, NoBookYet):
        raise NoSuchPage from None


def _lot_path(account: str) -> str:
    return f"/bottles/{quote(account.partition('/')[2], safe='')}"


def _address(request: Request, path: str) -> str:
    """The address of a page for another device; empty where no other device comes in."""
    settings = house_of(request).settings
    return f"{settings.address.rstrip('/')}{path}" if settings.lan else ""


def _code(text: str) -> Response:
    return Response(printed.code(text), media_type="image/svg+xml")


def _pdf(content: bytes, name: str) -> Response:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return Response(content, media_type="application/pdf", headers=headers)
