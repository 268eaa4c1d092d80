"""Readings taken into a plan, whose the doubt is and what to read next, as every face gets them."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from caskward.errors import (
    InputError,
    MoreThanThereIs,
    NoBatchReadings,
    NothingFollowed,
    NothingToRead,
    NotOffered,
    UnknownName,
)
from caskward.planning.plan import Band
from caskward.planning.sizing import Sized, size
from caskward.services import (
    batch_typed,
    plan_doubt,
    plan_doubt_words,
    plan_ferment_words,
    plan_remedy_words,
    plan_update_words,
    still_run,
)
from caskward.services.plan_doubt import Next, Why
from caskward.services.plan_figures import OUTCOMES, outcome
from caskward.services.plan_remedy import RemedyReport, remedy_of
from caskward.services.plan_update import PlanUpdate, Told, report, rows_asked, rows_of, told_of, updated
from caskward.services.plans import intent_text, starting_point
from caskward.units.types import UnitSystem

WORLDS = 512


@cache
def _sized(name: str) -> Sized:
    return size(intent_text(f"worlds = {WORLDS}\n{starting_point(name)}"))


@cache
def _told(*typed: str, name: str = "rye") -> Told:
    return told_of(_sized(name), rows_of((), typed))


def _updated(*typed: str, name: str = "rye") -> PlanUpdate:
    return report(_told(*typed, name=name))


def _why(*typed: str, of: str = "fill") -> Why:
    return plan_doubt.why_of(_told(*typed), outcome(of))


def _next(*typed: str, name: str = "rye") -> Next:
    return plan_doubt.next_of(_told(*typed, name=name), outcome("fill"))


def _width(band: Band) -> float:
    return band.high - band.low


@pytest.fixture(scope="module")
def thin() -> PlanUpdate:
    return _updated("mash 3 h: 1.056, 61 C")


def test_a_thin_mash_makes_the_cask_less_sure(thin: PlanUpdate) -> None:
    assert thin.chance_now < thin.chance_before - 0.1
    assert thin.fill_now.mid < thin.fill_before.mid
    assert _width(thin.fill_now) < _width(thin.fill_before)
    said = plan_update_words.headline(thin, "metric")
    assert said.startswith("The cask now fills with ")
    assert "before these readings: expect" in said
    assert "wanted" in said


def test_figures_from_the_stage_read_on_stand_in_two_columns(thin: PlanUpdate) -> None:
    rows = plan_update_words.figure_rows(thin, "metric")
    assert rows[0] == ["", "by the plan", "now"]
    assert len(rows) == 1 + len(OUTCOMES)
    later = plan_update_words.figure_rows(_updated("wash: 8.4 %"), "metric")
    assert later[1][0].startswith("Wash off its grain")
    assert "gal" in plan_update_words.figure_rows(thin, "us")[2][1]


def test_warmth_is_followed_and_gravity_judged(thin: PlanUpdate) -> None:
    followed = {r.quantity: r.follows for r in thin.readings}
    assert followed == {"gravity": False, "temperature": True}
    assert "temperature of the mash" in plan_update_words.followed_sentence(thin)


def test_readings_of_a_world_lead_back_to_it() -> None:
    """A truth drawn from the plan's doubts: its own readings, without error, draw the fill to its own."""
    course = _told().before.course
    world = int(np.argmin(np.abs(course.available_l - np.quantile(course.available_l, 0.2))))
    truth = {name: float(np.broadcast_to(o.of(course), (WORLDS,))[world]) for name, o in OUTCOMES.items()}
    found = _updated(
        f"wash: {truth['wash strength']:.2f} %, {truth['wash volume']:.0f} L",
        f"strip: {truth['low wines volume']:.1f} L, {truth['low wines strength']:.1f} %",
        f"heart: {truth['heart volume']:.2f} L, {truth['heart strength']:.1f} %",
    )
    assert found.fill_now.low < truth["fill"] < found.fill_now.high
    assert _width(found.fill_now) < _width(found.fill_before) / 3.0
    assert not any(r.hard for r in found.readings)


