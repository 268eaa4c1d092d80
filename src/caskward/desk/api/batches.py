"""Batches: what the book has of each, and what is believed of it as far as that is worked out."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Query

from caskward.desk.api.answers import Missing
from caskward.desk.api.answers_batch import (
    Band,
    Batch,
    Batches,
    BatchLine,
    Bench,
    Forecast,
    NextReading,
    NextReadings,
    Reach,
    Remedies,
    Remedy,
    Row,
    State,
    Task,
)
from caskward.desk.api.book import lines
from caskward.desk.api.fields import USUAL, BatchName, Limit, Skip, TheBook, TheHouse, Units, Wait
from caskward.desk.api.places import seen
from caskward.desk.api.routing import router as new_router
from caskward.desk.house import House
from caskward.desk.thoughts import ON_THE_BENCH, Failed, Thought
from caskward.services import batch_answers, plan_remedy_words
from caskward.services.book import batch_follow, batch_record, filled_words
from caskward.services.book.batch_record import BatchRecord
from caskward.units.types import UnitSystem

router = new_router("batches")
_MOST_ENTRIES, _LAST = 200, 5


@router.get("/batches")
def batches(
    house: TheHouse,
    book: TheBook,  # noqa: ARG001 - it says so where there is none
    open: Annotated[  # noqa: A002 - the word that is typed
        bool | None, Query(description="Only those that go on, or only closed ones.")
    ] = None,
    limit: Limit = USUAL,
    skip: Skip = 0,
) -> Batches:
    """Every batch, the open ones first, each kind by its name."""
    found = [one for one in house.seen.batches() if open is None or one.is_open == open]
    page = [BatchLine.model_validate(one) for one in found[skip : skip + limit]]
    return Batches(batches=page, total=len(found))


@router.get("/bench")
def bench(house: TheHouse, book: TheBook, units: Units = "metric") -> Bench:
    """What needs hands now, over all open batches."""
    open_now = [house.records.of(book, name) for name in house.seen.open_batches()]
    open_now.sort(key=lambda one: -one.entries[-1].number)
    return Bench(
        tasks=[_task(house, one, units) for one in open_now[:ON_THE_BENCH]],
        unexplained=[Missing.model_validate(one) for one in seen(house, book).unexplained],
        last=lines(book.newest(limit=_LAST), units),
    )


@router.get("/batches/{name}")
def batch(house: TheHouse, book: TheBook, name: BatchName, units: Units = "metric") -> Batch:
    """A batch: where it stands, its readings, its alcohol on its way."""
    of = house.records.of(book, name)
    return Batch(
        name=of.name,
        is_open=of.is_open,
        where=batch_record.stage_words(of),
        sentence=batch_record.sentence(of, units),
        planned=bool(of.plan),
        rows=[Row(stage=one.stage, row=one.row, entry=one.number) for one in of.rows_read],
        reaches=_reaches(of, thought_of(house, of)),
        entries=lines(of.entries[-_MOST_ENTRIES:], units),
        more=len(of.entries) > _MOST_ENTRIES,
    )


@router.get("/batches/{name}/forecast")
def forecast(
    house: TheHouse, book: TheBook, name: BatchName, wait_s: Wait = 0.0, units: Units = "metric"
) -> Forecast:
    """How sure the cask fills, after all readings; once it is filled, the sentence says with what."""
    of = house.records.of(book, name)
    state, sentence, now = part(house, of, "now", wait_s)
    report = now.report if now else None
    said = batch_answers.sure(report, units, read=bool(of.rows)) if report else None
    sentence = f"{said.headline} {said.expected}" if said else sentence
    there = filled_words.filled(of, units) if state in ("ready", "thinking") else None
    return Forecast(
        state=state,
        sentence=there.sentence if there else sentence,
        chance=report.chance_now if report else None,
        chance_before=report.chance_before if report else None,
        fill_l=band(report.fill_now) if report else None,
        wanted_l=report.wanted_l if report else None,
        entry_pct_vol=report.entry_pct_vol if report else None,
        rough=report.rough if report else None,
        cautions=list(said.cautions) if said else [],
        notes=[said.width, *said.notes] if said else [],
    )


@router.get("/batches/{name}/next")
def next_readings(
    house: TheHouse, book: TheBook, name: BatchName, wait_s: Wait = 0.0, units: Units = "metric"
) -> NextReadings:
    """What to read next, the best for its work first."""
    of = house.records.of(book, name)
    state, sentence, found = _next(house, of, wait_s)
    first = batch_answers.next_read(found, units) if found else None
    if first is not None:
        sentence = f"{first.title}. {first.target} {first.worth}"
    return NextReadings(
        state=state,
        sentence=sentence,
        begin=first.begin if first else "",
        example=first.example if first else "",
        readings=[_reading(one) for one in found.readings] if found else [],
    )


@router.get("/batches/{name}/remedies")
def remedies(
    house: TheHouse, book: TheBook, name: BatchName, wait_s: Wait = 0.0, units: Units = "metric"
) -> Remedies:
    """What can still be done, by rank."""
    state, sentence, found = part(house, house.records.of(book, name), "remedy", wait_s)
    return Remedies(
        state=state,
        sentence=plan_remedy_words.headline(found, units) if found else sentence,
        needed=found.needed if found else None,
        remedies=[_remedy(one, units) for one in found.offers] if found else [],
    )


# What other addresses use, too -------------------------------------------------------------------


def thought_of(house: House, of: BatchRecord) -> Thought | None:
    """What is believed of a batch, begun if nobody has asked; None without a plan."""
    return house.thoughts.of(of) if of.plan else None


def part(house: House, of: BatchRecord, name: str, wait_s: float) -> tuple[State, str, Any]:
    """How far a part of a thought is, a sentence if it failed, and the part if it is ready."""
    thought = thought_of(house, of)
    if thought is None:
        return "no plan", "", None
    found = thought.part(name)
    if found is None:
        with house.waits.turn(wait_s) as most_s:
            found = thought.part(name, most_s)
    if isinstance(found, Failed):
        return "failed", found.sentence, None
    return ("thinking", "", None) if found is None else ("ready", "", found)


def _next(house: House, of: BatchRecord, wait_s: float) -> tuple[State, str, Any]:
    """What to read next, without what is over by the deeds of the book."""
    state, sentence, found = part(house, of, "next", wait_s)
    left = filled_words.without_fill(of, batch_follow.next_by_deeds(of, found)) if found else found
    return state, sentence, left


def band(of: Any) -> Band:
    """A band as it comes back."""
    return Band(low=of.low, mid=of.mid, high=of.high)


def _reaches(of: BatchRecord, thought: Thought | None) -> list[Reach]:
    plan, now = (thought.good("plan"), thought.good("now")) if thought else (None, None)
    return [
        Reach(
            key=one.key,
            planned_l=band(one.planned) if one.planned else None,
            expected_l=band(one.now) if one.now else None,
            recorded_l=one.recorded_l,
        )
        for one in batch_follow.river_of(of, plan, now).reaches
    ]


def _task(house: House, of: BatchRecord, units: UnitSystem) -> Task:
    state, sentence, found = _next(house, of, 0.0)
    first = batch_answers.next_read(found, units) if found else None
    thought = thought_of(house, of)
    cards = (thought.good("cards") if thought else None) or ()
    return Task(
        batch=of.name,
        where=batch_record.stage_words(of),
        sentence=sentence or batch_record.sentence(of, units),
        state=state,
        read=first.title if first else "",
        expect=first.target if first else "",
        begin=first.begin if first else "",
        cautions=[text for one in cards if first and one.key == first.card for text in one.cautions],
    )


def _reading(one: Any) -> NextReading:
    names = ("stage", "quantity", "words", "unit", "at_h", "at_l", "minutes", "width_after", "now")
    return NextReading(**{name: getattr(one, name) for name in names}, expects=band(one.expects))


def _remedy(one: Any, units: UnitSystem) -> Remedy:
    return Remedy(
        key=one.key,
        words=plan_remedy_words.move(one, units),
        chance=one.chance,
        gain=one.gain,
        takes=one.takes_together,
        fill_l=band(one.fill_l),
        helps=one.helps,
    )
