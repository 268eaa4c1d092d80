"""Worked examples of the law and of handbooks, through the functions that answer a maker's question.

Where an example rests on the law's own printed figure, that figure goes in and the answer must match to the
printed digit. Beside it stands the same question answered from physics, with what the tables behind it allow.

The source of each figure, and whether it was read or is from memory, stands beside the check.
"""

from __future__ import annotations

import pytest

from caskward.gauging.amounts import QUANTITIES, quantities, true_kg
from caskward.gauging.figure import figure
from caskward.gauging.instruments import instrument
from caskward.gauging.label import check_label, rule
from caskward.gauging.liquids import Liquid, Portion, by_scale, by_volume
from caskward.gauging.mixing import bring, make
from caskward.gauging.readings import SpiritReading
from caskward.gauging.solids import obscuration_proof, residue_g_l, us_verdict
from caskward.gauging.strength import gauge
from caskward.gauging.us_manual import (
    cut_to_tenth,
    gallons_by_weight,
    interpolated_proof,
    proof_gallons,
    rounded_proof,
    water_by_volume,
    weight_after_reduction_lb,
    wine_gallons_at_60f,
)
from caskward.properties import alcohol
from caskward.units import convert

ENOUGH = float("inf")


def of_proof(proof: float, temp_c: float = alcohol.TEMP_60F_C) -> Liquid:
    return Liquid(f"{proof:g} proof", float(alcohol.pct_vol_20_from_proof(proof)), temp_c)


# 27 CFR Part 30, read ---------------------------------------------------------------------------------


def test_quantity_by_weight() -> None:
    """Section 30.64: 81,000 lb of 190 proof, by Table 4's 0.14718 WG/lb and 0.27964 PG/lb, to the digit."""
    assert round(gallons_by_weight(81_000, 0.14718), 2) == 11_921.58
    assert round(gallons_by_weight(81_000, 0.27964), 2) == 22_650.84


def test_quantity_by_weight_from_physics() -> None:
    """The same from density and buoyancy: within 1 in 15,000, half of Table 4's last printed digit."""
    spirit = of_proof(190.0)
    density = spirit.density_kg_m3(20.0)
    mass_kg = true_kg(convert.kg_from_pounds(81_000.0), density)
    got = dict(zip(QUANTITIES, quantities(mass_kg, spirit.pct_vol), strict=True))
    assert got["wine_gallons"] == pytest.approx(11_921.58, rel=1 / 15_000)
    assert got["proof_gallons"] == pytest.approx(22_650.84, rel=1 / 15_000)


def test_reduction_by_weight() -> None:
    """Section 30.64: 1,000 lb of 200 proof (302.58 PG) to 190 proof weighs 1,082.03 lb, to the digit."""
    assert round(weight_after_reduction_lb(302.58, 0.27964), 2) == 1_082.03
    mixture = bring([by_scale(of_proof(200.0), convert.kg_from_pounds(1000.0))], of_proof(190.0).pct_vol)
    assert mixture.add is not None
    # From physics: the two table figures are each good to 1 in 30,000 of 1,000 lb, hence 0.1 lb.
    assert convert.pounds_from_kg(mixture.add.shown_kg) == pytest.approx(82.03, abs=0.1)


def test_reduction_by_volume_and_its_rounding_slip() -> None:
    """Section 186.66 (now 30.66): 191 to 188 proof prints 1.84, having rounded 95.5/94.0 to 1.01 on the way.

    Its own table figures give 1.8874 with the quotient unrounded; with the slip they give what it prints.
    """
    exact = water_by_volume(95.5, 5.59, 94.0, 7.36)
    assert exact == pytest.approx(1.8874, abs=0.0001)
    assert round(1.01 * 7.36 - 5.59, 2) == 1.84
    mixture = bring([by_volume(of_proof(191.0), 100.0)], of_proof(188.0).pct_vol)
    assert mixture.add is not None
    water_60f = mixture.add.mass_kg * 1000.0 / alcohol.density(0.0, alcohol.TEMP_60F_C)
    assert water_60f == pytest.approx(exact, abs=0.03)  # 0.01 in each of two table figures can do that


def test_reduction_by_volume_and_its_cut_digit() -> None:
    """Section 186.66: 112 to 100 proof prints 12.42; its own figures give 12.4276, which it cuts."""
    exact = water_by_volume(56.0, 47.75, 50.0, 53.73)
    assert exact == pytest.approx(12.4276, abs=0.0001)
    assert int(100.0 * exact) / 100.0 == 12.42


def test_quantity_by_volume_and_temperature() -> None:
    """Section 30.51: 88 in. at 48.96 WG/in., 72 °F, 86.8 proof, Table 7's 0.995. To the printed digit."""
    observed = 88 * 48.96
    at_60f = wine_gallons_at_60f(observed, 0.995)
    assert round(observed, 2) == 4_308.48
    assert round(at_60f, 2) == 4_286.94
    assert round(proof_gallons(at_60f, 86.8), 1) == 3_721.1


