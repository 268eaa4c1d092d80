"""A batch's plan is kept with it and opened again as it was; what was measured feeds it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from caskward.book.frozen import FrozenMap
from caskward.errors.book import NoSuchBatch
from caskward.errors.book_typed import NothingPlanned, PlanNotReopened
from caskward.planning.sizing import size
from caskward.services import plan_update, plans
from caskward.services.book import acting, batches, plan_kept, verbs

from .conftest import MAUD, asked_of

RYE = f"worlds = 256\n{plans.starting_point('rye')}"


@pytest.fixture
def planned(book):
    """A batch with the rye plan."""
    batches.begin(book, asked_of("begin rye 5"), MAUD, (RYE, None))
    return book


def test_the_plan_is_opened_again_as_it_was_sized(planned):
    as_made = size(plans.intent_text(RYE))
    again = plan_kept.sized_of(planned, "rye 5")
    assert again.notes == ()
    assert again.sized.method == as_made.method
    assert again.sized.intent == as_made.intent
    np.testing.assert_array_equal(again.sized.course.available_l, as_made.course.available_l)


def test_no_fraction_is_hashed_as_one(planned):
    entry = planned.of_batch("rye 5")[-1]
    assert entry.kind == "planned"
    assert all(isinstance(kg, str) for kg in entry.details["method"]["bill_kg"].values())


def test_a_plan_that_cannot_be_used_begins_nothing(book):
    with pytest.raises(Exception, match="capacty"):
        batches.begin(book, asked_of("begin rye 5"), MAUD, (RYE.replace("capacity", "capacty"), None))
    assert book.head() is None


def test_the_last_plan_holds(planned):
    small = RYE.replace('share = "55 %"', 'share = "45 %"').replace('share = "25 %"', 'share = "35 %"')
    ready = plan_kept.prepared(small)
    batches.planned(planned, asked_of("plan again"), replace(MAUD, batch="rye 5"), ready)
    assert plan_kept.kept_plan(planned, "rye 5").intent == small
    assert plan_kept.kept_plan(planned, "rye 5").number == 3


def test_begun_again_with_the_same_key_finishes_what_was_cut_short(book):
    keyed = replace(MAUD, key="phone 1")
    verbs.done_in(book, asked_of("begin rye 5"), keyed)
    begun, planned = batches.begin(book, asked_of("begin rye 5"), keyed, (RYE, None))
    assert begun.repeated
    assert not planned.repeated
    again = batches.begin(book, asked_of("begin rye 5"), keyed, (RYE, None))
    assert [one.repeated for one in again] == [True, True]


def test_rows_measured_are_the_readings_of_the_batch(planned):
    verbs.done_in(planned, asked_of('measure "mash 3 h: 1.060, 61 C" "wash: 8.4 %, 340 L"'), MAUD)
    wrong = verbs.done_in(planned, asked_of("measure strip: 11 L, 26 %"), MAUD)
    asked = asked_of("measure strip: 110 L, 26 %")
    number = wrong.entry.number
    acting.corrected(planned, number, asked, MAUD, "a nought too few", verbs.maker("measure"))
    rows = plan_kept.readings_of(planned, "rye 5")
    expected = plan_update.rows_of((), ("mash 3 h: 1.060, 61 C", "wash: 8.4 %, 340 L", "strip: 110 L, 26 %"))
    assert rows == expected
    assert [one.typed for one in planned.of_batch("rye 5")[2].readings] == ["1.060", "61 C", "8.4 %", "340 L"]


def test_the_forecast_from_the_book_is_that_of_the_same_rows(planned):
    rows = ("wash: 8.4 %, 340 L",)
    verbs.done_in(planned, asked_of("measure wash: 8.4 %, 340 L"), MAUD)
    by_book = batches.forecast(planned, "")
    by_hand = plan_update.updated(RYE, plan_update.rows_of((), rows))
    assert (by_book.fill_now, by_book.chance_now) == (by_hand.fill_now, by_hand.chance_now)


def test_what_has_no_plan_or_is_no_batch_is_said(book):
    verbs.done_in(book, asked_of("begin rye 5"), MAUD)
    with pytest.raises(NothingPlanned, match="book plan"):
        plan_kept.kept_plan(book, "rye 5")
    with pytest.raises(NoSuchBatch, match="'rye 5'"):
        plan_kept.kept_plan(book, "RYE 5")


def test_files_that_a_plan_names_are_kept_with_it(tmp_path):
    source = 'learned = "gear/my-gear.toml"\n[strip_still]\nlearned = "none.toml"\n'
    (tmp_path / "gear").mkdir()
    (tmp_path / "gear" / "my-gear.toml").write_text("x = 1\n", encoding="utf-8")
    assert plan_kept.files_of(source, tmp_path) == {"gear/my-gear.toml": "x = 1\n"}


def test_another_catalogue_is_said_and_a_broken_plan_refused(planned):
    kept = plan_kept.kept_plan(planned, "rye 5")
    assert "catalogue has changed" in plan_kept.reopened(replace(kept, catalogue="0" * 64)).notes[0]
    with pytest.raises(PlanNotReopened, match="not whole"):
        plan_kept.reopened(replace(kept, method=FrozenMap({"bill_kg": 3})))
    with pytest.raises(PlanNotReopened, match="TOML"):
        plan_kept.reopened(replace(kept, intent="= ="))
