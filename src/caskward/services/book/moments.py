"""When something was done, as a maker says it: `14:30`, `yesterday 9:00`, `2026-03-01 14:30`, `2 h ago`."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta

from caskward.errors import InputError, NotUnderstood
from caskward.errors.book_typed import NoSuchDay
from caskward.units import parse

FIRST, LAST = datetime(1900, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)
"""Nothing in a cask is older; what the book is asked for at some later day is not so late."""
EXAMPLES = "14:30, yesterday 9:00, 2026-03-01 14:30 or 2 h ago"
_NOON = time(12)
_DAYS = {"today": 0, "yesterday": 1}
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_CLOCK = re.compile(r"(\d{1,2})[:.](\d{2})(?::(\d{2}))?\s*(am|pm)?|(\d{1,2})\s*(am|pm)", re.IGNORECASE)
_AGO = re.compile(r"(.+?)\s+ago", re.IGNORECASE)
_DAY = re.compile(r"(\d{4}-\d{2}-\d{2}|[a-z]+)(?:,?\s+(?:at\s+)?(.+))?", re.IGNORECASE)


def moment(given: str, now: datetime) -> datetime:
    """The moment meant, in UTC.

    Args:
        given: local time; a day without a time is its noon, or now where noon is still to come; nothing
            is now. ISO with its time zone, `2026-03-01T14:30Z`, is taken as it stands.
        now: an aware moment in the maker's own time zone.

    Raises:
        NotUnderstood: it is no moment. NoSuchDay: it lies before `FIRST` or after `LAST`.
    """
    try:
        found = _meant(given, now)
    except (OverflowError, ValueError):  # farther than a calendar goes, on one side of the world or both
        found = None
    if found is None or not FIRST <= found <= LAST:
        raise NoSuchDay(given, f"{FIRST:%Y}", f"{LAST:%Y}")
    return found


def _meant(given: str, now: datetime) -> datetime:
    text = " ".join(given.lower().split())
    if text in ("", "now"):
        return now.astimezone(UTC)
    ago = _AGO.fullmatch(text)
    if ago:
        return (now - timedelta(hours=_hours(ago[1], given))).astimezone(UTC)
    iso = _iso(given.strip())
    return iso if iso is not None else _local(text, given, now)


def local(at: datetime) -> datetime:
    """A moment in the time zone of this machine."""
    return at.astimezone()


def shown(at: datetime) -> str:
    """A moment as a maker reads it: `2026-03-01 14:30`, local."""
    return f"{local(at):%Y-%m-%d %H:%M}"


def _hours(text: str, given: str) -> float:
    try:
        return parse.duration_h(text)
    except InputError:
        raise _unknown(given) from None


def _iso(text: str) -> datetime | None:
    """ISO 8601 with a T between day and time, or with a time zone; nothing else."""
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return found.astimezone(UTC) if found.tzinfo is not None else None


def _local(text: str, given: str, now: datetime) -> datetime:
    text = text.replace("t", " ", 1) if re.match(r"\d{4}-\d{2}-\d{2}t", text) else text
    clock = _CLOCK.fullmatch(text)
    if clock:
        return _at(now.date(), _time(clock, given), now)
    matched = _DAY.fullmatch(text)
    day = _day(matched[1], now.date()) if matched else None
    if matched is None or day is None:
        raise _unknown(given)
    if not matched[2]:
        noon = _at(day, _NOON, now)
        return min(noon, now.astimezone(UTC)) if day == now.date() else noon
    clock = _CLOCK.fullmatch(matched[2])
    if not clock:
        raise _unknown(given)
    return _at(day, _time(clock, given), now)


def _day(word: str, today: date) -> date | None:
    if word in _DAYS:
        return today - timedelta(days=_DAYS[word])
    for number, name in enumerate(_WEEKDAYS):
        if word in (name, name[:3]):
            return today - timedelta(days=(today.weekday() - number) % 7)
    try:
        return date.fromisoformat(word)
    except ValueError:
        return None


def _time(clock: re.Match[str], given: str) -> time:
    hour, minute, half = int(clock[1] or clock[5]), int(clock[2] or 0), clock[4] or clock[6]
    if half and not 1 <= hour <= 12:
        raise _unknown(given)
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    try:
        return time(hour, minute, int(clock[3] or 0))
    except ValueError:
        raise _unknown(given) from None


def _at(day: date, clock: time, now: datetime) -> datetime:
    # The offset is that of the day meant, not of today: summer time may lie between them.
    naive = datetime.combine(day, clock)
    zone = now.tzinfo
    fixed = zone is not None and now.utcoffset() is not None and not _is_here(now)
    return (naive.replace(tzinfo=zone) if fixed else naive.astimezone()).astimezone(UTC)


def _is_here(now: datetime) -> bool:
    return now.utcoffset() == now.astimezone().utcoffset()


def _unknown(given: str) -> NotUnderstood:
    return NotUnderstood("the time of a deed", given, EXAMPLES)
