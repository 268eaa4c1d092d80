"""Dead volume between pot and spout against a general ODE solver, and its limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicHermiteSpline

from caskward.errors import OutOfRange
from caskward.stages.balance import imbalance
from caskward.stages.distil import HoldUp, Still, StillUnknowns, Stop, distil, moment_of
from caskward.stages.holdup import _moments, hold
from caskward.stages.receivers import Receiver, collect
from caskward.stages.stream import CONGENERS, spirit_of

UNKNOWNS = StillUnknowns(0.08, 0.1)
CHARGE = spirit_of(100.0, 28.0, traces_mg_l=dict.fromkeys(CONGENERS, 50.0))


@pytest.mark.parametrize("litres", [0.2, 2.0, 15.0])
def test_exact_between_nodes(litres: float) -> None:
    """da/dV = c - a/H over parabolas, by solve_ivp at 1e-10 from the moment the vessel is full: 1e-8."""
    run_l = np.array([0.0, 0.5, 2.0, 5.0, 5.0, 12.0, 30.0])
    per_litre = np.array([0.7, 0.69, 0.6, 0.5, 0.5, 0.2, 0.02])[:, None]
    inside = CubicHermiteSpline(
        np.delete(run_l, 4),
        np.delete([0.0, 0.35, 1.3, 2.95, 2.95, 5.4, 7.1], 4),
        np.delete(per_litre[:, 0], 4),
    )
    came = inside(run_l)[:, None]
    held = hold(came, per_litre, run_l, np.asarray(litres))
    full = run_l > litres
    solution = solve_ivp(
        lambda v, a: inside(v, 1) - a / litres,
        (litres, 30.0),
        [float(inside(litres))],
        t_eval=np.unique(run_l[full]),
        rtol=1e-10,
        atol=1e-12,
        max_step=0.1,
    )
    by_solver = solution.y[0][np.searchsorted(solution.t, run_l[full])]
    assert held.amounts[full, 0] == pytest.approx(by_solver, abs=1e-8)
    assert held.amounts[~full] == pytest.approx(came[~full], abs=1e-15)


def test_within_an_interval() -> None:
    run_l, per_litre = np.array([0.0, 1.0, 4.0]), np.array([[0.8], [0.6], [0.1]])
    came = np.array([[0.0], [0.7], [1.75]])
    whole = hold(came, per_litre, run_l, np.asarray(0.6))
    split = whole.within(np.asarray(1), np.asarray(0.25), 1)
    b0, b1, b2 = (part[1, 0] for part in whole.inflow)
    solution = solve_ivp(
        lambda v, a: b0 + (v / 3.0) * (b1 + b2 * v / 3.0) - a / 0.6,
        (0.0, 0.75),
        whole.amounts[1],
        rtol=1e-11,
        atol=1e-13,
    )
    assert split == pytest.approx(solution.y[:, -1], abs=1e-9)
    assert whole.within(np.asarray(1), np.asarray(1.0), 1) == pytest.approx(whole.amounts[2], abs=1e-15)


def test_a_constant_feed_stays_itself() -> None:
    run_l = np.linspace(0.0, 10.0, 8)
    held = hold(0.4 * run_l[:, None], np.full((8, 1), 0.4), run_l, np.asarray(1.7))
    assert held.amounts[run_l > 1.7, 0] == pytest.approx(0.4 * 1.7, rel=1e-13)


@pytest.mark.parametrize("t", [1e-9, 1e-4, 0.0499, 0.0501, 1.0, 30.0])
def test_moments_have_no_seam(t: float) -> None:
    """The power series and the closed form, against Gauss and Legendre's rule."""
    s, w = np.polynomial.legendre.leggauss(60)
    s, w = 0.5 * (s + 1.0), 0.5 * w
    by_rule = [np.sum(w * s**n * np.exp(-t * (1.0 - s))) for n in range(3)]
    assert [float(p) for p in _moments(np.asarray(t))[1:]] == pytest.approx(by_rule, rel=1e-10)