def test_the_same_words_give_the_same_figures() -> None:
    source, rows = f"worlds = 256\n{starting_point('rye')}", batch_typed.rows([], ["wash: 8.4 %"])
    assert updated(source, rows) == updated(source, rows)


def test_a_reading_that_is_hard_to_believe_is_named_and_moves_little() -> None:
    slip = _updated("mash 3 h: 1.160")
    assert slip.readings[0].hard
    (said,) = plan_update_words.doubted_sentences(slip, "metric")
    assert "Hard to believe" in said
    assert "Check the instrument" in said
    assert abs(slip.fill_now.mid - slip.fill_before.mid) < 0.25 * _width(slip.fill_before)


FAR_OUT = (
    ("rye", "strip: 3 L"),
    ("rye", "wash: 20 L"),
    ("rye", "heart: 60 L"),
    ("rye", "run 12 L: over 80 %"),
    ("rye", "wash: over 13 %"),
    ("rye", "ferment 1 d: 1.190"),
    ("pears", "heart: 90 L"),
)


@pytest.mark.parametrize(("name", "typed"), FAR_OUT, ids=lambda t: t)
def test_what_no_batch_could_show_moves_next_to_nothing(name: str, typed: str) -> None:
    """Fill and chance stay within what 512 worlds drawn anew differ by: a twentieth, and 5 in 100."""
    found = _updated(typed, name=name)
    assert found.readings[0].hard
    assert found.fill_now.mid == pytest.approx(found.fill_before.mid, rel=0.05)
    assert _width(found.fill_now) == pytest.approx(_width(found.fill_before), rel=0.15)
    assert found.chance_now == pytest.approx(found.chance_before, abs=0.05)


def test_a_wash_far_too_weak_may_be_misread_or_stopped_short() -> None:
    """A ferment can stop that early, if seldom: both are weighed, and the forecast reaches further down."""
    found = _updated("wash: under 3 %")
    assert found.readings[0].hard
    assert found.fill_now.mid < found.fill_before.mid
    assert 0.3 < found.chance_now < found.chance_before
    assert found.fill_now.low < 0.8 * found.fill_before.low


def test_good_readings_rule_beside_one_that_no_batch_could_show() -> None:
    good = ("wash: 8.4 %, 330 L", "strip: 105 L, 26 %")
    alone, beside = _updated(*good), _updated(*good, "heart: 60 L")
    assert beside.fill_now.mid == pytest.approx(alone.fill_now.mid, rel=0.03)
    assert _width(beside.fill_now) == pytest.approx(_width(alone.fill_now), rel=0.25)
    assert [r.hard for r in beside.readings] == [False, False, False, False, True]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("wash: 0 L",), "Volume in 'wash: 0 L' is 0 L, but must lie between 0.1 and"),
        (("heart: 22 L, 98 %",), "must lie between 0 and 97.2 %vol. No still passes this"),
        (("mash 2 h: 900 L",), "by the tub"),
        (("wash: 3400 L",), "by the tub"),
        (("wash: 320 L", "strip: 400 L"), "by 'wash: 320 L'"),
        (("charge: 60 L, 26 %", "heart: 70 L"), "no more than 66.0 L can be there, by 'charge: 60 L, 26 %'"),
        (("heart: 300 L",), "by any charge of this plan"),
        (("cask: 40 L",), "by the cask"),
    ],
)
def test_what_nothing_holds_is_refused(typed: Sequence[str], said: str) -> None:
    with pytest.raises(InputError, match=re.escape(said)) as refused:
        _told(*typed)
    assert refused.value.exit_code == 2


