"""A ferment that stands, read often, and one read as the yeast goes in: update and next say the same."""

from __future__ import annotations

import json
import re
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from caskward.cli import plan_remedy
from caskward.cli.layout import table
from caskward.cli.terminal import Terminal
from caskward.errors import NothingToRead, NotOffered
from caskward.planning.intent import SpiritStock
from caskward.planning.late import TopUp
from caskward.planning.late_moves import topped_up
from caskward.planning.plan import Band
from caskward.planning.remedy_prices import cost_of
from caskward.planning.remedy_trials import base_chain
from caskward.planning.remedy_weights import takes_of
from caskward.planning.sizing import Sized, size
from caskward.services import (
    plan_doubt,
    plan_doubt_words,
    plan_ferment_words,
    plan_remedy_words,
    plan_update_words,
    still_run,
)
from caskward.services.plan_doubt import Next, Possible, Share, Why
from caskward.services.plan_ferment import StandsStill, standing
from caskward.services.plan_figures import Figure, outcome
from caskward.services.plan_judged import Taken
from caskward.services.plan_remedy import Offer, RemedyReport, remedy_of, row_of
from caskward.services.plan_update import PlanUpdate, Told, report, rows_of, told_of
from caskward.services.plans import intent_text, starting_point
from caskward.units.types import UnitSystem

NEXT_TO_NOTHING = "mashed: rye 1 kg, malt 0.6 kg, oats 0.4 kg, 375 L water"
STOOD = ("ferment 3 d: 1.030", "ferment 5 d: 1.030", "ferment 9 d: 1.030")


@cache
def _sized(name: str) -> Sized:
    return size(intent_text(f"worlds = 512\n{starting_point(name)}"))


@cache
def _told(*typed: str, name: str = "rye") -> Told:
    return told_of(_sized(name), rows_of((), typed))


@cache
def _updated(*typed: str, name: str = "rye") -> PlanUpdate:
    return report(_told(*typed, name=name))


def _next(*typed: str) -> Next:
    return plan_doubt.next_of(_told(*typed), outcome("fill"))


def test_a_must_is_read_as_the_yeast_goes_in() -> None:
    """The higher the gravity at the pitch, the stronger the wash: of grain and of fruit."""
    for name, low, high in (("rye", "1.058", "1.066"), ("pears", "1.050", "1.058")):
        weak, strong = (
            next(f for f in _updated(f"ferment 0 d: {sg}", name=name).figures if f.name == "wash strength")
            for sg in (low, high)
        )
        assert strong.now.mid > weak.now.mid + 0.3


def test_a_fruit_maker_who_reads_a_mash_is_told_how_to_write_it() -> None:
    with pytest.raises(NothingToRead, match=re.escape('"ferment 0 d: 1.055, 21 C"')):
        _told("mash 3 h: 1.055, 21 C", name="pears")
    with pytest.raises(NothingToRead, match="Leave that reading out"):
        _told("mash 3 h: 61 C", name="pears")


@pytest.mark.parametrize("fewer", [STOOD[1:], (STOOD[0], STOOD[2])])
def test_a_third_reading_alike_does_not_weaken_a_standstill(fewer: tuple[str, ...]) -> None:
    two, three = _updated(*fewer).ferment, _updated(*STOOD).ferment
    assert two is not None
    assert three is not None
    assert two.stands is not None
    assert three.stands is not None
    assert three.stands.seen_still
    assert three.stands.chance >= two.stands.chance - 0.02
    assert three.not_dry_now >= two.not_dry_now - 0.02
    assert three.not_dry_now > 0.9
    assert plan_update_words.figure_rows(_updated(*STOOD), "metric")[1][2].startswith("not dry: ")


def test_next_expects_of_a_stuck_ferment_what_update_says() -> None:
    wash = next(f for f in _updated(*STOOD).figures if f.name == "wash strength").now
    shown = next(p for p in _next(*STOOD).readings if (p.stage, p.quantity) == ("wash", "strength")).expects
    assert (shown.low, shown.mid, shown.high) == pytest.approx((wash.low, wash.mid, wash.high), abs=0.05)


def test_next_and_remedy_say_first_that_the_ferment_stands() -> None:
    for stands in (_next(*STOOD).stands, remedy_of(_told(*STOOD)).stands):
        (said,) = plan_ferment_words.first_put_right(stands, "my rye.toml")
        assert "stands still at 1.030" in said
        asked = " ".join(('"my rye.toml"', *(f'--reading "{row}"' for row in STOOD)))
        assert f"Put that right first: caskward tub ask {asked} says how." in said
    assert plan_ferment_words.first_put_right(_next("ferment 5 d: 1.000").stands) == []
    assert plan_ferment_words.first_put_right(_next("wash: 8.4 %").stands) == []


