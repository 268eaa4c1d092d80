"""Rows of things done in a batch: how they are typed, where they stand, and what they make of the plan."""

from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest

from caskward.catalogue.load import load
from caskward.errors import InputError, NotUnderstood
from caskward.errors.batch_done import (
    CaskReadOnBothSides,
    DoneCannotBe,
    DoneTwice,
    NothingOfTheKind,
    NotInTheBill,
)
from caskward.planning.as_done import as_done
from caskward.planning.remedies import not_open
from caskward.planning.sizing import Sized, size
from caskward.planning.update import begin
from caskward.services.batch_done import EXAMPLES, apart
from caskward.services.plan_learned import learned
from caskward.services.plan_update import report, rows_of, told_of, updated
from caskward.services.plans import intent_text, starting_point


@cache
def rye() -> Sized:
    return size(intent_text(f"worlds = 256\n{starting_point('rye')}"))


def made(*rows: str) -> Sized:
    return as_done(rye(), apart(rows)[1], load())


@pytest.mark.parametrize("key", EXAMPLES)
def test_every_example_is_understood_as_what_it_is_an_example_of(key: str) -> None:
    (one,) = apart([EXAMPLES[key]])[1]
    assert one.key == key
    assert one.said == EXAMPLES[key]
    assert made(EXAMPLES[key]) != rye()


def test_rows_done_are_told_from_readings_and_keep_their_place() -> None:
    rows = ("mashed: rye 60 kg", "wash: 8 %", "Rinsed: 2 x 30 L", "heart: 20 L, 70 %", "heart end: 58 %")
    read, done = apart(rows)
    assert read == ("wash: 8 %", "heart: 20 L, 70 %")
    assert [(d.key, d.after) for d in done] == [("mashed", None), ("rinse", "wash"), ("heart end", "heart")]
    assert (done[1].times, done[1].amount) == (2, 30.0)


@pytest.mark.parametrize(
    ("row", "kilograms", "litres"),
    [
        ("mashed: 60 kg rye, water 200 L", {"rye": 60.0}, 200.0),
        ("mashed: rye 60 kg; malt 29 kg", {"rye": 60.0, "malt": 29.0}, None),
        ("mashed: 60 kg of Rye, 400 L", {"rye": 60.0}, 400.0),
        ("mashed: 132.277 lb rye", {"rye": pytest.approx(60.0, abs=1e-3)}, None),
        ("mashed: 300 L water", {}, 300.0),
    ],
)
def test_what_was_mashed_is_read_either_way_round(
    row: str, kilograms: dict[str, float], litres: float | None
) -> None:
    (one,) = apart([row])[1]
    assert one.bill_kg == kilograms
    assert one.water_l == litres


@pytest.mark.parametrize(
    ("rows", "refusal", "said"),
    [
        (("sugar: lots",), InputError, "sugar"),
        (("sugar: 4 L",), InputError, "sugar"),
        (("sugar: 4",), NotUnderstood, "sugar: 4.5 kg"),
        (("top-up: 3 L",), NotUnderstood, "top-up: 2.6 L, 63 %"),
        (("rinse: 0 x 30 L",), NotUnderstood, "rinse: 2 x 34 L"),
        (("mashed: some rye",), NotUnderstood, "mashed: rye 28 kg"),
        (("mashed: rye 60",), NotUnderstood, "mashed: rye 28 kg"),
        (("sugar: 2 kg", "sugar: 3 kg"), DoneTwice, "both say what was done once"),
        (
            ("cask: 23 L", "top-up: 2 L, 63 %", "cask 9 d: 24 L"),
            CaskReadOnBothSides,
            "Leave out what was read",
        ),
        (("shugar: 2 kg",), InputError, "not a known stage of a batch"),
    ],
)
def test_what_cannot_be_used_is_said(rows: tuple[str, ...], refusal: type[Exception], said: str) -> None:
    with pytest.raises(refusal, match=said):
        apart(rows)


@pytest.mark.parametrize(
    ("row", "allowed"),
    [
        ("less full: 80 L", "up to 25.0 L"),
        ("smaller cask: 40 L", "up to 25.0 L"),
        ("heart end: 99 %", "from 20.0 %vol to 90.0 %vol"),
        ("entry strength: 20 %", "from 40.0 %vol to 96.0 %vol"),
        ("strip stop: 70 %", "from 0.1 %vol to 40.0 %vol"),
        ("mashed: rye 2000 kg", "five times this plan"),
        ("hold: 200 h", "up to 3 d"),
        ("top-up: 900 L, 63 %", "up to 25.0 L"),
        ("top-up: 2 L, 20 %", "from 63.0 %vol to 96.0 %vol"),
        ("rinse: 2 x 9000 L", "up to "),
        ("rinse: 40 x 3 L", "up to 6 times"),
        ("sugar: 9000 kg", "up to "),
        ("feints: 9000 L, 28 %", "up to "),
    ],
)
def test_a_slip_of_the_pen_is_refused_with_what_could_be(row: str, allowed: str) -> None:
    with pytest.raises(DoneCannotBe, match=re.escape(allowed)) as refused:
        made(row)
    assert row in str(refused.value)
    assert refused.value.exit_code == 2


def test_feints_of_two_strengths_are_two_rows() -> None:
    both = made("feints: 5 L, 28 %", "feints: 3 L, 35 %").method.spirits_in
    assert [(s.volume_l, s.pct_vol) for s in both[-2:]] == [(5.0, 28.0), (3.0, 35.0)]


