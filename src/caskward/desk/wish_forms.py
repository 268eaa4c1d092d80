"""From what a new batch's form sent to its plan's file, and from a file to the form with its answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import cast

from starlette.requests import Request

from caskward.desk import deeds, wish_fields
from caskward.desk.forms import house_of, typed
from caskward.desk.render import units_of
from caskward.desk.screens import BATCHES
from caskward.desk.sketches import Sketch
from caskward.desk.wish_pages import AnswerPart, WishCarried, WishGroup, WishPage, WishRows, WishWay
from caskward.desk.wish_said import on_the_form
from caskward.errors import InputError, NoBookYet
from caskward.errors.book import NoSuchBatch
from caskward.services import wish_answer, wish_form, words
from caskward.services.book import taught_kept, wish_starts, wish_stores
from caskward.services.book.opened import Book
from caskward.services.book.wish_stores import Shelves
from caskward.services.wish_choices import choices
from caskward.services.wish_ways import Way
from caskward.units.types import UnitSystem

PATH = "/batches/new"
_CARRIED = ("source", "of", "to", "batch", "day", "key")


def book_or_none(request: Request) -> Book | None:
    """The open book; None before anything was recorded."""
    try:
        return house_of(request).book.to_read()
    except NoBookYet:
        return None


def stores_now(request: Request, but_for: str = "") -> Shelves:
    """What Stores holds, and what of it open batches are promised. but_for: the batch that is asked about."""
    house = house_of(request)
    return house.seen.at_once(
        ("shelves", but_for),
        lambda: wish_stores.shelves_of(house.book.to_read(), but_for, house.seen.there(), house.records.of),
        without=wish_stores.Shelves(),
    )


def carried_from(request: Request) -> WishCarried:
    """What the form carried, its plan's file brought up to what is typed.

    Raises:
        NotToml: what it carried as its file is none.
    """
    sent: dict[str, str] = request.state.typed
    # A browser sends every new line as two letters.
    source = wish_form.text_with(sent.get("source", "").replace("\r\n", "\n"), sent)
    return WishCarried(source=source, **{name: typed(request, name) for name in _CARRIED if name != "source"})


def files_of(request: Request, of: str) -> Mapping[str, str]:
    """The files that a plan may name: those of the batch that it began from, and what was taken over."""
    book = book_or_none(request)
    try:
        kept = wish_starts.plan_or_none(book, of) if book and of else None
    except NoSuchBatch:
        kept = None
    return taught_kept.files_with(kept.files if kept else {}, taught_kept.taken_over(book) if book else None)


def new(source: str, of: str = "", to: str = "") -> WishCarried:
    """What a form carries that was not sent yet."""
    return WishCarried(key=deeds.new_key(), source=source, of=of, to=to, batch="", day="")


# The answer --------------------------------------------------------------------------------------


def sketch_of(request: Request, carried: WishCarried) -> Sketch:
    """The sketch of a form's wish, being worked out.

    Raises:
        InputError: the wish cannot be read.
    """
    sketches = house_of(request).sketches
    return sketches.of(carried.key, carried.source, files_of(request, carried.of))


def answer(request: Request, carried: WishCarried, wait_s: float = 0.0, *, whole: bool = False) -> AnswerPart:
    """What the form's wish leads to, as far as it is known after a while."""
    try:
        sketch = sketch_of(request, carried)
    except InputError as refused:
        house_of(request).sketches.give_up(carried.key)
        field, sentence = on_the_form(str(refused))
        return _part(carried, error=sentence, wrong=field)
    with house_of(request).waits.turn(wait_s) as most_s:
        (sketch.wait_for_whole if whole else sketch.wait)(most_s)
    return part_of(request, carried, sketch)


def part_of(request: Request, carried: WishCarried, sketch: Sketch) -> AnswerPart:
    """A sketch as the page shows it."""
    found, system = sketch.best, _system(carried.source, units_of(request))
    if sketch.failed or found is None:
        return _part(carried, sketch, error=sketch.failed)
    if found.stopped:
        ways = tuple(_way(way, system) for way in sketch.ways)
        return _part(carried, sketch, stopped=wish_answer.stopped_words(found), ways=ways)
    there, day = stores_now(request, carried.to), _day(carried.day)
    return _part(
        carried,
        sketch,
        answer=wish_answer.answered(found),
        shopping=wish_stores.shopping_rows(found.shopping, there, found.show, found.currency),
        dates=wish_answer.dates(found.whole, day) if found.whole and day else "",
    )


def _part(carried: WishCarried, sketch: Sketch | None = None, **more: object) -> AnswerPart:
    waiting = sketch is not None and not sketch.done and not sketch.failed
    shown: dict[str, object] = {
        "answer": None, "shopping": (), "dates": "", "stopped": "", "ways": (), "error": "", "wrong": "",
    }  # fmt: skip
    looking = waiting and sketch is not None and sketch.whole is not None and bool(sketch.whole.stopped)
    if waiting and sketch is not None and sketch.whole is not None and not sketch.whole.stopped:
        waiting = False
    path = f"{PATH}/answers/{sketch.mark}" if sketch else ""
    return AnswerPart(
        title="New batch", screen=BATCHES.key, carried=carried, path=path, waiting=waiting, looking=looking,
        **(shown | more),  # type: ignore[arg-type] # each by its own name
    )  # fmt: skip


def _way(way: Way, system: UnitSystem) -> WishWay:
    head, _, then = words.change(way.change, system).partition(": ")
    return WishWay(words=head.removeprefix("With "), then=then[:1].upper() + then[1:], file=way.file)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _system(source: str, usual: UnitSystem) -> UnitSystem:
    """The units of a plan's file."""
    said = wish_form.fields_of(source)["show"]
    return cast(UnitSystem, said) if said in ("metric", "us") else usual


# The page ----------------------------------------------------------------------------------------


def page_of(
    request: Request, carried: WishCarried, found: AnswerPart, error: str = "", pasted: str = ""
) -> WishPage:
    """The whole form with its answer."""
    there = stores_now(request, carried.to)
    system = _system(carried.source, units_of(request))
    offer = choices(there.held, system)
    fields = wish_form.fields_of(carried.source)
    return WishPage(
        title=f"A plan for {carried.to}" if carried.to else "New batch",
        screen=BATCHES.key,
        carried=carried,
        groups=wish_fields.groups(_with_one_row(fields), offer, system, found.wrong),
        materials=offer.materials,
        stores=there.held is not None,
        there=wish_stores.spirits_said(there, system),
        answer=found,
        error=error,
        pasted=pasted,
    )


def _with_one_row(fields: Mapping[str, str]) -> Mapping[str, str]:
    """A bill is never without a row to type in."""
    return fields if wish_form.rows_in(fields, "bill") else {**fields, "bill-0-material": ""}


def with_a_row(groups: tuple[WishGroup, ...], name: str) -> tuple[WishGroup, ...]:
    """The groups with an empty row more of a kind; its group then stands open."""
    return tuple(
        replace(
            group,
            open=group.open or any(rows.name == name for rows in group.rows),
            rows=tuple(_one_more(rows) if rows.name == name else rows for rows in group.rows),
        )
        for group in groups
    )


def _one_more(rows: WishRows) -> WishRows:
    return replace(rows, rows=(*rows.rows, wish_fields.empty_row(rows.name, rows.next)), next=rows.next + 1)