def test_hydrometer_correction_and_interpolation() -> None:
    """Section 30.23: 192.85 at 72.10 °F, corrections -0.03 and +0.05: 189.972, so 190.0 proof."""
    exact = interpolated_proof(192.85 - 0.03, 72.10 + 0.05, 189.1, 190.2, 188.9)
    assert round(exact, 3) == 189.972
    assert rounded_proof(exact) == 190.0


def test_the_same_reading_through_the_gauge() -> None:
    """Our answer to the same reading, by a gauger's glass hydrometer: within the law's step of 0.1 proof."""
    temp_c = convert.celsius_from_fahrenheit(72.15)
    glass, clock = instrument("proof-gauger"), instrument("thermometer-fine")
    reading = SpiritReading(192.82, "us_proof", temp_c, glass, clock, alcohol.TEMP_60F_C)
    assert gauge([reading]).us_proof.value == pytest.approx(190.0, abs=0.1)


def test_obscuration() -> None:
    """Section 30.32(b): 25 mL leave 0.125 g, so 0.50 g in 100 mL, so 2.0 proof to add."""
    grams_l = residue_g_l(0.125, 25.0)
    assert 100.0 * grams_l == pytest.approx(500.0, abs=1e-9)
    assert obscuration_proof(100.0 * grams_l) == pytest.approx(2.0, abs=1e-9)
    assert us_verdict(100.0 * grams_l) == "add"


@pytest.mark.parametrize(
    ("mg_100ml", "verdict"), [(0, "ignore"), (400, "ignore"), (401, "add"), (600, "add"), (601, "distil")]
)
def test_thresholds_of_obscuration(mg_100ml: float, verdict: str) -> None:
    """Sections 30.31 and 30.32: above 400 and to 600 mg in 100 mL it is added, above that distilled."""
    assert us_verdict(mg_100ml) == verdict


@pytest.mark.parametrize(("proof", "kept"), [(189.972, 190.0), (100.05, 100.1), (100.04999, 100.0)])
def test_proof_is_rounded_half_up(proof: float, kept: float) -> None:
    """Sections 30.23, 30.31."""
    assert rounded_proof(proof) == kept


def test_label_tolerance() -> None:
    """27 CFR 19.356(c), (d); read: a label of 40 %vol accepts 39.7 to 40.3 %vol."""
    check = check_label(40.0, figure(40.0, 0.01), rule("us"))
    assert (check.low, check.high) == pytest.approx((39.7, 40.3), abs=1e-12)


# Dilution tables --------------------------------------------------------------------------------------


def test_dilution_by_volume() -> None:
    """GF XI; read: 1,000 mL of 70 %vol from 96.0 %vol: 729.2 mL of spirit, 297.2 of water, 26.4 lost.

    The law of use is 1 mL in 1,000; two printed steps, 0.2 mL, are what the table's own rounding needs.
    """
    mixture = make([Portion(Liquid("spirit", 96.0), ENOUGH)], 70.0, volume_l=1.0)
    assert mixture.add is not None
    assert 1000.0 * mixture.take[0].volume_l == pytest.approx(729.2, abs=0.2)
    assert 1000.0 * mixture.add.volume_l == pytest.approx(297.2, abs=0.2)
    assert 1000.0 * mixture.contraction_l == pytest.approx(26.4, abs=0.2)


def test_dilution_by_weight() -> None:
    """GF XI; read: 1,000 g of 40 %vol from 96.1 %vol: 354 g of spirit and 646 g of water, in whole grams."""
    mixture = make([Portion(Liquid("spirit", 96.1), ENOUGH)], 40.0, scale_kg=1.0)
    assert mixture.add is not None
    assert 1000.0 * mixture.take[0].shown_kg == pytest.approx(354.0, abs=1.0)
    assert 1000.0 * mixture.add.shown_kg == pytest.approx(646.0, abs=1.0)


def test_dilution_by_mass() -> None:
    """Belgian pharmacy guidance; read: 35.36 g of 96.2 %vol for 100 g of 40 %vol.

    Its shares are another table's (33.27 and 94.10 %mass, ours 33.30 and 94.13), hence 0.04 g.
    """
    mixture = make([Portion(Liquid("spirit", 96.2), ENOUGH)], 40.0, scale_kg=0.1)
    assert 1000.0 * mixture.take[0].shown_kg == pytest.approx(35.36, abs=0.04)


# UK ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("pct_vol", "kept"), [(7.59, 7.5), (7.5, 7.5), (40.0, 40.0), (39.9999, 39.9)])
def test_strength_for_duty_is_cut(pct_vol: float, kept: float) -> None:
    """HMRC alcoholic products technical guide, section 11; read: 7.59 counts as 7.5, never rounded up."""
    assert cut_to_tenth(pct_vol) == kept
