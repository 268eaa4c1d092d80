"""Congeners in the stream and through a still: identities, a slow stepping, bands, ranges."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import BeyondTraceCurves, OutOfRange, UnknownName
from caskward.properties import vle
from caskward.stages import traces as traces_module
from caskward.stages.balance import imbalance, loss_of
from caskward.stages.blend import blend
from caskward.stages.columns import Column
from caskward.stages.distil import Still, StillUnknowns, Stop, collected_at, distil, moment_of
from caskward.stages.separate import SeparateSettings, SeparateUnknowns, separate
from caskward.stages.stream import CONGENERS, Stream, mixed, spirit_of
from caskward.stages.traces import ln_volatility
from tests.support.stepping import SlowStill, run

ALL = dict.fromkeys(CONGENERS, 50.0)
BARE = StillUnknowns(0.0, 0.0)
METHANOL = CONGENERS.index("methanol")


def test_every_curve_is_the_published_one() -> None:
    """All congeners at once are `vle.relative_volatility` one by one, and so are their bands."""
    x = np.array([0.0, 0.05, 0.2, 0.55, 0.9])
    at_edge = np.exp(ln_volatility(x, np.zeros(5), np.ones((16, 5))))
    on_curve = np.exp(ln_volatility(x, np.zeros(5), None))
    for k, name in enumerate(CONGENERS):
        assert on_curve[k] == pytest.approx(vle.relative_volatility(name, x), rel=1e-12)
        assert at_edge[k] / on_curve[k] == pytest.approx(vle.relative_volatility_band(name, x), rel=1e-12)


@pytest.fixture
def constant_alphas(monkeypatch: pytest.MonkeyPatch) -> np.ndarray:
    """Volatilities that are the same at every strength, from 0.03 to 140."""
    alphas = np.geomspace(0.03, 140.0, 16)
    curves = np.column_stack([np.log(alphas), np.zeros((16, 4))])
    monkeypatch.setattr(traces_module, "_coefficients", lambda: (curves, np.zeros(16), np.zeros(16)))
    return alphas


@pytest.mark.parametrize("stop", [60.0, 20.0, 1.0])
def test_constant_alpha(constant_alphas: np.ndarray, stop: float) -> None:
    """n/n0 = (E/E0)^alpha, exactly, whatever ethanol does. Rayleigh (1902), from memory."""
    charge = spirit_of(100.0, 30.0, traces_mg_l=ALL)
    profile = distil(charge, Still(6.0), stop, BARE)
    left = 1.0 - profile.traces_mg / charge.traces_mg
    wanted = np.exp(profile.ln_left[:, None] * constant_alphas)
    assert left == pytest.approx(wanted, rel=1e-6, abs=1e-12)


def test_small_alpha_stays_whatever_is_drawn(constant_alphas: np.ndarray) -> None:
    profile = distil(spirit_of(100.0, 30.0, traces_mg_l=ALL), Still(6.0), 1.0, BARE)
    assert np.all(np.diff(profile.traces_mg[3]) > 0.0)
    assert np.all(np.diff(profile.traces_mg, axis=0) >= -1e-9)


@pytest.mark.parametrize(
    "slow",
    [
        SlowStill(),
        SlowStill(head=0.12),
        SlowStill(dephlegmator=0.5),
        SlowStill(head=0.06, plates=2, reflux_ratio=1.0, dephlegmator=0.2),
    ],
    ids=str,
)
def test_against_a_slow_stepping(slow: SlowStill) -> None:
    """The same run by scipy's solve_ivp, each drop with root-finders over the bubble point; 1e-4."""
    names = ("methanol", "ethyl acetate", "3-methyl-1-butanol", "acetic acid")
    mol, drawn_mol = (12.0, 88.0), 12.0 if slow.plates else 30.0
    left = run(slow, mol, names, drawn_mol)
    charge = Stream.of(
        ethanol_kg=mol[0] * vle.ETHANOL_KG_KMOL / 1000.0,
        water_kg=mol[1] * vle.WATER_KG_KMOL / 1000.0,
        traces_mg=np.ones(16),
    )
    still = Still(1.0, 101.325, Column(slow.plates, slow.reflux_ratio, slow.dephlegmator))
    profile = distil(
        charge, still, Stop("alcohol_share", 1.0 - left[0] / mol[0]), StillUnknowns(slow.head, 0.0)
    )
    assert np.exp(profile.ln_ethanol[-1]) == pytest.approx(left[0], rel=1e-4)
    assert np.exp(profile.ln_water[-1]) == pytest.approx(left[1], rel=1e-4)
    ours = [1.0 - profile.traces_mg[-1][CONGENERS.index(name)] for name in names]
    assert ours == pytest.approx(left[2:], rel=1e-4, abs=1e-4)


@pytest.mark.parametrize("column", [Column(), Column(4.0, 2.0), Column(1.5, 0.0, 0.6)], ids=str)
def test_few_steps_are_enough_for_traces(column: Column) -> None:
    charge = spirit_of(100.0, 28.0, traces_mg_l=ALL)
    few, many = (
        distil(charge, Still(6.0, column=column), 2.0, StillUnknowns(0.1), steps=n) for n in (50, 2000)
    )
    for share in (0.02, 0.3, 0.8):
        moment = Stop("alcohol_share", share)
        one, other = (collected_at(p, moment_of(p, moment)).traces_mg for p in (few, many))
        assert one == pytest.approx(other, rel=1e-4, abs=1e-4 * 50.0 * 100.0)


