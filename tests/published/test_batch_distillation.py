"""Batch distillation against a handbook's worked example and Rayleigh's exact identities."""

from __future__ import annotations

import numpy as np
import pytest

from caskward.stages import distil as distil_module
from caskward.stages import traces as traces_module
from caskward.stages.distil import Still, StillUnknowns, Stop, distil, left_at
from caskward.stages.stream import Stream
from caskward.stages.vapour import (
    ETHANOL_KG_PER_MOL,
    WATER_KG_PER_MOL,
    EquilibriumCurve,
    equilibrium_curve,
    fraction,
    ratio,
)

BARE = StillUnknowns(np.zeros(1), np.zeros(1))


def charge_of(x: float, mol: float = 100.0) -> Stream:
    return Stream.of(
        ethanol_kg=np.array([mol * x * ETHANOL_KG_PER_MOL]),
        water_kg=np.array([mol * (1.0 - x) * WATER_KG_PER_MOL]),
    )


def at_pot(profile, x: float):  # type: ignore[no-untyped-def]
    return left_at(profile, np.array([ratio(x)]))


def test_handbook_example_ethanol_water() -> None:
    """100 mol at x = 0.18 boiled down to x = 0.06, no reflux.

    Source: Perry's Chemical Engineers' Handbook, batch distillation, simple batch example (graphical
    integration over the Carey and Lewis table at 101.3 kPa), read: integral 0.358, residue 70.0 mol,
    distillate 30 mol at 0.46. Tolerances are the spread of published equilibrium sets, 0.01 in y, and of
    a graphical integration: 0.012 in the integral, 0.8 mol, 0.01 in x.
    """
    profile = distil(charge_of(0.18), Still(1.0, 101.3), 3.0, BARE, steps=50)
    pot = at_pot(profile, 0.06)
    residue = float(pot.ethanol_mol[0] + pot.water_mol[0])
    assert np.log(100.0 / residue) == pytest.approx(0.358, abs=0.012)
    assert residue == pytest.approx(70.0, abs=0.8)
    distillate = 100.0 - residue
    assert distillate == pytest.approx(30.0, abs=0.8)
    assert (18.0 - float(pot.ethanol_mol[0])) / distillate == pytest.approx(0.46, abs=0.01)


@pytest.fixture
def constant_alpha(monkeypatch: pytest.MonkeyPatch) -> float:
    """A make-believe pair whose relative volatility is the same at every strength."""
    alpha = 2.9
    liquid = np.linspace(-16.0, 2.0, 3001)
    curve = EquilibriumCurve.through(101.325, liquid, liquid + np.log(alpha), 90.0 - liquid)
    monkeypatch.setattr(distil_module, "equilibrium_curve", lambda kpa: curve)
    return alpha


@pytest.mark.usefixtures("constant_alpha")
def test_course_sheet_constant_alpha() -> None:
    """100 kmol at 0.60 to a residue at 0.10 with a constant relative volatility of 2.9.

    Source: university course solution sheet (Rayleigh, benzene and toluene), read: ln(L/L0) = -2.1807,
    residue 11.3 kmol, receiver 88.7 kmol at 0.664. Tolerance 0.3 %, the sheet's own rounding.
    """
    profile = distil(charge_of(0.60), Still(1.0), 1.0, BARE, steps=50)
    pot = at_pot(profile, 0.10)
    residue = float(pot.ethanol_mol[0] + pot.water_mol[0])
    assert np.log(residue / 100.0) == pytest.approx(-2.1807, rel=3e-3)
    assert residue == pytest.approx(11.3, rel=5e-3)  # printed to three digits
    assert (60.0 - float(pot.ethanol_mol[0])) / (100.0 - residue) == pytest.approx(0.664, rel=3e-3)


def test_rayleigh_identity(constant_alpha: float) -> None:
    """n_ethanol / n_ethanol0 = (n_water / n_water0) ** alpha, exactly, for any constant alpha.

    Source: Rayleigh (1902), from memory. Tolerance 1e-9: rounding only.
    """
    profile = distil(charge_of(0.30), Still(1.0), 1.0, BARE)
    ethanol = profile.ln_ethanol - profile.ln_ethanol[0]
    water = profile.ln_water - profile.ln_water[0]
    assert ethanol[1:] == pytest.approx(constant_alpha * water[1:], rel=1e-9)


