"""Sizing backward from the cask, limits, and ways out of an impossible wish."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from caskward.errors import FillOutOfReach
from caskward.planning.advice import alternatives, broken
from caskward.planning.limits import limits
from caskward.planning.plan import Plan, Refusal
from caskward.planning.planner import make_plan
from caskward.planning.sizing import entry_strength, size, worlds_for
from tests.support.batches import CATALOGUE, intent_of


@pytest.mark.parametrize("confidence", [0.5, 0.8, 0.95])
def test_the_cask_fills_as_surely_as_asked(confidence: float) -> None:
    """The chance is the wanted one or a little more: kilograms are rounded up to what a scale shows."""
    sized = size(intent_of(confidence=confidence))
    assert confidence <= sized.chance <= confidence + 0.03


def test_other_worlds_agree() -> None:
    """The chance holds in worlds that the sizing never saw. Tolerance: three binomial deviations of 4,096."""
    sized = size(intent_of())
    fresh = intent_of(seed=4711, worlds=4096)
    from caskward.planning.forecast import forecast

    course = forecast(fresh, sized.method, worlds_for(fresh))
    chance = float(np.mean(course.available_l >= sized.method.fill_l))
    assert chance == pytest.approx(sized.chance, abs=0.02)


def test_surer_takes_more() -> None:
    masses = [size(intent_of(confidence=c)).method.total_kg for c in (0.5, 0.7, 0.9)]
    assert masses == sorted(masses)
    assert masses[0] < masses[-1]


def test_entry_strength_makes_the_cask_settle_where_it_should() -> None:
    intent = intent_of()
    sized = size(intent)
    settled = np.median(sized.course.filled.cask_record.settled_pct_vol)
    assert float(settled) == pytest.approx(60.0, abs=0.12)  # entry strength is rounded up to 0.1 %vol
    assert entry_strength(intent, worlds_for(intent)) > 60.0
    dry = replace(intent, cask=replace(intent.cask, soaked=False))
    assert entry_strength(dry, worlds_for(dry)) == pytest.approx(60.0, abs=0.11)


def test_pots_and_tubs_are_counted_so_that_they_hold() -> None:
    sized = size(intent_of("wheat-panela"))
    gear, course, method = sized.intent.gear, sized.course, sized.method
    assert method.ferments == 2
    assert method.cooks % method.ferments == 0
    assert np.quantile(course.mash.tub.volume_l / method.ferments, 0.95) <= gear.tub.working_l
    assert course.mash.cook is not None
    assert np.quantile(course.mash.cook.pot_volume_l / 1, 0.95) <= gear.cook_pot.working_volume_l  # type: ignore[union-attr]
    assert all(not limit.broken for limit in limits(sized))


def test_feints_in_store_save_grain() -> None:
    with_feints = size(intent_of())
    without = size(intent_of(stock=replace(intent_of().stock, spirits=())))
    assert with_feints.method.total_kg < without.method.total_kg


def small_tub(litres: float):  # type: ignore[no-untyped-def]
    intent = intent_of(worlds=512)
    return replace(intent, gear=replace(intent.gear, tub=replace(intent.gear.tub, volume_l=litres)))


def test_a_small_tub_is_named_with_ways_out() -> None:
    outcome = make_plan(small_tub(420.0), CATALOGUE)
    assert isinstance(outcome, Refusal)
    assert "tub binds" in outcome.reason
    assert len(outcome.changes) >= 2
    assert any("2 ferments" in change.words for change in outcome.changes)
    for change in outcome.changes:
        assert change.chance >= 0.5
        assert change.total_kg > 0
        assert change.wanted_l <= change.fill_l.high


def test_every_way_out_really_works() -> None:
    """Each change, planned by itself, is a plan and breaks no limit."""
    found = alternatives(small_tub(420.0), CATALOGUE, most=2)
    assert found
    for way in found:
        assert not broken(way.sized)
        assert isinstance(make_plan(way.sized.intent, CATALOGUE), Plan)


def test_a_bare_shelf_binds() -> None:
    intent = intent_of(worlds=512)
    stock = replace(
        intent.stock, buys_more=False, materials_kg={"rye": 200.0, "barley-malt": 10.0, "oats": 50.0}
    )
    outcome = make_plan(replace(intent, stock=stock), CATALOGUE)
    assert isinstance(outcome, Refusal)
    assert "Malted barley in store binds" in outcome.reason
    assert any("store lacks" in change.words for change in outcome.changes)


def test_a_strength_out_of_reach_is_the_still_s_fault() -> None:
    intent = intent_of(worlds=256)
    strong = replace(intent, cask=replace(intent.cask, settle_pct_vol=None, entry_pct_vol=82.0))
    with pytest.raises(FillOutOfReach):
        size(strong)
    outcome = make_plan(strong, CATALOGUE)
    assert isinstance(outcome, Refusal)
    assert "heart" in outcome.reason
    assert outcome.changes


def test_a_strong_mash_stalls_the_yeast() -> None:
    sweet = intent_of("wheat-panela", water_l_per_kg=1.2, most_ferments=9, worlds=512)
    outcome = make_plan(sweet, CATALOGUE)
    assert isinstance(outcome, Refusal)
    assert "yeast binds" in outcome.reason
    assert any("thinner mash" in change.words for change in outcome.changes)


def test_one_seed_one_plan() -> None:
    assert make_plan(intent_of(), CATALOGUE) == make_plan(intent_of(), CATALOGUE)
