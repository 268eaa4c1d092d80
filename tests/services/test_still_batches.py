"""Strips and feints as a face gets them."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from caskward.errors import BuildUpOutOfReach, ChargeRefused, MissingValue
from caskward.planning.wish import cap
from caskward.services import still_batch_words
from caskward.services.still_feints import FeintsAsk, FeintsReport, feints
from caskward.services.still_gear import Gear
from caskward.services.still_run import as_json
from caskward.services.still_strip import StripAsk, StripReport, strip_wash

GEAR = Gear("pot-bare", 6.0, limit_l=110.0)
WASH = StripAsk(350.0, 8.5, GEAR)
LOW_WINES = FeintsAsk(90.0, 26.0, GEAR, worlds=32)


@pytest.fixture(scope="module")
def strips() -> StripReport:
    return strip_wash(WASH)


@pytest.fixture(scope="module")
def rest() -> FeintsReport:
    return feints(LOW_WINES)


def test_charges_in_turn_are_the_whole_wash(strips: StripReport) -> None:
    assert [round(line.volume_l, 3) for line in strips.charges] == [110.0, 110.0, 110.0, 20.0]
    assert sum(line.volume_l for line in strips.charges) + strips.carried_l == pytest.approx(350.0)
    summed_l = sum(line.low_wines_l.mid for line in strips.charges)
    assert summed_l == pytest.approx(strips.low_wines_l.mid, rel=1e-3)
    assert strips.energy_kwh.mid == pytest.approx(6.0 * strips.hours.mid, rel=1e-6)


def test_a_rest_that_the_pot_cannot_take_is_carried() -> None:
    carried = strip_wash(replace(WASH, gear=replace(GEAR, least_l=25.0)))
    assert len(carried.charges) == 3
    assert carried.carried_l == pytest.approx(20.0)
    equal = strip_wash(replace(WASH, charging="equal"))
    assert [round(line.volume_l, 2) for line in equal.charges] == [87.5] * 4


def test_each_lower_stop_wins_more_and_costs_more_for_it(strips: StripReport) -> None:
    stops = strips.stops
    assert (stops[0].stop_pct_vol, stops[-1].stop_pct_vol) == (20.0, 1.0)
    costs = [line.kwh_per_extra_lpa.mid for line in stops if line.kwh_per_extra_lpa]
    assert len(costs) == len(stops) - 1
    assert costs == sorted(costs)
    assert [line.lpa.mid for line in stops] == sorted(line.lpa.mid for line in stops)
    assert stops[-1].lpa.high < 350.0 * 0.085
    last = stops[-1]
    assert last.hours_per_extra_lpa is not None
    assert last.kwh_per_extra_lpa is not None
    assert last.kwh_per_extra_lpa.mid == pytest.approx(6.0 * last.hours_per_extra_lpa.mid, rel=1e-6)


def test_what_is_wrong_with_a_wash_is_flagged() -> None:
    bad = strip_wash(replace(WASH, solids_share=0.02, gear=replace(GEAR, element=True, brimful_l=120.0)))
    assert bad.checked.scorches
    assert bad.checked.foams
    assert "scorch" in bad.checked.cautions[0]
    assert "foam" in bad.checked.cautions[1]
    clear = strip_wash(replace(WASH, gear=replace(GEAR, element=True, brimful_l=160.0)))
    assert not clear.checked.scorches
    assert not clear.checked.foams


def test_strips_refuse_what_cannot_be() -> None:
    with pytest.raises(MissingValue, match="--limit"):
        strip_wash(replace(WASH, gear=replace(GEAR, limit_l=None)))
    with pytest.raises(ChargeRefused, match="stronger than 40 %vol"):
        strip_wash(replace(WASH, pct_vol=45.0))
    assert json.loads(as_json(strip_wash(WASH)))["charges"][3]["number"] == 4


def test_feints_settle_and_the_settled_batch_repeats_itself(rest: FeintsReport) -> None:
    last = rest.batches[-1]
    assert last.feints_l.mid == pytest.approx(rest.steady.feints_l.mid, rel=0.01)
    assert last.heart_l.mid == pytest.approx(rest.steady.heart_l.mid, rel=0.01)
    assert rest.batches[0].feints_l.mid < rest.steady.feints_l.mid
    assert rest.batches[0].charge_l.mid == pytest.approx(90.0, rel=1e-6)
    assert 1 <= rest.settled_heart <= 6
    assert 0.9 < rest.recovery.mid < 1.0


def test_everything_that_goes_back_builds_up_and_heads_most(rest: FeintsReport) -> None:
    times = {one.name: one.times.mid for one in rest.build_up}
    assert len(times) == 16
    assert all(value > 1.0 for value in times.values())
    assert times["Ethyl acetate"] > times["3-Methyl-1-butanol"]


def test_heads_thrown_away_keep_a_cap_at_the_cost_of_alcohol() -> None:
    kept = feints(replace(LOW_WINES, caps=(cap("ethyl acetate", 400.0),)))
    (line,) = kept.throw
    assert 0.0 < line.throw.share < 1.0
    assert line.throw.recovery.mid < line.throw.recovery_none.mid
    again = feints(replace(LOW_WINES, heads_thrown=line.throw.share))
    level = next(one for one in again.build_up if one.name == "Ethyl acetate").heart_g_hl
    assert level.mid * 10.0 == pytest.approx(line.throw.level.mid, rel=1e-3)
    assert "throw away" in still_batch_words.throw_sentences(kept)[0]
    with pytest.raises(BuildUpOutOfReach, match="Even with all heads thrown away"):
        feints(replace(LOW_WINES, caps=(cap("ethyl acetate", 100.0),)))


def test_a_cap_that_is_kept_anyway_says_so() -> None:
    easy = feints(replace(LOW_WINES, caps=(cap("ethyl acetate", 5000.0),)))
    assert easy.throw[0].throw.share == 0.0
    assert still_batch_words.throw_sentences(easy)[0].startswith("Nothing need be thrown away")
