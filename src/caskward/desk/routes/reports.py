"""Reports of the book: the account of a period, what things cost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk.entries import tables
from caskward.desk.forms import asked
from caskward.desk.pages import ReportPage
from caskward.desk.render import page, units_of
from caskward.desk.screens import BOOK
from caskward.errors import InputError
from caskward.services.book.cost_report import cost_page, cost_report
from caskward.services.book.looked import look
from caskward.services.book.pages import HELP, Page
from caskward.services.book.period_report import period_report
from caskward.services.book.period_words import period_page
from caskward.services.book.periods import period

router = APIRouter()


@router.get("/book/period")
def of_a_period(request: Request) -> Response:
    """The alcohol account of a period."""
    typed, system = asked(request, "q"), units_of(request)

    def made() -> Page:
        return period_page(period_report(look(), period(typed, datetime.now().astimezone())), system)

    return _report(request, "Alcohol account", made, typed)


@router.get("/book/costs")
def of_costs(request: Request) -> Response:
    """What everything cost."""
    return _report(request, "Costs", lambda: cost_page(cost_report(look())), None)


def _report(request: Request, title: str, make: Callable[[], Page], typed: str | None) -> Response:
    try:
        made = make()
    except InputError as error:
        data = _without(title, typed, str(error))
        return page(request, "report", data, status=422)
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
    return page(request, "report", data)


def _without(title: str, typed: str | None, error: str) -> ReportPage:
    return ReportPage(
        title=title, screen=BOOK.key, about="", answers=(), tables=(), notes=(HELP,), invented=False,
        period=typed, error=error,
    )  # fmt: skip
