"""Heat: specific heats, slaking, boiling and cooling against printed figures.

The source of each figure, and whether it was read or is from memory, stands beside the check.
"""

from __future__ import annotations

import pytest
from chemicals.vapor_pressure import Tsat_IAPWS

from caskward.properties import alcohol, heat


@pytest.mark.parametrize(
    ("pct_mass", "printed"),
    [(0.0, 4.17), (6.4, 4.26), (10.0, 4.30), (23.8, 4.30), (33.3, 4.16), (40.0, 4.03), (55.0, 3.71)],
)
def test_specific_heat_of_ethanol_water(pct_mass: float, printed: float) -> None:
    """Melinder's brine correlation at 20 °C, computed with a general library. Within 0.03 kJ/kg/K.

    Six of these rows shaped the cubic, so this guards its typing; the maximum above water is the check.
    """
    assert heat.cp_ethanol_water(pct_mass / 100.0) == pytest.approx(printed, abs=0.03)
    assert heat.cp_ethanol_water(0.15) > heat.cp_ethanol_water(0.0)


@pytest.mark.parametrize(("moisture", "printed"), [(0.0, 1.59), (0.08, 1.76)])
def test_specific_heat_of_malt(moisture: float, printed: float) -> None:
    """Pauls and Whites Brewing Room Book 1984/85 (0.38 and 0.42 cal/g/K); read. Printed to 0.01 cal: 0.06."""
    assert heat.cp_grain(moisture) == pytest.approx(printed, abs=0.06)


@pytest.mark.parametrize(("moisture", "rise_k"), [(0.0, 3.0), (0.02, 2.3), (0.04, 1.5), (0.08, 1.0)])
def test_slaking_heat_warms_a_normal_mash(moisture: float, rise_k: float) -> None:
    """The same table: how far a normal mash rises. Common practice makes that about 2.8 L of water per kg.

    The rise is printed to 0.1 and 'normal' is not defined: 0.3 K.
    """
    capacity = heat.mash_heat_capacity_kj_k(2.8 + moisture, 0.0, 0.0, 1.0 - moisture)
    assert heat.slaking_heat_kj(1.0, moisture) / capacity == pytest.approx(rise_k, abs=0.3)


def test_mash_of_a_quarter_solids() -> None:
    """Derived from the two specific heats above: 3.53 kJ/kg/K (3.4 to 3.7)."""
    assert heat.mash_heat_capacity_kj_k(75.0, 0.0, 0.0, 25.0) / 100.0 == pytest.approx(3.53, abs=0.05)


@pytest.mark.parametrize(("brix", "temp_c"), [(10.0, 20.0), (20.0, 20.0), (20.0, 60.0), (25.0, 40.0)])
def test_specific_heat_of_syrup(brix: float, temp_c: float) -> None:
    """Sugar industry: 4184 - 2971 B + 460 B P + 7.5 B t J/kg/K, here for sucrose (P = 1); read. 2 %."""
    share = brix / 100.0
    printed = (4184.0 - 2971.0 * share + 460.0 * share + 7.5 * share * temp_c) / 1000.0
    ours = heat.mash_heat_capacity_kj_k(1.0 - share, 0.0, share, 0.0)
    assert ours == pytest.approx(printed, rel=0.02)


@pytest.mark.parametrize(
    ("strength", "reflux", "litres_h_kw"), [(77.0, 0.10, 2.97), (50.0, 0.05, 2.25), (1.0, 0.05, 1.53)]
)
def test_distillate_per_kilowatt(strength: float, reflux: float, litres_h_kw: float) -> None:
    """Rates of distillate per kW into vapour, computed from reference latent heats; within 2 %."""
    fraction = alcohol.mass_fraction(strength)
    kg_l = alcohol.density(fraction, 20.0) / 1000.0
    kwh_l = heat.boiling_kwh(kg_l * fraction, kg_l * (1 - fraction), reflux)
    assert 1.0 / kwh_l == pytest.approx(litres_h_kw, rel=0.02)


def test_latent_heats() -> None:
    """Ethanol 846 kJ/kg (handbook 855 read, 849.6 from a reference equation), water 2256.5 (IAPWS); 1 %."""
    assert 3600.0 * heat.boiling_kwh(1.0, 0.0) == pytest.approx(849.6, rel=0.01)
    assert 3600.0 * heat.boiling_kwh(0.0, 1.0) == pytest.approx(2256.5, rel=0.001)


def test_rules_of_thumb() -> None:
    """Common practice: 860/dT litres of cooling water per kWh; 1.6 kg of water boiled off per kWh."""
    assert heat.cooling_water_l(1.0, 1.0) == pytest.approx(860.0, rel=0.005)
    assert heat.evaporation_kg_h(1.0) == pytest.approx(1.6, abs=0.01)


@pytest.mark.parametrize(
    ("kpa", "tolerance_k"), [(40, 0.1), (60, 0.1), (80, 0.05), (90, 0.05), (101.325, 0.05), (108, 0.05)]
)
def test_boiling_point_of_water(kpa: float, tolerance_k: float) -> None:
    """Saturation line of IAPWS as the `chemicals` library has it.

    0.05 K, half a thermometer's tenth, up to 2,000 m; the constants of Antoine drift below 80 kPa: a tenth.
    """
    expected = Tsat_IAPWS(1000.0 * kpa) - 273.15
    assert heat.boiling_point_water_c(kpa) == pytest.approx(expected, abs=tolerance_k)
