"""Slips of unit in a batch's rows: the row is named, and what would fit is asked about."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import cast

import pytest

from caskward.errors import OutOfRange
from caskward.planning.plan import Band
from caskward.services import plan_learned_words, plan_update_words
from caskward.services.batch_typed import row_of
from caskward.services.plan_judged import Taken
from caskward.services.plan_learned import HabitLine, PlanLearned
from caskward.services.plan_update import PlanUpdate


@pytest.mark.parametrize(("row", "asks"), [("ferment 2 d: 1.025, 129 C", "129"), ("mash 1 h: 144 C", "144")])
def test_a_slip_out_of_range_names_its_row_and_asks_about_the_other_unit(row: str, asks: str) -> None:
    with pytest.raises(OutOfRange, match=re.escape(f"in {row!r} is {asks} °C")) as refused:
        row_of(row)
    assert str(refused.value).endswith(f"Or was it {asks} °F?")


def test_what_no_unit_explains_is_not_asked_about() -> None:
    with pytest.raises(OutOfRange, match=re.escape("in 'ferment 2 d: pH 15'")) as refused:
        row_of("ferment 2 d: pH 15")
    assert "Or was it" not in str(refused.value)
    with pytest.raises(OutOfRange, match="is it proof"):
        row_of("heart: 99 %")


def _taken(value: float, unit: str, fits: Band) -> Taken:
    return Taken(
        "wash", "volume", "volume", value, unit, "", "wash", follows=False, chance=0.001, fits=fits, hard=True
    )


@pytest.mark.parametrize(
    ("value", "unit", "fits", "meant"),
    [
        (88.0, "L", Band(300.0, 333.0, 360.0), "88 gal"),
        (333.0, "L", Band(80.0, 88.0, 95.0), "88 L"),
        (33.3, "L", Band(300.0, 333.0, 360.0), "333 L"),
        (17.0, "pct_vol", Band(8.0, 8.5, 9.0), "17 proof"),
        (4.25, "pct_vol", Band(8.0, 8.5, 9.0), "8.5 %vol"),
        (120.0, "L", Band(300.0, 333.0, 360.0), ""),
    ],
)
def test_another_unit_that_would_fit_is_asked_about(value: float, unit: str, fits: Band, meant: str) -> None:
    assert plan_update_words.slip_meant(_taken(value, unit, fits), "metric") == meant


def test_what_moved_is_told_apart_from_what_only_became_surer() -> None:
    line = HabitLine("x", "x", "share", Band(0.1, 0.2, 0.3), Band(0.1, 0.2, 0.3), 0.0, 0.8, 1)
    far = replace(line, mean=-0.6)
    for lines, said in (
        ((far, line, line), "1 thing moved from the default, 2 became surer where they were."),
        ((line,), "1 thing became surer where it was."),
        ((far, far), "2 things moved from the defaults."),
    ):
        found = PlanLearned("", "", False, "metric", 1, 9, lines, 20, cast(PlanUpdate, None), "")  # noqa: FBT003
        assert plan_learned_words.headline(found) == f"Learned from 1 closed batch, 9 readings: {said}"


def test_what_few_batches_judge_is_said_roughly() -> None:
    one = replace(_taken(120.0, "L", Band(300.0, 333.0, 360.0)), agrees=0.3)
    assert "taken for right 3 in 10" in plan_update_words._hard(one, "metric", 2)
    assert "taken for right roughly 3 in 10" in plan_update_words._hard(replace(one, rough=True), "metric", 2)
