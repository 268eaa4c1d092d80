"""Reports of the book: the account of a period, what things cost."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import partial
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import wall_clock
from caskward.desk.entries import tables
from caskward.desk.forms import asked, house_of, number_in
from caskward.desk.pages import ReportPage
from caskward.desk.render import page, units_of
from caskward.desk.screens import BOOK
from caskward.errors import InputError
from caskward.services.book.cost_report import cost_page, cost_report
from caskward.services.book.looked import Looked
from caskward.services.book.pages import HELP, Page
from caskward.services.book.period_report import period_report
from caskward.services.book.period_words import period_page
from caskward.services.book.periods import Period, period
from caskward.units.types import UnitSystem

router = APIRouter()
ACCOUNT = "Alcohol account"
QUICK_ENTRIES = 5000
"""A report over so many entries is made while the page waits."""
SHORT_WAIT_S, WAIT_S = 0.01, 120.0


@router.get("/book/period")
def of_a_period(request: Request) -> Response:
    """The alcohol account of a period."""
    typed, system = asked(request, "q"), units_of(request)
    try:
        wanted = period(typed, wall_clock.now())
    except InputError as error:
        return _refused(request, ACCOUNT, typed, error)
    return _report(request, ACCOUNT, wanted, partial(_account, wanted, system), typed)


@router.get("/book/costs")
def of_costs(request: Request) -> Response:
    """What everything cost."""
    return _report(request, "Costs", None, _costs, None)


def _account(wanted: Period, system: UnitSystem, known: Looked) -> Page:
    return period_page(period_report(known, wanted), system)


def _costs(known: Looked) -> Page:
    return cost_page(cost_report(known))


def _report(
    request: Request, title: str, of: Hashable, make: Callable[[Looked], Page], typed: str | None
) -> Response:
    house = house_of(request)
    newest = house.book.newest()
    since = number_in(asked(request, "since"))
    long = newest > QUICK_ENTRIES and not asked(request, "wait")
    try:
        with house.waits.turn(0.0 if long else WAIT_S) as wait_s:
            key = (title, of, units_of(request))
            found = house.seen.reports.made(key, make, max(wait_s, SHORT_WAIT_S), since)
    except InputError as error:
        return _refused(request, title, typed, error)
    if found is None:
        again = _again(request, typed, since=newest if since is None else since, wait="")
        return page(request, "report", _without(title, typed, waiting=again), part="report")
    made = found.report
    data = ReportPage(
        title=made.title,
        screen=BOOK.key,
        about=made.about,
        answers=made.answers,
        tables=tables(made.sections),
        notes=made.notes,
        invented=made.invented,
        period=typed,
        up_to=found.up_to if found.up_to < newest else 0,
        newest=newest,
        again=_again(request, typed),
    )
    return page(request, "report", data, part="report")


def _again(request: Request, typed: str | None, **more: object) -> str:
    """The same report: as it is now, or, while it is made, with all `since` it was first asked for."""
    return f"{request.url.path}?{urlencode({'q': typed or '', **more})}"


def _refused(request: Request, title: str, typed: str | None, error: InputError) -> Response:
    data = _without(title, typed, error=str(error))
    return page(request, "report", data, status=422, part="report")


def _without(title: str, typed: str | None, *, error: str = "", waiting: str = "") -> ReportPage:
    return ReportPage(
        title=title, screen=BOOK.key, about="", answers=(), tables=(), notes=(HELP,), invented=False,
        period=typed, error=error, waiting=waiting,
    )  # fmt: skip
