"""Charging: how a batch is parted, what is wrong with a charge, and where a strip is best stopped."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.stages.balance import imbalance
from caskward.stages.charges import (
    Charging,
    PotLimits,
    charges_of,
    check_charge,
    fitted,
    most_per_charge,
    runs_of,
)
from caskward.stages.distil import HoldUp, Still, StillUnknowns, Stop
from caskward.stages.runs import StripSettings, strip
from caskward.stages.stream import CONGENERS, Stream, spirit_of
from caskward.stages.trade_off import stop_trade_off

UNKNOWNS = StillUnknowns(0.05, 0.15)
STILL = Still(6.0)


def wash_of(volume_l: np.ndarray | float, pct_vol: float = 8.0, solids_kg: float = 0.0) -> Stream:
    clear = spirit_of(volume_l, pct_vol, traces_mg_l=dict.fromkeys(CONGENERS, 30.0))
    return clear.with_masses(insolubles_kg=np.zeros_like(clear.water_kg) + solids_kg)


def test_equal_charges() -> None:
    parted = charges_of(wash_of(np.array([40.0, 120.0, 121.0])), 60.0)
    assert parted.runs.tolist() == [1.0, 2.0, 3.0]
    assert parted.each.volume_l == pytest.approx([40.0, 60.0, 121.0 / 3.0])
    assert np.all(parted.carried.total_kg == 0.0)


def test_full_charges_then_the_rest() -> None:
    parted = charges_of(wash_of(np.array([150.0, 120.0, 130.0, 40.0])), 60.0, "full then rest", 15.0)
    assert parted.runs.tolist() == [2.0, 2.0, 2.0, 0.0]
    assert parted.last_runs.tolist() == [1.0, 0.0, 0.0, 1.0]
    assert parted.count.tolist() == [3.0, 2.0, 2.0, 1.0]
    assert parted.carried.volume_l == pytest.approx([0.0, 0.0, 10.0, 0.0], abs=1e-9)
    assert parted.last.volume_l[[0, 3]] == pytest.approx([30.0, 40.0])


def test_full_charges_only() -> None:
    parted = charges_of(wash_of(np.array([150.0, 120.0, 40.0])), 60.0, "full only")
    assert parted.runs.tolist() == [2.0, 2.0, 0.0]
    assert parted.carried.volume_l == pytest.approx([30.0, 0.0, 40.0], abs=1e-9)


@given(
    st.floats(5.0, 400.0),
    st.floats(0.0, 30.0),
    st.sampled_from(["equal", "full then rest", "full only"]),
    st.sampled_from([None, HoldUp(1.0), HoldUp(2.0, 30.0, drains=False)]),
)
def test_any_way_of_charging_closes(
    volume_l: float, least_l: float, charging: Charging, hold_up: HoldUp | None
) -> None:
    wash = wash_of(np.array([volume_l, 0.7 * volume_l]))
    settings = StripSettings(60.0, 2.0, charging, least_l)
    low_wines, record = strip(wash, Still(6.0, hold_up=hold_up), settings, UNKNOWNS)
    off = imbalance([wash], [low_wines, record.carried], record.losses)
    assert max(off.mass, off.alcohol, off.traces) < 1e-12
    ran = wash.lpa - record.carried.lpa
    assert np.all(low_wines.lpa <= ran + 1e-9)
    if hold_up is None or hold_up.drains:
        assert np.all(low_wines.lpa[ran > 1e-9] > 0.8 * ran[ran > 1e-9])


def test_a_smaller_last_charge_gives_the_same_low_wines() -> None:
    """Without dead volume only the clock knows how a wash was parted; with it each charge pays its own."""
    wash = wash_of(150.0)
    equal, one = strip(wash, STILL, StripSettings(60.0, 2.0), UNKNOWNS)
    rest, other = strip(wash, STILL, StripSettings(60.0, 2.0, "full then rest"), UNKNOWNS)
    assert rest.lpa == pytest.approx(float(equal.lpa), rel=1e-12)
    assert one.effort.runs == other.effort.runs == 3.0
    assert one.effort.energy_kwh == pytest.approx(float(other.effort.energy_kwh), rel=1e-12)
    held = Still(6.0, hold_up=HoldUp(2.0, drains=False))
    costs = [
        strip(wash_of(v), held, StripSettings(60.0, 2.0, "full then rest"), UNKNOWNS)[1].losses[1].lpa
        for v in (60.0, 90.0, 120.0)
    ]
    assert costs[1] > 1.9 * costs[0]
    assert costs[2] == pytest.approx(2.0 * float(costs[0]), rel=1e-9)


def test_a_strip_can_stop_by_temperature() -> None:
    settings = StripSettings(60.0, 1.0, stop=Stop("pot_c", 98.5))
    _, record = strip(wash_of(50.0), STILL, settings, UNKNOWNS)
    assert record.last_pot_c == pytest.approx(98.5, abs=1e-4)


def test_a_charge_in_order_has_no_flag() -> None:
    flags = check_charge(wash_of(np.array([80.0, 95.0])), PotLimits(100.0, 20.0, 130.0))
    assert not np.any(flags.any)
    assert np.all(flags.water_kg == 0.0)


def test_flags() -> None:
    pot = PotLimits(100.0, 20.0, 110.0, immersed_element=True)
    assert check_charge(
        wash_of(np.array([90.0, 90.0]), solids_kg=np.array([0.0, 4.0])), pot
    ).scorches.tolist() == [  # type: ignore[arg-type]
        False,
        True,
    ]
    assert not np.any(check_charge(wash_of(90.0, solids_kg=4.0), PotLimits(100.0)).scorches)
    assert check_charge(wash_of(90.0, solids_kg=4.0), pot).foams
    assert not check_charge(wash_of(90.0), pot).foams
    assert check_charge(wash_of(np.array([101.0, 99.0])), pot).over_limit.tolist() == [True, False]
    assert check_charge(wash_of(np.array([19.0, 21.0])), pot).under_minimum.tolist() == [True, False]


def test_too_strong_and_what_mends_it() -> None:
    """The water named brings it to 40 %vol exactly; where that no longer fits one charge, it says so."""
    charge = wash_of(np.array([60.0, 90.0, 60.0]), 52.0)
    flags = check_charge(charge.scaled(np.array([1.0, 1.0, 0.5])), PotLimits(100.0))
    assert np.all(flags.too_strong)
    mended = charge.scaled(np.array([1.0, 1.0, 0.5]))
    mended = mended.with_masses(water_kg=mended.water_kg + flags.water_kg)
    assert mended.strength_pct_vol == pytest.approx(40.0, abs=1e-6)
    assert mended.volume_l == pytest.approx(flags.diluted_l, rel=1e-12)
    assert flags.diluted_over_limit.tolist() == [False, True, False]
    assert not np.any(check_charge(mended, PotLimits(100.0)).too_strong)


def test_stop_trade_off_is_what_strips_give() -> None:
    """Every row is a strip of its own to that stop."""
    wash = wash_of(np.array([150.0, 100.0]))
    table = stop_trade_off(wash, STILL, UNKNOWNS, 60.0, (2.0, 10.0, 5.0))
    assert table.stop_pct_vol.tolist() == [10.0, 5.0, 2.0]
    for row, stop in enumerate(table.stop_pct_vol):
        low_wines, record = strip(wash, STILL, StripSettings(60.0, float(stop)), UNKNOWNS)
        assert table.lpa[row] == pytest.approx(low_wines.lpa, rel=1e-4)
        assert table.low_wines_pct_vol[row] == pytest.approx(low_wines.strength_pct_vol, rel=1e-4)
        assert table.energy_kwh[row] == pytest.approx(record.effort.energy_kwh, rel=1e-3)
        hours = record.effort.heat_up_h + record.effort.running_h
        assert table.hours[row] == pytest.approx(hours, rel=1e-3)


def test_the_last_litres_cost_most() -> None:
    table = stop_trade_off(wash_of(100.0), STILL, UNKNOWNS, 120.0)
    assert table.stop_pct_vol.tolist() == [float(s) for s in range(20, 0, -1)]
    assert table.extra_lpa.shape == (19,)
    assert np.all(np.diff(table.kwh_per_extra_lpa) > 0.0)
    assert np.all(np.diff(table.hours_per_extra_lpa) > 0.0)
    assert np.all(np.diff(table.low_wines_pct_vol) < 0.0)
    by_hand = (table.energy_kwh[19] - table.energy_kwh[18]) / (table.lpa[19] - table.lpa[18])
    assert table.kwh_per_extra_lpa[18] == pytest.approx(float(by_hand))


def test_no_extra_where_nothing_comes() -> None:
    """A wash at 1 %vol never runs at 20: no alcohol, and no price for it."""
    table = stop_trade_off(wash_of(100.0, 1.0), STILL, UNKNOWNS, 120.0, (20.0, 15.0, 5.0))
    assert table.lpa[0] == 0.0
    assert np.isnan(table.kwh_per_extra_lpa[0])
    assert table.kwh_per_extra_lpa[1] > 0.0


def test_what_swells_past_the_working_volume_is_run_as_more_charges() -> None:
    batch = spirit_of(np.array([90.0, 110.0, 300.0]), 30.0)
    pot = PotLimits(110.0, working_l=100.0)
    most_l = most_per_charge(batch, pot)
    swells = batch.volume_at(95.0) / batch.volume_l
    assert most_l == pytest.approx(100.0 / swells, rel=1e-6)
    assert list(runs_of(batch, pot)) == [1.0, 2.0, 4.0]
    assert list(runs_of(batch, PotLimits(110.0))) == [1.0, 1.0, 3.0]
    assert np.all(batch.scaled(1.0 / runs_of(batch, pot)).volume_at(95.0) <= 100.0)


def test_a_batch_is_let_down_and_each_of_its_charges_filled_up() -> None:
    """60 L of 50 %vol: to 40 %vol it takes 15.5 L (contraction and all), 112 L are two charges of 80 L."""
    let_down = fitted(spirit_of(60.0, 50.0), PotLimits(110.0))
    assert let_down.batch.strength_pct_vol == pytest.approx(40.0, abs=1e-6)
    assert let_down.batch.volume_l == pytest.approx(75.0, abs=1e-3)
    assert let_down.for_strength_kg == pytest.approx(let_down.water_kg)
    assert 15.0 < let_down.water_kg < 16.0
    filled = fitted(spirit_of(112.0, 20.0), PotLimits(110.0, minimum_charge_l=80.0))
    assert filled.runs == 2.0
    assert filled.each.volume_l == pytest.approx(80.0, rel=1e-9)
    assert filled.for_strength_kg == 0.0
    in_order = fitted(spirit_of(90.0, 26.0), PotLimits(110.0, minimum_charge_l=20.0))
    assert in_order.water_kg == 0.0
    assert in_order.runs == 1.0


def test_a_rest_that_only_rounding_leaves_is_no_charge():
    """Thirty gallons are two charges of fifteen, whatever the last digits of their litres say."""
    for over in (1.0 + 3e-12, 1.0 - 3e-12):
        parted = charges_of(wash_of(np.array([120.0 * over])), 60.0, "full then rest")
        assert parted.runs == 2.0
        assert parted.last_runs == 0.0
        assert parted.carried.volume_l == 0.0
        np.testing.assert_allclose(parted.each.volume_l * 2.0, 120.0 * over, rtol=1e-13)
