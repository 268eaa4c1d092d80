"""A spirit run as a face gets it: plain figures with bands, refusals with what mends them."""

from __future__ import annotations

import itertools
import json
import re
from dataclasses import replace

import pytest

from caskward.errors import (
    ChargeRefused,
    InputError,
    MissingValue,
    NothingRuns,
    NotUnderstood,
    OutOfRange,
    UnknownName,
)
from caskward.errors.still import NothingCovers
from caskward.services import still_run_words, still_typed
from caskward.services.still_charge import checked, liquid_of
from caskward.services.still_gear import Gear
from caskward.services.still_run import RunAsk, RunReport, as_json, run
from caskward.stages.distil import Stop

GEAR = Gear("pot-bare", 6.0, limit_l=110.0, altitude_m=140.0)
ASK = RunAsk(60.0, 28.0, GEAR, receivers=still_typed.receivers("24 x 1 L"))


@pytest.fixture(scope="module")
def report() -> RunReport:
    return run(ASK)


def test_the_alcohol_of_the_receivers_is_what_was_collected(report: RunReport) -> None:
    """Middles of 25 bands against the middle of their sum: one in a hundred."""
    assert sum(line.lpa.mid for line in report.receivers) == pytest.approx(report.collected_lpa.mid, rel=0.01)
    assert [line.name for line in report.receivers[:2]] == ["jar 1", "jar 2"]
    assert report.receivers[-1].name == "rest"
    assert all(line.volume_l.mid == pytest.approx(1.0, abs=1e-6) for line in report.receivers[:24])
    assert report.collected_lpa.high < report.charge.lpa == pytest.approx(16.8)


def test_heat_and_time_agree(report: RunReport) -> None:
    """All the heat runs at one power, so kWh are hours times kW.

    Heat-up by hand: 57.9 kg (0.9654 kg/L at 28 %vol, OIML R 22, from memory) at 4.3 kJ/kg/K (handbook figure
    for such a mixture, from memory) from 20 to 85.6 °C through 85 % of 6 kW: 0.888 h; 5 % for the capacity.
    """
    assert report.energy_kwh.mid == pytest.approx(6.0 * report.hours.mid, rel=1e-6)
    by_hand_h = 57.9 * 4.3 * (85.6 - 20.0) / 3600.0 / (6.0 * 0.85)
    assert report.heat_up_h.mid == pytest.approx(by_hand_h, rel=0.05)


def test_the_rate_adds_up_to_the_run() -> None:
    """Litres over litres an hour, step by step, are the hours; and at first it is 6 kW over what boils.

    By hand: of 6 kW 85 % boil, 10 % of the vapour goes back. 78 %vol is 0.71 by mass and 0.865 kg/L (OIML
    R 22, from memory) with 0.71 x 846 + 0.29 x 2257 = 1255 kJ/kg latent (handbook, from memory): 5.1 x 3600 x
    0.9 / 1255 / 0.865 = 15.2 L/h; less what keeps the pot warming, some tenth of the heat.
    """
    moments = run(replace(ASK, stop=Stop("volume_l", 20.0))).course.moments
    assert moments[-1].running == 1.0
    hours = sum(
        2.0 * (after.volume_l - before.volume_l) / (before.rate_l_h.mid + after.rate_l_h.mid)
        for before, after in itertools.pairwise(moments)
    )
    assert hours == pytest.approx(moments[-1].hours.mid, rel=0.01)
    assert 0.85 * 15.2 < moments[0].rate_l_h.mid < 15.2


def test_the_condenser_carries_what_boils_and_water_carries_that(report: RunReport) -> None:
    """The most is what boils and its cooling to 20 °C; water takes 4.18 kJ/kg/K (handbook, from memory)."""
    cooling = report.cooling
    assert 4.5 < cooling.duty_kw.mid < 6.0
    by_hand_l = cooling.heat_kwh.mid * 3600.0 / (4.18 * (50.0 - 15.0))
    assert cooling.water_l.mid == pytest.approx(by_hand_l, rel=0.01)
    warm = run(replace(ASK, water_c=30.0))
    assert warm.cooling.water_l.mid == pytest.approx(cooling.water_l.mid * 35.0 / 20.0, rel=0.01)