def test_a_cask_is_read_as_far_as_its_wood_has_come() -> None:
    """On filling day at entry strength, which says nothing of the wood; weeks later its water shows."""
    at_once, later = _updated("cask: 24 L, 63 %"), _updated("cask 60 d: 59 %")
    was = next(f for f in at_once.figures if f.name == "cask strength").before
    assert not any(r.hard for r in (*at_once.readings, *later.readings))
    assert _figure(at_once, "cask strength").mid == pytest.approx(was.mid, abs=0.15)
    assert _figure(later, "cask strength").mid < was.mid - 0.5
    assert any("taken as of the day the cask was filled" in note for note in at_once.notes)
    too_early = next(r for r in _updated("cask: 59 %").readings if r.quantity == "strength")
    assert too_early.hard
    with pytest.raises(
        InputError,
        match="The time of a cask reading in 'cask 200 d: 59 %' is 200 days, but must lie between 0 and 120",
    ):
        _told("cask 200 d: 59 %")


STUCK = ("ferment 6 d: 1.030", "ferment 8 d: 1.030", "ferment 10 d: 1.030")
SOUND = ("ferment 1 d: 1.040", "ferment 3 d: 1.005", "ferment 6 d: 0.998")


def _figure(of: PlanUpdate, name: str) -> Band:
    return next(f for f in of.figures if f.name == name).now


def test_a_ferment_that_stands_still_lowers_the_fill_and_is_said() -> None:
    """1.030 of 1.064 leaves about half of the sugar: about half of the alcohol, by hand."""
    found = _updated(*STUCK)
    assert found.chance_now < 0.1
    assert _figure(found, "wash strength").mid == pytest.approx(0.5 * found.figures[4].before.mid, rel=0.2)
    assert found.ferment is not None
    assert found.ferment.not_dry_now > 0.9
    assert found.ferment.not_dry_before < 0.1
    (said,) = plan_ferment_words.standing_sentences(found.ferment and found.ferment.stands)
    assert "stands still at 1.030" in said
    assert "read so at 6 d and still at 10 d" in said
    assert 'caskward tub ask mine.toml --reading "ferment 6 d: 1.030"' in said
    row = plan_update_words.figure_rows(found, "metric")[1]
    assert row[0].startswith("Dry after")
    assert row[2].startswith("not dry: ")
    assert not any(r.hard for r in found.readings)


def test_every_day_at_the_same_gravity_makes_it_surer() -> None:
    one, two = _updated(*STUCK[:1]), _updated(*STUCK[:2])
    assert one.chance_before > one.chance_now > two.chance_now


def test_a_sound_ferment_is_not_said_to_stand_still() -> None:
    found = _updated(*SOUND)
    assert plan_ferment_words.standing_sentences(found.ferment and found.ferment.stands) == []
    assert found.chance_now > found.chance_before - 0.1
    assert found.ferment is not None
    assert found.ferment.not_dry_now < 0.05
    days = found.ferment.dry_now_d
    assert days is not None
    assert days.low < days.mid < 6.0
    assert "not dry" not in plan_update_words.figure_rows(found, "metric")[1][2]


def test_a_ferment_that_was_mended_is_believed_again() -> None:
    """Read to move on, or only as a wash as strong as was planned."""
    read_on = _updated(*STUCK, "ferment 12 d: 1.010", "ferment 14 d: 0.999")
    only_wash = _updated(*STUCK, "wash: 8.6 %, 330 L")
    assert _figure(read_on, "wash strength").mid > 8.0
    assert _figure(only_wash, "wash strength").mid > 8.0
    assert not any(r.hard for r in read_on.readings)
    assert read_on.ferment is not None
    days = read_on.ferment.dry_now_d
    assert days is not None
    assert 10.0 < days.mid < 15.0
    assert plan_ferment_words.standing_sentences(read_on.ferment and read_on.ferment.stands) == []
    assert only_wash.ferment is None