def test_the_question_about_its_tub_has_every_row_of_the_ferment() -> None:
    """How far it had come before it stood tells its causes apart."""
    rows = ("ferment 1 d: 1.045, 24 C", "ferment 3 d: 1.030", "ferment 5 d: 1.030, 20 C")
    stands = standing(_told(*rows).read)
    assert stands is not None
    asked = plan_ferment_words.tub_ask(stands)
    assert [asked.count(f'--reading "{row}"') for row in rows] == [1, 1, 1]


@pytest.mark.parametrize(
    ("typed", "at_h"), [(STOOD[:2], 144.0), (("ferment 3 d: 1.022", "ferment 5 d: 1.012"), 144.0)]
)
def test_a_ferment_that_is_not_dry_is_read_a_day_on_and_not_stilled(
    typed: tuple[str, ...], at_h: float
) -> None:
    """Its days are over, and it stands or goes on slowly: its gravity comes first, the wash later."""
    found = _next(*typed)
    now = [p for p in found.readings if p.now]
    assert {(p.stage, p.at_h) for p in now} == {("ferment", at_h)}
    assert (now[0].quantity, now[0].telling) == ("gravity", True)
    said = plan_doubt_words.next_headline(found, "metric")
    assert said.startswith("Read next: gravity of the ferment at 6 d.")
    assert "wash" not in said
    assert plan_doubt_words.next_rows(found, "metric")[1][0] == "Gravity of the ferment at 6 d"


def test_a_ferment_that_is_dry_early_is_over() -> None:
    found = _next("ferment 3 d: 0.999")
    assert "wash" in {p.stage for p in found.readings if p.now}
    assert not any(p.telling for p in found.readings)


def test_a_standstill_that_is_not_likely_is_said_and_nothing_is_built_on_it() -> None:
    """Three in ten: no causes and no mends yet, the gravity a day on, and the verdict below it."""
    slow = ("ferment 2 d: 1.030", "ferment 3 d: 1.025")
    found = _remedies(*slow)
    assert found.stands is not None
    assert 0.1 <= found.stands.chance < 0.5
    assert found.tub is None
    (said,) = plan_ferment_words.first_put_right(found.stands)
    assert "may stand still at 1.025" in said
    assert "Read its gravity once more, a day on" in said
    assert "Put that right first" not in said
    assert "Put the ferment right first" not in plan_remedy_words.headline(found, "metric")
    (said,) = plan_ferment_words.standing_sentences(_updated(*slow).ferment.stands)  # type: ignore[union-attr]
    assert "may stand still at 1.025" in said
    assert _remedies("ferment 5 d: 1.000").stands is None


def test_a_last_row_of_the_ferment_that_may_be_wrong_is_said_above_the_verdict() -> None:
    risen = _remedies("ferment 2 d: 1.010", "ferment 4 d: 1.030")
    (said,) = plan_ferment_words.last_row_doubted(risen.doubted)
    assert said.startswith("The last row of the ferment, 'ferment 4 d: 1.030', may be wrong")
    assert plan_ferment_words.last_row_doubted(_remedies("ferment 5 d: 1.000").doubted) == []


def test_what_tells_the_causes_apart_comes_before_what_puts_them_right() -> None:
    found = _remedies(*STOOD)
    shown = plan_remedy.as_text(found, "metric", Terminal(80, colour=False))
    check = plan_remedy_words.mend_check(found, "metric")
    assert check
    first = shown.index("First tell what it is")
    assert first < shown.index(check.split()[0], first) < shown.index("What puts the ferment right")


def test_readings_that_moved_the_fill_far_are_not_said_to_say_little() -> None:
    said = plan_update_words.width_sentence(_updated(*STOOD), "metric")
    assert "say little" not in said
    still = replace(
        _updated(*STOOD), fill_now=_updated(*STOOD).fill_before, chance_now=0.8, chance_before=0.8
    )
    assert "say little" in plan_update_words.width_sentence(still, "metric")
    moved = replace(still, fill_now=Band(3.0, 3.0, 15.0), fill_before=Band(22.0, 28.0, 34.0))
    assert "expect 25.0 L less now" in plan_update_words.width_sentence(moved, "metric")
    surer = replace(still, chance_now=0.5)
    assert "say little" not in plan_update_words.width_sentence(surer, "metric")