def test_json_holds_no_noise(report: RunReport) -> None:
    figures = re.findall(r"-?\d+\.\d+(?:e-?\d+)?", as_json(report))
    assert len(figures) > 1000
    assert all(len(re.sub(r"e.*|[-.]", "", one).lstrip("0")) <= 6 for one in figures)
    assert "-0.0" not in figures


def test_what_runs_gets_weaker_and_hotter(report: RunReport) -> None:
    moments = report.moments
    assert moments[0].volume_l == 0.0
    for before, after in itertools.pairwise(moments):
        assert after.spout_pct_vol.mid < before.spout_pct_vol.mid
        assert after.pot_c.mid > before.pot_c.mid
        assert after.energy_kwh.mid > before.energy_kwh.mid
    for moment in moments:
        for b in (moment.spout_pct_vol, moment.pot_c, moment.vapour_c, moment.hours):
            assert b.low <= b.mid <= b.high
    early, heart, late = report.course.groups
    assert early.mg_per_l[0].mid > 100.0 * early.mg_per_l[-1].mid
    assert heart.mg_per_l[0].mid > heart.mg_per_l[-1].mid
    assert late.mg_per_l[-1].mid > late.mg_per_l[0].mid


def test_a_stop_ends_the_run_where_it_says() -> None:
    at_volume = run(replace(ASK, stop=Stop("volume_l", 20.0)))
    assert at_volume.collected_l.low == pytest.approx(20.0, abs=1e-3)
    assert at_volume.collected_l.high == pytest.approx(20.0, abs=1e-3)
    at_pot = run(replace(ASK, stop=Stop("pot_pct_vol", 5.0)))
    assert at_pot.course.moments[-1].pot_pct_vol.low == pytest.approx(5.0, abs=0.2)
    assert min(moment.pot_pct_vol.low for moment in at_pot.course.moments) > 5.0 - 1e-6
    in_time = run(replace(ASK, stop=Stop("hours", 1.0)))
    assert in_time.hours.mid == pytest.approx(in_time.heat_up_h.mid + 1.0, abs=0.05)


@pytest.mark.parametrize(
    ("stop", "said"),
    [
        (Stop("spout_pct_vol", 90.0), "It begins at 77.8 %vol"),
        (Stop("pot_pct_vol", 30.0), "It begins at 28.0 %vol and only falls. Choose a stop under 28.0 %vol"),
        (Stop("pot_c", 80.0), "only rises. Choose a stop over 8"),
        (Stop("vapour_c", 75.0), "only rises. Choose a stop over 8"),
    ],
)
def test_a_stop_met_before_the_first_drop_is_refused_with_where_it_begins(stop: Stop, said: str) -> None:
    with pytest.raises(NothingRuns) as refused:
        run(replace(ASK, stop=stop))
    assert said in str(refused.value)


def test_a_stop_met_at_once_in_some_worlds_bands_the_others() -> None:
    some = run(replace(ASK, stop=Stop("spout_pct_vol", 77.5), receivers=()))
    assert any("before the first drop in" in said for said in some.warnings)
    assert some.collected_l.low == 0.0
    assert some.collected_pct_vol.low >= 77.5 - 1e-6
    assert all(line.pct_vol.low >= 77.0 for line in some.receivers if line.filled > 0.0)
    assert "-0" not in still_run_words.run_headline(some, "metric")


def test_a_stop_never_met_says_so() -> None:
    whole = run(replace(ASK, stop=Stop("volume_l", 59.9)))
    assert whole.reached == 0.0
    assert "is met in no possible run" in whole.warnings[0]
    some = run(replace(ASK, stop=Stop("volume_l", 43.0)))
    assert 0.0 < some.reached < 1.0
    assert f"is not met in {round(10 * (1.0 - some.reached))} of 10 possible runs" in some.warnings[0]


