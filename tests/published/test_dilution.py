"""Bringing spirit down with water, against printed dilution tables. Sources in the data file: read."""

from __future__ import annotations

import pytest

from caskward.properties import alcohol
from tests.published.deviations import GF_MASS, GF_TENTHS, GF_WHOLE, Case, held


@pytest.mark.parametrize("case", [GF_TENTHS, GF_WHOLE], ids=["tenths", "whole"])
def test_by_volume(case: Case) -> None:
    """GF XI: millilitres of spirit and of water for 1,000 mL at 20 °C.

    1 mL in 1,000 is the use; the tables in tenths are held to 0.2, twice the printed step.
    """
    held(case)


def test_by_mass() -> None:
    """GF XI: grams for 1,000 g; whole grams, and half of another for the strength's own rounding."""
    held(GF_MASS)


def test_worked_example_by_volume() -> None:
    """GF XI: 1,000 mL of 70 %vol from 96.0: 729.2 mL of spirit, 297.2 of water, 26.4 lost to contraction."""
    made = alcohol.reduce(729.2, 96.0, 70.0)
    assert made.final_l == pytest.approx(1000.0, abs=0.2)
    assert made.water_l == pytest.approx(297.2, abs=0.2)
    assert 729.2 + made.water_l - made.final_l == pytest.approx(26.4, abs=0.2)


def test_worked_example_by_mass() -> None:
    """Belgian pharmacy guidance; read: 100 g of 40 %vol from 96.2 %vol takes 35.36 g (33.27 and 94.10 %mass).

    Those shares come from another table: the formula has 33.30 and 94.13. Within 0.04 %mass and 0.04 g.
    """
    weak, strong = alcohol.mass_fraction(40.0), alcohol.mass_fraction(96.2)
    assert 100.0 * weak == pytest.approx(33.27, abs=0.04)
    assert 100.0 * strong == pytest.approx(94.10, abs=0.04)
    assert 100.0 * weak / strong == pytest.approx(35.36, abs=0.04)


def test_contraction_at_british_proof() -> None:
    """Cooley's Cyclopaedia, 6th ed.; read, historic: 57.06 volumes of alcohol and 46.68 of water make 100.

    Sp. gr. 0.91984 at 60 °F, 49.24 %mass. Its alcohol is the old 'absolute' one, a little wet: 0.1 volumes,
    0.1 %mass and 0.0005 in gravity.
    """
    fraction = 0.4924
    t60 = alcohol.TEMP_60F_C
    assert alcohol.density(fraction, t60) / alcohol.density(0.0, t60) == pytest.approx(0.91984, abs=0.0005)
    strength = alcohol.proof_60f(alcohol.pct_vol(fraction)) / 2.0
    assert strength == pytest.approx(57.06, abs=0.1)
    water = 100.0 * (1.0 - fraction) * alcohol.density(fraction, t60) / alcohol.density(0.0, t60)
    assert water == pytest.approx(46.68, abs=0.1)