def test_two_that_contradict_are_said_to_count_both() -> None:
    apart = _updated("wash: 8 %", "wash: 9 %")
    assert len(apart.contradictions) == 1
    (said,) = plan_update_words.doubted_sentences(apart, "metric")
    assert "Both count" in said
    assert "times narrower" not in plan_update_words.width_sentence(apart, "metric")


@pytest.mark.parametrize("row", ["wash: over 8 %, under 7 %", "wash: under 7 %, over 8 %"])
def test_over_more_than_under_is_a_contradiction(row: str) -> None:
    found = _updated(row)
    (pair,) = found.contradictions
    assert {pair.first.bound, pair.second.bound} == {"over", "under"}
    (said,) = plan_update_words.doubted_sentences(found, "metric")
    assert "strength over 8.0 %vol" in said
    assert _updated("wash: over 8 %, under 9 %").contradictions == ()


@pytest.mark.parametrize(
    "typed",
    [
        ("wash: 8 %", "sugar: 4 kg"),
        ("heart end: 58 %", "wash: 8.5 %"),
        ("cask: 24 L", "rinse: 2 x 34 L"),
        ("entry strength: 58 %", "run 12 L: 71 %"),
        ("ferment 2 d: 1.020", "hold: 1 h"),
    ],
)
def test_a_row_of_something_done_in_an_impossible_order_is_said(typed: tuple[str, str]) -> None:
    first, second = typed
    said = f"{second!r} came after {first!r} but is earlier: taken in its place."
    assert said in rows_of((), typed).notes
    assert said in rows_of((first,), (second,)).notes
    assert rows_of((), (second, first)).notes == ()


def test_a_move_that_is_asked_for_and_not_offered_says_which_of_two_reasons() -> None:
    with pytest.raises(NotOffered, match="'hold' is not open: the yeast is in"):
        remedy_of(_told(*STOOD), take="hold")
    assert str(NotOffered("hold", ())).startswith("The move 'hold' is open, but does not raise the chance.")


def test_a_move_that_takes_more_than_a_whole_batch_is_written() -> None:
    """What is taken is a sum of shares: of a stuck ferment a long way to a full cask takes more than one."""
    found = remedy_of(_told(*STOOD))
    dear = replace(found, offers=(replace(found.offers[0], takes_together=1.194, helps=True),))
    assert plan_remedy_words.offer_rows(dear, "metric")[-1][-1] == "119 %"


def test_a_standstill_is_said_as_surely_as_it_is_believed() -> None:
    """Sure, the figures take it as it stands; likely, they weigh both, and nothing else is claimed."""
    sure, likely = (
        StandsStill(
            gravity=1.030,
            since_h=48.0,
            last_h=144.0,
            seen_still=True,
            chance=chance,
            said="ferment 6 d: 1.030",
            rows=("ferment 2 d: 1.030",),
        )
        for chance in (0.97, 0.6)
    )
    (told,) = plan_ferment_words.standing_sentences(sure)
    assert "The ferment stands still" in told
    assert "takes it as it stands" in told
    (told,) = plan_ferment_words.standing_sentences(likely)
    assert "seems to stand still" in told
    assert "weighs both: 6 in 10 that it stands" in told
    assert "as it stands." not in told


def test_rows_that_show_a_standstill_are_not_hard_to_believe_too() -> None:
    """Where it is said to stand, no row that shows it is called in doubt; where it is not, one is."""
    found = _updated(*STOOD)
    assert found.ferment is not None
    assert found.ferment.stands is not None
    assert found.ferment.stands.rows == STOOD
    one = replace(found.readings[0], hard=True)
    doubtful = replace(found, readings=(one, *found.readings[1:]))
    assert plan_update_words.doubted_sentences(doubtful, "metric") == []
    moving = replace(doubtful, ferment=replace(found.ferment, stands=None))
    assert len(plan_update_words.doubted_sentences(moving, "metric")) == 1


@pytest.mark.parametrize(
    "typed", [STOOD, STOOD[:2], ("ferment 6 d: 1.030",), ("wash: 5 %",), ("mash 3 h: 1.050",)]
)
def test_what_is_believed_afterwards_is_not_hard_to_believe(typed: tuple[str, ...]) -> None:
    for one in _updated(*typed).readings:
        assert one.agrees is not None
        assert not (one.hard and one.unforeseen)
        assert not one.hard or one.agrees < 0.5
        assert not one.unforeseen or one.agrees >= 0.5


