"""What goes through the whole book: traces, the account of a period, the proof."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Annotated, Any, TypeVar

from fastapi import Query

from caskward.desk import wall_clock
from caskward.desk.api.answers import Check, Finding
from caskward.desk.api.answers_report import Period, Trace
from caskward.desk.api.fields import LONGEST_WAIT_S, MOST_NAME, Direction, TheBook, TheHouse, Units
from caskward.desk.api.routing import router as new_router
from caskward.desk.house import House
from caskward.errors.desk_api import StillBeingMade
from caskward.services.book import kept, trace_report
from caskward.services.book.looked import Looked
from caskward.services.book.period_report import period_data, period_report
from caskward.services.book.period_words import period_page
from caskward.services.book.periods import Period as PeriodOf
from caskward.services.book.periods import period as period_of
from caskward.services.book.trace_words import trace_page

router = new_router("reports")
T = TypeVar("T")
Told = tuple[dict[str, object], tuple[str, ...]]
"""A report's data, and what it says in sentences."""


@router.get("/trace")
def trace(
    house: TheHouse,
    of: Annotated[
        str,
        Query(
            min_length=1,
            max_length=MOST_NAME,
            description="A place, a lot, bottles or a batch, as a maker calls it.",
            examples=["cask 2"],
        ),
    ],
    direction: Annotated[
        Direction, Query(description="`back` to every lot, or `forward` to every bottle: a recall.")
    ] = "back",
    units: Units = "metric",
) -> Trace:
    """Where something came from, or where it went; corrections are put right."""
    data, said = _made(house, ("trace", of, direction, units), partial(_traced, of, direction, units))
    ways = [
        {"source": way["from"], "target": way["to"], "amounts": way["amounts"]} for way in _rows(data, "ways")
    ]
    return Trace.model_validate({**_without(data, "what"), "ways": ways, "sentences": list(said)})


@router.get("/reports/period")
def period(
    house: TheHouse,
    period: Annotated[
        str,
        Query(
            max_length=MOST_NAME,
            description="`2026`, `2026 Q2`, `2026-03`, `last month`, `2026-01-01 to 2026-03-31`; empty is "
            "this year.",
            examples=["2025"],
        ),
    ] = "",
    units: Units = "metric",
) -> Period:
    """The alcohol account of a period: what came, what went and why, what is there."""
    wanted = period_of(period, wall_clock.now())
    data, said = _made(house, ("period", wanted, units), partial(_accounted, wanted, units))
    account = {name: data[name] for name in ("opening_ul", "lines", "closing_ul")}
    whole = {
        **_without(data, *account, "what", "known_at", "put_right", "from", "until", "open"),
        "begins": data["from"],
        "ends": data["until"],
        "unexplained": data["open"],
        "account": account,
        "sentences": list(said),
    }
    return Period.model_validate(whole)


@router.get("/check")
def check(house: TheHouse, book: TheBook) -> Check:  # noqa: ARG001 - it says so where there is none
    """Prove the book: file, guards, chain, sums, balances. It takes seconds in a long book."""
    with house.waits.proof(LONGEST_WAIT_S):
        found = kept.check()
    return Check(
        whole=found.whole,
        entries=found.entries,
        head=found.head or None,
        first_bad=found.first_bad,
        findings=[Finding(sentence=one.sentence) for one in found.findings],
        sentences=list(kept.check_sentences(found)),
    )


def _traced(of: str, direction: Direction, units: Units, known: Looked) -> Told:
    found = trace_report.trace_report(known, of, direction)
    return trace_report.trace_data(found), tuple(trace_page(found, units).answers)


def _accounted(wanted: PeriodOf, units: Units, known: Looked) -> Told:
    found = period_report(known, wanted)
    return period_data(found), tuple(period_page(found, units).answers)


def _made(house: House, key: object, make: Callable[[Looked], T]) -> T:
    """A report, waited for a while; it has all that was recorded before it was asked for.

    Raises:
        StillBeingMade: it takes longer, or too many wait already.
    """
    with house.waits.turn(LONGEST_WAIT_S) as wait_s:
        found = house.seen.reports.made(("api", key), make, wait_s)
    if found is None:
        raise StillBeingMade
    return found.report


def _without(data: dict[str, object], *names: str) -> dict[str, object]:
    return {name: value for name, value in data.items() if name not in names}


def _rows(data: dict[str, object], name: str) -> list[dict[str, Any]]:
    found = data[name]
    return found if isinstance(found, list) else []
