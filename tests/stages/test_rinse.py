"""Rinsing spent solids: exact, never more than is there, each step less than the last."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.stages.balance import imbalance
from caskward.stages.rinse import RinseSettings, RinseUnknowns, hours_of_hands, rinse, strip_kwh
from caskward.stages.stream import Stream

N = 3
HELD = RinseUnknowns(np.array([2.8, 3.8, 5.2]), np.array([0.25, 0.4, 0.6]))
SETTINGS = RinseSettings(2, 40.0, 15.0, presses=True)
WASH = Stream.of(temp_c=20.0, water_kg=np.full(N, 250.0), ethanol_kg=18.0, solubles_kg=6.0)


def spent(pct: float = 0.067) -> Stream:
    held_kg = HELD.held_kg_per_kg * 25.0
    return Stream.of(
        temp_c=20.0,
        water_kg=held_kg * (0.98 - pct),
        ethanol_kg=held_kg * pct,
        solubles_kg=held_kg * 0.02,
        insolubles_kg=25.0,
    )


@given(st.integers(0, 4), st.floats(1.0, 200.0), st.booleans())
def test_what_goes_in_comes_out_or_stays(steps: int, litres: float, presses: bool) -> None:
    done = rinse(spent(), WASH, RinseSettings(steps, litres, 15.0, presses=presses), HELD)
    water = Stream.of(water_kg=np.full(N, steps * litres * 0.998207))
    off = imbalance([spent(), water], [*done.rinsings, done.pressed, done.left], [])
    assert off.mass < 3e-6  # the weight of a litre as typed here
    assert off.alcohol < 1e-12
    assert np.all(done.gained_lpa <= spent().lpa + 1e-9)


def test_one_rinse_by_hand() -> None:
    """Held and water mixed, and the solids keep what they hold: of h kg held and w kg poured, w/(h + w) of
    the alcohol runs off."""
    done = rinse(spent(), WASH, RinseSettings(1, 50.0, 15.0, presses=False), HELD)
    held_kg, poured_kg = HELD.held_kg_per_kg * 25.0, 50.0 * 0.998207
    assert done.rinsings[0].ethanol_kg == pytest.approx(
        spent().ethanol_kg * poured_kg / (held_kg + poured_kg), rel=1e-5
    )
    assert done.gained_lpa == pytest.approx(done.rinsings[0].lpa)


def test_the_same_water_in_more_steps_wins_more() -> None:
    gains = [
        rinse(spent(), WASH, RinseSettings(n, 80.0 / n, 15.0, presses=False), HELD).gained_lpa
        for n in (1, 2, 4)
    ]
    assert np.all(gains[0] < gains[1])
    assert np.all(gains[1] < gains[2])


def test_each_step_wins_less_and_the_wash_thins() -> None:
    done = rinse(spent(), WASH, replace(SETTINGS, steps=3, presses=False), HELD)
    steps = np.diff(done.gained_by_step_lpa[:3], axis=0)
    assert np.all(steps > 0.0)
    assert np.all(steps[1] < steps[0])
    assert done.gained_by_step_lpa[-1] == pytest.approx(done.gained_lpa)
    assert np.all(done.wash_pct_vol < done.wash_before_pct_vol)
    assert np.all(done.extra_kwh > 0.0)


def test_a_press_alone_is_no_gain_of_rinsing() -> None:
    none = rinse(spent(), WASH, replace(SETTINGS, steps=0), HELD)
    assert none.gained_lpa == pytest.approx(np.zeros(N), abs=1e-12)
    assert none.extra_kwh == pytest.approx(np.zeros(N), abs=1e-9)
    assert np.all(np.isinf(none.kwh_per_lpa))
    assert np.all(none.left.temp_c == 20.0)


def test_a_maker_s_own_still_may_count_the_heat() -> None:
    done = rinse(spent(), WASH, SETTINGS, HELD, kwh_of=lambda wash: 1.1 * strip_kwh(wash))
    assert done.extra_kwh == pytest.approx(1.1 * rinse(spent(), WASH, SETTINGS, HELD).extra_kwh)


def test_heat_of_a_strip_is_in_the_trade_s_range() -> None:
    """About 0.2 to 0.3 kWh for each litre of a 7 to 9 %vol wash; *common practice, no source*."""
    per_l = strip_kwh(WASH) / WASH.volume_l
    assert np.all((per_l > 0.15) & (per_l < 0.35))


def test_hours_of_hands_have_a_least() -> None:
    """The catalogue's press: 2 h for 100 kg, 0.75 h at least."""
    assert hours_of_hands(np.array([10.0, 100.0]), 2.0, 0.75) == pytest.approx([0.75, 2.0])
