"""The course of a ferment against published series and figures; each source stands beside its check.

Only lag and effective cells are fitted to a batch, by trying every pair of a small grid; all constants of the
model are fixed over all series, as published. Which published forms to join was chosen with these series in
sight: growth by Oliveira, resting cells by Rivera and Warren, all scaled to the yeast's own tolerance.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pytest

from caskward.properties import alcohol
from caskward.stages.fermenting import FermentCourse, FermentSettings, ferment_course
from caskward.stages.stream import Stream
from caskward.stages.yeast import (
    DAP_NITROGEN,
    Yeast,
    cells_per_ml,
    effective_g_l,
    nitrogen_need_mg_l,
    warm_factor,
)
from tests.published.table import records

REPLICATES = ("agave_rep1", "agave_rep2")
LAGS_H, CELLS_G_L = np.arange(0.0, 20.5, 0.5), np.geomspace(0.1, 20.0, 40)


class Series(NamedTuple):
    hours: np.ndarray
    g_l: np.ndarray


def series(table: str, name: str, *quantities: str) -> Series:
    """One measured quantity against time; several are added up."""
    rows = [row for row in records(table) if row["series"] == name]
    parts = [[row for row in rows if row["quantity"] == quantity] for quantity in quantities]
    hours = np.array([float(row["hour"]) for row in parts[0]])
    return Series(hours, sum(np.array([float(row["g_l"]) for row in part]) for part in parts))


def litre(sugar_g_l: float, ethanol_g_l: float) -> Stream:
    """A litre of liquid with so much sugar and alcohol."""
    water_kg = 0.9
    for _ in range(20):
        wash = Stream.of(
            water_kg=water_kg, hexose_kg=sugar_g_l / 1000.0, ethanol_kg=ethanol_g_l / 1000.0, temp_c=28.0
        )
        water_kg += 0.998 * (1.0 - float(wash.liquid_l))
    return wash


def off_by(ours: np.ndarray, measured: np.ndarray) -> np.ndarray:
    """Root of the mean square, over time."""
    return np.sqrt(np.mean((ours - measured) ** 2, axis=0))


class Fit(NamedTuple):
    course: FermentCourse
    world: int
    sugar_off: float
    ethanol_off: float
    lag_h: float
    cells_g_l: float


def fitted(replicate: str) -> Fit:
    """The best of all pairs of lag and cells, each error counted in what is allowed for it."""
    sugar = series("ferment_agave_2024", replicate, "glucose", "fructose")
    ethanol = series("ferment_agave_2024", replicate, "ethanol")
    lag_h, cells_g_l = (axis.ravel() for axis in np.meshgrid(LAGS_H, CELLS_G_L))
    course = ferment_course(
        litre(sugar.g_l[0], ethanol.g_l[0]),
        sugar.hours,
        Yeast(cells_g_l, lag_h),
        FermentSettings(set_point_c=28.0),
    )
    sugar_off = off_by(course.sugar_g_l, sugar.g_l[:, None])
    ethanol_off = off_by(course.ethanol_g_l, ethanol.g_l[:, None])
    best = int(np.argmin(sugar_off / 8.0 + ethanol_off / 4.0))
    return Fit(course, best, sugar_off[best], ethanol_off[best], float(lag_h[best]), float(cells_g_l[best]))


@pytest.mark.parametrize("replicate", REPLICATES)
def test_agave_at_28_c(replicate: str) -> None:
    """Valle et al. (2024), read: within 8 g/L of sugar and 4 g/L of ethanol over three days.

    Seen: 3.8 and 2.0 (first replicate), 0.9 and 2.6 (second). Why so wide: 8 g/L of sugar is 0.003 in
    gravity, and the two tubes lie up to 36 g/L apart from each other at 16 h.
    """
    fit = fitted(replicate)
    assert fit.sugar_off <= 8.0
    assert fit.ethanol_off <= 4.0
    assert LAGS_H[0] < fit.lag_h < LAGS_H[-1], "the best lag lies inside the grid, not at its edge"
    assert CELLS_G_L[0] < fit.cells_g_l < CELLS_G_L[-1]


def test_fitted_cells_are_near_the_counted_ones() -> None:
    """The juice was pitched with 1e8 cells/mL, by our own conversion 2.5 g/L: within a factor of three."""
    counted = effective_g_l(1e8)
    for replicate in REPLICATES:
        assert 1 / 3 < fitted(replicate).cells_g_l / counted < 3.0


def test_one_tube_s_cells_foretell_the_other() -> None:
    """Nothing but the lag taken from the second replicate; cells from the first. Same limits."""
    cells_g_l = fitted(REPLICATES[0]).cells_g_l
    sugar = series("ferment_agave_2024", REPLICATES[1], "glucose", "fructose")
    ethanol = series("ferment_agave_2024", REPLICATES[1], "ethanol")
    course = ferment_course(
        litre(sugar.g_l[0], ethanol.g_l[0]),
        sugar.hours,
        Yeast(cells_g_l, LAGS_H),
        FermentSettings(set_point_c=28.0),
    )
    both = off_by(course.sugar_g_l, sugar.g_l[:, None]) / 8.0
    both = np.maximum(both, off_by(course.ethanol_g_l, ethanol.g_l[:, None]) / 4.0)
    assert np.min(both) <= 1.0


@pytest.mark.parametrize("replicate", REPLICATES)
def test_apparent_yield_of_agave(replicate: str) -> None:
    """0.474 g/g of the sugar gone (0.471 to 0.477, read): the default yield of 0.93 of theory gives it."""
    course, world = fitted(replicate)[:2]
    made = course.ethanol_g_l[-1, world] - course.ethanol_g_l[0, world]
    assert 0.471 <= made / (course.sugar_g_l[0, world] - course.sugar_g_l[-1, world]) <= 0.477


@pytest.mark.parametrize("replicate", REPLICATES)
def test_agave_is_nearly_dry_after_a_day_and_a_half(replicate: str) -> None:
    """95 % of the sugar gone after 30 h, 24 to 40 (same source, read)."""
    fit = fitted(replicate)
    fine = ferment_course(
        fit.course.wash.world(fit.world),
        np.arange(0.0, 72.5, 0.5),
        Yeast(fit.cells_g_l, fit.lag_h),
        FermentSettings(set_point_c=28.0),
    )
    gone = 1.0 - fine.sugar_g_l / fine.sugar_g_l[0]
    assert 24.0 <= fine.hours[np.argmax(gone >= 0.95)] <= 40.0


def test_high_inoculum_shows_its_error() -> None:
    """Oliveira et al. (2016), read: nothing fitted, 25 g/L of cells as stated, no lag, the best temperature.

    Off by 6.4 g/L of sugar and 6.9 g/L of ethanol; the latter is over 4 g/L, and no constant is moved for it.
    Sugar falls by 25 g/L in the first quarter of an hour there while only 6.5 g/L of ethanol are made of it
    (taken up, not yet fermented: the model has no such store), and the batch ends with 0.41 g/g of ethanol
    against 0.475 in ours. The range asserted is what is seen, and 1 g/L, the digitising, either side.
    """
    name = "oliveira2016_batch"
    sugar = series("ferment_high_inoculum_2016", name, "sugar")
    ethanol = series("ferment_high_inoculum_2016", name, "ethanol")
    hours = np.unique(np.concatenate([[0.0], sugar.hours, ethanol.hours]))
    course = ferment_course(litre(111.5, 0.0), hours, Yeast(25.0, 0.0), FermentSettings(set_point_c=32.3))
    at_sugar, at_ethanol = np.searchsorted(hours, sugar.hours), np.searchsorted(hours, ethanol.hours)
    sugar_off = float(off_by(course.sugar_g_l[at_sugar], sugar.g_l))
    ethanol_off = float(off_by(course.ethanol_g_l[at_ethanol], ethanol.g_l))
    assert 5.4 <= sugar_off <= 7.4
    assert 5.9 <= ethanol_off <= 7.9
    assert 3.0 <= float(course.dry_h) <= 6.0  # measured: 98 % gone at 3.0 h, all at 5.0 h


def test_warmth_as_activation_energies_have_it() -> None:
    """Phisalaphong et al. (2006), abstract, read: 34.6 kJ/mol for growth, 35.0 for ethanol (another strain).

    Ours from 20 to 30 °C, through Salvado's cardinal temperatures: within a tenth.
    """
    slow, quick = warm_factor(20.0), warm_factor(30.0)
    energy = 8.314e-3 * np.log(quick / slow) / (1.0 / 293.15 - 1.0 / 303.15)
    assert energy == pytest.approx(34.8, rel=0.10)


def test_cardinal_temperatures() -> None:
    """Salvado et al. (2011), abstract, read: 2.8, 32.3 and 45.4 °C."""
    assert warm_factor(32.3) == pytest.approx(1.0, abs=1e-12)
    np.testing.assert_allclose(warm_factor(np.array([-1.0, 2.8, 45.4, 60.0])), 0.0, atol=1e-12)
    around = warm_factor(np.linspace(2.8, 45.4, 427))
    assert np.argmax(around) == 295


def test_a_malt_wash_takes_its_time() -> None:
    """Russell (2003), from memory: 48 to 110 h, from 16 to 22 °C with 5e6 to 4e7 cells/mL, under 35 °C."""
    sugar_kg = 26.0
    wash = Stream.of(temp_c=20.0, water_kg=184.0, hexose_kg=sugar_kg)
    cells = effective_g_l(cells_per_ml(130.0, float(wash.volume_l)))
    settings = FermentSettings(heat_loss_w_k=6.0, room_c=15.0)
    course = ferment_course(wash, np.arange(0.0, 169.0), Yeast(cells), settings)
    assert 48.0 <= float(course.dry_h) <= 110.0
    assert 25.0 <= float(np.max(course.temp_c)) <= 35.0


def test_heat_where_none_is_lost() -> None:
    """14 K for each 100 g/L of sugar, 13 to 16; derived from 0.56 MJ/kg (source: textbooks, from memory)."""
    wash = litre(100.0, 0.0).at(20.0)
    course = ferment_course(
        wash, np.arange(0.0, 169.0), Yeast(1.0, attenuation=1.0), FermentSettings(heat_loss_w_k=0.0)
    )
    assert 13.0 <= float(course.temp_c[-1] - course.temp_c[0]) <= 16.0


def test_gas_of_a_kilogram_of_sugar() -> None:
    """0.4886 kg and 267 L at 20 °C by Gay-Lussac (source: textbooks, from memory)."""
    wash = Stream.of(temp_c=30.0, water_kg=9.0, hexose_kg=1.0)
    yeast = Yeast(2.0, attenuation=1.0, yield_of_theory=1.0)
    course = ferment_course(wash, np.arange(0.0, 169.0), yeast, FermentSettings(set_point_c=30.0))
    assert float(course.co2_kg[-1]) == pytest.approx(0.4886, abs=0.0005)
    assert 1000.0 * float(course.co2_m3[-1]) == pytest.approx(267.0, abs=1.0)


def test_nitrogen() -> None:
    """From memory: 200 mg N/L at 21 °Brix (150 to 250), 275 at 25 (200 to 350); source: key yeast-nitrogen.

    21 °Brix are 228 g/L, 25 are 276 (sucrose tables).
    """
    assert 150.0 <= nitrogen_need_mg_l(228.0) <= 250.0
    assert 200.0 <= nitrogen_need_mg_l(276.0) <= 350.0
    assert pytest.approx(2 * 14.007 / 132.06, abs=0.0005) == DAP_NITROGEN


def test_oliveira_s_limit_is_an_ordinary_tolerance() -> None:
    """94.2 g/L of ethanol (read) is 11.9 %vol: why his limit is scaled with a yeast's own tolerance."""
    limit_pct_vol = 94.2 / alcohol.ETHANOL_DENSITY_20C * 100.0
    assert limit_pct_vol == pytest.approx(11.9, abs=0.05)