def test_bands_are_worlds() -> None:
    """At the band's upper edge a congener comes sooner, at the lower later; on the curve as without."""
    places = np.array([-1.0, 0.0, 1.0]) * np.ones((16, 1))
    charge = spirit_of(100.0, 28.0, traces_mg_l=ALL)
    profile = distil(charge, Still(6.0), 20.0, StillUnknowns(0.1, 0.1, places))
    plain = distil(charge, Still(6.0), 20.0, StillUnknowns(0.1, 0.1))
    assert profile.traces_mg.shape == (25, 16, 3)
    assert np.all(np.diff(profile.traces_mg[5], axis=-1) > 0.0)
    assert profile.traces_mg[:, :, 1] == pytest.approx(plain.traces_mg, rel=1e-12)


def test_beyond_the_curves_there_is_a_warning() -> None:
    """At 2,400 m the azeotrope lies at 0.906: the top of a good column is past the curves' end at 0.9."""
    still = Still.at_altitude(2400.0, 6.0, Column(40.0, 200.0))
    charge = spirit_of(100.0, 60.0, traces_mg_l=ALL)
    with pytest.warns(BeyondTraceCurves, match=r"end at 0\.9"):
        distil(charge, still, 50.0, BARE)


def test_stream_carries_traces() -> None:
    stream = spirit_of(
        np.array([10.0, 20.0]), 40.0, traces_mg_l={"methanol": 8.0, "furfural": np.array([1.0, 2.0])}
    )
    assert stream.traces_mg is not None
    assert stream.traces_mg.shape == (16, 2)
    assert stream.traces_mg[METHANOL].tolist() == [80.0, 160.0]
    assert stream.scaled(0.5).traces_mg[METHANOL].tolist() == [40.0, 80.0]
    assert stream.world(1).traces_mg[METHANOL] == 160.0
    assert stream.traces_g_hl_pure[METHANOL] == pytest.approx([2.0, 2.0], rel=1e-6)
    thinner = stream.with_masses(water_kg=stream.water_kg + 5.0)
    assert thinner.traces_mg is stream.traces_mg
    nothing = stream.with_masses(water_kg=np.zeros(2), ethanol_kg=np.zeros(2))
    assert np.all(nothing.traces_mg == 0.0)


def test_mixing_traces() -> None:
    """Water and grain bring none; alcohol whose traces are not known makes the whole unknown."""
    known, unknown = spirit_of(10.0, 40.0, traces_mg_l={"methanol": 8.0}), spirit_of(10.0, 30.0)
    assert mixed(known, Stream.of(water_kg=3.0)).traces_mg[METHANOL] == 80.0
    assert mixed(known, known).traces_mg[METHANOL] == 160.0
    assert mixed(known, unknown).traces_mg is None
    assert mixed(unknown, unknown).traces_mg is None
    blended, _ = blend((known, known), 30.0, 0.0)
    assert blended.traces_mg[METHANOL] == 160.0


def test_balance_sees_a_lost_trace() -> None:
    whole = spirit_of(10.0, 40.0, traces_mg_l=ALL)
    half, other = whole.scaled(0.5), whole.scaled(0.5)
    assert imbalance([whole], [half], [loss_of("rest", other)]).traces < 1e-12
    thief = other.with_masses(traces_mg=other.traces_mg * np.where(np.arange(16) == METHANOL, 0.9, 1.0))
    assert imbalance([whole], [half], [loss_of("rest", thief)]).traces == pytest.approx(0.05)


def test_an_unknown_congener_names_the_nearest() -> None:
    with pytest.raises(UnknownName, match="methanol"):
        spirit_of(1.0, 40.0, traces_mg_l={"metanol": 1.0})


@given(st.floats(3.0, 60.0), st.floats(0.0, 0.3), st.floats(0.2, 50.0), st.floats(0.0, 5.0))
def test_ethanol_and_every_congener_close(charge_pct: float, head: float, stop: float, plates: float) -> None:
    """What came over and what is left are the charge, for each, to 1e-9 (here: to rounding)."""
    charge = spirit_of(100.0, charge_pct, traces_mg_l=ALL)
    profile = distil(charge, Still(5.0, column=Column(plates, 1.0)), stop, StillUnknowns(head, 0.1))
    left = charge.traces_mg * np.exp(profile.traces.ln_left[-1])
    assert profile.traces_mg[-1] + left == pytest.approx(charge.traces_mg, rel=1e-9)
    ethanol_left = np.exp(profile.ln_ethanol[-1]) * vle.ETHANOL_KG_KMOL / 1000.0
    assert profile.ethanol_kg[-1] + ethanol_left == pytest.approx(charge.ethanol_kg, rel=1e-9)
    assert np.all(profile.traces_mg[-1] >= 0.0)


def test_a_head_that_cannot_be() -> None:
    with pytest.raises(OutOfRange, match="head's reflux"):
        StillUnknowns(1.2, 0.1)


def test_straining_parts_traces_with_the_liquid() -> None:
    """What grain, lees and hoses keep of the liquid they keep of its congeners; dry solids keep none."""
    wash = spirit_of(100.0, 8.0, traces_mg_l=ALL).with_masses(insolubles_kg=np.asarray(9.0))
    shares = SeparateUnknowns(*(np.asarray(v) for v in (4.0, 0.4, 0.05, 0.5)))
    out, record = separate(wash, SeparateSettings(strains=True, presses=True), shares)
    assert imbalance([wash], [out], record.losses).traces < 1e-12
    assert out.traces_mg / wash.traces_mg == pytest.approx(float(out.ethanol_kg / wash.ethanol_kg), rel=1e-12)