def test_a_congener_curve_left_behind_is_said() -> None:
    """The azeotrope grows richer as the pressure falls: at 5,000 m it lies past the curves' end."""
    column = run(replace(ASK, gear=replace(GEAR, plates=30.0, reflux_ratio=50.0, altitude_m=5000.0)))
    assert any("curves of the congeners end" in said for said in column.warnings)
    assert any("Plates hold no liquid" in said for said in column.warnings)


def test_water_that_mends_a_strong_charge() -> None:
    """60 L at 55 %vol hold 33 L of pure alcohol, which fill 33 / 0.4 = 82.5 L at 40 %vol, by definition."""
    with pytest.raises(ChargeRefused, match=r"add 23\.1 L of water, which makes 82\.5\d L at 40\.0 %vol"):
        run(replace(ASK, pct_vol=55.0))


@pytest.mark.parametrize(
    ("volume_l", "pct_vol", "gear", "said"),
    [
        (
            120.0,
            28.0,
            GEAR,
            "10 L more than the charge limit of 110 L: charge at most 110 L, as 2 charges of 60 L",
        ),
        (100.0, 28.0, replace(GEAR, working_l=102.0), "the working volume is 102 L: charge at most 97"),
        (
            20.0,
            28.0,
            replace(GEAR, least_l=25.0, element=True),
            "that cover the element: add 5 L of water",
        ),
        (105.0, 55.0, GEAR, "takes at once: charge at most 110 L, as 2 charges of 72.21 L"),
    ],
)
def test_what_must_not_be_lit_is_refused_with_what_mends_it(
    volume_l: float, pct_vol: float, gear: Gear, said: str
) -> None:
    with pytest.raises(ChargeRefused) as refused:
        run(RunAsk(volume_l, pct_vol, gear))
    assert said in str(refused.value)


def test_the_mended_charge_is_taken() -> None:
    """What the sentence says to charge is in order."""
    assert checked(liquid_of(97.7, 28.0), replace(GEAR, working_l=102.0)).boiling_l < 102.0
    assert checked(liquid_of(72.21, 40.0), GEAR).pct_vol == pytest.approx(40.0)


def test_a_site_s_own_rule_is_kept_on_record() -> None:
    rule = "Fire certificate 7: charges up to 60 %vol"
    own = run(replace(ASK, pct_vol=55.0, gear=replace(GEAR, site_rule=rule, strongest_pct_vol=60.0)))
    assert json.loads(as_json(own))["charge"]["site_rule"] == rule
    assert rule in own.charge.cautions[0]
    with pytest.raises(ChargeRefused, match="60 %vol of your site's rule"):
        run(replace(ASK, pct_vol=65.0, gear=replace(GEAR, site_rule=rule, strongest_pct_vol=60.0)))
    with pytest.raises(MissingValue, match="rule of your site"):
        replace(GEAR, strongest_pct_vol=60.0)


def test_an_element_that_would_fall_dry_is_said() -> None:
    gear = replace(GEAR, element=True, least_l=40.0)
    dry = run(replace(ASK, gear=gear))
    assert "which needs 40 L over it" in dry.charge.cautions[0]
    assert dry.bared is not None
    assert dry.bared.full_l == pytest.approx(110.0)
    stop = re.search(r'--stop "([^"]+)"', dry.charge.cautions[0])
    assert stop is not None
    mended = run(replace(ASK, gear=gear, stop=still_typed.stop(stop[1])))
    assert mended.bared is None
    assert mended.pot_left_l.low >= 40.0
    assert mended.pot_left_l.low == pytest.approx(40.0, abs=0.5)
    assert dry.bared.keeps_charge_l is not None
    assert not run(replace(ASK, gear=gear, volume_l=dry.bared.keeps_charge_l * 1.001)).bared
    assert dry.bared.keeps_water_l is not None
    whole = liquid_of(60.0, 28.0)
    wet = whole.with_masses(water_kg=whole.water_kg + dry.bared.keeps_water_l * 0.9982)
    makes_l, pct_vol = float(wet.volume_l), float(wet.strength_pct_vol)
    assert not run(replace(ASK, gear=gear, volume_l=makes_l, pct_vol=pct_vol)).bared
    unsaid = run(replace(ASK, gear=replace(GEAR, element=True)))
    assert "--least" in unsaid.charge.cautions[0]


