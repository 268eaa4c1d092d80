"""Pots in turn: heat, swelling, steam, and a tub that cools while it waits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import NotHotEnough, OutOfRange
from caskward.properties import heat, water
from caskward.stages.balance import imbalance
from caskward.stages.cook import TURN_H, CookSettings, CookUnknowns, cook, poured_in_turn_c
from caskward.stages.grist import Analysis, weighed
from caskward.stages.pots import (
    GIVES_UP_H,
    Cook,
    Portion,
    Pot,
    after_a_day_c,
    cook_in_turn,
    cook_pot,
    heat_hours,
)
from caskward.stages.stirring import grain_that_fills, stirred_in, strike_water_c
from caskward.stages.stream import Stream, mixed
from caskward.stages.tub_heat import TubWall, standing

N = 3
KG_L = water.density(20.0) / 1000.0
GRAIN = Analysis(*(np.full(N, share) for share in (0.12, 0.62, 0.04, 0.5, 0.0, 0.03)))
POT = Pot(100.0, 9.0, np.array([0.4, 0.5, 0.6]), np.full(N, 12.0))
COOK = Cook(90.0, 1.0, 18.0, np.array([57.0]), np.array([70.0]), np.full(N, 0.012))
WALL = TubWall(np.array([2.0, 4.0, 20.0]), 18.0)


def portion(kg: float = 20.0, water_l: float = 65.0, water_c: float = 15.0, **more: object) -> Portion:
    return Portion((weighed(kg, GRAIN, 15.0),), water_l, water_c, **more)  # type: ignore[arg-type]


def test_heat_up_by_stepping_its_equation() -> None:
    """C dT/dt = P e - UA (T - Ta), and 12 kJ/kg of starch spread over 57 to 70 °C: a second a step."""
    out, record = cook_pot(portion(), POT, COOK)
    starch_kg = float(out.starch_kg[0])
    mash = mixed(Stream.of(temp_c=15.0, water_kg=65.0 * KG_L), weighed(20.0, GRAIN, 15.0))
    temp_c, seconds = record.stirred_c.copy(), np.zeros(N)
    while np.any(temp_c < 90.0):
        kw = 9.0 * POT.efficiency - 12.0 * (temp_c - 18.0) / 1000.0
        in_range = (temp_c > 57.0) & (temp_c < 70.0)
        capacity = mash.heat_capacity_kj_k + in_range * 12.0 * starch_kg / 13.0
        seconds += temp_c < 90.0
        temp_c = temp_c + kw / capacity
    assert record.heat_up_h == pytest.approx(seconds / 3600.0, abs=2.0 / 3600.0)


def test_heat_without_walls_is_plain_division() -> None:
    pot = replace(POT, heat_loss_w_k=np.zeros(N))
    hours = heat_hours(np.full(N, 15.0), np.full(N, 90.0), np.full(N, 360.0), pot, 18.0)
    assert hours == pytest.approx(360.0 * 75.0 / 3600.0 / (9.0 * POT.efficiency))


def test_balance_of_pots_in_turn_is_exact() -> None:
    held = Stream.of(temp_c=70.0, water_kg=np.full(N, 30.0))
    whole = portion(top_up_l=6.0, top_up_c=12.0)
    for wall in (WALL, replace(WALL, lid=False, surface_m2=0.4)):
        tub, record = cook_in_turn((whole, whole, portion(18.0)), POT, COOK, wall, held)
        poured = Stream.of(water_kg=np.full(N, (65.0 * 3 + 12.0) * KG_L))
        came = [held, poured, *(g for p in (whole, whole, portion(18.0)) for g in p.grains)]
        off = imbalance(came, [tub], record.losses)
        assert off.mass < 1e-12
        assert off.alcohol < 1e-12


def test_the_tub_waits_as_long_as_the_next_pot_takes() -> None:
    cook = replace(COOK, turn_h=0.25)
    tub, record = cook_in_turn((portion(), portion()), POT, cook, WALL)
    waited_h = record.pots[1].busy_h + 0.25
    first, _ = cook_pot(portion(), POT, cook)
    stood = standing(first.temp_c, first.heat_capacity_kj_k, WALL, np.stack([0 * waited_h, waited_h]))
    assert record.before_c[1] == pytest.approx(stood[-1])
    assert np.all(np.isnan(record.before_c[0]))
    assert np.all(np.diff(record.before_c[1]) < 0.0)
    assert record.after_c[1] == pytest.approx(mixed(first.at(stood[-1]), first).temp_c)
    assert record.after_l[1] == pytest.approx(tub.volume_at(tub.temp_c))
    assert record.at_h[1] == pytest.approx(record.pots[0].busy_h + waited_h)


def test_the_sum_of_it_for_a_plan_lands_where_the_pots_do() -> None:
    """Six pots into two tubs, no heat lost by the pot itself: three into each, waits and all."""
    tight = replace(POT, heat_loss_w_k=np.zeros(N))
    tub, _ = cook_in_turn((portion(),) * 3, tight, replace(COOK, turn_h=TURN_H), WALL)
    whole = mixed(
        *(portion(water_l=65.0).grains * 6), Stream.of(temp_c=15.0, water_kg=np.full(N, 390 * KG_L))
    )
    settings = CookSettings(6, POT.power_kw, COOK.cook_c, COOK.hold_h)
    cooked, summed = cook(whole, settings, CookUnknowns(POT.efficiency, COOK.steam_share_per_h))
    for k, wall_w_k in enumerate(WALL.heat_loss_w_k):
        wall = replace(WALL, heat_loss_w_k=np.asarray(wall_w_k))
        landed_c = poured_in_turn_c(cooked, summed, settings, 2, wall)
        assert landed_c[k] == pytest.approx(tub.temp_c[k], abs=0.1)
        assert landed_c[k] < COOK.cook_c - 0.5


def test_swelling_takes_no_room_and_the_fill_is_checked_hot() -> None:
    out, record = cook_pot(portion(), POT, COOK)
    raw = mixed(Stream.of(temp_c=15.0, water_kg=65.0 * KG_L), weighed(20.0, GRAIN, 15.0))
    assert record.hot_l == pytest.approx(raw.volume_at(90.0), rel=1e-5)
    assert np.all(record.fits)
    assert not np.any(cook_pot(portion(26.0, 85.0), POT, COOK)[1].fits)
    assert not np.any(cook_pot(portion(20.0, 65.0, top_up_l=25.0), POT, COOK)[1].fits)
    assert record.topped_l == pytest.approx(out.volume_at(90.0))


def test_top_up_cools_as_a_mixture_does() -> None:
    plain, _ = cook_pot(portion(), POT, COOK)
    topped, record = cook_pot(portion(top_up_l=10.0, top_up_c=12.0), POT, COOK)
    cold = Stream.of(temp_c=12.0, water_kg=10.0 * KG_L)
    assert topped.temp_c == pytest.approx(mixed(plain, cold).temp_c, abs=1e-5)
    assert np.all(record.topped_c < record.reached_c)


def test_steam_is_never_more_than_the_heat_makes() -> None:
    weak = replace(POT, power_kw=2.2, efficiency=np.full(N, 0.5), heat_loss_w_k=np.full(N, 12.0))
    boil = replace(COOK, steam_share_per_h=np.full(N, 0.2))
    _, record = cook_pot(portion(), weak, boil)
    spare_kw = 1.1 - 12.0 * 72.0 / 1000.0
    assert record.boil_off_kg == pytest.approx(3600.0 * spare_kw / heat.latent_water_kj_kg(90.0))
    assert record.energy_kwh == pytest.approx(2.2 * (record.heat_up_h + 1.0))


def test_a_pot_too_weak_says_how_far_it_gets() -> None:
    weak = replace(POT, power_kw=1.0)
    with pytest.raises(NotHotEnough, match=r"about 5[6-9] °C"):
        cook_pot(portion(), weak, COOK)
    strong = replace(POT, heat_loss_w_k=np.zeros(N))
    mash = mixed(Stream.of(temp_c=15.0, water_kg=65.0), weighed(20.0, GRAIN, 15.0))
    rise_k = 9.0 * POT.efficiency * 86400.0 / mash.heat_capacity_kj_k
    assert after_a_day_c(mash, strong, 18.0) == pytest.approx(15.0 + rise_k)


def test_an_open_pot_ends_at_its_boil() -> None:
    with pytest.raises(OutOfRange, match="open pot"):
        cook_pot(portion(), POT, replace(COOK, cook_c=120.0))


def test_a_world_whose_pot_falls_short_is_kept_as_it_is() -> None:
    weak = replace(POT, power_kw=2.0)
    _, record = cook_pot(portion(), weak, COOK)
    assert record.reached_c[0] == pytest.approx(18.0 + 800.0 / 12.0, abs=3.0)
    assert record.reached_c[0] < 18.0 + 800.0 / 12.0
    assert record.heat_up_h[0] == GIVES_UP_H
    assert record.reached_c[2] == pytest.approx(90.0)
    assert record.heat_up_h[2] < GIVES_UP_H


def test_swelling_waits_for_the_range_and_for_time() -> None:
    cool = replace(COOK, cook_c=55.0)
    half = replace(COOK, cook_c=63.5)
    brief = replace(COOK, cook_c=70.0, hold_h=0.0)
    assert np.all(cook_pot(portion(), POT, cool)[1].swollen_share == 0.0)
    assert cook_pot(portion(), POT, half)[1].swollen_share == pytest.approx(0.5, abs=1e-6)
    short = cook_pot(portion(), POT, brief)[1].swollen_share
    assert np.all(short < 1.0)
    assert np.all(cook_pot(portion(), POT, COOK)[1].swollen_share > short)


def test_water_warmed_in_the_pot_costs_time_and_heat() -> None:
    kettle, pot = portion(water_c=75.0), portion(water_c=75.0, warmed_from_c=12.0)
    from_kettle, in_pot = cook_pot(kettle, POT, COOK)[1], cook_pot(pot, POT, COOK)[1]
    assert np.all(from_kettle.warming_h == 0.0)
    assert in_pot.heat_up_h == pytest.approx(from_kettle.heat_up_h)
    assert in_pot.energy_kwh - from_kettle.energy_kwh == pytest.approx(9.0 * in_pot.warming_h)


@given(st.floats(40.0, 78.0), st.floats(0.0, 30.0), st.floats(1.5, 6.0))
def test_strike_water_and_stirring_in_are_each_other_s_inverse(
    target_c: float, grain_c: float, litres_per_kg: float
) -> None:
    grain = weighed(10.0, GRAIN, grain_c)
    water_c = strike_water_c(target_c, 10.0 * litres_per_kg, (grain,))
    hot = Stream.of(temp_c=water_c, water_kg=10.0 * litres_per_kg * KG_L)
    assert stirred_in(hot, (grain,)).temp_c == pytest.approx(target_c, abs=1e-9)


@given(st.floats(8.0, 40.0), st.floats(20.0, 100.0))
def test_more_heat_is_never_slower_and_more_water_never_faster(power_kw: float, water_l: float) -> None:
    slow = cook_pot(portion(water_l=water_l), replace(POT, power_kw=power_kw), COOK)[1]
    fast = cook_pot(portion(water_l=water_l), replace(POT, power_kw=1.1 * power_kw), COOK)[1]
    more = cook_pot(portion(water_l=1.1 * water_l), replace(POT, power_kw=power_kw), COOK)[1]
    assert np.all(fast.heat_up_h < slow.heat_up_h)
    assert np.all(more.heat_up_h > slow.heat_up_h)
    assert np.all(np.diff(slow.heat_up_h) < 0.0)


def test_grain_by_the_pot_s_fill() -> None:
    assert grain_that_fills(0.3, 80.0, 0.72) == pytest.approx(17.28)


def test_a_dose_is_recorded_as_it_was_said() -> None:
    assert cook_pot(portion(thinning="6 mL"), POT, COOK)[1].thinning == "6 mL"