@pytest.mark.parametrize(
    "typed",
    [("wash: 8.4 %", "wash: 5 %"), ("mash 3 h: starch blue", "mash 3 h: starch clear")],
)
def test_a_pair_that_contradicts_is_kept_and_shown(typed: Sequence[str]) -> None:
    found = _updated(*typed)
    assert len(found.readings) == 2
    (pair,) = found.contradictions
    assert pair.at_once
    (said,) = plan_update_words.doubted_sentences(found, "metric")
    assert all(repr(row) in said for row in typed)
    assert "Both count" in said


def test_a_starch_test_blue_after_it_was_clear_is_a_contradiction() -> None:
    """Starch that is made sugar does not come back; blue first and clear later is how a mash goes."""
    found = _updated("mash 1 h: starch clear", "mash 2 h: starch clear", "mash 3 h: starch blue")
    (pair,) = found.contradictions
    assert (pair.first.said, pair.second.said) == ("mash 2 h: starch clear", "mash 3 h: starch blue")
    assert not pair.at_once
    (said,) = plan_update_words.doubted_sentences(found, "metric")
    assert "starch test clear in" in said
    assert "starch test blue in" in said
    assert "cannot both be right" in said
    assert not _updated("mash 1 h: starch blue", "mash 3 h: starch clear").contradictions


def test_rows_of_jars_are_named_as_moving_nothing() -> None:
    rows = rows_asked((), ("run 12 L: 71 %", "jar 3: 1 L, 72 %"))
    assert [r.quantity for r in rows.readings] == ["spout"]
    assert any("move no forecast: 'jar 3: 1 L, 72 %'" in note for note in rows.notes)
    assert rows_asked((), ("run 12 L: 71 %",)).notes == ()
    with pytest.raises(NothingFollowed, match="jar 3"):
        rows_asked((), ("jar 3: 1 L, 72 %",))
    chosen = ("begins: run", "jar 3: 6 L, 72 %", "taken: jar 3", "heart: 6 L, 72 %")
    assert not any("move no forecast" in note for note in rows_asked((), chosen).notes)


def test_a_pair_is_not_taken_for_its_mean() -> None:
    """The mean of 8.4 and 5 is a strength that no world of this plan has: no belief settles there."""
    found = next(f for f in _updated("wash: 8.4 %", "wash: 5 %").figures if f.name == "wash strength")
    assert abs(found.now.mid - 6.7) > 0.5


def test_over_and_under_move_the_plan_as_far_as_they_say() -> None:
    over, under = _updated("wash: over 9 %"), _updated("wash: under 9 %")
    assert over.fill_now.mid > over.fill_before.mid > under.fill_now.mid
    assert _updated("wash: over 2 %").fill_now.mid == pytest.approx(over.fill_before.mid, rel=0.02)
    (hard,) = plan_update_words.doubted_sentences(_updated("wash: over 14 %"), "metric")
    assert "strength over 14.0 %vol" in hard


def test_a_pair_within_its_errors_is_kept_without_alarm() -> None:
    found = _updated("wash: 8.4 %", "wash: 8.5 %")
    assert found.contradictions == ()
    assert any("both kept" in note for note in found.notes)


def test_of_two_warmths_the_likelier_is_followed() -> None:
    found = _updated("mash 3 h: 61 C, 1.060", "mash 3 h: 74 C")
    alone = _updated("mash 3 h: 61 C, 1.060")
    assert found.fill_now.mid == pytest.approx(alone.fill_now.mid, abs=0.1 * _width(alone.fill_now))
    (said,) = plan_update_words.doubted_sentences(found, "metric")
    assert "The first is likelier right" in said


