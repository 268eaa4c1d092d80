"""The invented farm as it stands today: the same figures on every day, lawful, and alive."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from caskward.book.checks import check_book
from caskward.services.book import batch_record, demo_today, plan_kept
from caskward.services.book.batches import forecast
from caskward.services.book.opened import to_read

SUMMER, WINTER = datetime(2026, 7, 1, 0, 1, tzinfo=UTC), datetime(2031, 1, 6, 23, 50, tzinfo=UTC)


@pytest.fixture(scope="module")
def today():
    return demo_today.today_entries(SUMMER)


def test_only_its_days_move_with_the_calendar(today) -> None:
    later = demo_today.today_entries(WINTER)
    apart = {one.done_at.date() - other.done_at.date() for one, other in zip(later, today, strict=True)}
    assert apart == {timedelta(days=(WINTER.date() - SUMMER.date()).days)}
    assert [one.postings for one in later] == [one.postings for one in today]
    assert [one.readings for one in later] == [one.readings for one in today]


def test_nothing_is_of_tomorrow_and_yesterday_something_was_done(today) -> None:
    assert check_book(today) == []
    assert all(one.recorded_at <= SUMMER for one in today)
    assert SUMMER - max(one.done_at for one in today) < timedelta(days=2)


def test_its_batch_follows_a_plan_and_is_in_doubt(tmp_path) -> None:
    place = str(tmp_path / "farm.sqlite")
    demo_today.write_today(place, SUMMER)
    with to_read(place) as book:
        of = batch_record.record_of(book, demo_today.NAME)
        believed = forecast(book, demo_today.NAME)
        taken = plan_kept.kept_plan(book, demo_today.NAME).method["bill_kg"]
        mashed = sum(
            -part.amount
            for one in of.entries
            for part in one.postings
            if part.account.startswith("lot/rye") and part.commodity == "mass/rye"
        )
    assert batch_record.stage_words(of) == "stripping"
    assert 0.5 < believed.chance_now < 1.0
    assert believed.fill_now.low < believed.fill_now.mid < believed.fill_now.high
    assert mashed == round(float(taken["rye"]) * 1e6), "it took what its plan says"


def test_half_stripped_its_wash_is_what_was_stripped_and_what_stands_in_the_tub(tmp_path) -> None:
    place = str(tmp_path / "farm.sqlite")
    demo_today.write_today(place, SUMMER)
    with to_read(place) as book:
        of = batch_record.record_of(book, demo_today.NAME)
        tub_l = book.balances("vessel/")["vessel/tub"]["alcohol"] / 1e6
    found = of.recorded
    assert (found.so_far, of.runs.entered) == ({"low wines"}, (2, 0))
    stripped_l = sum(
        -part.amount / 1e6
        for one in of.happened
        if one.kind == "distilled"
        for part in one.postings
        if part.commodity == "alcohol" and part.account == "vessel/still"
    )
    assert found.reaches["wash"] == pytest.approx(stripped_l + tub_l, abs=1e-6)
    lost_l = found.sides["tub", "held by the spent solids", "lost"]
    assert found.reaches["tub"] == pytest.approx(found.reaches["wash"] + lost_l, abs=1e-6)
