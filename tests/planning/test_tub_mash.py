"""A mash that can be asked: what drives it, what judges it, and whether it finds a known fault."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from caskward.errors import NothingToConvert
from caskward.planning.intent import BillItem, Intent
from caskward.planning.readings import Reading, reading_of
from caskward.planning.sizing import size
from caskward.planning.tub.ask import ask
from caskward.planning.tub.explain import Weighed, weigh, worth_of_checks
from caskward.planning.tub.mash_model import MashModel, mash_model
from caskward.planning.tub.mend import mends
from caskward.planning.tub.schedule import off_as_logged
from caskward.planning.tub.trials import likely_world, mash_rows, run_sound, run_trials
from tests.support.batches import CATALOGUE, intent_of

EACH = 256


def bill(*shares: tuple[str, float]) -> tuple[BillItem, ...]:
    return tuple(BillItem(CATALOGUE.material(name), share) for name, share in shares)


def roomy(**changes: object) -> Intent:
    plan = intent_of()
    gear = replace(plan.gear, tub=replace(plan.gear.tub, volume_l=1500.0))
    return intent_of(gear=gear, worlds=256, **changes)


@cache
def mash(kind: str) -> MashModel:
    """Three ways to convert: malt and enzymes, enzymes on raw grain, malt alone."""
    intents = {
        "both": roomy(),
        "enzymes": roomy(bill=bill(("rye", 0.6), ("oats", 0.4))),
        "malt": roomy(bill=bill(("barley malt", 1.0)), enzymes=()),
    }
    return mash_model(intents[kind], size(intents[kind], within=0.1).method)


def asked(kind: str, *readings: Reading) -> Weighed:
    return weigh(mash(kind), readings, max(r.at_h for r in readings), 1, EACH)


def lead(weighed: Weighed) -> str:
    return weighed.model.causes[weighed.order[0]].key


def at_end(kind: str, **read: float) -> tuple[Reading, ...]:
    """Readings when the first hold is over, in words of their quantities."""
    end_h = mash(kind).schedule.rests[0].to_h
    return tuple(reading_of("mash", quantity, value, end_h) for quantity, value in read.items())


@pytest.mark.parametrize("kind", ["both", "enzymes", "malt"])
def test_a_sound_mash_is_clear_at_the_end_of_its_holds(kind: str) -> None:
    """What labels and malt promise, the plan expects: 8 in 10 and more of the drops are clear."""
    model = mash(kind)
    end_h = model.schedule.end_h
    followed = model.follow(likely_world(model), (), end_h)
    assert followed.expected("starch", 0.0)[0] > 0.9
    assert followed.expected("starch", end_h)[0] < 0.2


def test_a_cold_mash_is_found_by_its_thermometer() -> None:
    planned_c = float(mash("enzymes").schedule.temp_c(np.array([1.0]))[0])
    assert lead(asked("enzymes", *at_end("enzymes", starch=1.0, temperature=planned_c - 12.0))) == "cold"
    assert lead(asked("enzymes", *at_end("enzymes", starch=1.0, temperature=planned_c + 9.0))) == "hot"


def test_a_mash_as_planned_that_stays_blue_is_not_cold() -> None:
    model = mash("enzymes")
    at_h = model.schedule.rests[0].to_h
    planned = {
        "temperature": float(model.schedule.temp_c(np.array([at_h]))[0]),
        "ph": float(model.schedule.ph(np.array([at_h - 0.01]))[0]),
    }
    weighed = asked("enzymes", *at_end("enzymes", starch=1.0, **planned))
    by_key = dict(zip((c.key for c in model.causes), weighed.chance, strict=True))
    assert by_key["cold"] < 0.01
    assert by_key["alkaline"] < 0.01


def test_a_window_ten_degrees_higher_looks_like_a_slow_mash_until_the_label_is_read() -> None:
    """Its true window lies above the one entered: warmth, pH and time are all as they should be."""
    model = mash("enzymes")
    thinner = next(e.name for e in model.intent.enzymes if e.does == "thin")
    at_h = model.schedule.rests[0].to_h
    planned = {
        "temperature": float(model.schedule.temp_c(np.array([at_h]))[0]),
        "ph": float(model.schedule.ph(np.array([at_h - 0.01]))[0]),
    }
    before = asked("enzymes", *at_end("enzymes", starch=1.0, **planned))
    assert before.chance[[c.key for c in model.causes].index(f"window/{thinner}")] > 0.03
    after = asked("enzymes", *at_end("enzymes", starch=1.0, label_thin=0.0, jar_warmer=0.0, **planned))
    assert lead(after) == f"window/{thinner}"
    mend = mends(after, after.order[0])[0]
    assert mend.way == "warm"
    assert mend.to_c is not None
    assert 5.0 <= mend.to_c - planned["temperature"] <= 16.0
    assert mend.hold_h is not None


def test_ph_out_is_found_and_brought_into_every_window() -> None:
    weighed = asked("enzymes", *at_end("enzymes", starch=1.0, ph=7.1))
    assert lead(weighed) == "alkaline"
    mend = mends(weighed, weighed.order[0])[0]
    assert mend.way == "sour"
    labels = [e for e in mash("enzymes").intent.enzymes if e.does == "thin"]
    assert mend.ph == labels[0].window_ph


def test_low_gravity_is_told_apart_by_a_dip_of_the_tub() -> None:
    """A quarter more water shows in the volume; less starch does not."""
    model = mash("both")
    end_h = model.schedule.end_h
    world = likely_world(model) | {"mash.water": np.array([1.22])}
    thin = model.follow(world, (), end_h)
    read = [reading_of("mash", q, float(thin.expected(q, end_h)[0]), end_h) for q in ("gravity", "volume")]
    assert lead(weigh(model, read, end_h, 1, EACH)) == "more water"


def test_a_reading_that_no_cause_explains_is_said_to_be_hard_to_believe() -> None:
    weighed = asked("both", reading_of("mash", "gravity", 1.19, 3.0, "mash 3 h: 1.190"))
    doubted = ask(weighed, mends).doubted
    assert [d.reading.quantity for d in doubted] == ["gravity"]


def test_the_answer_is_whole_and_the_same_each_time() -> None:
    readings = at_end("both", starch=1.0, temperature=66.0)
    first, again = (ask(asked("both", *readings), mends) for _ in range(2))
    assert first == again
    told = sum(cause.chance for cause in first.causes)
    assert told + first.others_chance == pytest.approx(1.0)
    assert all(cause.mends for cause in first.causes)


def test_a_check_never_lowers_the_chance_it_is_expected_to_leave() -> None:
    """Value of information is never below nothing: Jensen's inequality, from memory."""
    for worth in worth_of_checks(asked("both", *at_end("both", starch=1.0))):
        assert worth.after >= worth.now - 1e-9
        assert sum(chance for _, chance, _ in worth.leads) == pytest.approx(1.0)


