"""The boxes to write in: as many as the work needs, where a maker reads something."""

from __future__ import annotations

from dataclasses import replace

import pytest

from caskward.services import Band, Plan, StageCard, Target
from caskward.sheets.forms import Form, forms


def _card(plan: Plan, key: str) -> StageCard:
    return next(card for card in plan.stages if card.key == key)


def _heads(made: tuple[Form, ...]) -> str:
    return " | ".join(column.head for form in made for column in form.columns)


def _with_count(card: StageCard, key: str, count: float) -> StageCard:
    kept = tuple(target for target in card.targets if target.key != key)
    return replace(card, targets=(*kept, Target(key, key, "set", "count", Band(count, count, count))))


READ_AT = {
    "cook": ("°C", "time"),
    "convert": ("time", "°C", "pH", "starch test"),
    "pitch": ("gravity", "at °C"),
    "ferment": ("day",),
    "separate": ("L", "strength"),
    "strip": ("charge L", "charge %vol", "heat on", "heat off", "low wines L", "%vol", "at °C"),
    "charge": ("low wines L", "charge L", "%vol", "at °C"),
    "spirit": ("jar", "spout %vol", "L", "%vol", "at °C", "smell, taste", "heart"),
    "reduce": ("water kg", "%vol"),
    "fill": ("date", "L", "kg", "%vol", "at °C"),
}


@pytest.mark.parametrize("key", READ_AT)
def test_each_stage_has_boxes_for_what_is_read_there(rye: Plan, key: str) -> None:
    heads = _heads(forms(_card(rye, key), "metric"))
    for head in READ_AT[key]:
        assert head in heads


@pytest.mark.parametrize("key", READ_AT)
def test_a_us_maker_writes_in_us_units(rye: Plan, key: str) -> None:
    made = forms(_card(rye, key), "us")
    written = " ".join([_heads(made), *(row for form in made for row in form.rows)])
    assert "°C" not in written
    assert " L" not in written
    assert "kg" not in written


@pytest.mark.parametrize(("key", "count_key"), [("cook", "cooks"), ("strip", "runs")])
@pytest.mark.parametrize("count", [1, 4, 10])
def test_a_row_for_each_cook_and_strip(rye: Plan, key: str, count_key: str, count: int) -> None:
    (form,) = forms(_with_count(_card(rye, key), count_key, count), "metric")
    assert form.rows == tuple(str(n) for n in range(1, count + 1))
    assert form.title == ""


def test_a_count_in_doubt_gets_rows_for_the_high_end(rye: Plan) -> None:
    card = _card(rye, "strip")
    runs = Target("runs", "strips", "forecast", "count", Band(3.0, 4.0, 6.0))
    (form,) = forms(replace(card, targets=(runs,)), "metric")
    assert len(form.rows) == 6


def test_what_does_not_fit_is_said(rye: Plan) -> None:
    (form,) = forms(_with_count(_card(rye, "strip"), "runs", 14), "metric")
    assert form.title == "Strips 11 to 14 on the back"
    assert len(form.rows) == 10


@pytest.mark.parametrize(
    ("jars", "rows", "title"), [(5, 7, ""), (26, 28, ""), (32, 32, ""), (40, 32, "33 to 40")]
)
def test_a_row_for_each_jar_and_some_to_spare(rye: Plan, jars: int, rows: int, title: str) -> None:
    _, form = forms(_with_count(_card(rye, "spirit"), "jars", jars), "metric")
    assert len(form.rows) == rows
    assert title in form.title


def test_more_spirit_runs_than_one_are_named_on_the_page(rye: Plan) -> None:
    card = _card(rye, "spirit")
    assert "run, of 2" in _heads(forms(_with_count(card, "runs", 2), "metric"))
    assert "run" not in _heads(forms(_with_count(card, "runs", 1), "metric"))


def test_each_ferment_is_followed_to_its_last_day(rye: Plan) -> None:
    card = _card(rye, "ferment")
    for longest_d in (2.0, 6.0, 9.0, 10.0, 21.0, 60.0):
        days = Target("days", "dry after", "forecast", "d", Band(1.0, 1.5, longest_d))
        (form,) = forms(replace(card, targets=(days,)), "metric", ferments=3)
        assert int(form.columns[-1].head) >= longest_d
        assert form.columns[1].head == "0"
        assert form.rows == ("1: gravity", "1: °C", "2: gravity", "2: °C", "3: gravity", "3: °C")


def test_two_ferments_are_pitched_and_followed_apart() -> None:
    from tests.sheets.conftest import plan_of, text_of

    text = text_of(plan_of("wheat-panela"))
    assert "1: gravity" in text
    assert "2: gravity" in text


def test_enzymes_are_timed_by_their_own_names(rye: Plan) -> None:
    (form,) = forms(_card(rye, "convert"), "metric")
    assert form.rows == ("Thinning enzyme in", "Sweetening enzyme in", "End of the rest")


def test_malt_alone_is_timed_too(rye: Plan) -> None:
    (form,) = forms(replace(_card(rye, "convert"), targets=()), "metric")
    assert form.rows == ("Malt in", "End of the rest")


def test_a_stage_of_a_new_name_still_has_boxes() -> None:
    (form,) = forms(StageCard("filter", "Filter", (), (), ()), "metric")
    assert form.is_line
    assert [column.head for column in form.columns] == ["time", "reading", "note"]
