"""A standing tub: its own law, what cools it, and what two readings teach."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import NothingCooled, OutOfRange
from caskward.properties import heat
from caskward.stages import tub_heat
from caskward.stages.balance import imbalance
from caskward.stages.landing import landing, ways_to_cool
from caskward.stages.stream import Stream
from caskward.stages.tub_heat import TubWall

WALL = TubWall(np.array([2.0, 7.0, 20.0]), 18.0)
OPEN = replace(WALL, lid=False, surface_m2=0.4)
HOURS = np.linspace(0.0, 24.0, 25)


def mash(temp_c: float) -> Stream:
    return Stream.of(
        temp_c=temp_c, water_kg=np.full(3, 150.0), hexose_kg=20.0, insolubles_kg=10.0, ethanol_kg=2.0
    )


def test_lid_off_follows_its_equation_as_a_fine_stepping_does() -> None:
    capacity, start_c = 700.0, 80.0
    fine_h = np.linspace(0.0, 24.0, 24 * 60 + 1)
    temp_c = np.full(3, start_c)
    for step_h in np.diff(fine_h):  # midpoint rule, a minute a step
        half_c = temp_c - 1800.0 * tub_heat.loss_kw(temp_c, OPEN) * step_h / capacity
        temp_c = temp_c - 3600.0 * tub_heat.loss_kw(half_c, OPEN) * step_h / capacity
    for grid in (HOURS, np.array([0.0, 24.0])):
        assert tub_heat.standing(start_c, capacity, OPEN, grid)[-1] == pytest.approx(temp_c, abs=1e-4)


def test_steam_takes_the_heat_that_the_walls_do_not() -> None:
    """Heat that left = through the walls + latent heat of the steam, both integrated over the course."""
    fine = np.linspace(0.0, 10.0, 2001)
    course = tub_heat.stood(75.0, 700.0, OPEN, fine)
    walls_kj = np.trapezoid(3.6 * OPEN.heat_loss_w_k * (course.temp_c - 18.0), fine, axis=0)
    middle_c = 0.5 * (course.temp_c[1:] + course.temp_c[:-1])
    steam_kj = np.sum(np.diff(course.steam_kg, axis=0) * heat.latent_water_kj_kg(middle_c), axis=0)
    assert walls_kj + steam_kj == pytest.approx(700.0 * (75.0 - course.temp_c[-1]), rel=1e-5)


@given(st.floats(25.0, 95.0), st.floats(100.0, 4000.0), st.booleans())
def test_a_tub_only_cools_toward_its_room_and_the_open_one_sooner(
    start_c: float, capacity: float, lid: bool
) -> None:
    wall = replace(OPEN, lid=lid)
    temps = tub_heat.standing(start_c, capacity, wall, HOURS)
    assert np.all(np.diff(temps, axis=0) < 0.0)
    if lid:
        assert np.all(np.diff(temps[1:], axis=-1) < 0.0)  # from the best wrapped to the bare
    assert np.all(tub_heat.standing(start_c, capacity, OPEN, HOURS) <= temps + 1e-9)


@pytest.mark.parametrize("wall", [WALL, OPEN])
def test_hours_to_is_the_course_turned_round(wall: TubWall) -> None:
    hours = tub_heat.hours_to(85.0, 63.0, 700.0, wall)
    reached = tub_heat.standing(85.0, 700.0, wall, np.stack([np.zeros(3), hours]))[-1]
    assert reached == pytest.approx(63.0, abs=1e-3)
    assert np.all(tub_heat.hours_to(60.0, 63.0, 700.0, wall) == 0.0)
    assert np.all(np.isinf(tub_heat.hours_to(60.0, 18.0, 700.0, wall)))


def test_world_by_world_is_the_same_as_alone() -> None:
    together = tub_heat.standing(80.0, 700.0, OPEN, HOURS)
    for i, loss in enumerate(OPEN.heat_loss_w_k):
        alone = tub_heat.standing(80.0, 700.0, replace(OPEN, heat_loss_w_k=np.asarray(loss)), HOURS)
        assert alone == pytest.approx(together[:, i], abs=1e-12)


@given(st.floats(40.0, 90.0), st.floats(20.0, 39.0), st.floats(4.0, 19.0))
def test_water_and_ice_meet_the_temperature_they_were_asked_for(
    temp_c: float, to_c: float, water_c: float
) -> None:
    tub = mash(temp_c)
    litres, kg = tub_heat.cold_water_l(tub, water_c, to_c), tub_heat.ice_kg(tub, to_c)
    watered, iced = tub_heat.with_water(tub, litres, water_c), tub_heat.with_ice(tub, kg)
    assert watered.temp_c == pytest.approx(to_c, abs=1e-9)
    assert iced.temp_c == pytest.approx(to_c, abs=1e-9)
    assert np.all(kg < litres)
    warmed = tub_heat.with_water(watered, tub_heat.hot_water_l(watered, 95.0, temp_c), 95.0)
    assert warmed.temp_c == pytest.approx(temp_c, abs=1e-9)
    added = Stream.of(water_kg=kg)
    assert imbalance([tub, added], [iced], []).mass < 1e-12


def test_what_cannot_cool_says_so() -> None:
    tub = mash(60.0)
    assert np.all(np.isinf(tub_heat.cold_water_l(tub, 25.0, 22.0)))
    assert np.all(np.isinf(tub_heat.coil(60.0, 22.0, np.full(3, 700.0), 25.0, 6.0, 300.0).hours))
    assert np.all(np.isinf(tub_heat.hot_water_l(tub, 60.0, 65.0)))
    cool = ways_to_cool(mash(20.0), 30.0, WALL, 12.0)
    for way in (cool.lid_on_h, cool.lid_off_h, cool.cold_water_l, cool.ice_kg, cool.coil_water_l):
        assert np.all(way == 0.0)


def test_landing_in_the_next_window() -> None:
    """Over, in and under 60 to 65 °C: each world says what it takes, and the ways meet the nearer end."""
    tub = mash(60.0).at(np.array([75.0, 62.0, 50.0]))
    found = landing(tub, (60.0, 65.0), OPEN, 12.0)
    assert found.in_window.tolist() == [False, True, False]
    assert found.share == pytest.approx(1.0 / 3.0)
    assert np.all(found.cool.lid_off_h[:1] < found.cool.lid_on_h[:1])
    for way in (found.cool.lid_on_h, found.cool.lid_off_h, found.cool.cold_water_l, found.cool.ice_kg):
        assert way[0] > 0.0
        assert np.all(way[1:] == 0.0)
    cooled = tub_heat.with_water(tub, found.cool.cold_water_l, 12.0)
    warmed = tub_heat.with_water(tub, found.hot_water_l, 95.0)
    assert cooled.temp_c == pytest.approx([65.0, 62.0, 50.0])
    assert warmed.temp_c == pytest.approx([75.0, 62.0, 60.0])


def test_coil_by_hand_and_by_conservation() -> None:
    """10 L/min with so large a coil that the water leaves as warm as the mash: 700 ln(50/20) / 41.8 minutes
    (kJ/K over kJ/K/min); a smaller coil takes longer and more water, and the same heat is carried off."""
    big = tub_heat.coil(62.0, 32.0, 700.0, 12.0, 10.0, 1e6)
    assert float(big.hours) * 60.0 == pytest.approx(700.0 * np.log(2.5) / 41.8, rel=1e-6)
    assert float(big.leaves_c) == pytest.approx(32.0)
    small = tub_heat.coil(62.0, 32.0, 700.0, 12.0, 10.0, 300.0)
    assert small.hours > big.hours
    assert small.water_l > big.water_l
    mean_warming_k = 700.0 * 30.0 / (4.18 * float(small.water_l))
    share = (float(small.leaves_c) - 12.0) / 20.0
    assert share * 20.0 < mean_warming_k < share * 50.0


def test_two_readings_teach_the_wall_with_its_doubt() -> None:
    """The doubt in closed form against many simulated pairs of readings."""
    capacity, hours, true_loss, start_c = 700.0, 12.0, 7.0, 66.0
    end_c = float(heat.tub_temperature_c(start_c, 18.0, true_loss, capacity, hours))
    learned = tub_heat.learned_wall(start_c, end_c, 18.0, capacity, hours)
    assert learned.heat_loss_w_k == pytest.approx(true_loss, rel=1e-9)
    rng = np.random.default_rng(5)
    many = heat.tub_ua_w_k(
        start_c + 0.3 * rng.standard_normal(40_000),
        end_c + 0.3 * rng.standard_normal(40_000),
        18.0 + rng.standard_normal(40_000),
        capacity * (1.0 + 0.03 * rng.standard_normal(40_000)),
        hours,
    )
    assert learned.standard_w_k == pytest.approx(float(np.std(many)), rel=0.03)
    assert not learned.tells_little
    assert tub_heat.learned_wall(66.0, 65.5, 18.0, capacity, 1.0).tells_little


@pytest.mark.parametrize(("start_c", "end_c"), [(60.0, 60.0), (60.0, 61.0), (60.0, 17.0), (18.0, 18.0)])
def test_no_cooling_teaches_nothing(start_c: float, end_c: float) -> None:
    with pytest.raises(NothingCooled, match="no heat lost"):
        tub_heat.learned_wall(start_c, end_c, 18.0, 700.0, 5.0)


def test_no_time_between_readings_is_refused() -> None:
    with pytest.raises(OutOfRange, match="time"):
        tub_heat.learned_wall(60.0, 50.0, 18.0, 700.0, 0.0)
