"""Remedies: what may still be done, how much of it, and that it does what it says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import get_args

import numpy as np
import pytest

from caskward.errors import OutOfRange, RemedyOutOfDate
from caskward.planning.account import account
from caskward.planning.forecast import Chain
from caskward.planning.intent import SpiritStock
from caskward.planning.late import Rinse
from caskward.planning.limits import limits
from caskward.planning.planner import plan_of
from caskward.planning.readings import Reading, reading_of
from caskward.planning.remedies import Remedy, adopt, not_open, remedies
from caskward.planning.remedy_kinds import Move, RemedyKey, Shelf
from caskward.planning.remedy_moves import moves
from caskward.planning.remedy_trials import Trial, base_chain
from caskward.planning.remedy_weights import as_good
from caskward.planning.sizing import size
from caskward.planning.update import Belief, begin, update
from tests.support.batches import CATALOGUE, intent_of

IN_STORE = (SpiritStock("feints", 30.0, 30.0),)
SURER = 0.95
ALL_OPEN = {
    "hold",
    "sugar",
    "rinse",
    "strip stop",
    "feints",
    "heart end",
    "entry strength",
    "top-up",
    "less full",
}


@cache
def planned() -> Belief:
    """A batch before any reading."""
    return begin(size(intent_of(worlds=256)))


@cache
def weakly_filled() -> Belief:
    """A cask filled weak, and strips that stop early: there a later stop fills it."""
    intent = intent_of(worlds=256)
    cuts = replace(intent.cuts, strip_stop_pct_vol=10.0, charge_limit_pct_vol=30.0)
    cask = replace(intent.cask, entry_pct_vol=48.0, settle_pct_vol=None)
    return begin(size(replace(intent, cuts=replace(cuts, heart_end_pct_vol=45.0), cask=cask)))


@cache
def flat() -> Belief:
    """A mash far less sour than the sweetening product likes: sugar comes slowly."""
    logged = [
        reading_of("mash", "temperature", 63.0, 0.2),
        reading_of("mash", "ph", 6.5, 0.3),
        reading_of("mash", "temperature", 60.0, 3.0),
    ]
    return update(planned(), logged)


@cache
def weak_wash() -> Belief:
    """The wash came out as weak as in one batch of ten."""
    return update(planned(), [tenth("wash", "strength", lambda b: b.course.wash.strength_pct_vol)])


def tenth(stage: str, quantity: str, of: Callable[[Belief], np.ndarray]) -> Reading:
    return reading_of(stage, quantity, float(np.quantile(of(planned()), 0.1)))  # type: ignore[arg-type]


@cache
def offered(which: str) -> tuple[Remedy, ...]:
    belief, aim = {"flat": (flat(), None), "wash": (weak_wash(), None), "plan": (planned(), SURER)}[which]
    return remedies(belief, CATALOGUE, aim, IN_STORE)


def belief_of(which: str) -> Belief:
    return {"flat": flat(), "wash": weak_wash(), "plan": planned()}[which]


def keys(found: tuple[Remedy, ...]) -> set[str]:
    return {remedy.key for remedy in found}


BATCHES = pytest.mark.parametrize("which", ["plan", "flat", "wash"])


@BATCHES
def test_every_remedy_raises_the_chance_as_it_says(which: str) -> None:
    belief = belief_of(which)
    for remedy in offered(which):
        assert remedy.outlook_before.chance == belief.chance
        assert remedy.chance >= belief.chance + 0.01
        assert remedy.reaches == (remedy.chance >= remedy.aim)
        assert remedy.amount == pytest.approx(abs(remedy.then - remedy.now), abs=1e-6)
        assert remedy.amount > 0.0


@BATCHES
def test_a_remedy_is_one_call_from_being_the_plan(which: str) -> None:
    belief = belief_of(which)
    for remedy in offered(which):
        after = adopt(belief, remedy)
        assert after.chance == remedy.chance, remedy.key
        assert np.quantile(after.course.available_l, 0.5) == pytest.approx(remedy.outlook.fill_l.mid)
        assert after.readings == belief.readings
        assert after.z.shape[0] == belief.z.shape[0]


@BATCHES
def test_what_is_adopted_breaks_no_limit_and_loses_nothing(which: str) -> None:
    """Whole millilitres in = lost + kept; potential alcohol closes to rounding."""
    belief = belief_of(which)
    for remedy in offered(which):
        after = adopt(belief, remedy)
        course = after.course
        broken = {
            limit.kind
            for limit in limits(replace(after.sized, course=course, worlds=after.worlds))
            if limit.broken
        }
        assert not broken, (remedy.key, broken)
        assert np.all(course.charge.strength_pct_vol <= remedy.method.charge_limit_pct_vol + 1e-6)
        gear, method = remedy.intent.gear, remedy.method
        assert np.quantile(course.wash.volume_l, 0.95) / method.strips <= gear.strip_still.charge_limit_l
        came = course.mash.potential_ethanol_kg + course.feints_in.ethanol_kg + course.top_up.ethanol_kg
        kept = course.cask.ethanol_kg + course.surplus.ethanol_kg + course.feints.ethanol_kg
        assert came == pytest.approx(kept + sum(loss.ethanol_kg for loss in course.losses), rel=1e-11)
        lines = account(course, {i.material.key: i.material.name for i in remedy.intent.bill})
        came_ml = sum(line.millilitres for line in lines if line.side == "in")
        assert came_ml == sum(line.millilitres for line in lines if line.side != "in")


def test_all_moves_that_are_open_are_seen() -> None:
    seen = keys(offered("plan")) | keys(offered("flat"))
    assert seen >= ALL_OPEN
    assert "hold" not in keys(offered("plan"))


@BATCHES
def test_the_more_the_surer(which: str) -> None:
    """The fill reached rises with the amount up to where it was solved, for as many strips and runs.

    A strip or a run more costs water and hoses: there it may fall. Rinse and strip stop trade alcohol for
    the strength of the charge: the chance need not rise evenly, but no part of them is better than the whole.
    """
    belief = belief_of(which)
    base = base_chain(belief)
    for remedy in offered(which):
        if remedy.key == "smaller cask":
            continue
        trial = Trial(belief, move_of(remedy, base, belief), 1, base)
        tried = [trial.at(remedy.amount * part) for part in (0.25, 0.5, 0.75, 1.0)]
        for less, more in pairwise(tried):
            if remedy.key in ("rinse", "strip stop"):
                assert remedy.chance >= less.chance - 0.01
            elif less.method.counts == more.method.counts:
                assert more.beyond_l(remedy.aim) >= less.beyond_l(remedy.aim) - 0.02, remedy.key


def move_of(remedy: Remedy, base: Chain, belief: Belief) -> Move:
    """The move that a remedy goes, the right way."""
    every = moves(base, Shelf(CATALOGUE, belief.readings, IN_STORE))
    rises = remedy.then > remedy.now
    return next(m for m in every if m.key == remedy.key and (m.shown(m.step) > m.now) == rises)


def test_an_amount_is_the_least_that_is_enough() -> None:
    """A step less of a move that gets there does not."""
    belief = planned()
    base = base_chain(belief)
    solved = [r for r in offered("plan") if r.reaches and r.key in ("top-up", "less full", "heart end")]
    assert len(solved) == 3
    for remedy in solved:
        trial = Trial(belief, move_of(remedy, base, belief), 1, base)
        assert trial.at(remedy.amount - trial.move.step).chance < SURER


@pytest.mark.parametrize(
    ("stage", "quantity", "of", "gone"),
    [
        ("ferment", "volume", lambda b: b.course.mash.tub.volume_l, {"hold", "sugar"}),
        ("strip", "strength", lambda b: b.course.low_wines.strength_pct_vol, {"rinse", "strip stop"}),
        ("charge", "volume", lambda b: b.course.charge.volume_l, {"feints"}),
        ("heart", "volume", lambda b: b.course.spirit.receivers.heart.volume_l, {"heart end"}),
    ],
)
def test_what_is_over_is_not_offered(stage: str, quantity: str, of, gone: set[str]) -> None:  # type: ignore[no-untyped-def]
    belief = update(planned(), [tenth(stage, quantity, of)])
    found = keys(remedies(belief, CATALOGUE, 0.999, IN_STORE))
    assert not found & gone
    assert found >= {"top-up", "less full"}


def at_the_cask() -> Belief:
    return update(planned(), [tenth("cask", "volume", lambda b: b.course.filled.cask_record.settled_level_l)])


def test_a_filled_cask_can_be_topped_up_thinned_racked_or_left_less_full() -> None:
    belief = at_the_cask()
    found = remedies(belief, CATALOGUE, 0.9, IN_STORE)
    assert keys(found) == {"top-up", "entry strength", "less full", "smaller cask"}
    for remedy in found:
        assert remedy.chance > belief.chance
        assert adopt(belief, remedy).chance == remedy.chance


def test_what_is_not_open_is_said_with_its_reason() -> None:
    shut = {c.key: c for c in not_open(at_the_cask(), CATALOGUE, IN_STORE)}
    assert set(shut) == {"hold", "sugar", "rinse", "strip stop", "feints", "heart end"}
    assert {c.why for c in shut.values()} == {"over"}
    assert (shut["sugar"].stage, shut["rinse"].stage, shut["heart end"].stage) == (
        "ferment",
        "strip",
        "heart",
    )
    early = {c.key: c.why for c in not_open(planned(), CATALOGUE)}
    assert early == {"hold": "converted", "feints": "none in store"}


@BATCHES
def test_every_move_is_offered_or_said_to_be_shut_and_never_both(which: str) -> None:
    belief = belief_of(which)
    shut = {c.key for c in not_open(belief, CATALOGUE, IN_STORE)}
    way = {m.key for m in moves(base_chain(belief), Shelf(CATALOGUE, belief.readings, IN_STORE))}
    assert not shut & way
    assert shut | way == set(get_args(RemedyKey))


@BATCHES
def test_those_that_get_there_come_first_then_by_gain_for_what_they_take(which: str) -> None:
    found = offered(which)
    assert [r.reaches for r in found] == sorted((r.reaches for r in found), reverse=True)
    assert [r.helps for r in found] == sorted((r.helps for r in found), reverse=True)
    for one, other in pairwise(found):
        if (one.helps, one.reaches) == (other.helps, other.reaches):
            assert one.gain / one.takes.together >= other.gain / other.takes.together


def test_a_move_that_hardly_helps_never_leads() -> None:
    """A strip stop costs nothing, so by gain for cost alone it would come first; it does not get there."""
    found = remedies(planned(), CATALOGUE, 0.999, IN_STORE)
    little = [r for r in found if not r.helps]
    assert little
    assert found[0].helps
    assert found[-len(little) :] == tuple(little)
    for remedy in little:
        assert remedy.gain < 0.25 * (0.999 - planned().chance)
        assert remedy.gain_for_what_it_takes > found[-len(little) - 1].gain_for_what_it_takes


def test_what_a_move_takes_is_counted_in_shares_of_the_batch() -> None:
    found = {r.key: r.takes for r in offered("plan")}
    plan = planned()
    lpa = float(np.median(plan.course.filled.reduced.lpa))
    top_up = next(r for r in offered("plan") if r.key == "top-up")
    assert found["top-up"].spirit == pytest.approx(
        top_up.amount * plan.sized.method.entry_pct_vol / 100.0 / lpa
    )
    less = next(r for r in offered("plan") if r.key == "less full")
    assert found["less full"].wish == pytest.approx(less.amount / less.now)
    assert found["rinse"].hours > found["sugar"].hours >= 0.0
    assert found["rinse"].together > found["strip stop"].together > 0.0


def test_a_chance_as_good_as_what_was_wanted_asks_for_nothing() -> None:
    """So many worlds tell two errors of counting apart, and words tell two in a hundred."""
    chance = planned().chance
    assert remedies(planned(), CATALOGUE, chance + 0.015) == ()
    assert remedies(planned(), CATALOGUE, chance + 0.03) != ()
    assert as_good(0.78, 0.8, 256)
    assert not as_good(0.78, 0.8, 65536)
    assert not as_good(0.98, 0.999, 2048)


def test_feints_stronger_than_the_charge_or_its_limit_are_warned_of() -> None:
    limit = planned().sized.method.charge_limit_pct_vol

    def warned(pct_vol: float) -> set[str]:
        found = remedies(planned(), CATALOGUE, SURER, (SpiritStock("feints", 30.0, pct_vol),))
        return {w.key for r in found if r.key == "feints" for w in r.warnings}

    assert {"strong feints", "feints over limit"} & warned(limit) == {"feints over limit"}
    assert {"strong feints", "feints over limit"} & warned(limit - 1.0) == {"strong feints"}
    assert not {"strong feints", "feints over limit"} & warned(20.0)


def test_a_later_stop_of_the_strips_where_alcohol_is_left_in_the_pot() -> None:
    found = {r.key: r for r in remedies(weakly_filled(), CATALOGUE, SURER)}
    assert found["strip stop"].then < found["strip stop"].now == 10.0
    assert found["strip stop"].cost.energy_kwh > 0.0


def test_an_earlier_stop_where_a_stronger_charge_gives_more_heart() -> None:
    found = {r.key: r for r in offered("plan")}
    assert found["strip stop"].then > found["strip stop"].now
    assert found["strip stop"].cost.energy_kwh < 0.0


def test_a_strip_that_runs_may_still_stop_elsewhere() -> None:
    running = update(planned(), [reading_of("strip", "spout", 38.0, at_l=8.0)])
    found = keys(remedies(running, CATALOGUE, 0.999, IN_STORE))
    assert "strip stop" in found
    assert "rinse" not in found


def test_a_cask_that_is_sure_enough_asks_for_nothing() -> None:
    belief = planned()
    assert remedies(belief, CATALOGUE) == ()
    assert remedies(belief, CATALOGUE, belief.chance) == ()


def test_a_certain_cask_asks_for_nothing_however_sure_it_must_be() -> None:
    plan = planned()
    low = float(np.quantile(plan.course.available_l, 0.3))
    cask = replace(plan.sized.intent.cask, fill_share=low / plan.sized.intent.cask.capacity_l)
    small = replace(plan.sized, method=replace(plan.sized.method, fill_l=cask.fill_l))
    begun = begin(replace(small, intent=replace(plan.sized.intent, cask=cask)))
    certain = replace(begun, z=begun.z[begun.course.available_l > low])
    assert certain.chance == 1.0
    assert remedies(certain, CATALOGUE, 1.0, IN_STORE) == ()


def test_sugar_is_priced_where_a_price_is_known() -> None:
    belief = planned()
    prices = replace(belief.sized.intent.prices, per_kg={"cane-sugar": 1.5}, energy_per_kwh=0.2)
    priced = replace(belief, sized=replace(belief.sized, intent=replace(belief.sized.intent, prices=prices)))
    known = next(r for r in remedies(priced, CATALOGUE, SURER) if r.key == "sugar")
    assert known.cost.money == pytest.approx(1.5 * known.amount + 0.2 * known.cost.energy_kwh)
    assert known.cost.unpriced == ()
    unknown = next(r for r in offered("plan") if r.key == "sugar")
    assert unknown.cost.unpriced == ("cane-sugar",)
    assert unknown.cost.extra_lpa > 0.0


def test_sugar_in_a_grain_mash_warns_of_its_name_and_is_bought() -> None:
    remedy = next(r for r in offered("plan") if r.key == "sugar")
    assert "name" in {w.key for w in remedy.warnings}
    after = adopt(planned(), remedy)
    line = next(x for x in plan_of(after.sized, CATALOGUE).shopping if x.key == "beside/cane-sugar")
    assert line.need == pytest.approx(remedy.amount)


def test_sugar_stops_at_the_tub_s_brim() -> None:
    belief = planned()
    full_l = float(np.quantile(belief.course.mash.tub.volume_l, 0.95))
    tub = replace(belief.sized.intent.gear.tub, volume_l=(full_l + 0.7) / 0.85)
    gear = replace(belief.sized.intent.gear, tub=tub)
    tight = replace(belief, sized=replace(belief.sized, intent=replace(belief.sized.intent, gear=gear)))
    remedy = next((r for r in remedies(tight, CATALOGUE, SURER) if r.key == "sugar"), None)
    assert remedy is not None
    assert not remedy.reaches
    assert 0.9 <= remedy.amount <= 1.3  # 0.7 L of room; a kilogram dissolved takes up about 0.62 L
    assert "tub" in {w.key for w in remedy.warnings}


def test_a_lower_entry_strength_says_where_the_cask_settles() -> None:
    remedy = next(r for r in offered("plan") if r.key == "entry strength")
    assert remedy.changes_wish
    assert remedy.outlook.settled_pct_vol.mid < remedy.outlook_before.settled_pct_vol.mid
    lower = next(w for w in remedy.warnings if w.key == "settles lower")
    assert lower.limit == 60.0
    assert lower.value == pytest.approx(remedy.outlook.settled_pct_vol.mid)


def test_spirits_that_the_plan_uses_already_are_not_offered_again() -> None:
    assert "feints" not in keys(remedies(planned(), CATALOGUE, SURER))
    found = next(r for r in offered("plan") if r.key == "feints")
    assert found.amount <= sum(s.volume_l for s in IN_STORE)


def test_a_rinse_costs_heat_and_hands() -> None:
    remedy = next(r for r in offered("plan") if r.key == "rinse")
    assert remedy.cost.energy_kwh > 0.0
    assert remedy.cost.hands_h > 0.0
    assert remedy.cost.extra_lpa > 0.0


def test_a_wash_read_before_its_rinse_stays_as_it_was_read() -> None:
    """The rinsings go to the still; what the readings of the wash say does not change."""
    remedy = next(r for r in remedies(weak_wash(), CATALOGUE, 0.999) if r.key == "rinse")
    after = base_chain(adopt(weak_wash(), remedy))
    before = base_chain(weak_wash())
    np.testing.assert_array_equal(after.wash[0].volume_l, before.wash[0].volume_l)
    assert np.all(after.rinsed[0].volume_l > before.wash[0].volume_l + 0.5 * remedy.amount)


def test_two_remedies_one_after_the_other() -> None:
    """After the first is adopted a second one is solved from there; one solved before is out of date."""
    belief = planned()
    first, other = (next(r for r in offered("plan") if r.key == key) for key in ("strip stop", "rinse"))
    after = adopt(belief, first)
    with pytest.raises(RemedyOutOfDate):
        adopt(after, other)
    again = next(r for r in remedies(after, CATALOGUE, 0.999) if r.key == "rinse")
    assert adopt(after, again).chance == again.chance > after.chance


def test_readings_go_on_after_a_remedy() -> None:
    after = adopt(planned(), next(r for r in offered("plan") if r.key == "smaller cask"))
    strength = float(np.median(after.course.wash.strength_pct_vol))
    narrower = update(after, [reading_of("wash", "strength", strength)])
    assert np.std(narrower.course.wash.strength_pct_vol) < np.std(after.course.wash.strength_pct_vol)


def test_one_seed_one_answer() -> None:
    assert remedies(planned(), CATALOGUE, SURER, IN_STORE) == offered("plan")


def test_a_rinse_without_water_wins_nothing() -> None:
    """Pressed solids give no more when they are pressed again; more water wins more, less each time."""
    base = base_chain(planned())
    won = [
        float(np.mean(rinsed_with(base, litres).rinsed[0].lpa - base.strained[0].lpa))
        for litres in (1e-6, 10.0, 20.0, 40.0)
    ]
    assert won[0] == pytest.approx(0.0, abs=1e-5)
    assert won[0] < won[1] < won[2] < won[3]
    assert won[2] - won[1] < won[1] - won[0]


def rinsed_with(base: Chain, litres: float) -> Chain:
    late = replace(base.method.late, rinse=Rinse(2, litres / 2.0))
    return base.changed("rinsed", base.intent, replace(base.method, late=late))


def test_what_cannot_be_aimed_for_is_said() -> None:
    with pytest.raises(OutOfRange, match="in 10"):
        remedies(planned(), CATALOGUE, 1.2)
    with pytest.raises(OutOfRange, match="other batch"):
        remedies(planned(), CATALOGUE, SURER, top_up_pct_vol=40.0)


def test_stronger_spirit_of_another_batch_takes_fewer_litres() -> None:
    strong = next(r for r in remedies(planned(), CATALOGUE, SURER, top_up_pct_vol=75.0) if r.key == "top-up")
    usual = next(r for r in offered("plan") if r.key == "top-up")
    assert strong.reaches
    assert strong.amount < usual.amount
