"""The doubt that is stated: against known rules, against random errors, and whether it covers the truth."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import chi2

from caskward.errors import OutOfRange
from caskward.gauging.figure import COVERAGE_95, Input, figure, propagate, standard_of_limits
from caskward.gauging.instruments import instrument
from caskward.gauging.readings import SpiritReading
from caskward.gauging.strength import TABLES, chi_squared_chance, gauge, tables_limit_kg_m3
from caskward.properties import alcohol
from tests.gauging.conftest import MakeReading


def test_a_sum_and_a_product() -> None:
    """GUM: u of a + b is the root of the squares; of a b the relative ones. Source: from memory."""
    inputs = [Input("a", 10.0, 0.3), Input("b", 20.0, 0.4)]
    done = propagate(lambda v: (v[0] + v[1], v[0] * v[1]), inputs)
    assert done.figures[0].standard == pytest.approx(0.5)
    assert done.figures[1].standard == pytest.approx(200.0 * math.hypot(0.03, 0.02))
    assert [share.name for share in done.shares[0]] == ["b", "a"]
    assert sum(share.share for share in done.shares[0]) == pytest.approx(1.0)


def test_limits_are_spread_evenly() -> None:
    """GUM: an even spread within ± a has a / sqrt(3). Source: from memory."""
    assert standard_of_limits(0.3) == pytest.approx(0.3 / math.sqrt(3.0))
    assert standard_of_limits(0.3, 0.4) == pytest.approx(0.5 / math.sqrt(3.0))


def test_an_interval_ends_where_the_quantity_does() -> None:
    cut = figure(0.3, 0.5, 0.0, 100.0)
    assert (cut.low, cut.value) == (0.0, 0.3)
    assert cut.high == pytest.approx(0.3 + COVERAGE_95 * 0.5)


def test_a_model_that_ends_is_stepped_to_one_side() -> None:
    def model(values: tuple[float, ...]) -> tuple[float, ...]:
        if values[0] > 1.0:
            raise OutOfRange("x", values[0], "", 0.0, 1.0)
        return (3.0 * values[0],)

    for start in (1.0, 0.95):
        done = propagate(model, [Input("x", start, 0.2)])  # type: ignore[arg-type]
        assert done.figures[0].standard == pytest.approx(0.6)


@pytest.mark.parametrize(
    ("pct_vol", "temp_c", "key", "scale"),
    [
        (43.9, 28.0, "oiml-3", "pct_vol"),
        (63.0, 5.0, "glass-narrow", "pct_vol"),
        (12.0, 31.0, "oiml-2", "pct_vol"),
        (92.0, 20.0, "density-hydrometer", "density_kg_m3"),
        (59.0, 27.8, "proof-wide", "us_proof"),
    ],
)
def test_against_random_errors(
    read_as: MakeReading, pct_vol: float, temp_c: float, key: str, scale: str
) -> None:
    """20,000 readings with errors spread as stated: the same standard deviation within 3 %.

    2 % is the scatter of so many draws at three sigmas, 1 % for the curve of the tables. Their own error,
    which every reading shares, is taken off.
    """
    reading = read_as(pct_vol, temp_c, scale, key=key)
    gauged = gauge([reading])
    by_tables = next(one.share for one in gauged.shares if one.name == TABLES.name)
    stated = gauged.pct_vol.standard * math.sqrt(1.0 - by_tables)
    rng = np.random.default_rng(20)
    device = reading.instrument
    errors = rng.uniform(-device.error, device.error, 20_000)
    errors += rng.uniform(-device.division / 2.0, device.division / 2.0, 20_000)
    shown = reading.value + errors
    temps = temp_c + rng.uniform(-0.5, 0.5, 20_000)
    if scale == "density_kg_m3":
        liquid = shown * (1.0 - alcohol.GLASS_EXPANSION_PER_K * (temps - 20.0))
        found = alcohol.pct_vol(alcohol.mass_fraction_from_density(liquid, temps))
    elif scale == "us_proof":
        at_mark = alcohol.density(alcohol.mass_fraction(alcohol.pct_vol_20_from_proof(shown)), 20.0)
        liquid = at_mark * (1.0 - alcohol.GLASS_EXPANSION_PER_K * (temps - 20.0))
        found = alcohol.pct_vol(alcohol.mass_fraction_from_density(liquid, temps))
    else:
        found = alcohol.true_strength(shown, temps)
    assert stated == pytest.approx(float(np.std(found)), rel=0.03)


def test_the_interval_covers_the_truth() -> None:
    """2,000 readings of one spirit with errors as stated: 95 in 100 intervals hold its strength.

    Even spreads have shorter tails than the normal curve, so it may be a little over: 94 to 98.
    """
    rng = np.random.default_rng(5)
    device, clock = instrument("oiml-2"), instrument("thermometer")
    covered, shown = 0, float(alcohol.indicated_strength(45.0, 26.0))
    for _ in range(2_000):
        error = rng.uniform(-device.error, device.error) + rng.uniform(-0.1, 0.1)
        reading = SpiritReading(shown + error, "pct_vol", 26.0 + rng.uniform(-0.5, 0.5), device, clock)
        found = gauge([reading]).pct_vol
        covered += found.low <= 45.0 <= found.high
    assert 0.94 <= covered / 2_000 <= 0.98


@pytest.mark.parametrize(("temp_c", "limit"), [(20.0, 0.03), (25.0, 0.065), (30.0, 0.1), (5.0, 0.1)])
def test_the_tables_own_error_counts(read_as: MakeReading, temp_c: float, limit: float) -> None:
    """A perfect meter still leaves ± 0.03 kg/m³ at 20 °C and ± 0.1 at 10 K from it, evenly spread."""
    assert tables_limit_kg_m3(temp_c) == pytest.approx(limit)
    reading = read_as(60.0, temp_c, "density_kg_m3", key="density-meter")
    perfect = replace(reading, instrument=replace(reading.instrument, error=0.0, division=0.0, own_temp=0.0))
    density = float(alcohol.density(alcohol.mass_fraction(60.0), temp_c))
    up, down = (
        float(alcohol.pct_vol(alcohol.mass_fraction_from_density(density + off, temp_c)))
        for off in (limit, -limit)
    )
    expected = abs(up - down) / 2.0 / math.sqrt(3.0)
    assert gauge([perfect]).pct_vol.standard == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7])
@pytest.mark.parametrize("value", [0.0, 0.4, 3.841, 9.2, 25.0])
def test_chance_of_chi_squared(freedom: int, value: float) -> None:
    """Against scipy's chi squared distribution, to rounding."""
    assert chi_squared_chance(value, freedom) == pytest.approx(float(chi2.sf(value, freedom)), rel=1e-9)


def test_a_coarse_thermometer_costs_what_it_costs(read_as: MakeReading) -> None:
    """1 K is about 0.35 %vol at 47 %vol and 28 °C, so ± 1 K is a standard uncertainty of 0.2 %vol."""
    reading = read_as(44.0, 28.0, key="oiml-1")
    by_key = {}
    for key in ("thermometer-fine", "thermometer", "thermometer-coarse"):
        other = SpiritReading(reading.value, "pct_vol", 28.0, reading.instrument, instrument(key))
        by_key[key] = gauge([other])
    slope = (alcohol.true_strength(reading.value, 29.0) - alcohol.true_strength(reading.value, 27.0)) / 2.0
    expected = math.hypot(instrument("oiml-1").standard, slope / math.sqrt(3.0))
    coarse = by_key["thermometer-coarse"]
    assert coarse.pct_vol.standard == pytest.approx(expected, rel=0.05)
    assert coarse.shares[0].name == "temperature"
    assert by_key["thermometer-fine"].pct_vol.standard < by_key["thermometer"].pct_vol.standard
