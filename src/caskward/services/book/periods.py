"""A period as a maker says it: `2026`, `2026 Q2`, `2026-03`, `last month`, `2026-01-01 to 2026-03-31`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from caskward.errors.book_read import PeriodBackward, PeriodUnclear

_YEAR = re.compile(r"(\d{4})")
_QUARTER = re.compile(r"(\d{4})[ -]?q([1-4])|q([1-4])[ -](\d{4})")
_MONTH = re.compile(r"(\d{4})-(\d{1,2})")
_SPAN = re.compile(r"(?:from\s+)?(\S+)\s+(?:to|until|till|-|–)\s+(\S+)")


@dataclass(frozen=True, slots=True)
class Period:
    """From a moment up to another, which is not in it; `words` say it in local days."""

    start: datetime
    end: datetime
    words: str


def period(given: str, now: datetime) -> Period:
    """The period meant, in local days; nothing is this year up to now.

    Raises:
        PeriodUnclear: it is none. PeriodBackward: it ends before it begins.
    """
    text = " ".join(given.casefold().split())
    first, last = _days(text, now.astimezone().date(), given)
    if last < first:
        raise PeriodBackward(first.isoformat(), last.isoformat())
    try:
        start, end = _midnight(first), _midnight(last + timedelta(days=1))
    except (OverflowError, ValueError):  # the first or the last day that a calendar has
        raise PeriodUnclear(given) from None
    words = f"{first.isoformat()} to {last.isoformat()}" if last != first else first.isoformat()
    return Period(start, end, words)


def _days(text: str, today: date, given: str) -> tuple[date, date]:
    """First and last day."""
    try:
        span = _SPAN.fullmatch(text)
        if span:
            return _days(span[1], today, given)[0], _days(span[2], today, given)[1]
        return _one(_relative(text, today))
    except ValueError:
        raise PeriodUnclear(given) from None


def _relative(text: str, today: date) -> str:
    month = today.replace(day=1)
    before = month - timedelta(days=1)
    return {
        "": f"{today.year}",
        "this year": f"{today.year}",
        "last year": f"{today.year - 1}",
        "this month": f"{today:%Y-%m}",
        "last month": f"{before:%Y-%m}",
        "today": today.isoformat(),
        "yesterday": (today - timedelta(days=1)).isoformat(),
    }.get(text, text)


def _one(text: str) -> tuple[date, date]:
    year, quarter, month = _YEAR.fullmatch(text), _QUARTER.fullmatch(text), _MONTH.fullmatch(text)
    if year:
        return date(int(year[1]), 1, 1), date(int(year[1]), 12, 31)
    if quarter:
        of, number = int(quarter[1] or quarter[4]), int(quarter[2] or quarter[3])
        return date(of, 3 * number - 2, 1), _last_of(of, 3 * number)
    if month:
        return date(int(month[1]), int(month[2]), 1), _last_of(int(month[1]), int(month[2]))
    day = date.fromisoformat(text)
    return day, day


def _last_of(year: int, month: int) -> date:
    following = date(year + month // 12, month % 12 + 1, 1)
    return following - timedelta(days=1)


def _midnight(day: date) -> datetime:
    # The offset is that of the day itself: summer time may lie between two days.
    return datetime.combine(day, time()).astimezone().astimezone(UTC)
