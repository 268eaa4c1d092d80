"""Boiling points, vapours and azeotropes of ethanol-water against published measurements.

The sets disagree among themselves by 0.01 in y and 0.2 K, so no model can do better; the claims tested are
mean |dy| <= 0.006, no |dy| above 0.016 and mean |dT| <= 0.20 K near 101 kPa. Sources in the data file: read.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from caskward.properties import vle
from tests.published.table import records

ROWS = records("boiling_ethanol_water")
NEAR_101_KPA = ("perry_carey_lewis_1932", "kamihama_2012", "kirschbaum_1939_740mmHg", "cn_course_table")


def gaps(*datasets: str) -> tuple[np.ndarray, np.ndarray]:
    """Model minus measurement: vapour mole fraction and temperature [K]."""
    table = np.array(
        [
            [float(row[name]) for name in ("kpa", "temp_c", "x", "y")]
            for row in ROWS
            if row["dataset"] in datasets
        ]
    )
    kpa, temp_c, x, y = table.T
    boiling = vle.bubble_point(x, kpa)
    return boiling.y - y, boiling.celsius - temp_c


def test_all_rows_near_101_kpa() -> None:
    vapour, temp_k = gaps(*NEAR_101_KPA)
    assert vapour.size == 50
    assert np.abs(vapour).mean() <= 0.006
    assert np.abs(vapour).max() <= 0.016
    assert np.abs(temp_k).mean() <= 0.20


@pytest.mark.parametrize(
    ("dataset", "mean_dy", "mean_dt_k"),
    [
        ("kamihama_2012", 0.005, 0.25),
        ("kirschbaum_1939_740mmHg", 0.006, 0.25),
        ("cn_course_table", 0.006, 0.25),
        # Carey & Lewis: the oldest, and 0.8 K off at x = 0.019, where Kamihama's x = 0.018 agrees with us.
        ("perry_carey_lewis_1932", 0.008, 0.30),
    ],
)
def test_each_set(dataset: str, mean_dy: float, mean_dt_k: float) -> None:
    """Set by set, so that a good one cannot hide a bad one."""
    vapour, temp_k = gaps(dataset)
    assert np.abs(vapour).mean() <= mean_dy
    assert np.abs(temp_k).mean() <= mean_dt_k


def test_kirschbaum_at_250_mmhg() -> None:
    """33 kPa, a third of an atmosphere: twice the error in y, and the claim above does not reach so low.

    Mean 0.012 and 0.30 K, at most 0.030: stated as what it is. No still for spirit runs there.
    """
    vapour, temp_k = gaps("kirschbaum_1939_250mmHg")
    assert vapour.size == 19
    assert np.abs(vapour).mean() <= 0.012
    assert np.abs(vapour).max() <= 0.030
    assert np.abs(temp_k).mean() <= 0.30


@pytest.mark.parametrize(
    ("x", "temp_c"),
    [
        (0.8943, 78.15),  # Carey & Lewis in Perry's Handbook; read
        (0.9005, 78.11),  # Kamihama 2012: y = 0.900 at x = 0.901; read
    ],
)
def test_azeotrope(x: float, temp_c: float) -> None:
    """101.3 kPa. Within 0.005 in x and 0.05 K: the published pair is 0.006 and 0.04 K apart."""
    ours = vle.azeotrope(101.325)
    assert ours.x == pytest.approx(x, abs=0.005)
    assert ours.celsius == pytest.approx(temp_c, abs=0.05)


def test_azeotrope_by_mass() -> None:
    """Evans (1916) in a public collection; read: 0.956 by mass, 78.17 °C."""
    ours = vle.azeotrope()
    assert vle.mass_fraction_from_mole(ours.x) == pytest.approx(0.956, abs=0.003)
    assert ours.celsius == pytest.approx(78.17, abs=0.05)


def test_azeotrope_moves_towards_ethanol_in_thin_air() -> None:
    """Every text says so; none of the numbers is good enough to hold us to (from memory)."""
    xs = [vle.azeotrope(kpa).x for kpa in (101.325, 90.0, 75.0, 60.0, 40.0)]
    assert all(later > earlier for earlier, later in itertools.pairwise(xs))


@pytest.mark.parametrize(("metres", "kpa"), [(0, 101.325), (500, 95.461), (1000, 89.876), (2000, 79.501)])
def test_standard_atmosphere(metres: float, kpa: float) -> None:
    """ISO 2533 table of pressures; from memory, printed to 0.001 kPa; the short formula within 0.01."""
    assert vle.pressure_at_altitude(metres) == pytest.approx(kpa, abs=0.01)


def test_altitude_moves_the_thermometer_hardly_the_strength() -> None:
    """Common practice: about a third of a kelvin per 100 m near the sea; the vapour within 0.005."""
    low, high = (vle.bubble_point(0.1, vle.pressure_at_altitude(metres)) for metres in (0.0, 300.0))
    assert (low.celsius - high.celsius) / 3.0 == pytest.approx(0.32, abs=0.03)
    assert abs(low.y - high.y) < 0.005
