"""Run day: a strip or a spirit run of a batch while it runs, and what its receivers do to the cask."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import batch_parts, deeds, run_parts
from caskward.desk.batch_of import WAIT_S, record_of, thought_of
from caskward.desk.batch_pages import ReadingForm
from caskward.desk.forms import asked, house_of
from caskward.desk.pages import RecordForm
from caskward.desk.render import page, units_of
from caskward.desk.run_pages import RunPage, RunPart
from caskward.desk.run_parts import Seen
from caskward.desk.screens import BATCHES
from caskward.desk.thoughts import Thought
from caskward.errors import CaskwardError
from caskward.errors.desk import NoSuchPage
from caskward.services import run_best, run_day
from caskward.services.batch_receivers import RunKey
from caskward.services.book import batch_record, run_deed
from caskward.services.book.batch_record import BatchRecord

router = APIRouter()
PARTS: Final = ("now", "at", "chart", "which", "runs", "shelf", "choice")
_RUN = re.compile(r"(strip|run)-([1-9]\d?)")


@router.get("/batches/{name}/run")
def run_page(request: Request, name: str) -> Response:
    """A run whole."""
    of = record_of(request, name)
    thought = thought_of(request, of)
    waits = bool(asked(request, "wait"))
    if thought is not None and waits:
        with house_of(request).waits.turn(WAIT_S) as wait_s:
            thought.part("now", wait_s)
    seen = _seen(request, of, thought, work=waits)
    best, taken = _taken(request, seen)
    words = run_day.name_of(seen.key, seen.runs)
    begins = deeds.one_deed("measure", "", "", f"{seen.path}?of={seen.word}", batch=name)
    data = RunPage(
        title=words,
        screen=BATCHES.key,
        batch=name,
        batch_path=batch_parts.path_of(name),
        path=f"{seen.path}?of={seen.word}",
        runs=run_parts.runs(seen),
        is_open=of.is_open,
        cautions=_cautions(seen.key, thought),
        now=run_parts.now(seen),
        drawn=run_parts.drawn(seen),
        which=run_parts.which(seen),
        shelf=run_parts.shelf(seen, taken, best),
        change=run_parts.change_form(seen),
        begins=begins,
        reading=_reading_form(of, seen),
        mark_key=deeds.new_key(),
        take_key=deeds.new_key(),
        deed=_deed(request, seen),
        note=deeds.one_deed(
            "note", "Words to keep", "condenser ran warm for a while", begins.back, batch=name
        ),
    )
    return page(request, "run", data)


@router.get("/batches/{name}/run/{part}")
def run_part(request: Request, name: str, part: str) -> Response:
    """One part of a run's page as it is now."""
    if part not in PARTS:
        raise NoSuchPage
    of = record_of(request, name)
    seen = _seen(request, of, thought_of(request, of), work=True)
    return page(request, f"parts/run_{part}", _part(request, seen, part))


def _part(request: Request, seen: Seen, part: str) -> RunPart:
    if part in ("now", "at"):
        return run_parts.now(seen)
    if part == "chart":
        return run_parts.drawn(seen)
    if part == "which":
        before, newest, typed = (asked(request, name) for name in ("before", "newest", "words"))
        return run_parts.which(seen, before, newest, typed)
    if part == "runs":
        return run_parts.runs(seen)
    best, taken = _taken(request, seen)
    return run_parts.shelf(seen, taken, best) if part == "shelf" else run_parts.choice(seen, taken)


# What was asked for ------------------------------------------------------------------------------


def _seen(request: Request, of: BatchRecord, thought: Thought | None, *, work: bool) -> Seen:
    key = _run_of(request) or run_day.run_at(of.runs, batch_record.stage_now(of), *of.runs_planned)
    known = house_of(request).runs.known(thought, key, work=work)
    return Seen(of, key, known, units_of(request))


def _run_of(request: Request) -> RunKey | None:
    given = asked(request, "of")
    if not given:
        return None
    found = _RUN.fullmatch(given)
    if not found:
        raise NoSuchPage
    return "strip" if found[1] == "strip" else "run", int(found[2])


def _taken(request: Request, seen: Seen) -> tuple[str, tuple[str, ...]]:
    """What was said of the best choice, and what is taken: the best, as it was ticked, or by the marks."""
    way = asked(request, "best")
    if way in ("cut", "free") and seen.key[0] == "run":
        ticked = _ticked(request, seen)
        try:
            found = run_best.best(
                *(seen.log, seen.known.forecast, seen.key, way, seen.system),  # type: ignore[arg-type] # as tested
                held=ticked,
                share=seen.share,
            )
        except CaskwardError as error:
            found = run_best.Best((), str(error))
        return found.sentence, found.names or ticked
    return "", _ticked(request, seen)


def _ticked(request: Request, seen: Seen) -> tuple[str, ...]:
    ticked = request.query_params.getlist("in") if asked(request, "chosen") else None
    return run_parts.taken(seen, ticked, asked(request, "seen").split(","))


def _cautions(key: RunKey, thought: Thought | None) -> tuple[str, ...]:
    """By the plan's own cards, which know what heats the pot; else for every still."""
    cards = (thought.good("cards") if thought else None) or ()
    stages = ("strip",) if key[0] == "strip" else ("spirit", "charge")
    own = tuple(text for stage in stages for card in cards if card.key == stage for text in card.cautions)
    found = tuple(dict.fromkeys(own)) or run_day.cautions(key)
    # Nobody leaves a still: that stands nearest to the hands.
    return tuple(sorted(found, key=lambda text: "leave it alone" not in text))


_RAN: Final = (
    ("What ran into what, at 20 °C", "..., left 90 L 0.3 % at 20 C"),
    ("What ran into what, at 68 °F", "..., left 24 gal 0.3 % at 68 F"),
)
"""How the deed is called, and what a maker adds to it: in litres, in gallons."""


def _deed(request: Request, seen: Seen) -> RecordForm | None:
    """The receivers as a deed, where the book has the charge and every strength was read."""
    system = units_of(request)
    words = run_deed.deed_words(house_of(request).book.to_read(), seen.log, seen.key, system)
    if not words or not seen.of.is_open:
        return None
    back = f"{seen.path}?of={seen.word}"
    label, left = _RAN[system == "us"]
    form = deeds.one_deed("distil", label, left, back, batch=seen.of.name)
    return replace(form, words=words)


def _reading_form(of: BatchRecord, seen: Seen) -> ReadingForm:
    return ReadingForm(
        slug=batch_parts.slug_of(of.name),
        key=deeds.new_key(),
        batch=of.name,
        path=batch_parts.path_of(of.name),
        back=f"{seen.path}?of={seen.word}",
        big=False,
    )