def test_a_batch_without_a_heart_says_so_and_shows_no_strength_of_it() -> None:
    found = _updated(NEXT_TO_NOTHING)
    rows = {row[0]: row[2] for row in plan_update_words.figure_rows(found, "metric")}
    assert rows["Heart, all runs"] == "0 L"
    assert rows["Strength of the heart"] == "no heart"
    assert rows["Strength the cask settles at"] == "no spirit"
    made = next(f for f in _updated("wash: 8.4 %").figures if f.name == "heart strength")
    assert made.none_now == 0.0


def test_a_fruit_that_ends_high_says_where_a_dry_one_ends() -> None:
    """Sugars that no yeast takes: perry pears hold more of them than grain, so a dry one reads higher."""
    pears = _updated("ferment 8 d: 1.010", name="pears").ferment
    rye = _updated("ferment 5 d: 0.999").ferment
    for one in (pears, rye):
        assert one is not None
        assert one.ends_now_sg is not None
    assert pears.ends_now_sg.mid > rye.ends_now_sg.mid + 0.003
    assert plan_update_words.figure_rows(_updated("ferment 8 d: 1.010", name="pears"), "metric")[2][0] == (
        "Gravity of a dry one"
    )


@cache
def _remedies(*typed: str) -> RemedyReport:
    return remedy_of(_told(*typed))


def test_what_puts_a_ferment_right_comes_before_every_move_and_has_no_price() -> None:
    found = _remedies(*STOOD)
    assert found.tub is not None
    told = plan_remedy_words.mend_rows(found, "metric")
    assert len(told) == len([c for c in found.tub.answer.causes if c.mends])
    likeliest = found.tub.answer.causes[0]
    assert told[0].startswith(f"If {likeliest.words} (")
    assert all(one.endswith("Not priced.") for one in told)
    said = plan_remedy_words.headline(found, "metric")
    assert "Put the ferment right first" in said
    assert "smaller cask" not in said
    assert _remedies("mash 3 h: 1.050").tub is None


def test_each_move_says_what_it_gives_up_and_how_it_is_done_safely() -> None:
    found = remedy_of(_told("mash 3 h: 1.050"), spirits=(SpiritStock("feints", 8.0, 28.0),))
    told = {one.key: plan_remedy_words.told(one, found, "metric") for one in found.offers}
    assert "gives up the strength that your file asks for" in told["entry strength"]
    assert "gives up the cask that your file asks for" in told["smaller cask"]
    assert "it foams over" in told["sugar"]
    assert "hotter" in told["sugar"]
    assert "Two lots become one" in told["top-up"]
    assert "flame" in told["feints"]
    assert "within a day" in told["rinse"]
    assert "gives up" not in told["heart end"]
    assert "Price not given: cane sugar." in told["sugar"]
    rows = {row[0]: row[3] for row in plan_remedy_words.offer_rows(found, "metric")[1:]}
    assert rows["sugar"].endswith(" + sugar")
    for system in get_args(UnitSystem):
        lines = table(plan_remedy_words.offer_rows(found, system), "lrrrr", 80)
        assert max(map(len, lines)) <= 80


def test_rows_for_the_log_are_in_the_units_asked_for_and_read_back_the_same() -> None:
    found = remedy_of(_told("mash 3 h: 1.050"), spirits=(SpiritStock("feints", 8.0, 28.0),))
    for one in found.offers:
        metric, us = row_of(one, "metric"), row_of(one, "us")
        assert one.row == metric
        assert not re.search(r"\d (L|kg)\b", us)
        (read,), (read_us,) = (rows_of((), (row,)).done for row in (metric, us))
        assert read_us.amount == pytest.approx(read.amount, rel=2e-3)
        assert (read_us.key, read_us.times) == (read.key, read.times)
        for_us = plan_remedy_words.told(one, found, "us")
        assert f'"{us}"' in for_us
        assert not re.search(r"\d (L|kg|mL)\b", for_us)
        assert "fl oz" not in for_us


def test_a_tub_with_next_to_nothing_in_it_is_not_made_syrup() -> None:
    """Sugar stops at what yeast is set to, however much room a tub has."""
    assert "sugar" in _remedies(NEXT_TO_NOTHING).in_vain


def test_spirit_beside_a_batch_that_has_none_is_held_against_a_full_cask() -> None:
    """By hand: half of a full cask's alcohol poured in is half a batch."""
    base = base_chain(_told(NEXT_TO_NOTHING).now)
    method = base.method
    half = TopUp(0.5 * method.fill_l, method.entry_pct_vol)
    then = base.changed("filled", *topped_up(base.intent, method, half))
    assert float(np.median(base.filled.reduced.lpa)) == 0.0
    assert takes_of(base, then, cost_of(base, then)).spirit == pytest.approx(0.5)