def test_what_a_batch_does_not_have_cannot_have_been_changed() -> None:
    pears = size(intent_text(f"worlds = 256\n{starting_point('pears')}"))
    with pytest.raises(NothingOfTheKind, match="no starch to convert"):
        as_done(pears, apart(["hold: 1 h"])[1], load())
    on_grain = starting_point("rye").replace('straining = "press"', 'straining = "on-grain"')
    with pytest.raises(NothingOfTheKind, match="no spent solids"):
        as_done(size(intent_text(f"worlds = 256\n{on_grain}")), apart(["rinse: 2 x 20 L"])[1], load())
    with pytest.raises(NothingOfTheKind, match="dissolves whole"):
        as_done(_sugar_wash(), apart(["rinse: 2 x 4 L"])[1], load())


def _sugar_wash() -> Sized:
    """Nothing but sugar, drawn off what has settled."""
    wish = starting_point("pears").replace('material = "pear"', 'material = "cane-sugar"')
    wish = wish.replace('straining = "on-grain"', 'straining = "settle"')
    return size(intent_text(f"worlds = 256\n{wish}"))


def test_where_no_solids_are_left_none_are_rinsed() -> None:
    wash = _sugar_wash()
    shut = {one.key: one.why for one in not_open(begin(wash), load())}
    assert shut["rinse"] == "no solids"


def test_a_material_that_the_bill_does_not_have() -> None:
    with pytest.raises(NotInTheBill, match=r"'wheat' is not in this plan's bill \(rye, barley-malt, oats\)"):
        made("mashed: wheat 40 kg")
    assert made("mashed: malted barley 20 kg").method.bill_kg["barley-malt"] == 20.0


def mashed(part: float) -> str:
    """A row that says that this part of the plan was mashed."""
    kilograms = ", ".join(f"{key} {part * kg} kg" for key, kg in rye().method.bill_kg.items())
    return f"mashed: {kilograms}"


def test_what_was_mashed_takes_the_place_of_the_plan_with_vessels_of_its_own() -> None:
    plan, half = rye().method, made(mashed(0.5)).method
    assert half.bill_kg == pytest.approx({key: 0.5 * kg for key, kg in plan.bill_kg.items()})
    assert half.water_l == pytest.approx(plan.water_l / 2.0)
    assert half.counts.cooks < plan.counts.cooks
    assert half.counts.strips < plan.counts.strips
    assert made("mashed: rye 60 kg, 350 L water").method.water_l == 350.0
    some = made("mashed: rye 60 kg").method
    assert some.bill_kg == {**plan.bill_kg, "rye": 60.0}


def test_a_batch_half_as_large_is_judged_as_such() -> None:
    """Readings of half a batch are strange beside the plan, and as expected beside what was mashed."""
    rows = ("wash: 166 L, 8.8 %",)
    by_plan, as_mashed = (
        report(told_of(rye(), rows_of((), given))) for given in (rows, (mashed(0.5), *rows))
    )
    assert any(r.hard for r in by_plan.readings)
    assert not any(r.hard for r in as_mashed.readings)
    assert as_mashed.fill_now.mid == pytest.approx(0.5 * rye().course.available_l.mean(), rel=0.15)
    assert as_mashed.fill_before.mid == pytest.approx(float(np.median(rye().course.available_l)))
    assert any("Followed as done, in the place of the plan" in note for note in as_mashed.notes)


def test_what_was_mashed_alone_moves_the_forecast() -> None:
    source = f"worlds = 256\n{starting_point('rye')}"
    found = updated(source, rows_of((), ("mashed: rye 50 kg, malt 22 kg, oats 18 kg",)))
    assert found.chance_now < found.chance_before - 0.2
    assert found.readings == ()


def test_spirit_added_after_the_cask_was_read_does_not_change_what_that_reading_meant() -> None:
    read = told_of(rye(), rows_of((), ("cask: 22 L",)))
    topped = told_of(rye(), rows_of((), ("cask: 22 L", "top-up: 2 L, 63 %")))
    np.testing.assert_array_equal(topped.now.z, read.now.z)
    more_l = np.median(topped.now.course.available_l) - np.median(read.now.course.available_l)
    assert more_l == pytest.approx(2.0, abs=0.05)
    assert [r.hard for r in report(topped).readings] == [r.hard for r in report(read).readings]
    before = told_of(rye(), rows_of((), ("top-up: 2 L, 63 %", "cask: 22 L")))
    assert not np.array_equal(before.now.z, topped.now.z)


def test_learning_follows_what_was_done() -> None:
    """A batch of nine tenths of the kilograms that gives nine tenths teaches nothing that it did not do."""
    source = f"worlds = 256\n{starting_point('rye')}"
    course = rye().course
    volumes = [0.88 * float(np.median(of.volume_l)) for of in (course.wash, course.low_wines)]
    rows = (f"wash: {volumes[0]} L", f"strip: {volumes[1]} L")
    by_plan, as_mashed = (learned(source, rows_of((), given)) for given in (rows, (mashed(0.88), *rows)))
    strayed = [sum(abs(line.mean) for line in of.lines) for of in (by_plan, as_mashed)]
    assert strayed[1] < 0.5 * strayed[0]