def test_a_warmth_that_cannot_be_right_is_named_and_no_other() -> None:
    found = _updated("mash 3 h: 90 C, 1.060")
    (said,) = plan_update_words.doubted_sentences(found, "metric")
    assert said.startswith("Hard to believe: temperature 90.0 °C in 'mash 3 h: 90 C, 1.060'")
    assert "Check the thermometer" in said
    assert found.fill_before.low < found.fill_now.mid < found.fill_before.high
    assert plan_update_words.followed_sentence(found) == ""
    (swapped,) = plan_update_words.doubted_sentences(_updated("mash 3 h: 63 F, 1.060"), "metric")
    assert "or whether it was 63 °C" in swapped
    (sour,) = plan_update_words.doubted_sentences(_updated("mash 3 h: pH 9, 1.060"), "metric")
    assert "Check the pH meter" in sour


def test_stages_left_unread_are_said() -> None:
    found = _updated("run 10 L: 70 %")
    assert any("the mash, ferment, wash, strip and charge, which are over by now" in n for n in found.notes)
    assert not any("over by now" in n for n in _updated("mash 3 h: 1.060").notes)
    assert not any("mash" in n for n in _updated("wash: 6 %", name="pears").notes)


def test_what_no_model_tells_is_left_out_and_said() -> None:
    found = _updated("ferment 4 d: 1.001, bubbles no, pH 4.1")
    assert [r.quantity for r in found.readings] == ["gravity"]
    assert any("the bubbles and the pH in 'ferment 4 d" in note for note in found.notes)
    with pytest.raises(NothingFollowed, match="None of this moves the plan"):
        _updated("ferment 4 d: bubbles no")


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(NoBatchReadings):
        updated(starting_point("rye"), batch_typed.rows([], []))
    with pytest.raises(NothingToRead):
        _updated("mash 3 h: 1.060", name="pears")
    with pytest.raises(MoreThanThereIs, match="300 L collected"):
        _updated("strip 300 L: 20 %")


def test_json_holds_both_sides(thin: PlanUpdate) -> None:
    found = json.loads(still_run.as_json(thin))
    assert found["fill_now"]["mid"] < found["fill_before"]["mid"]
    assert {f["name"] for f in found["figures"]} == set(OUTCOMES)


# Whose the doubt is ------------------------------------------------------------------------------


def test_shares_add_up_and_are_ranked() -> None:
    by_plan = _why()
    whole = sum(s.now for s in by_plan.shares) + by_plan.together
    assert whole == pytest.approx(1.0, abs=0.05)
    rows = plan_doubt_words.share_rows(by_plan)
    assert rows[0] == ["", "share"]
    assert "by the plan" in plan_doubt_words.share_rows(_why("wash: 8.4 %"))[0]


def test_a_reading_takes_its_own_part_of_the_doubt_away() -> None:
    after = _why("wash: 8.4 %, 330 L")
    held = next(s for s in after.shares if "wash the spent grain" in s.words)
    assert held.now < 0.3 * held.before
    assert "still's head" in plan_doubt_words.why_headline(after, "metric")


def test_another_figure_has_another_doubt() -> None:
    wash = _why(of="Wash strength")
    assert all("still's head" not in s.words for s in wash.shares if s.now > 0.01)
    assert "strength of the wash" in plan_doubt_words.why_headline(wash, "metric")
    with pytest.raises(UnknownName, match="Did you mean 'wash strength'"):
        outcome("wash strenght")


# What to read next -------------------------------------------------------------------------------


def test_readings_are_ranked_by_what_they_narrow_per_minute() -> None:
    found = _next("mash 3 h: 1.060")
    for now in (True, False):
        per_minute = [p.narrower_per_minute for p in found.readings if p.now is now]
        assert per_minute == sorted(per_minute, reverse=True)
        assert per_minute
    assert [p.now for p in found.readings] == sorted((p.now for p in found.readings), reverse=True)
    wide = _width(found.now)
    assert all(0.0 <= p.share <= 1.0 and p.width_after <= wide * 1.0001 for p in found.readings)
    assert {p.stage for p in found.readings} == {"mash", "ferment", "wash"}
    assert all(p.at_h > 3.0 for p in found.readings if p.stage == "mash")