def test_a_doubted_row_is_offered_to_be_read_again_and_first() -> None:
    found = _next("heart: 22 L, 70 %", "heart: 28 L, 70 %")
    first = found.readings[0]
    assert (first.stage, first.quantity, first.now) == ("heart", "volume", True)
    assert first.again in {"heart: 22 L, 70 %", "heart: 28 L, 70 %"}
    said = plan_doubt_words.next_headline(found, "metric")
    assert said.startswith(f"Read again, for {first.again!r} may be wrong: volume of the heart.")
    sound = _next("heart: 25 L, 70 %")
    assert not any(one.again for one in sound.readings)
    assert all(one.stage == "cask" for one in sound.readings)


def test_what_rests_on_a_row_that_may_be_wrong_says_so() -> None:
    """Whoever asks whose the doubt is, or what can be done, sees that a row of it may be misread."""
    misread, sound = _told("mash 3 h: 1.160"), _told("mash 3 h: 1.060")
    for found in (plan_doubt.why_of(misread, outcome("fill")), remedy_of(misread)):
        assert [note for note in found.notes if note.startswith("'mash 3 h: 1.160' may be wrong")]
    for found in (plan_doubt.why_of(sound, outcome("fill")), remedy_of(sound)):
        assert not [note for note in found.notes if "may be wrong" in note]


def test_a_doubted_row_that_says_little_is_offered_all_the_same() -> None:
    """A cask of 20 L after a heart that makes 28 L of it: little doubt, and yet one of them is wrong."""
    found = _next("heart: 25.5 L, 69.5 %", "cask: 20 L")
    assert found.readings[0].again == "cask: 20 L"
    assert "volume of the cask" in plan_doubt_words.next_headline(found, "metric")
    assert plan_doubt_words.next_rows(found, "metric")[1][0] == "Volume of the cask"


def test_feints_written_below_the_charge_are_said_to_be_taken_before_it() -> None:
    """What was read of a charge is read with all that is in it."""
    typed = ("charge: 115 L, 26 %", "feints: 8 L, 28 %")
    assert (
        f"{typed[1]!r} came after {typed[0]!r} but is earlier: taken in its place."
        in rows_of((), typed).notes
    )
    assert rows_of((), typed[::-1]).notes == ()


@pytest.mark.parametrize("typed", [STOOD, (NEXT_TO_NOTHING,), ("heart: 25.5 L, 69.5 %", "cask: 20 L")])
def test_every_answer_is_whole_json_without_what_is_no_number(typed: tuple[str, ...]) -> None:
    of_why = plan_doubt.why_of(_told(*typed), outcome("fill"))
    for answer in (_updated(*typed), _next(*typed), of_why, _remedies(*typed)):
        text = still_run.as_json(answer)
        assert "NaN" not in text
        assert "Infinity" not in text
        assert set(json.loads(text)) == {field.name for field in fields(answer)}


@pytest.mark.parametrize(
    ("question", "answer", "of_rows"),
    [
        ("plan update", PlanUpdate, (Figure, Taken)),
        ("plan next", Next, (Possible,)),
        ("plan why", Why, (Share,)),
        ("plan remedy", RemedyReport, (Offer,)),
    ],
)
def test_the_page_names_every_key_of_an_answer_and_no_other(
    question: str, answer: type, of_rows: tuple[type, ...]
) -> None:
    page = (Path(__file__).parents[2] / "docs" / "howto" / "moving-plan.md").read_text(encoding="utf-8")
    told = page.partition("## For another program")[2]
    named = set(re.findall(r"`(\w+)`", next(li for li in told.splitlines() if f"`{question}`" in li)))
    in_all = {"name", "place", "invented", "show", "notes", "worlds", "seed"}
    own = {field.name for field in fields(answer)}
    assert in_all <= own
    assert own - in_all <= named
    assert named <= own | {field.name for row in of_rows for field in fields(row)}


def test_of_a_run_under_way_only_what_is_still_to_come_over_is_read() -> None:
    found = _next("charge: 119 L, 26 %")
    spouts = sorted(one.at_l for one in found.readings if one.stage == "run" and one.at_l > 0.0)
    assert len(spouts) > 1
    later = plan_doubt.from_litres(found, "run", spouts[0])
    assert sorted(one.at_l for one in later.readings if one.stage == "run" and one.at_l > 0.0) == spouts[1:]
    assert any(one.now for one in later.readings), "what is nearest can be taken"
    assert plan_doubt.from_litres(found, "run", 0.0) == found
    assert plan_doubt.from_litres(found, "strip", 1e6) == found
