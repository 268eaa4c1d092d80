"""Times as a maker says them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from caskward.errors import NotUnderstood
from caskward.errors.book_typed import NoSuchDay
from caskward.services.book.moments import moment

NOW = datetime(2026, 3, 20, 10, 15, tzinfo=timezone(timedelta(hours=5, minutes=45)))  # a Friday


@pytest.mark.parametrize(
    ("typed", "local"),
    [
        ("", "2026-03-20 10:15"),
        ("now", "2026-03-20 10:15"),
        ("8:30", "2026-03-20 08:30"),
        ("8.30", "2026-03-20 08:30"),
        ("2:30 pm", "2026-03-20 14:30"),
        ("12 am", "2026-03-20 00:00"),
        ("today 7:00", "2026-03-20 07:00"),
        ("today", "2026-03-20 10:15"),  # noon is still to come
        ("yesterday", "2026-03-19 12:00"),
        ("yesterday 9:00", "2026-03-19 09:00"),
        ("Yesterday at 9:00", "2026-03-19 09:00"),
        ("thu 18:00", "2026-03-19 18:00"),
        ("friday 6:00", "2026-03-20 06:00"),
        ("saturday", "2026-03-14 12:00"),
        ("2026-03-01", "2026-03-01 12:00"),
        ("2026-03-01 14:30", "2026-03-01 14:30"),
        ("2026-03-01T14:30", "2026-03-01 14:30"),
        ("2 h ago", "2026-03-20 08:15"),
        ("3 days ago", "2026-03-17 10:15"),
        ("1 h 30 min ago", "2026-03-20 08:45"),
    ],
)
def test_a_local_time_is_kept_as_utc(typed, local):
    found = moment(typed, NOW)
    assert found.tzinfo == UTC
    assert f"{found.astimezone(NOW.tzinfo):%Y-%m-%d %H:%M}" == local


def test_a_time_with_its_zone_is_taken_as_it_stands():
    assert moment("2026-03-01T14:30Z", NOW) == datetime(2026, 3, 1, 14, 30, tzinfo=UTC)
    assert moment("2026-03-01 14:30+02:00", NOW) == datetime(2026, 3, 1, 12, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    "typed", ["soon", "25:00", "2026-13-01", "13 pm", "0 am", "14", "x ago", "01/03/2026"]
)
def test_what_is_no_time_is_refused(typed):
    with pytest.raises(NotUnderstood, match="yesterday"):
        moment(typed, NOW)


@pytest.mark.parametrize(
    "typed",
    [
        *("1000000 d ago", "200 years ago", "0001-01-01T00:00:00+14:00", "0001-01-01"),
        *("9999-12-31T23:59-14:00", "9999-12-31", "1899-12-30", "2201-01-01 9:00"),
    ],
)
def test_what_nobody_means_is_refused_with_the_years_that_are_taken(typed):
    with pytest.raises(NoSuchDay, match="1900 or after 2200"):
        moment(typed, NOW)


@pytest.mark.parametrize("typed", ["1900-01-02", "100 years ago", "2199-12-30"])
def test_old_and_late_days_are_taken(typed):
    assert 1900 <= moment(typed, NOW).year < 2200