def test_what_is_promised_is_about_what_a_reading_does() -> None:
    """The wash's volume, read where its middle is expected, narrows the band about as was promised."""
    before = _next("mash 3 h: 1.062")
    promised = next(p for p in before.readings if (p.stage, p.quantity) == ("wash", "volume"))
    after = _updated("mash 3 h: 1.062", f"wash: {promised.expects.mid:.0f} L")
    assert _width(after.fill_now) == pytest.approx(promised.width_after, rel=0.25)


def test_what_was_read_is_not_asked_again() -> None:
    found = _next("wash: 8.4 %, 340 L")
    assert {p.quantity for p in found.readings if p.stage == "wash"} == {"gravity"}
    assert all(p.stage != "mash" for p in found.readings)


def test_fruit_begins_at_its_ferment() -> None:
    found = _next(name="pears")
    assert {p.stage for p in found.readings} == {"ferment", "wash", "strip"}


@pytest.mark.parametrize("typed", [(), ("wash: 8.4 %",), ("heart: 22 L, 70 %",), ("cask: 24 L, 60 %",)])
def test_the_answer_says_what_to_read_or_that_little_is_left(typed: Sequence[str]) -> None:
    found = _next(*typed)
    said = plan_doubt_words.next_headline(found, "us")
    assert said.startswith(("Read next: ", "Read again, for ", "Nothing that can be read now"))
    assert " L " not in said


# What can still be done --------------------------------------------------------------------------


@pytest.fixture(scope="module")
def short() -> RemedyReport:
    return remedy_of(_told("wash: 7.8 %, 320 L"))


def test_moves_that_get_there_come_first(short: RemedyReport) -> None:
    assert short.chance_now < short.aim
    reached = [o.reaches for o in short.offers]
    assert reached == sorted(reached, reverse=True)
    assert all(o.chance > short.chance_now for o in short.offers)
    rows = plan_remedy_words.offer_rows(short, "metric")
    assert len(rows) == 2 + len(short.offers)
    assert all(len(row) == 5 for row in rows)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_move_says_what_to_do_and_what_to_write_down(system: UnitSystem) -> None:
    telling = _told("wash: 7.8 %, 320 L")
    own = replace(telling.now.sized.intent, show=system)
    report = remedy_of(replace(telling, sized=replace(telling.sized, intent=own)))
    for offer in report.offers:
        said = plan_remedy_words.told(offer, report, system)
        assert f'a row of your log says so: "{offer.row}"' in said
        assert system == "metric" or " °C" not in said
        assert system == "metric" or " L " not in said


def test_a_row_written_down_makes_the_batch_that_the_move_promised(short: RemedyReport) -> None:
    assert len(short.offers) >= 6
    for offer in short.offers:
        done = _told("wash: 7.8 %, 320 L", offer.row)
        assert done.now.chance == pytest.approx(offer.chance, abs=1e-9), offer.row
        assert float(np.median(done.now.course.available_l)) == pytest.approx(offer.fill_l.mid)
        assert any(offer.row in note for note in done.notes)


def test_a_move_taken_leads_to_the_chance_that_was_promised(short: RemedyReport) -> None:
    first = short.offers[0]
    taken = remedy_of(_told("wash: 7.8 %, 320 L"), take=first.key)
    assert taken.taken == first
    fill = next(f for f in taken.figures if f.name == "fill")
    assert fill.now.mid == pytest.approx(first.fill_l.mid, rel=1e-6)
    assert fill.before.mid == pytest.approx(short.fill_now.mid, rel=1e-6)


def test_where_all_is_well_nothing_is_offered() -> None:
    sure = remedy_of(_told("heart: 30 L, 70 %"))
    assert sure.offers == ()
    assert plan_remedy_words.headline(sure, "metric").startswith("Nothing needs mending")
    with pytest.raises(NotOffered, match="No move is needed or open"):
        remedy_of(_told("heart: 30 L, 70 %"), take="less full")