def test_a_way_out_that_the_pot_has_no_room_for_is_not_named() -> None:
    full = run(replace(ASK, gear=replace(GEAR, element=True, least_l=40.0, limit_l=60.0)))
    assert "--stop" in full.charge.cautions[0]
    assert "charge at least" not in full.charge.cautions[0]
    assert "water to it" not in full.charge.cautions[0]
    endless = run(replace(ASK, gear=replace(GEAR, element=True, least_l=40.0, limit_l=None)))
    assert endless.bared is not None
    assert endless.bared.full_l is None, "nothing was said of what the pot takes, and JSON knows no infinity"
    assert "charge at least" in endless.charge.cautions[0]
    with pytest.raises(NothingCovers, match="do not light it"):
        run(replace(ASK, gear=replace(GEAR, element=True, least_l=60.0, limit_l=60.0)))


def test_more_doubt_about_the_head_means_wider_bands(report: RunReport) -> None:
    """An insulated head sends back 0.5 to 6 %, a bare one 4 to 20 %: its first drop is known better."""
    insulated = run(replace(ASK, gear=replace(GEAR, kind="pot-insulated")))
    bare, sure = report.first_pct_vol, insulated.first_pct_vol
    assert sure.high - sure.low < bare.high - bare.low
    assert sure.mid < bare.mid


def test_the_trade_s_marks_come_in_order(report: RunReport) -> None:
    middles = [mark.volume_l.mid for mark in report.cuts]
    assert middles == sorted(middles)
    assert [mark.key for mark in report.cuts] == ["foreshots end", "heads end", "heart ends", "tails end"]


def test_methanol_is_shown_for_fruit_and_pomace_with_what_laws_say(report: RunReport) -> None:
    fruit = run(replace(ASK, style="fruit"))
    assert report.methanol is None
    assert fruit.methanol is not None
    assert any("Cuts do not remove methanol" in said for said in fruit.methanol.sentences)
    assert any("laboratory" in said for said in fruit.methanol.sentences)
    assert {line.jurisdiction for line in fruit.methanol.limits} >= {"EU", "US"}
    for line in fruit.methanol.limits:
        assert ("check your local rule" in line.words) == line.from_memory


@pytest.mark.parametrize(
    "typed",
    [
        "60 L 28 %",
        "60 L of 28%",
        "60L,28 %vol",
        "60 L at 28 %",
        "60 L of low wines at 28 %",
        "60 L wash 28 %",
    ],
)
def test_a_charge_is_read_as_it_is_said(typed: str) -> None:
    assert still_typed.charge(typed) == still_typed.Typed(60.0, 28.0)


def test_us_units_are_read() -> None:
    """A US gallon is 3.785 411 784 L by definition; 56 proof is 28 %vol at 60 °F, near 28 at 20 °C."""
    charge = still_typed.charge("16 gal 56 proof")
    assert charge.volume_l == pytest.approx(16.0 * 3.785411784)
    assert charge.pct_vol == pytest.approx(28.0, abs=0.2)