def test_hardly_any_dead_volume_changes_nothing() -> None:
    bare = distil(CHARGE, Still(6.0), 5.0, UNKNOWNS)
    thin = distil(CHARGE, Still(6.0, hold_up=HoldUp(1e-4)), Stop("alcohol_share", 0.99), UNKNOWNS)
    at = moment_of(bare, Stop("volume_l", 20.0))
    also = moment_of(thin, Stop("volume_l", 20.0))
    assert also == pytest.approx(float(at), abs=1e-4)


def test_it_delays_and_blurs() -> None:
    """Heads linger: at the same volume more ethyl acetate comes late, and the first drop waits."""
    bare, slow = (
        distil(CHARGE, Still(6.0, hold_up=h), Stop("volume_l", 30.0), UNKNOWNS) for h in (None, HoldUp(2.0))
    )
    acetate = CONGENERS.index("ethyl acetate")
    assert slow.delay_h == pytest.approx(2.0 * float(bare.hours[-1]) / 30.0, rel=0.15)
    plan = (Receiver("heads", Stop("volume_l", 4.0)), Receiver("rest"))
    early, late = (collect(p, plan)["heads"].contents.traces_mg[acetate] for p in (bare, slow))
    assert late < 0.95 * early
    assert slow.spout_pct_vol[-1] > slow.top_pct_vol[-1] + 0.5


def test_head_space_counts_as_little_as_it_holds() -> None:
    """80 L of vapour are 0.1 L of distillate."""
    assert HoldUp(0.0, 80.0).mixing_l(101.325) == pytest.approx(0.096)
    assert HoldUp(0.0, 80.0).mixing_l(80.0) < 0.096


@given(st.floats(0.0, 20.0), st.floats(0.0, 200.0), st.booleans(), st.floats(1.0, 60.0))
def test_nothing_is_lost_in_it(liquid_l: float, vapour_l: float, drains: bool, stop: float) -> None:
    still = Still(6.0, hold_up=HoldUp(liquid_l, vapour_l, drains))
    profile = distil(CHARGE, still, stop, UNKNOWNS)
    plan = (Receiver("a", Stop("alcohol_share", 0.02)), Receiver("b", Stop("volume_l", 9.0)), Receiver("c"))
    run = collect(profile, plan)
    off = imbalance([CHARGE], [one.contents for one in run.filled], run.losses("pot"))
    assert max(off.mass, off.alcohol, off.traces) < 1e-12
    assert len(run.losses("pot")) == (1 if drains else 2)
    for one in run.filled:
        assert one.contents.ethanol_kg >= 0.0
        assert np.all(one.contents.traces_mg >= 0.0)


def test_what_is_left_in_it_drains_or_is_named() -> None:
    kept, drained = (
        collect(distil(CHARGE, Still(6.0, hold_up=HoldUp(1.5, drains=d)), 10.0, UNKNOWNS), (Receiver("all"),))
        for d in (False, True)
    )
    assert kept.undrained.volume_l == pytest.approx(1.5, rel=0.02)
    both_kg = kept.filled[0].contents.total_kg + kept.undrained.total_kg
    assert drained.filled[0].contents.total_kg == pytest.approx(float(both_kg), rel=1e-12)
    assert drained.undrained is None


def test_each_world_has_its_own() -> None:
    hold_up = HoldUp(np.array([0.5, 3.0]))
    together = distil(CHARGE, Still(6.0, hold_up=hold_up), 10.0, UNKNOWNS)
    for k, litres in enumerate((0.5, 3.0)):
        alone = distil(CHARGE, Still(6.0, hold_up=HoldUp(litres)), 10.0, UNKNOWNS)
        assert together.volume_l[-1, k] == pytest.approx(float(alone.volume_l[-1]), rel=1e-9)


def test_litres_that_cannot_be() -> None:
    with pytest.raises(OutOfRange, match="held between pot and spout"):
        HoldUp(-1.0)
