"""Boiling ethanol-water against a general property library (`thermo`), by its other models.

A trap for anyone who takes the library's first answer: its table of NRTL constants (ChemSep, from DECHEMA)
gives a vapour some 6.5 % too poor at the strength of a wash, the very place a stripping run lives on. Its
Wilson row does not, and agrees with the measurements and with us. UNIFAC is a prediction from groups: good
from x = 0.1 on, 12 % too rich below.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable

import numpy as np
import pytest
from chemicals.vapor_pressure import Psat_IAPWS
from scipy.optimize import brentq

from caskward.properties import vle
from tests.published.table import records

with warnings.catch_warnings():
    warnings.simplefilter("ignore", ResourceWarning)  # the library leaves its data files open
    from thermo import VaporPressure
    from thermo.interaction_parameters import IPDB
    from thermo.nrtl import NRTL
    from thermo.unifac import UNIFAC
    from thermo.wilson import Wilson

CAS = ["64-17-5", "7732-18-5"]
WASH_X = (0.01, 0.06)  # 3 to 18 %vol

Gammas = Callable[[float, float], list[float]]


def by_unifac(x: float, kelvin: float) -> list[float]:
    groups = [{1: 1, 2: 1, 14: 1}, {16: 1}]
    gammas: list[float] = UNIFAC.from_subgroups(T=kelvin, xs=[x, 1 - x], chemgroups=groups).gammas()
    return gammas


def by_wilson(x: float, kelvin: float) -> list[float]:
    aij = IPDB.get_ip_asymmetric_matrix("ChemSep Wilson", CAS, "aij")
    bij = IPDB.get_ip_asymmetric_matrix("ChemSep Wilson", CAS, "bij")
    gammas: list[float] = Wilson(T=kelvin, xs=[x, 1 - x], lambda_as=aij, lambda_bs=bij).gammas()
    return gammas


def by_nrtl(x: float, kelvin: float) -> list[float]:
    bij = IPDB.get_ip_asymmetric_matrix("ChemSep NRTL", CAS, "bij")
    alphas = IPDB.get_ip_asymmetric_matrix("ChemSep NRTL", CAS, "alphaij")
    gammas: list[float] = NRTL(T=kelvin, xs=[x, 1 - x], tau_bs=bij, alpha_cs=alphas).gammas()
    return gammas


def vapour(x: float, gammas: Gammas, kpa: float) -> float:
    """y with the library's activities and our vapour pressures."""

    def parts(celsius: float) -> tuple[float, float]:
        ethanol, water = vle.vapour_pressure_kpa(celsius)
        first, second = gammas(x, celsius + 273.15)
        return x * first * ethanol, (1 - x) * second * water

    celsius = brentq(lambda t: sum(parts(t)) - kpa, 70.0, 104.0)
    return parts(celsius)[0] / kpa


@pytest.mark.parametrize(
    ("model", "x"),
    [(by_wilson, x) for x in (0.02, 0.05, 0.1, 0.3, 0.5, 0.7, 0.85)]
    + [(by_unifac, x) for x in (0.1, 0.3, 0.5, 0.7, 0.85)],
)
def test_other_models_of_the_library(model: Gammas, x: float) -> None:
    """Wilson is another fit, UNIFAC a prediction: 0.02 in y, twice the spread of the published sets."""
    assert vle.bubble_point(x).y == pytest.approx(vapour(x, model, 101.325), abs=0.02)


def test_nrtl_row_of_the_library_is_poor_at_wash_strength() -> None:
    """The fault itself, on the measured rows from 3 to 18 %vol: 4 to 9 % low, where we are within 3 %."""
    rows = [row for row in records("boiling_ethanol_water") if WASH_X[0] < float(row["x"]) < WASH_X[1]]
    x, y, kpa = (np.array([float(row[name]) for row in rows]) for name in ("x", "y", "kpa"))
    near = kpa > 90.0
    x, y, kpa = x[near], y[near], kpa[near]
    assert x.size >= 6
    library = np.array([vapour(*row) for row in zip(x, [by_nrtl] * x.size, kpa, strict=True)])
    assert 0.91 < np.mean(library / y) < 0.96
    assert np.mean(vle.bubble_point(x, kpa).y / y) == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize("celsius", [60.0, 78.3, 90.0, 100.0])
def test_vapour_pressures(celsius: float) -> None:
    """Antoine against the library's reference correlations: 1 %, which is the 0.25 K that `vle` claims."""
    ethanol, water = vle.vapour_pressure_kpa(celsius)
    assert water == pytest.approx(Psat_IAPWS(celsius + 273.15) / 1000.0, rel=0.01)
    best = VaporPressure(CASRN=CAS[0]).T_dependent_property(celsius + 273.15)
    assert ethanol == pytest.approx(best / 1000.0, rel=0.01)