@pytest.mark.parametrize(
    ("typed", "by", "value"),
    [
        ("10 %", "spout_pct_vol", 10.0),
        ("10 % at the spout", "spout_pct_vol", 10.0),
        ("1 % in the pot", "pot_pct_vol", 1.0),
        ("24 L", "volume_l", 24.0),
        ("24 L collected", "volume_l", 24.0),
        ("90 % of the alcohol", "alcohol_share", 0.9),
        ("98 C in the pot", "pot_c", 98.0),
        ("95 C vapour", "vapour_c", 95.0),
        ("6 h", "hours", 6.0),
        ("90 min", "hours", 1.5),
    ],
)
def test_a_stop_is_read_as_it_is_said(typed: str, by: str, value: float) -> None:
    stop = still_typed.stop(typed)
    assert (stop.by, stop.value) == (by, pytest.approx(value))


def test_a_row_of_receivers_is_read_as_it_is_said() -> None:
    plan = still_typed.receivers("foreshots 0.3 L, 3 x 1 L, heart to 62 %, tails")
    assert [one.name for one in plan] == ["foreshots", "jar 1", "jar 2", "jar 3", "heart", "tails"]
    assert plan[4].stops == (Stop("spout_pct_vol", 62.0),)
    assert plan[-1].stops == ()


@pytest.mark.parametrize(
    ("read", "typed", "error"),
    [
        (still_typed.charge, "60 28", NotUnderstood),
        (still_typed.charge, "60 L", NotUnderstood),
        (still_typed.charge, "", NotUnderstood),
        (still_typed.stop, "98 C", NotUnderstood),
        (still_typed.stop, "12", NotUnderstood),
        (still_typed.stop, "soon", InputError),
        (still_typed.receivers, "999 x 1 L", OutOfRange),
        (still_typed.receivers, "heart, tails", NotUnderstood),
        (still_typed.receivers, "2 x 1 L, 2 x 1 L", NotUnderstood),
        (still_typed.cap_of, "ethyl acetate", NotUnderstood),
        (still_typed.cap_of, "ethil acetate 300 mg/L", UnknownName),
    ],
)
def test_what_cannot_be_read_ends_in_a_sentence(read, typed: str, error: type[Exception]) -> None:
    with pytest.raises(error, match=r"[.?]$"):
        read(typed)


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        ("heart to 62 %, tails", "it goes into heart."),
        ("heart to 62 %, foreshots 0.3 L, tails", "it goes into heart, and foreshots stands behind it."),
        ("heads 1 L, foreshots 0.3 L, tails", "it goes into heads, and foreshots stands behind it."),
        ("foreshots 0.3 L, heart to 62 %, tails", ""),
        ("20 x 1 L, tails", ""),
    ],
)
def test_foreshots_that_would_run_into_the_heart_are_said_first(plan: str, said: str) -> None:
    first = run(replace(ASK, receivers=still_typed.receivers(plan))).charge.cautions
    assert bool(first) == bool(said)
    assert not said or said in first[0]


def test_a_stop_that_no_run_meets_is_not_told_as_the_end() -> None:
    never = still_run_words.run_headline(run(replace(ASK, stop=Stop("volume_l", 59.0))), "metric")
    assert "until the charge is spent, short of your stop" in never
    assert "59.0 L are collected" not in never


def test_a_mash_run_on_its_pulp_is_looked_at_for_scorching_foam_and_heat() -> None:
    """A fruit mash of 5 %vol with a tenth of solids: they take heat and stay, and settle on an element."""
    mash = replace(ASK, pct_vol=5.0, style="fruit", made_from="wash", stop=Stop("spout_pct_vol", 5.0))
    clear = run(replace(mash, gear=replace(GEAR, element=True, least_l=20.0)))
    pulp = run(
        replace(mash, gear=replace(GEAR, element=True, least_l=20.0, brimful_l=70.0), solids_share=0.1)
    )
    assert not clear.charge.scorches
    assert pulp.charge.scorches
    assert pulp.charge.foams
    assert any("scorch" in said for said in pulp.charge.cautions)
    assert pulp.charge.volume_l == pytest.approx(60.0)
    assert pulp.charge.lpa < clear.charge.lpa, "the strength is of the liquid, and solids take its room"
    with pytest.raises(OutOfRange, match="solids"):
        run(replace(mash, solids_share=0.5))
