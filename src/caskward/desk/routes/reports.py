"""Reports of the book: the account of a period, what things cost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk.entries import tables
from caskward.desk.forms import asked, house_of
from caskward.desk.pages import ReportPage
from caskward.desk.render import page, units_of
from caskward.desk.screens import BOOK
from caskward.errors import InputError
from caskward.services.book.cost_report import cost_page, cost_report
from caskward.services.book.pages import HELP, Page
from caskward.services.book.period_report import period_report
from caskward.services.book.period_words import period_page
from caskward.services.book.periods import period

router = APIRouter()
QUICK_ENTRIES = 5000
"""A report over so many entries is made while the page waits."""
SHORT_WAIT_S, WAIT_S = 0.01, 120.0


@router.get("/book/period")
def of_a_period(request: Request) -> Response:
    """The alcohol account of a period."""
    typed, system, seen = asked(request, "q"), units_of(request), house_of(request).seen

    def made() -> Page:
        wanted = period(typed, datetime.now().astimezone())
        return period_page(period_report(seen.looked(), wanted), system)

    return _report(request, "Alcohol account", made, typed)


@router.get("/book/costs")
def of_costs(request: Request) -> Response:
    """What everything cost."""
    seen = house_of(request).seen
    return _report(request, "Costs", lambda: cost_page(cost_report(seen.looked())), None)


def _report(request: Request, title: str, make: Callable[[], Page], typed: str | None) -> Response:
    house = house_of(request)
    long = house.book.newest() > QUICK_ENTRIES and not asked(request, "wait")
    try:
        day = datetime.now().astimezone().date()  # "last month" is another one tomorrow
        key = (title, typed, units_of(request), day)
        with house.waits.turn(0.0 if long else WAIT_S) as wait_s:
            made = house.seen.made(key, make, max(wait_s, SHORT_WAIT_S))
    except InputError as error:
        data = _without(title, typed, error=str(error))
        return page(request, "report", data, status=422, part="report")
    if made is None:
        again = f"{request.url.path}?{urlencode({'q': typed or '', 'wait': ''})}"
        return page(request, "report", _without(title, typed, waiting=again), part="report")
    data = ReportPage(
        title=made.title,
        screen=BOOK.key,
        about=made.about,
        answers=made.answers,
        tables=tables(made.sections),
        notes=made.notes,
        invented=made.invented,
        period=typed,
    )
    return page(request, "report", data, part="report")


def _without(title: str, typed: str | None, *, error: str = "", waiting: str = "") -> ReportPage:
    return ReportPage(
        title=title, screen=BOOK.key, about="", answers=(), tables=(), notes=(HELP,), invented=False,
        period=typed, error=error, waiting=waiting,
    )  # fmt: skip