def test_more_lively_products_are_never_slower_to_clear() -> None:
    model = mash("enzymes")
    at_h = model.schedule.rests[0].to_h
    thinner = next(e.name for e in model.intent.enzymes if e.does == "thin")
    blue = [
        float(
            model.follow(
                likely_world(model) | {f"enzyme.{thinner}.lively": np.array([lively])}, (), at_h
            ).expected("starch", at_h)[0]
        )
        for lively in (0.1, 0.5, 1.0, 2.0)
    ]
    assert blue == sorted(blue, reverse=True)
    assert blue[0] > 0.9 > blue[-1]


def test_a_bill_without_starch_has_no_mash_to_ask() -> None:
    plan = intent_of("pears")
    with pytest.raises(NothingToConvert):
        mash_model(plan, size(replace(plan, worlds=256), within=0.1).method)


def test_it_finds_most_of_a_few_known_faults() -> None:
    """A small run of `bench/tub_causes.py`, whose 500 trials stand in docs/reference/tub_causes.md."""
    found = run_trials(mash("malt"), mash_rows(mash("malt").schedule.end_h), 24, seed=3, each=EACH)
    assert found.share(0) >= 0.7
    assert found.share(1) >= 0.85
    assert found.share(1) >= found.share(0)


def test_a_sound_mash_seldom_raises_an_alarm() -> None:
    """Read with the usual errors: most are as planned, and few are given a cause at even odds."""
    for kind in ("both", "enzymes", "malt"):
        alarms = run_sound(mash(kind), mash_rows(mash(kind).schedule.end_h), 24, seed=5, each=EACH)
        assert alarms.as_planned >= 15
        assert alarms.accused <= 4


