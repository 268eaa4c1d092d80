"""Water from 0 to 100 °C against the reference equation of state and handbook values.

The source of each figure, and whether it was read or is from memory, stands beside the check.
"""

from __future__ import annotations

import pytest
from chemicals.iapws import iapws95_rho

from caskward.properties import alcohol, water


@pytest.mark.parametrize("temp_c", [0.5, 4, 10, 15, 20, 30, 40, 50, 60, 70, 80, 90, 99])
def test_reference_equation_of_state(temp_c: float) -> None:
    """IAPWS-95 as the `chemicals` library computes it at 101.325 kPa.

    Kell's water is the older ocean-water scale, 0.005 lighter at 4 °C; 0.02 kg/m³ is 2 in 100,000.
    """
    assert water.density(temp_c) == pytest.approx(iapws95_rho(273.15 + temp_c, 101_325.0), abs=0.02)


@pytest.mark.parametrize(
    ("temp_c", "density"),
    [(0, 999.84), (4, 999.97), (20, 998.20), (40, 992.21), (60, 983.20), (80, 971.80), (100, 958.36)],
)
def test_kell_1975(temp_c: float, density: float) -> None:
    """Kell, J. Chem. Eng. Data 20 (1975) 97, table of densities; from memory, to 0.01."""
    assert water.density(float(temp_c)) == pytest.approx(density, abs=0.01)


@pytest.mark.parametrize("temp_c", [0.0, 10.0, 20.0, 30.0, 40.0])
def test_water_of_the_alcohol_formula(temp_c: float) -> None:
    """OIML R 22 has its own water; the two differ by 0.004 kg/m³ at most, 4 in a million."""
    assert alcohol.density(0.0, temp_c) == pytest.approx(water.density(temp_c), abs=0.005)
