"""Cook, convert, ferment, separate, fill: what a maker would notice if it were wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from caskward.properties import alcohol
from caskward.stages.blend import blend
from caskward.stages.convert import ConvertUnknowns, convert
from caskward.stages.cook import CookSettings, CookUnknowns, cook, gelatinised_share
from caskward.stages.ferment import FermentUnknowns, ferment
from caskward.stages.grist import Analysis, weighed
from caskward.stages.mature import Cask, FillUnknowns, WoodPace, fill, fill_by
from caskward.stages.reduce import reduce
from caskward.stages.separate import SeparateSettings, SeparateUnknowns, separate
from caskward.stages.stream import Stream, mixed, spirit_of

ONE = np.ones(1)


def test_heat_up_time_by_hand() -> None:
    """100 L of water from 15 to 85 °C, 10 kW at half efficiency: 99.8 kg x 4.18 x 70 K / 5 kW = 1.62 h."""
    mash = Stream.of(temp_c=15.0, water_kg=99.8 * ONE)
    _, record = cook(mash, CookSettings(1, 10.0, 85.0, 0.0), CookUnknowns(0.5 * ONE, 0.0 * ONE))
    assert float(record.heat_up_h[0]) == pytest.approx(99.8 * 4.18 * 70 / 3600 / 5.0, rel=0.01)


def test_hot_mash_fills_more_of_the_pot() -> None:
    mash = Stream.of(temp_c=15.0, water_kg=100.0 * ONE, starch_kg=20.0 * ONE)
    _, record = cook(mash, CookSettings(2, 10.0, 90.0, 1.0), CookUnknowns(0.5 * ONE, 0.01 * ONE))
    assert float(record.pot_volume_l[0] * 2) > float(mash.volume_l[0]) * 1.02


def test_nothing_swells_below_its_range_and_all_above() -> None:
    onset, complete = np.array([62.0]), np.array([72.0])
    assert gelatinised_share(55.0, onset, complete)[0] == 0.0
    assert gelatinised_share(67.0, onset, complete)[0] == pytest.approx(0.5)
    assert gelatinised_share(90.0, onset, complete)[0] == 1.0


def test_raw_starch_stays_starch() -> None:
    mash = Stream.of(water_kg=300.0 * ONE, starch_kg=60.0 * ONE)
    out, record = convert(mash, 0.0 * ONE, ConvertUnknowns(0.95 * ONE, 0.97 * ONE))
    assert out.fermentable_kg[0] == 0.0
    assert record.losses[0].lpa[0] == pytest.approx(
        float(alcohol.litres_pure_alcohol(mash.potential_ethanol_kg[0]))
    )


def test_sweetness_raises_gravity_as_a_saccharometer_knows_it() -> None:
    """60 kg of starch split in 300 kg of water is 66.7 kg of sugar in 360 kg: 18.5 °Plato, SG 1.076 (ASBC
    tables, from memory, 0.001)."""
    mash = Stream.of(water_kg=300.0 * ONE, starch_kg=60.0 * ONE)
    _, record = convert(mash, ONE, ConvertUnknowns(ONE, ONE))
    assert float(record.specific_gravity[0]) == pytest.approx(1.076, abs=0.0015)


def test_yeast_stops_at_what_it_can_stand() -> None:
    must = Stream.of(water_kg=70.0 * ONE, hexose_kg=30.0 * ONE)
    unknowns = FermentUnknowns(ONE, 0.0 * ONE, 0.92 * ONE, 12.0 * ONE, 0.0 * ONE)
    dry, record = ferment(must, unknowns)
    assert record.stopped_by_strength[0]
    assert float(dry.strength_pct_vol[0]) == pytest.approx(12.0, abs=0.15)
    assert dry.solubles_kg[0] > 3.0


def test_dry_wash_reads_below_water_and_molasses_does_not() -> None:
    unknowns = FermentUnknowns(0.99 * ONE, 0.0 * ONE, 0.93 * ONE, 20.0 * ONE, 0.0 * ONE)
    sugar, sugar_record = ferment(Stream.of(water_kg=100.0 * ONE, sucrose_kg=20.0 * ONE), unknowns)
    molasses = Stream.of(water_kg=100.0 * ONE, sucrose_kg=15.0 * ONE, solubles_kg=9.0 * ONE)
    _, molasses_record = ferment(molasses, unknowns)
    assert 0.985 < float(sugar_record.final_gravity[0]) < 0.996  # common practice: 0.986 to 0.995
    assert float(molasses_record.final_gravity[0]) > 1.015
    assert float(sugar.strength_pct_vol[0]) > 10.0


def test_solids_hold_wash_and_a_press_gives_some_back() -> None:
    wash = Stream.of(water_kg=300.0 * ONE, ethanol_kg=20.0 * ONE, insolubles_kg=25.0 * ONE)
    unknowns = SeparateUnknowns(3.5 * ONE, 0.4 * ONE, 0.0 * ONE, 0.0 * ONE)
    bag, bagged = separate(wash, SeparateSettings(strains=True, presses=False), unknowns)
    press, pressed = separate(wash, SeparateSettings(strains=True, presses=True), unknowns)
    assert float(bagged.held_l[0]) == pytest.approx(87.5 / 0.972, rel=0.03)
    assert float(press.lpa[0] - bag.lpa[0]) == pytest.approx(0.4 * float(bagged.losses[0].lpa[0]), rel=1e-6)
    assert pressed.pressed_l[0] > 0
    whole, _ = separate(wash, SeparateSettings(strains=False, presses=False), unknowns)
    assert whole.insolubles_kg[0] == 25.0


def test_lees_and_hoses_take_their_litres() -> None:
    wash = Stream.of(water_kg=300.0 * ONE, ethanol_kg=20.0 * ONE)
    _, record = separate(
        wash, SeparateSettings(strains=True, presses=False), SeparateUnknowns(ONE, ONE, 0.05 * ONE, 2.0 * ONE)
    )
    by_name = {loss.name: float(loss.lpa[0]) for loss in record.losses}
    assert by_name["left on the lees"] == pytest.approx(0.05 * float(wash.lpa[0]), rel=1e-6)
    assert by_name["left in hoses and vessels"] == pytest.approx(
        0.95 * float(wash.lpa[0]) * 2.0 / (0.95 * float(wash.volume_l[0])), rel=1e-3
    )


def test_reduce_agrees_with_the_public_function() -> None:
    spirit = Stream.of(ethanol_kg=8.0 * ONE, water_kg=4.0 * ONE)
    _, record = reduce(spirit, 60.0)
    plain = alcohol.reduce(float(spirit.volume_l[0]), float(spirit.strength_pct_vol[0]), 60.0)
    assert float(record.water_kg[0]) == pytest.approx(plain.water_kg, rel=1e-9)
    assert float(record.volume_l[0]) == pytest.approx(plain.final_l, rel=1e-9)
    assert record.contraction_l[0] > 0


def test_blend_stays_under_its_limit_and_above_the_element() -> None:
    strong = Stream.of(ethanol_kg=10.0 * ONE, water_kg=6.0 * ONE)
    out, record = blend((strong,), 40.0, 30.0)
    assert float(out.strength_pct_vol[0]) <= 40.0
    assert float(out.volume_l[0]) >= 30.0 - 1e-6
    assert float(record.contraction_l[0]) > 0


def test_soaked_wood_thins_and_dry_wood_drinks() -> None:
    """A 20 L fill at 62.5 %vol in a soaked cask of 0.39 to 0.45 m² settles 3 to 5.5 %vol lower.

    *Common practice, no source*: about 1.5 L of water mixes in, most of it over weeks.
    """
    w = float(alcohol.mass_fraction(62.5))
    kg = 20.0 * float(alcohol.density(w, 20.0)) / 1000.0
    spirit = Stream.of(ethanol_kg=kg * w * ONE, water_kg=kg * (1 - w) * ONE)
    unknowns = FillUnknowns(1.5 / 0.42 * ONE, 0.15 * ONE, 4.0 * ONE)
    _, soaked = fill(spirit, Cask(20.5, 0.42, soaked=True), unknowns)
    assert 3.0 <= float(soaked.entry_pct_vol[0] - soaked.settled_pct_vol[0]) <= 5.5
    assert soaked.first_days_pct_vol[0] > soaked.settled_pct_vol[0]
    _, dry = fill(spirit, Cask(20.5, 0.42, soaked=False), unknowns)
    assert float(dry.settled_level_l[0]) == pytest.approx(20.0 - 4.0 * 0.42, abs=0.01)
    assert dry.settled_pct_vol[0] == pytest.approx(62.5, abs=1e-6)


def test_weighing_splits_by_the_analysis() -> None:
    analysis = Analysis(0.12 * ONE, 0.62 * ONE, 0.04 * ONE, 0.5 * ONE, 0.0 * ONE, 0.03 * ONE)
    rye = weighed(100.0, analysis, 15.0)
    assert rye.starch_kg[0] == pytest.approx(88.0 * 0.62)
    assert rye.sucrose_kg[0] == rye.hexose_kg[0] == pytest.approx(88.0 * 0.02)
    assert rye.total_kg[0] == pytest.approx(100.0)
    overfull = weighed(100.0, Analysis(0.2 * ONE, 0.0 * ONE, 0.9 * ONE, ONE, 0.0 * ONE, 0.3 * ONE), 15.0)
    assert overfull.sucrose_kg[0] == pytest.approx(72.0)
    assert overfull.solubles_kg[0] == pytest.approx(8.0)
    assert overfull.total_kg[0] == pytest.approx(100.0)


def test_mixing_balances_heat() -> None:
    hot = Stream.of(temp_c=80.0, water_kg=30.0 * ONE)
    cold = Stream.of(temp_c=20.0, water_kg=10.0 * ONE)
    assert float(mixed(hot, cold).temp_c[0]) == pytest.approx(65.0)
    with pytest.raises(TypeError, match="no sugar_kg"):
        Stream.of(sugar_kg=1.0)


@pytest.mark.parametrize("sugar", ["hexose_kg", "sucrose_kg", "dextrin_kg"])
@pytest.mark.parametrize("limit_pct_vol", [8.0, 14.0])
def test_the_yeast_s_limit_counts_every_sugar(sugar: str, limit_pct_vol: float) -> None:
    must = Stream.of(water_kg=70.0 * ONE, **{sugar: 30.0 * ONE})
    dry, record = ferment(must, FermentUnknowns(ONE, ONE, 0.92 * ONE, limit_pct_vol * ONE, 0.0 * ONE))
    assert record.stopped_by_strength[0]
    assert float(dry.strength_pct_vol[0]) == pytest.approx(limit_pct_vol, abs=0.01)


def test_wood_comes_on_day_by_day() -> None:
    """Entry strength on filling day, all of the water in the end; by hand, 0.95 of the quick in a day."""
    spirit = spirit_of(24.0 * ONE, 63.0 * ONE)
    cask, unknowns = Cask(25.0, 0.5, soaked=True), FillUnknowns(2.8 * ONE, 0.2 * ONE, 0.0 * ONE)
    pace = WoodPace(1e9 * ONE, 0.35)
    whole = fill(spirit, cask, unknowns)[1]
    first = fill_by(spirit, cask, unknowns, pace, 0.0)[1]
    assert float(first.settled_pct_vol[0]) == pytest.approx(63.0, abs=1e-9)
    assert float(first.settled_level_l[0]) == pytest.approx(24.0, abs=1e-9)
    after_a_day = fill_by(spirit, cask, unknowns, pace, 1.0)[1]
    quick = fill(spirit, cask, replace(unknowns, wood_water_l_m2=2.8 * 0.2 * 0.9502 * ONE))[1]
    assert float(after_a_day.settled_pct_vol[0]) == pytest.approx(float(quick.settled_pct_vol[0]), abs=1e-4)
    weeks = WoodPace(21.0 * ONE, 0.35)
    course = [
        float(fill_by(spirit, cask, unknowns, weeks, d)[1].settled_pct_vol[0]) for d in (0, 1, 7, 30, 90)
    ]
    assert course == sorted(course, reverse=True)
    late = fill_by(spirit, cask, unknowns, weeks, 600.0)[1]
    assert float(late.settled_pct_vol[0]) == pytest.approx(float(whole.settled_pct_vol[0]), abs=1e-6)


def test_dry_wood_drinks_over_days_and_weeks() -> None:
    """Catalogue: of what it drinks, 0.35 in the first 48 hours (0.95 of that by then)."""
    spirit = spirit_of(24.0 * ONE, 63.0 * ONE)
    cask, unknowns = Cask(25.0, 0.5, soaked=False), FillUnknowns(0.0 * ONE, 0.2 * ONE, 4.0 * ONE)
    two_days = fill_by(spirit, cask, unknowns, WoodPace(1e9 * ONE, 0.35), 2.0)[1]
    assert 24.0 - float(two_days.settled_level_l[0]) == pytest.approx(2.0 * 0.35 * 0.9502, rel=1e-3)
    assert float(two_days.settled_pct_vol[0]) == pytest.approx(63.0, abs=1e-9)
