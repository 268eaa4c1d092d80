"""What a wish leads to: the first look near the whole answer, and ways out that are ways out."""

from __future__ import annotations

from itertools import islice

import pytest

from caskward.errors import InputError
from caskward.planning.plan import Plan
from caskward.services import plans, wish_answer, wish_form, wish_ways
from caskward.services.wish_answer import read_wish

TIGHT = (
    {"tub_volume": "200 L"},
    {"still_least": "40 L"},
    {"buy_more": "no"},
    {"capacity": "60 L", "show": "us"},
)


def text_of(name: str = "rye", **fields: str) -> str:
    return wish_form.text_with(f"worlds = 512\n{plans.starting_point(name)}", fields)


@pytest.mark.parametrize("name", plans.starting_points())
@pytest.mark.parametrize("sure", ["8 in 10", "5 in 10"])
def test_a_first_look_is_near_the_whole_answer(name: str, sure: str) -> None:
    wish = read_wish(text_of(name, sure=sure), {})
    first, whole = wish_answer.first_look(wish), wish_answer.in_full(wish)
    assert sum(kg for _, kg in first.bill_kg) == pytest.approx(sum(kg for _, kg in whole.bill_kg), rel=0.04)
    assert first.chance == pytest.approx(whole.chance, abs=0.05)
    assert bool(first.stopped) == bool(whole.stopped)


def test_the_whole_answer_is_the_plan_that_a_file_gives() -> None:
    text = text_of()
    assert wish_answer.in_full(read_wish(text, {})).whole == plans.plan_text(text)


@pytest.mark.parametrize("edit", TIGHT)
def test_a_way_out_planned_from_its_file_is_what_it_promised(edit: dict[str, str]) -> None:
    text = text_of(**edit)
    wish = read_wish(text, {})
    assert wish_answer.in_full(wish).stopped
    found = list(islice(wish_ways.ways(text, wish), 1))
    assert found
    for way in found:
        plan = plans.plan_text(way.file)
        assert isinstance(plan, Plan)
        assert plan.total_kg == pytest.approx(way.change.total_kg, rel=1e-3)


def test_ways_that_nobody_wants_any_more_are_not_looked_for() -> None:
    text = text_of(tub_volume="200 L")
    assert list(wish_ways.ways(text, read_wish(text, {}), lambda: False)) == []


def test_files_are_looked_for_among_those_given_and_never_on_the_disk(tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "gear.toml").write_text("secret = 1")
    text = f'learned = "gear.toml"\n{text_of()}'
    with pytest.raises(InputError) as refused:
        read_wish(text, {})
    assert "secret" not in str(refused.value)