def test_three_components(monkeypatch: pytest.MonkeyPatch) -> None:
    """Benzene, toluene, p-xylene 50/25/25 mol, volatilities 1, 1/2.90 and 1/6.94: benzene down to 1.73 mol.

    Source: handbook of separation techniques, example 5.5: ln of toluene over its start -1.16, read; so
    7.83 mol of toluene and 15.40 of xylene, computed from it. Tolerance 0.5 %, its rounding.
    """
    alphas = np.full(16, 1.0)
    alphas[:2] = 1.0 / 2.90, 1.0 / 6.94
    curves = np.column_stack([np.log(alphas), np.zeros((16, 4))])
    monkeypatch.setattr(traces_module, "_coefficients", lambda: (curves, np.zeros(16), np.zeros(16)))
    charge = charge_of(0.5).with_masses(traces_mg=np.full((16, 1), 25.0))
    profile = distil(charge, Still(1.0), Stop("alcohol_share", 1.0 - 1.73 / 50.0), BARE)
    toluene, xylene = (25.0 - profile.traces_mg[-1, :2, 0]).tolist()
    assert toluene == pytest.approx(7.83, rel=5e-3)
    assert xylene == pytest.approx(15.40, rel=5e-3)
    assert np.log(toluene / 25.0) == pytest.approx(-1.16, abs=0.005)


@pytest.mark.parametrize("reflux", [0.0, 0.1, 0.25])
@pytest.mark.parametrize("strength_x", [0.02, 0.10, 0.18])
def test_few_steps_are_enough(reflux: float, strength_x: float) -> None:
    """The profile's steps do not show: 24 against 2,000 within 1e-4 of strength and of volume."""
    unknowns = StillUnknowns(np.array([reflux]), np.zeros(1))
    few = distil(charge_of(strength_x), Still(1.0), 2.0, unknowns)
    many = distil(charge_of(strength_x), Still(1.0), 2.0, unknowns, steps=2000)
    assert few.volume_l[-1, 0] == pytest.approx(many.volume_l[-1, 0], rel=1e-4)
    assert few.ethanol_kg[-1, 0] == pytest.approx(many.ethanol_kg[-1, 0], rel=1e-4)
    half = np.array([0.5 * (few.pot_u[0, 0] + few.pot_u[-1, 0])])
    assert left_at(few, half).ethanol_mol[0] == pytest.approx(left_at(many, half).ethanol_mol[0], rel=1e-4)


def test_against_a_general_ode_solver() -> None:
    """The same run, stepped in moles by scipy's solve_ivp over `vle.bubble_point` itself.

    Source: Rayleigh's balance dE = -y dD, dW = -(1 - y) dD; Virtanen et al., SciPy. Tolerance 1e-4.
    """
    from scipy.integrate import solve_ivp

    from caskward.properties import vle

    def falls(_: float, left: np.ndarray) -> list[float]:
        x = left[0] / left.sum()
        y = vle.bubble_point(float(x)).y
        return [-y, -(1.0 - y)]

    solution = solve_ivp(falls, (0.0, 25.0), [10.0, 90.0], rtol=1e-8, atol=1e-10)
    ethanol, water = solution.y[:, -1]
    pot = at_pot(distil(charge_of(0.10), Still(1.0), 1.0, BARE), float(ethanol / (ethanol + water)))
    assert pot.ethanol_mol[0] == pytest.approx(ethanol, rel=1e-4)
    assert pot.water_mol[0] == pytest.approx(water, rel=1e-4)


def test_the_curve_is_the_bubble_point() -> None:
    """The tabled curve against the function it was made from, between its points."""
    from caskward.properties import vle

    curve = equilibrium_curve(95.0)
    x = np.array([1e-5, 0.0123, 0.0789, 0.234, 0.456, 0.789, 0.87])
    celsius, y = vle.bubble_point(x, 95.0)
    assert fraction(curve.vapour_over(ratio(x))) == pytest.approx(np.asarray(y), abs=1e-6)
    assert curve.boiling_c(ratio(x)) == pytest.approx(np.asarray(celsius), abs=1e-4)
