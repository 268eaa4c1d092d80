"""Two readings of one spirit: the better counts more, a shared error counts once, a wrong one is told."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from caskward.errors import MissingValue
from caskward.gauging.figure import standard_of_limits
from caskward.gauging.instruments import instrument
from caskward.gauging.readings import OWN_ERROR, SpiritReading
from caskward.gauging.strength import TABLES, gauge
from tests.gauging.conftest import MakeReading


def on_another_glass(reading: SpiritReading) -> SpiritReading:
    """The same reading on another instrument of the same class."""
    return replace(reading, instrument=replace(reading.instrument, name="another alcoholometer"))


def test_two_honest_readings_agree_and_narrow(read_as: MakeReading) -> None:
    glass = read_as(45.0, 20.0, key="glass-narrow", name="reading 1")
    meter = read_as(45.0, 20.0, "density_kg_m3", key="density-meter-portable", name="reading 2")
    both = gauge([glass, meter])
    assert both.agreement == "agree"
    assert both.pct_vol.value == pytest.approx(45.0, abs=1e-6)
    assert both.pct_vol.standard < min(one.standard for one in both.each_pct_vol)


def test_independent_readings_weigh_by_their_squares(read_as: MakeReading) -> None:
    """With nothing shared, 1/u² = 1/u1² + 1/u2², and the mean is weighted so. Source: from memory.

    0.1 %: a ten-thousandth of doubt is added to keep equal readings apart.
    """
    first = read_as(45.0, 20.0, "density_kg_m3", key="density-meter-portable", name="reading 1")
    second = replace(
        read_as(45.4, 21.0, "density_kg_m3", key="density-meter-portable", name="reading 2"),
        instrument=replace(first.instrument, name="another density meter", error=2.0),
    )
    both = gauge([first, second])
    u1, u2 = (one.standard for one in both.each_pct_vol)
    assert both.pct_vol.standard == pytest.approx((u1**-2 + u2**-2) ** -0.5, rel=1e-3)
    mean = (45.0 / u1**2 + 45.4 / u2**2) / (u1**-2 + u2**-2)
    assert both.pct_vol.value == pytest.approx(mean, abs=1e-3)


def test_one_thermometer_in_one_sample_counts_once(read_as: MakeReading) -> None:
    """Two like glasses at one temperature share its error, which a second reading cannot average away.

    The tables' own error is shared, too.
    """
    first = read_as(45.0, 26.0, key="oiml-1", name="reading 1")
    second = on_another_glass(replace(first, name="reading 2"))
    both = gauge([first, second])
    alone = both.each_pct_vol[0]
    shared = sum(s.share for s in gauge([first]).shares if s.name in ("temperature", TABLES.name))
    floor = alone.standard * shared**0.5
    assert floor < both.pct_vol.standard < alone.standard
    assert both.pct_vol.standard == pytest.approx(
        (floor**2 + 0.5 * (alone.standard**2 - floor**2)) ** 0.5, rel=0.01
    )


def test_one_glass_read_again_keeps_its_own_error(read_as: MakeReading) -> None:
    """Ten readings on one glass leave its limit of error whole: only half a division averages away."""
    first = read_as(45.0, 20.0, key="oiml-2", name="reading 1")
    ten = gauge([replace(first, name=f"reading {n}") for n in range(1, 11)])
    alone = ten.each_pct_vol[0].standard
    own = standard_of_limits(first.instrument.error)
    division = standard_of_limits(first.instrument.division / 2.0)
    averaged = math.sqrt(alone**2 - 0.9 * division**2)
    assert own < ten.pct_vol.standard == pytest.approx(averaged, rel=0.01)
    assert any(share.name == f"{OWN_ERROR}{first.instrument.name}" for share in ten.shares)


def test_repeats_on_one_glass_cover_the_truth(read_as: MakeReading) -> None:
    """500 glasses with one error each, read five times: at least 95 in 100 intervals hold the strength.

    An even spread has no tails, so it may be all of them; the width is held instead, to 1.3 of the glass's
    own limit: 1.13 for an even spread alone, and the rest for marks and thermometer.
    """
    rng = np.random.default_rng(17)
    base = replace(read_as(45.0, 20.0, key="glass-narrow"), thermometer=instrument("thermometer-fine"))
    covered = 0
    for _ in range(500):
        off = rng.uniform(-base.instrument.error, base.instrument.error)
        repeats = [
            replace(base, value=base.value + off + rng.uniform(-0.1, 0.1), name=f"reading {n}")
            for n in range(1, 6)
        ]
        found = gauge(repeats).pct_vol
        covered += found.low <= 45.0 <= found.high
        assert found.half_width < 1.3 * base.instrument.error
    assert covered / 500 >= 0.95


def test_readings_far_apart_disagree_beyond_doubt(read_as: MakeReading) -> None:
    glass = read_as(47.0, 20.0, key="oiml-1", name="reading 1")
    meter = read_as(45.0, 20.0, "density_kg_m3", key="density-meter", name="reading 2")
    both = gauge([glass, meter])
    assert both.agreement == "disagree"
    assert both.chance < 0.01
    assert both.pct_vol.low < 45.0 < both.pct_vol.high
    assert both.pct_vol.standard > 10.0 * min(one.standard for one in both.each_pct_vol)


def test_the_same_reading_twice_is_no_fault(read_as: MakeReading) -> None:
    one = read_as(45.0, 20.0)
    twice = gauge([one, one])
    assert twice.pct_vol.value == pytest.approx(45.0, abs=1e-6)
    assert twice.pct_vol.standard == pytest.approx(gauge([one]).pct_vol.standard, rel=1e-3)


def test_honest_pairs_are_seldom_accused(read_as: MakeReading) -> None:
    """1,000 honest pairs: at most 2 in 100 are called beyond doubt, where 1 in 100 is the rule.

    Even spreads have no far tails, so it is less.
    """
    rng = np.random.default_rng(11)
    base = read_as(45.0, 20.0, key="oiml-2", name="reading 1")
    accused = 0
    for _ in range(1_000):
        first = replace(base, value=base.value + rng.uniform(-0.1, 0.1) + rng.uniform(-0.1, 0.1))
        second = on_another_glass(
            replace(
                base, value=base.value + rng.uniform(-0.1, 0.1) + rng.uniform(-0.1, 0.1), name="reading 2"
            )
        )
        accused += gauge([first, second]).agreement == "disagree"
    assert accused <= 20


def test_three_readings_have_two_degrees_of_freedom(read_as: MakeReading) -> None:
    readings: list[SpiritReading] = [
        read_as(45.0, 20.0, key=key, name=f"reading {n}")
        for n, key in enumerate(("oiml-1", "oiml-2", "oiml-3"), start=1)
    ]
    found = gauge(readings)
    assert found.agreement == "agree"
    assert found.chance == pytest.approx(1.0, abs=1e-6)


def test_without_a_reading_there_is_no_strength() -> None:
    with pytest.raises(MissingValue):
        gauge([])