def test_a_mash_read_as_planned_is_said_to_be_so() -> None:
    model = mash("malt")
    now = np.array([0.5])
    planned = {
        "temperature": float(model.schedule.temp_c(now)[0]),
        "ph": float(model.schedule.ph(now)[0]),
        "gravity": float(model.follow(likely_world(model), (), 0.5).expected("gravity", 0.5)[0]),
    }
    readings = tuple(reading_of("mash", q, v, 0.5) for q, v in planned.items())
    said = ask(weigh(model, readings, 0.5, 1, EACH), mends)
    assert said.as_planned
    assert said.causes[0].key == "time"
    off = (*readings[1:], reading_of("mash", "temperature", planned["temperature"] - 9.0, 0.5))
    assert not ask(weigh(model, off, 0.5, 1, EACH), mends).as_planned


def test_a_mash_kept_warm_longer_than_planned_is_not_too_hot() -> None:
    """A tub kept at its rest's warmth, hours after the plan let it cool, was never hotter than that."""
    model = mash("both")
    late = reading_of("mash", "temperature", model.schedule.rests[-1].temp_c, 30.0)
    assert model.steered_as_planned([late])
    by = model.schedule
    hours = by.grid(0.25, 30.0)
    off = off_as_logged(np.array([30.0]), np.array([late.value]), by.temp_c, by.allowed_c, hours)
    kept_c = by.temp_c(hours) + off
    assert kept_c[-1] == pytest.approx(late.value)
    assert float(np.max(kept_c)) <= by.starts_c + 1.0


def test_readings_that_contradict_each_other_are_not_explained_by_one_cause() -> None:
    """Low gravity and starch, yet nothing raw, nothing cold, the label right and sugar as low: two faults."""
    model = mash("both")
    early, late = 0.75, 1.5
    rows = (
        *(("starch", 1.0, early), ("temperature", 65.0, early), ("gravity", 1.02, early), ("ph", 5.6, early)),
        *(("starch", 1.0, late), ("temperature", 65.0, late), ("gravity", 1.035, late), ("ph", 5.5, late)),
        *(("grits", 0.0, late), ("second_thermometer", 65.0, late), ("gravity_checked", 1.035, late)),
    )
    said = ask(weigh(model, [reading_of("mash", q, v, h) for q, v, h in rows], late, 1, EACH), mends)
    assert said.unexplained


@pytest.mark.parametrize(
    ("quantity", "off", "key"), [("temperature", -9.0, "false cold"), ("ph", 1.2, "ph too high")]
)
def test_an_instrument_that_misleads_is_told_from_a_mash_that_is_off(
    quantity: str, off: float, key: str
) -> None:
    model = mash("enzymes")
    at_h, planned = 0.2, model.schedule.temp_c if quantity == "temperature" else model.schedule.ph
    true = float(planned(np.array([at_h]))[0])
    logged = reading_of("mash", quantity, true + off, at_h)
    second = "second_thermometer" if quantity == "temperature" else "ph_checked"
    keys = [c.key for c in model.causes]
    before = weigh(model, [logged], at_h, 1, EACH)
    assert 0.03 < before.chance[keys.index(key)] < 0.6
    assert lead(weigh(model, [logged, reading_of("mash", second, true, at_h)], at_h, 1, EACH)) == key


def test_amounts_are_full_doses_of_one_tub() -> None:
    model = mash("enzymes")
    for label in model.intent.enzymes:
        amount, unit = model.full_doses[label.name]
        assert amount > 0.0
        assert unit in ("mL", "g")
