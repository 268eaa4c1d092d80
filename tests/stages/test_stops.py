"""Every way to stop a run: it ends where it says, in each world, for a number as for an array."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import OutOfRange, UnknownName
from caskward.stages.columns import Column
from caskward.stages.distil import (
    HoldUp,
    Profile,
    Still,
    StillUnknowns,
    Stop,
    collected_at,
    distil,
    hours_at,
    left_at,
    moment_of,
    spout_at,
)
from caskward.stages.stream import Stream, spirit_of

UNKNOWNS = StillUnknowns(0.08, 0.1)
STILLS = {
    "pot": Still(6.0),
    "plates": Still(6.0, column=Column(3.5, 1.0, 0.3)),
    "dead volume": Still(6.0, hold_up=HoldUp(1.2, 60.0)),
}

STOPS = [
    (Stop("spout_pct_vol", 30.0), 2e-3),
    (Stop("pot_pct_vol", 4.0), 1e-6),
    (Stop("pot_c", 97.0), 1e-4),
    (Stop("vapour_c", 94.0), 1e-3),
    (Stop("volume_l", 22.0), 1e-3),
    (Stop("hours", 2.0), 1e-3),
    (Stop("alcohol_share", 0.75), 1e-4),
]
"""Tolerances: what a maker can read (0.01 %vol, 0.1 K, 10 mL, a minute), ten times finer or more."""


def figure(profile: Profile, by: str) -> np.ndarray:
    shares = profile.ethanol_kg / profile.charge.ethanol_kg
    return np.asarray(shares if by == "alcohol_share" else getattr(profile, by))


@pytest.mark.parametrize("still", STILLS)
@pytest.mark.parametrize(("stop", "within"), STOPS, ids=lambda x: getattr(x, "by", ""))
def test_a_run_ends_where_it_says(still: str, stop: Stop, within: float) -> None:
    profile = distil(spirit_of(100.0, 28.0), STILLS[still], stop, UNKNOWNS)
    assert figure(profile, stop.by)[-1] == pytest.approx(stop.value, abs=within)
    assert profile.reached
    by_moment = moment_of(distil(spirit_of(100.0, 28.0), STILLS[still], 1.0, UNKNOWNS), stop)
    assert profile.pot_u[-1] == pytest.approx(float(by_moment), abs=2e-3)


@pytest.mark.parametrize(("stop", "within"), STOPS, ids=lambda x: getattr(x, "by", ""))
def test_each_world_stops_by_its_own(stop: Stop, within: float) -> None:
    charge = spirit_of(100.0, np.array([20.0, 28.0, 35.0]))
    unknowns = StillUnknowns(np.array([0.0, 0.1, 0.2]), 0.1)
    values = np.array([0.98, 1.0, 1.02]) * stop.value
    profile = distil(charge, Still(6.0), Stop(stop.by, values), unknowns)
    assert figure(profile, stop.by)[-1] == pytest.approx(values, abs=within)
    assert profile.reached.tolist() == [True, True, True]


def test_never_met() -> None:
    """A charge holds only so many litres, and no pot boils at 104 °C: the run ends when it is spent."""
    charge = spirit_of(10.0, 12.0)
    for stop in (Stop("volume_l", 50.0), Stop("pot_c", 104.0), Stop("hours", 900.0)):
        profile = distil(charge, Still(6.0), stop, UNKNOWNS)
        assert not profile.reached
        assert profile.ethanol_kg[-1] == pytest.approx(float(charge.ethanol_kg), rel=1e-4)
        assert 3.0 < profile.volume_l[-1] < 10.0


@pytest.mark.parametrize(
    "stop",
    [Stop("spout_pct_vol", 90.0), Stop("pot_c", 80.0), Stop("volume_l", 0.0), Stop("pot_pct_vol", 50.0)],
)
def test_met_before_the_first_drop(stop: Stop) -> None:
    profile = distil(spirit_of(100.0, 28.0), Still(6.0), stop, UNKNOWNS)
    assert profile.reached
    assert profile.volume_l == pytest.approx(0.0, abs=1e-6)
    assert profile.spout_pct_vol == pytest.approx(float(profile.spout_pct_vol[0]), abs=1e-3)


@given(
    st.floats(3.0, 80.0), st.floats(0.0, 0.4), st.floats(0.0, 8.0), st.floats(0.0, 5.0), st.floats(0.3, 60.0)
)
def test_what_only_falls_and_what_only_rises(
    charge_pct: float, head: float, plates: float, litres: float, stop: float
) -> None:
    still = Still(6.0, column=Column(plates, 0.8), hold_up=HoldUp(litres) if litres > 0.1 else None)
    run = distil(spirit_of(100.0, charge_pct), still, stop, StillUnknowns(head, 0.1))
    for falls in (run.pot_u, run.top_u, run.spout_pct_vol, run.pot_pct_vol, run.pot_volume_l):
        assert np.all(np.diff(falls, axis=0) <= 1e-6)
    for rises in (run.pot_c, run.vapour_c, run.ethanol_kg, run.water_kg, run.hours, run.condenser_kwh):
        assert np.all(np.diff(rises, axis=0) >= -1e-6)
    assert np.all(run.spout_pct_vol >= run.pot_pct_vol - 1e-6)


def test_floats_arrays_and_loops_agree() -> None:
    """One world of plain numbers, many together, and a plane of them give the same figures."""
    strengths, heads = np.array([12.0, 28.0, 40.0, 55.0]), np.array([0.0, 0.05, 0.1, 0.3])
    together = distil(spirit_of(60.0, strengths), Still(6.0), 5.0, StillUnknowns(heads, 0.1))
    plane = distil(
        spirit_of(60.0, strengths.reshape(2, 2)), Still(6.0), 5.0, StillUnknowns(heads.reshape(2, 2), 0.1)
    )
    assert plane.volume_l.reshape(-1, 4) == pytest.approx(together.volume_l, rel=1e-12)
    for k in range(4):
        alone = distil(
            spirit_of(60.0, float(strengths[k])), Still(6.0), 5.0, StillUnknowns(float(heads[k]), 0.1)
        )
        assert alone.volume_l.shape == (25,)
        assert alone.volume_l == pytest.approx(together.volume_l[:, k], rel=1e-9)
        assert alone.hours == pytest.approx(together.hours[:, k], rel=1e-9)
    one = distil(Stream.of(ethanol_kg=8.0, water_kg=60.0), Still(6.0), 5.0)
    assert np.ndim(one.spout_pct_vol[0]) == 0


@pytest.mark.parametrize("still", STILLS)
def test_between_nodes_as_at_nodes(still: str) -> None:
    """A moment between nodes, read from 24 intervals, is the one that 2,000 have: 1e-4 of it."""
    few, many = (distil(spirit_of(100.0, 28.0), STILLS[still], 5.0, UNKNOWNS, steps=n) for n in (24, 2000))
    for along in (0.03, 0.2, 0.41, 0.77, 0.98):
        u = few.pot_u[0] + (few.pot_u[-1] - few.pot_u[0]) * along
        assert left_at(few, u).ethanol_mol == pytest.approx(left_at(many, u).ethanol_mol, rel=1e-4)
        assert collected_at(few, u).volume_l == pytest.approx(
            collected_at(many, u).volume_l, rel=1e-4, abs=1e-4
        )
        assert spout_at(few, u) == pytest.approx(spout_at(many, u), rel=1e-4)
        assert hours_at(few, u) == pytest.approx(hours_at(many, u), rel=1e-3)


@pytest.mark.parametrize("still", STILLS)
@pytest.mark.parametrize("stop", [60.0, 1.0])
def test_fifty_steps_are_enough(still: str, stop: float) -> None:
    """50 against 2,000 within 1e-4 of strength, volume and time."""
    few, many = (distil(spirit_of(100.0, 28.0), STILLS[still], stop, UNKNOWNS, steps=n) for n in (50, 2000))
    for name in ("spout_pct_vol", "pot_pct_vol", "volume_l", "ethanol_kg", "hours", "condenser_kwh"):
        assert getattr(few, name)[-1] == pytest.approx(getattr(many, name)[-1], rel=1e-4)
    at = np.interp(few.pot_u, many.pot_u[::-1], many.spout_pct_vol[::-1])
    assert few.spout_pct_vol == pytest.approx(at, rel=1e-4)


def test_solids_stay_and_take_heat_and_room() -> None:
    clear = spirit_of(100.0, 8.0)
    thick = clear.with_masses(solubles_kg=np.asarray(6.0), insolubles_kg=np.asarray(4.0))
    lean, heavy = (distil(c, Still(6.0), 2.0, UNKNOWNS) for c in (clear, thick))
    assert heavy.volume_l[-1] == pytest.approx(lean.volume_l[-1], rel=1e-9)
    assert heavy.pot_volume_l[-1] - lean.pot_volume_l[-1] == pytest.approx(6.2, abs=0.3)
    extra_kj_k = float(thick.heat_capacity_kj_k - clear.heat_capacity_kj_k)
    extra_kwh = extra_kj_k * float(heavy.pot_c[0] - 20.0) / 3600.0
    assert heavy.heat_up_kwh - lean.heat_up_kwh == pytest.approx(extra_kwh, rel=1e-9)
    assert heavy.warming_kwh[-1] > lean.warming_kwh[-1]


def test_heat_goes_somewhere() -> None:
    """What the burner gives warms the pot, goes with the cooling water, or is lost at head and wall."""
    still = Still(6.0, column=Column(2.0, 1.0, 0.4))
    run = distil(spirit_of(100.0, 28.0), still, 5.0, StillUnknowns(0.1, 0.2))
    carried = run.condenser_kwh[-1] - run._cooled_kwh()[-1] + run.dephlegmator_kwh[-1]  # as vapour
    assert (run.boiling_kwh[-1] - run.warming_kwh[-1]) * 0.9 == pytest.approx(float(carried), rel=1e-9)
    assert run.hours[-1] == pytest.approx(float(run.boiling_kwh[-1]) / (6.0 * 0.8), rel=1e-12)


def test_cooling_water() -> None:
    """860 L/h for each kilowatt condensed and kelvin of rise (kW * 3600 / 4.18), and up to a fifth more.

    The fifth cools the distillate, from vapour at 78 to 100 °C down to 20.
    """
    run = distil(spirit_of(100.0, 28.0), Still(6.0), 5.0, StillUnknowns(0.0, 0.0))
    litres_h = run.cooling_water_l_h(50.0)
    assert litres_h.shape == (24,)
    assert np.all((litres_h > 0.95 * 6.0 * 861.0 / 50.0) & (litres_h < 1.25 * 6.0 * 861.0 / 50.0))


def test_thin_air_by_altitude() -> None:
    """-0.32 K per 100 m: the design's rule, by Antoine and the standard atmosphere; a tenth of it off."""
    low, high = (
        distil(spirit_of(100.0, 28.0), Still.at_altitude(m, 6.0), 5.0, UNKNOWNS) for m in (0.0, 1000.0)
    )
    assert low.pot_c[0] - high.pot_c[0] == pytest.approx(3.2, abs=0.32)


@pytest.mark.parametrize(
    ("by", "value", "words"),
    [
        ("spout_pct_vol", 120.0, "strength at the spout is 120"),
        ("pot_c", 20.0, "pot's temperature is 20"),
        ("alcohol_share", 1.2, "share of the charge's alcohol is 1.2"),
        ("volume_l", -1.0, "volume collected is -1"),
    ],
)
def test_stops_that_cannot_be(by: str, value: float, words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        Stop(by, value)  # type: ignore[arg-type]


def test_a_way_to_stop_that_is_not_known() -> None:
    with pytest.raises(UnknownName, match="spout_pct_vol"):
        Stop("when it tastes", 1.0)  # type: ignore[arg-type]
