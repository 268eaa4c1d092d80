"""Casks: the shelf with every level, and one cask with its history and what can be done with it."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import deeds, entries
from caskward.desk.forms import asked, house_of
from caskward.desk.pages import CaskPage, CasksPage, RecordForm
from caskward.desk.render import page, units_of
from caskward.desk.screens import CASKS
from caskward.errors import NoBookYet
from caskward.services.book import look
from caskward.services.book.shelf import Place, place_at, shelf

router = APIRouter()
LINES = 40


@router.get("/casks")
def casks(request: Request) -> Response:
    """Every cask with its level."""
    try:
        there = shelf(house_of(request).book.to_read(), units_of(request)).casks
    except NoBookYet:
        there = ()
    filled = tuple(one for one in there if one.liquid)
    empty = tuple(one for one in there if not one.liquid)
    data = CasksPage(
        title="Casks", screen=CASKS.key, filled=filled, empty=empty, answer=_answer(filled, empty)
    )
    return page(request, "casks", data, part="casks")


def _answer(filled: tuple[Place, ...], empty: tuple[Place, ...]) -> str:
    if not filled and not empty:
        return "No cask is declared yet."
    count = len(filled)
    holds = "1 cask holds spirit" if count == 1 else f"{count or 'No'} casks hold spirit"
    return f"{holds}, {len(empty)} empty." if empty else f"{holds}."


@router.get("/casks/{name}")
def cask(request: Request, name: str) -> Response:
    """One cask."""
    book, system = house_of(request).book.to_read(), units_of(request)
    account = f"cask/{name}"
    leaf = look.account(book, account, LINES)
    place = place_at(book, leaf.account, system)
    data = CaskPage(
        title=place.name.capitalize(),
        screen=CASKS.key,
        place=place,
        lines=entries.leaf_lines(leaf, system),
        forms=_forms(place, f"/casks/{name}"),
    )
    return page(request, "cask", data, part="cask_leaf" if asked(request, "part") else "cask")


def _forms(place: Place, back: str) -> tuple[RecordForm, ...]:
    """An empty cask can only be filled."""
    before = f'"{place.name}"'
    if not place.liquid:
        return (
            deeds.one_deed(
                "fill", "From where, how much, how strong", f"tank {before} 24.2 L 63 % at 18 C", back
            ),
        )
    return (
        deeds.one_deed("gauge", "What you measured", "23.9 L 62.4 % at 14 C", back, before),
        deeds.one_deed("sample", "How much, and what for", "100 mL tasting", back, before),
        deeds.one_deed(
            "top", "From where, how much, how strong", "from jar 7 500 mL 63 % at 18 C", back, before
        ),
    )
