"""Strips and feints as a face gets them."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from caskward.errors import (
    BuildUpOutOfReach,
    ChargeRefused,
    InputError,
    MissingValue,
    NotForThisRun,
    NothingRuns,
    NotUnderstood,
    OutOfRange,
)
from caskward.errors.batches import ImpossibleCuts, LeastOverMost, NoFullCharge, OverTheBrim, StopNeverMet
from caskward.errors.still import NothingCovers
from caskward.gauging.amounts import QUANTITIES, quantities
from caskward.planning.wish import cap
from caskward.services import still_batch_words, still_feints_words, still_own_units
from caskward.services.still_feints import FeintsAsk, FeintsReport, feints
from caskward.services.still_gear import Gear
from caskward.services.still_run import as_json
from caskward.services.still_strip import MOST_CHARGES, StripAsk, StripReport, strip_wash
from caskward.services.still_strip_ends import STRIP_STOP_EXAMPLES, strip_stop
from caskward.stages.distil import Stop

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
    assert level.mid == pytest.approx(line.throw.level_g_hl.mid, rel=1e-3)
    assert line.most_g_hl == 40.0
    assert line.throw.kept_none < 0.8 <= line.throw.kept <= line.throw.kept_all
    assert "throw away" in still_feints_words.throw_sentences(kept)[0]
    with pytest.raises(BuildUpOutOfReach, match=r"Even with all heads thrown away.*g/hL"):
        feints(replace(LOW_WINES, caps=(cap("ethyl acetate", 100.0),)))


def test_a_cap_that_is_kept_anyway_says_so() -> None:
    easy = feints(replace(LOW_WINES, caps=(cap("ethyl acetate", 5000.0),)))
    assert easy.throw[0].throw.share == 0.0
    assert still_feints_words.throw_sentences(easy)[0].startswith("No heads need be thrown away")


# The element -----------------------------------------------------------------------------------------


def element(least_l: float, **more: Any) -> Gear:
    return replace(GEAR, element=True, least_l=least_l, **more)


def test_a_strip_that_bares_the_element_says_so_first_with_what_keeps_it_covered() -> None:
    bad = replace(WASH, gear=element(15.0), stop=Stop("spout_pct_vol", 1.0))
    report = strip_wash(bad)
    (bare,) = report.bared
    assert bare.what == "The last charge"
    assert bare.left_l < 15.0
    assert report.checked.cautions[0].startswith("The last charge of 20 L boils down to ")
    assert "bares the heating element" in report.checked.cautions[0]
    assert bare.keeps_pct_vol is not None
    assert bare.keeps_charge_l is not None
    assert bare.keeps_water_l is not None
    assert not strip_wash(replace(bad, stop=Stop("spout_pct_vol", bare.keeps_pct_vol))).bared
    assert strip_wash(replace(bad, stop=Stop("spout_pct_vol", bare.keeps_pct_vol - 1.0))).bared
    alone = replace(bad, gear=element(15.0, limit_l=30.0))
    assert not strip_wash(replace(alone, volume_l=bare.keeps_charge_l * 1.0001)).bared
    assert strip_wash(replace(alone, volume_l=bare.keeps_charge_l * 0.99)).bared
    makes_l = 20.0 + bare.keeps_water_l
    watered = replace(alone, volume_l=makes_l, pct_vol=20.0 * 8.5 / makes_l)
    assert not strip_wash(watered).bared


def test_a_pot_with_no_room_over_its_element_is_not_to_be_lit() -> None:
    with pytest.raises(NothingCovers, match="do not light it"):
        strip_wash(replace(WASH, volume_l=30.0, gear=element(29.5, limit_l=30.0)))
    assert strip_wash(replace(WASH, volume_l=30.0, gear=element(22.0, limit_l=30.0))).bared
    with pytest.raises(NothingCovers, match="once it has settled"):
        feints(replace(LOW_WINES, gear=element(60.0)))
    thermometer = replace(GEAR, least_l=60.0)
    assert "no stop, charge or water" in feints(replace(LOW_WINES, gear=thermometer)).charge_cautions[0]


def test_stops_that_bare_the_element_are_marked_and_no_others() -> None:
    report = strip_wash(replace(WASH, gear=element(15.0)))
    marked = {line.stop_pct_vol for line in report.stops if line.bares}
    assert marked
    for stop in (line.stop_pct_vol for line in report.stops):
        really = strip_wash(replace(WASH, gear=element(15.0), stop=Stop("spout_pct_vol", stop))).bared
        assert bool(really) <= (stop in marked)
    rows = still_batch_words.stop_rows(report, "metric", 0)
    assert sum(row[0].endswith("!") for row in rows) == len(marked)
    assert not any(line.bares for line in strip_wash(WASH).stops)


def test_feints_name_the_element_before_all_else() -> None:
    report = feints(replace(LOW_WINES, gear=element(58.0, working_l=100.0)))
    assert report.bared is not None
    assert report.bared.keeps_pct_vol is None, "no stop before the heart has ended is a way out"
    assert report.bared.keeps_water_l is not None
    assert "bares the heating element" in report.charge_cautions[0]
    assert not feints(replace(LOW_WINES, gear=element(20.0))).bared
    unsaid = feints(replace(LOW_WINES, gear=element(0.0)))
    assert "not said (--least)" in unsaid.charge_cautions[0]


# The pot ---------------------------------------------------------------------------------------------


def test_a_wash_that_swells_past_the_working_volume_is_run_as_more_charges() -> None:
    report = strip_wash(replace(WASH, gear=replace(GEAR, working_l=100.0)))
    assert 93.0 < report.most_l < 97.0
    assert max(line.volume_l for line in report.charges) <= report.most_l * (1.0 + 1e-9)
    assert report.checked.boiling_l <= 100.0
    no_limit = strip_wash(replace(WASH, gear=replace(GEAR, limit_l=None, working_l=100.0)))
    assert no_limit.charges == report.charges


def test_every_batch_of_feints_keeps_to_the_pot() -> None:
    gear = replace(GEAR, working_l=75.0, least_l=50.0)
    report = feints(replace(LOW_WINES, pct_vol=48.0, gear=gear))
    for line in (*report.batches, report.steady):
        assert line.boiling_l.high <= 75.0
        assert line.each_l.low >= 50.0 - 1e-6
        assert line.charge_pct_vol.high <= 40.0 + 1e-6
    assert report.batches[0].for_strength_l.mid > 10.0
    (water, *_) = still_feints_words.water_sentences(report, "metric")
    assert "40 %vol" in water
    assert "in batch 1" in water


def test_a_pot_that_no_charge_suits_is_refused() -> None:
    for ask in (
        lambda gear: strip_wash(replace(WASH, gear=gear)),
        lambda gear: feints(replace(LOW_WINES, gear=gear)),
    ):
        with pytest.raises(LeastOverMost, match=r"at least 120 L must be charged .* at most 110 L"):
            ask(element(120.0))
        with pytest.raises(LeastOverMost, match="swells"):
            ask(element(98.0, working_l=100.0))


def test_a_strong_wash_is_mended_as_a_whole_and_before_heat_is_asked_for() -> None:
    with pytest.raises(ChargeRefused, match=r"350 L at 45.0 %vol .* add 4\d(\.\d)? L of water"):
        strip_wash(replace(WASH, pct_vol=45.0, gear=replace(GEAR, power_kw=0.0)))
    with pytest.raises(MissingValue, match="--power"):
        strip_wash(replace(WASH, gear=replace(GEAR, power_kw=0.0)))
    with pytest.raises(MissingValue, match="--power"):
        feints(replace(LOW_WINES, gear=replace(GEAR, power_kw=0.0)))


def test_a_site_s_rule_lifts_the_limit_and_is_kept_with_the_answer() -> None:
    rule = replace(GEAR, strongest_pct_vol=55.0, site_rule="Certificate 7")
    report = feints(replace(LOW_WINES, pct_vol=50.0, gear=rule))
    assert report.steady.charge_pct_vol.mid > 45.0
    assert report.steady.for_strength_l.high == 0.0
    assert any("Certificate 7" in caution for caution in report.charge_cautions)
    assert json.loads(as_json(report))["site_rule"] == "Certificate 7"


# What cannot be --------------------------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["banana", "0", "-5 %", "-5 L", "0 %", "98 C", "three"])
def test_a_stop_that_cannot_be_read_comes_with_stops_that_can(typed: str) -> None:
    with pytest.raises((NotUnderstood, OutOfRange)) as refusal:
        strip_stop(typed)
    assert STRIP_STOP_EXAMPLES in str(refusal.value)


@pytest.mark.parametrize("typed", ["3 %", "0.5 % in the pot", "99 C in the pot", "20 L", "3 h"])
def test_every_example_of_a_stop_can_be_run(typed: str) -> None:
    assert strip_wash(replace(WASH, stop=strip_stop(typed))).low_wines_lpa.mid > 5.0


@pytest.mark.parametrize(
    ("stop", "error"),
    [
        (Stop("volume_l", 200.0), NotForThisRun),
        (Stop("volume_l", 80.0), StopNeverMet),
        (Stop("volume_l", 0.0), NotForThisRun),
        (Stop("hours", 0.0), NotForThisRun),
        (Stop("hours", 100.0), StopNeverMet),
        (Stop("spout_pct_vol", 90.0), NothingRuns),
        (Stop("pot_c", 60.0), NothingRuns),
        (Stop("pot_c", 104.0), StopNeverMet),
        (Stop("pot_pct_vol", 20.0), NothingRuns),
    ],
)
def test_stops_that_no_strip_can_have_are_refused(stop: Stop, error: type[InputError]) -> None:
    with pytest.raises(error) as refusal:
        strip_wash(replace(WASH, stop=stop))
    assert refusal.value.exit_code == 2


def test_a_smaller_last_charge_that_cannot_meet_the_stop_says_so() -> None:
    report = strip_wash(replace(WASH, stop=Stop("volume_l", 30.0)))
    assert any("The last, smaller charge does not meet the stop" in said for said in report.warnings)
    assert not strip_wash(WASH).warnings


def test_other_conditions_that_cannot_be_are_refused() -> None:
    with pytest.raises(NoFullCharge, match="60 L do not make one full charge of 110 L"):
        strip_wash(replace(WASH, volume_l=60.0, charging="full only"))
    with pytest.raises(OutOfRange, match=f"between 1 and {MOST_CHARGES}"):
        strip_wash(replace(WASH, gear=replace(GEAR, limit_l=1.0)))
    with pytest.raises(NotForThisRun, match=r"200.0 .C"):
        strip_wash(replace(WASH, start_c=200.0))
    with pytest.raises(
        OverTheBrim, match="The charge limit of 110 L is more than the pot holds to the brim, 100 L"
    ):
        feints(replace(LOW_WINES, gear=replace(GEAR, brimful_l=100.0)))
    with pytest.raises(OutOfRange, match="--confidence"):
        feints(replace(LOW_WINES, confidence=0.0))


@pytest.mark.parametrize(
    ("cuts", "said"),
    [
        (
            {"foreshots_share": 0.3, "heads_share": 0.8},
            "110 % of the charge's alcohol, which leaves no heart",
        ),
        ({"heads_share": 1.0}, "leaves no heart"),
        ({"tails_stop_pct_vol": 70.0}, "the tails would end at 70.0 %vol"),
        ({"heart_end_pct_vol": 5.0}, "and the heart before them at 5.0 %vol"),
        ({"heart_end_pct_vol": 95.0}, "the first batch begins at 7"),
        ({"heads_share": 0.6, "heart_end_pct_vol": 70.0}, "nothing is left between them"),
    ],
)
def test_cuts_that_no_run_can_make_are_refused(cuts: dict[str, float], said: str) -> None:
    with pytest.raises(ImpossibleCuts) as refusal:
        feints(replace(LOW_WINES, **cuts))  # type: ignore[arg-type]
    assert said in str(refusal.value)
    assert refusal.value.exit_code == 2


# In words --------------------------------------------------------------------------------------------


def test_nothing_that_goes_back_is_said_as_nothing() -> None:
    report = feints(replace(LOW_WINES, heads_thrown=1.0, tails_thrown=1.0))
    line = still_feints_words.feints_headline(report, "metric")
    assert "no feints go back" in line
    assert "0.0 %vol" not in line
    assert "100 % of the heads and 100 % of the tails thrown away" in line
    rows = still_feints_words.batch_rows(report, "metric", 3)
    assert all(row[-2:] == (still_own_units.NONE, still_own_units.NONE) for row in rows[1:])


def test_fewer_foreshots_than_the_trade_discards_are_told() -> None:
    (said,) = feints(replace(LOW_WINES, foreshots_share=0.0)).warnings
    assert said.startswith("Nothing is discarded as foreshots")
    assert not feints(replace(LOW_WINES, foreshots_share=0.005)).warnings


def test_going_on_is_said_in_one_sentence(strips: StripReport) -> None:
    """The sums of the table's own steps from 10 down to 1 %vol."""
    (said,) = still_batch_words.going_on(strips, "metric")
    steps = [line for line in strips.stops if line.stop_pct_vol < 10.0]
    won = sum(line.extra_lpa.mid for line in steps if line.extra_lpa)
    cost = sum(
        line.extra_lpa.mid * line.kwh_per_extra_lpa.mid
        for line in steps
        if line.extra_lpa and line.kwh_per_extra_lpa
    )
    assert float(said.partition("about ")[2].split()[0]) == pytest.approx(won, abs=0.02)
    assert float(said.partition(" for ")[2].split()[0]) == pytest.approx(cost, rel=0.02)


