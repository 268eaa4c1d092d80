"""Casks: the shelf with every level, and one cask with its story, its outlook, what can be done with it."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from datetime import datetime

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import batch_parts, cask_acts, cask_pictures, entries, wall_clock
from caskward.desk.casks_pages import CaskPage, CasksPage, ShelfCask, TriedPart
from caskward.desk.forms import asked, house_of, number_in, session_of
from caskward.desk.render import page, units_of
from caskward.desk.screens import CASKS
from caskward.errors import ImpossibleIntent, InputError
from caskward.errors.desk import NoSuchPage
from caskward.services.book import cask_story, cask_words, look, tried
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked, in_words
from caskward.services.book.shelf import Place, place_at
from caskward.services.gauging_systems import system_for

router = APIRouter()
LINES = 40
AT_ONCE = 24
"""Casks on one page of the shelf."""


@router.get("/casks")
def casks(request: Request) -> Response:
    """Every cask with its level, so many on a page."""
    there = house_of(request).seen.shelf(units_of(request))
    filled, empty = there.filled, there.empty
    passed = number_in(asked(request, "after")) or 0
    data = CasksPage(
        title="Casks",
        screen=CASKS.key,
        filled=_with_ages(request, filled[passed : passed + AT_ONCE]),
        empty=_with_ages(request, empty if passed + AT_ONCE >= len(filled) else ()),
        answer=_answer(filled, empty),
        more=passed + AT_ONCE if len(filled) > passed + AT_ONCE else 0,
    )
    return page(request, "casks", data, part="casks")


def _with_ages(request: Request, there: Sequence[Place]) -> tuple[ShelfCask, ...]:
    now = wall_clock.now()
    return tuple(
        ShelfCask(
            place=one,
            path=cask_pictures.path_of(one.account),
            age=_age(request, one.account, now) if one.liquid else "",
        )
        for one in there
    )


def _age(request: Request, account: str, now: datetime) -> str:
    house = house_of(request)
    nowhere: Mapping[str, datetime] = {}
    since = house.seen.at_once(
        ("filled", account),
        lambda: cask_story.filled_at(house.book.to_read(), (account,)),
        nowhere,
        of=(account,),
    )
    return cask_words.age(since[account], now) if account in since else ""


def _answer(filled: Sequence[Place], empty: Sequence[Place]) -> str:
    if not filled and not empty:
        return "No cask is declared yet."
    count = len(filled)
    holds = "1 cask holds spirit" if count == 1 else f"{count or 'No'} casks hold spirit"
    return f"{holds}, {len(empty)} empty." if empty else f"{holds}."


@router.get("/casks/{name}")
def cask(request: Request, name: str) -> Response:
    """One cask."""
    book, system = house_of(request).book.to_read(), units_of(request)
    leaf = look.account(book, f"cask/{name}", LINES)
    place = place_at(book, leaf.account, system)
    own = cask_pictures.path_of(leaf.account)
    now = wall_clock.now()
    story = cask_words.told(cask_story.story(book, leaf.account, now), now, system)
    data = CaskPage(
        title=place.name.capitalize(),
        screen=CASKS.key,
        path=own,
        place=place,
        story=story,
        pictures=cask_pictures.pictures(story),
        batches=tuple((batch_parts.path_of(batch), batch) for batch in story.batches),
        lines=entries.leaf_lines(leaf, system),
        acts=cask_acts.acts(place, own, system, _open_batches(request)),
        turned=asked(request, "was") not in ("", "full" if place.liquid else "empty"),
    )
    part = asked(request, "part")
    return page(request, "cask", data, part=f"cask_{part}" if part in ("leaf", "story") else "cask")


def _open_batches(request: Request) -> tuple[str, ...]:
    return house_of(request).seen.open_batches()


@router.get("/casks/{name}/foreseen/{verb}")
def foreseen(request: Request, name: str, verb: str) -> Response:
    """What an act would do, before it is recorded."""
    if verb not in cask_acts.VERBS:
        raise NoSuchPage
    words = asked(request, "words")
    done, error = None, ""
    try:
        done = _tried(request, name, verb, words) if words else None
    except (InputError, ImpossibleIntent) as refused:
        error = str(refused)
    data = TriedPart(
        title=name,
        screen=CASKS.key,
        sentences=done.sentences if done else (),
        notes=done.notes if done else (),
        error=error,
    )
    return page(request, "parts/tried", data)


def _tried(request: Request, name: str, verb: str, words: str) -> tried.Tried:
    book = house_of(request).book.to_read()
    place = place_at(book, look.account(book, f"cask/{name}", 1).account, units_of(request))
    parts = (*shlex.split(cask_acts.before(verb, place)), *in_words(words))
    person = session_of(request).person
    system = system_for("", parts, units_of(request))
    doing = Doing(by=person.name if person else "", system=system)
    return tried.tried(book, Asked(verb, parts), doing)