def test_no_number_is_minus_nothing() -> None:
    assert still_own_units.fixed(-0.001, 2) == "0.00"
    assert still_own_units.fixed(-1.0, 1) == "-1.0"


def test_stops_at_which_nothing_comes_over_are_left_out() -> None:
    report = strip_wash(replace(WASH, pct_vol=1.0))
    assert report.stops[0].stop_pct_vol < 20.0
    assert report.stops[0].extra_lpa is None
    assert all(line.lpa.mid > 0.0 for line in report.stops)


def test_the_rate_is_that_of_the_run(strips: StripReport) -> None:
    line = strips.charges[0]
    assert line.rate_l_h.mid == pytest.approx(line.low_wines_l.mid / line.running_h.mid, rel=0.01)
    assert line.first_rate_l_h.mid > line.rate_l_h.mid > line.last_rate_l_h.mid
    assert ("a strip runs at") in dict(still_batch_words.strip_lines(strips, "metric"))


def test_a_proof_gallon_is_that_of_the_law() -> None:
    """Wine gallons at 60 °F times proof over 100; source 27-cfr-30, by the gauging's own figures."""
    for pct_vol in (10.0, 40.0, 96.0):
        quantity = dict(zip(QUANTITIES, quantities(10.0, pct_vol), strict=True))
        assert quantity["proof_gallons"] / quantity["lpa"] == pytest.approx(
            still_own_units.PROOF_GALLONS_PER_LPA, rel=2e-6
        )


def test_a_cap_says_its_chance_and_keeps_to_one_unit() -> None:
    report = feints(replace(LOW_WINES, caps=(cap("ethyl acetate", 400.0),), confidence=0.9))
    (said,) = still_feints_words.throw_sentences(report)
    assert "at most 40 g/hL of pure alcohol with 9 in 10 confidence" in said
    assert "of 10 possible runs" in said
    assert "mg" not in said
    assert report.throw[0].throw.confidence == 0.9
    assert "inside a band" not in still_feints_words.cap_notes(report)[0]
    more = feints(replace(LOW_WINES, caps=(cap("ethyl acetate", 400.0),)))
    assert more.throw[0].throw.share < report.throw[0].throw.share
    assert "8 in 10 confidence may lie inside a band" in still_feints_words.cap_notes(more)[0]


def test_what_is_done_with_tails_holds_while_heads_are_looked_at() -> None:
    capped = (cap("ethyl acetate", 400.0),)
    both = feints(replace(LOW_WINES, caps=capped, tails_thrown=0.5)).throw[0].throw
    alone = feints(replace(LOW_WINES, caps=capped)).throw[0].throw
    assert both.recovery_none.mid < alone.recovery_none.mid - 0.01
