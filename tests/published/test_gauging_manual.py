"""Rows and worked examples of the US Gauging Manual (27 CFR Part 30, before 1985 Part 186).

All read in public copies of the Code, except where a row says *from memory*. Its tables use US gallons at
60 °F and pounds in air; a US gallon is 3.785411784 L and a pound 0.45359237 kg by definition.

The source of each figure, and whether it was read or is from memory, stands beside the check.
"""

from __future__ import annotations

import pytest

from caskward.properties import alcohol, water

GALLON_L = 3.785411784
POUND_KG = 0.45359237
T60 = alcohol.TEMP_60F_C


def fahrenheit(temp_f: float) -> float:
    return (temp_f - 32.0) / 1.8


def true_proof(reading: float, temp_f: float) -> float:
    """Proof at 60 °F behind a glass hydrometer's reading."""
    return alcohol.proof_60f(alcohol.true_strength(reading / 2.0, fahrenheit(temp_f), T60))


def density_60f(proof: float) -> float:
    return alcohol.density(alcohol.mass_fraction(alcohol.pct_vol_20_from_proof(proof)), T60)


def pounds_per_gallon(proof: float) -> float:
    """Weight in air of a US gallon at 60 °F."""
    return alcohol.density_vacuum_to_air(density_60f(proof)) / 1000.0 * GALLON_L / POUND_KG


def parts_water(proof: float) -> float:
    """Volumes of water in 100 volumes of spirit at 60 °F (Table 6): it exceeds the rest by contraction."""
    fraction = alcohol.mass_fraction(alcohol.pct_vol_20_from_proof(proof))
    return 100.0 * density_60f(proof) * (1.0 - fraction) / alcohol.density(0.0, T60)


@pytest.mark.parametrize(
    ("reading", "temp_f", "printed"), [(193.0, 72.0, 190.2), (192.0, 72.0, 189.1), (192.0, 73.0, 188.9)]
)
def test_table_1_true_proof(reading: float, temp_f: float, printed: float) -> None:
    """Section 30.23. Printed to 0.1 proof: 0.05 of rounding and 0.05 for a table of another age."""
    assert true_proof(reading, temp_f) == pytest.approx(printed, abs=0.1)


def test_table_1_needs_the_growth_of_glass() -> None:
    """The same rows without glass expansion are 0.1 to 0.25 proof off: the table holds it."""
    bare = alcohol.proof_60f(alcohol.true_strength(96.5, fahrenheit(72.0), T60, glass=False))
    assert abs(bare - 190.2) > abs(true_proof(193.0, 72.0) - 190.2)


def test_hydrometer_corrections_and_interpolation() -> None:
    """Section 30.23: 192.85 read at 72.10 °F, instruments -0.03 and +0.05, gives 190.0 proof.

    0.1 proof is the law's own step.
    """
    assert true_proof(192.85 - 0.03, 72.10 + 0.05) == pytest.approx(190.0, abs=0.1)


@pytest.mark.parametrize(
    ("proof", "gallons_lb", "proof_gallons_lb"), [(190.0, 0.14718, 0.27964), (200.0, None, 0.30258)]
)
def test_table_4_gallons_per_pound(proof: float, gallons_lb: float | None, proof_gallons_lb: float) -> None:
    """Section 30.64. One part in 3,000: the manual's ethanol is 0.02 % lighter at 60 °F than OIML's."""
    ours = 1.0 / pounds_per_gallon(proof)
    if gallons_lb is not None:
        assert ours == pytest.approx(gallons_lb, rel=1 / 3000)
    assert ours * proof / 100.0 == pytest.approx(proof_gallons_lb, rel=1 / 3000)


def test_quantity_by_weight() -> None:
    """Section 30.64: 81,000 lb of 190 proof is 11,921.6 gallons and 22,650.8 proof gallons (1 in 3,000)."""
    gallons = 81_000 / pounds_per_gallon(190.0)
    assert gallons == pytest.approx(11_921.6, rel=1 / 3000)
    assert gallons * 1.9 == pytest.approx(22_650.8, rel=1 / 3000)


def test_reduction_by_weight() -> None:
    """Section 30.64: 1,000 lb of 200 proof to 190 proof needs 82.03 lb of water.

    Printed to 0.01 lb; but the two tables behind it are each good to 1 in 30,000 of 1,000 lb, hence 0.1 lb.
    """
    fraction = alcohol.mass_fraction(alcohol.pct_vol_20_from_proof(190.0))
    assert 1000.0 / fraction - 1000.0 == pytest.approx(82.03, abs=0.1)


@pytest.mark.parametrize(
    ("proof", "printed"),
    [(191.0, 5.59), (188.0, 7.36), (112.0, 47.75), (100.0, 53.73)],
)
def test_table_6_parts_of_water(proof: float, printed: float) -> None:
    """Section 186.66 (now 30.66). 0.05 of 100: half a part in a thousand, the tables' usual agreement."""
    assert parts_water(proof) == pytest.approx(printed, abs=0.05)


def test_table_6_from_memory() -> None:
    """80 proof: 63.42 parts of water; 100 proof: 0.93418 in air, 0.93426 in vacuum, 60/60 °F.

    From memory, the first with low confidence, so 0.05 parts and 0.0002 only.
    """
    assert parts_water(80.0) == pytest.approx(63.42, abs=0.05)
    in_air = alcohol.density_vacuum_to_air(density_60f(100.0)) / alcohol.density_vacuum_to_air(
        alcohol.density(0.0, T60)
    )
    assert in_air == pytest.approx(0.93418, abs=0.0002)
    assert density_60f(100.0) / alcohol.density(0.0, T60) == pytest.approx(0.93426, abs=0.0002)


def water_to_add(from_proof: float, to_proof: float) -> float:
    """US gallons of water at 60 °F for 100 gallons of spirit."""
    strengths = (alcohol.pct_vol_20_from_proof(proof) for proof in (from_proof, to_proof))
    return alcohol.reduce(100.0, *strengths, celsius=T60).water_l


def test_reduction_191_to_188_proof() -> None:
    """Section 186.66 says 1.84 gallons of water per 100: it rounds 95.5/94.0 to 1.01 on the way.

    With the quotient unrounded (1.01596) its own figures give 1.8874, and that is what we must meet; 0.03
    is what 0.01 in each of the two table figures can do.
    """
    unrounded = 95.5 / 94.0 * 7.36 - 5.59
    assert unrounded == pytest.approx(1.8874, abs=0.0001)
    assert water_to_add(191.0, 188.0) == pytest.approx(unrounded, abs=0.03)


def test_reduction_112_to_100_proof() -> None:
    """Section 186.66 says 12.42: the text cuts 12.4276 where it should round. 0.03 as above."""
    unrounded = 1.12 * 53.73 - 47.75
    assert unrounded == pytest.approx(12.4276, abs=0.0001)
    assert water_to_add(112.0, 100.0) == pytest.approx(unrounded, abs=0.03)


def test_quantity_by_volume_and_temperature() -> None:
    """Section 30.51: 4,308.48 gallons at 72 °F of 86.8 proof; Table 7 gives 0.995, so 3,721.1 proof gallons.

    The factor is printed to 0.001 and cut to a half: ours within 0.0005, the quantity within that share.
    """
    strength = alcohol.pct_vol_20_from_proof(86.8)
    at_20 = alcohol.volume_at_20(1.0, strength, fahrenheit(72.0))
    factor = at_20 / alcohol.volume_at_20(1.0, strength, T60)
    assert factor == pytest.approx(0.995, abs=0.0005)
    assert 4308.48 * factor * 0.868 == pytest.approx(3721.1, rel=0.0005)


@pytest.mark.parametrize(
    ("proof", "gallons", "pounds"),
    [
        (190.0, 1, 6.81),
        (190.0, 5, 34.00),
        (192.0, 1, 6.81),
        (192.0, 2, 13.56),
        (192.0, 5, 33.81),
        (192.0, 10, 67.63),
        (200.0, 1, 6.63),
        (200.0, 5, 33.06),
    ],
)
def test_weight_of_packages(proof: float, gallons: int, pounds: float) -> None:
    """Section 30.44(b): weights rounded *up* to the whole ounce (0.0625 lb), then cut to 0.01 lb."""
    ours = gallons * pounds_per_gallon(proof)
    # 1 in 3,000 for the manual's lighter ethanol, an ounce for its rounding.
    assert ours * (1 - 1 / 3000) <= pounds + 0.01
    assert pounds - 0.0625 <= ours * (1 + 1 / 3000)


def test_water() -> None:
    """Sections 30.41 and 21.161: at 60 °F a pound of water is 0.120074 gal, a gallon 8.32823 lb in air.

    Within 1 in 10,000: the two figures differ from each other by a third of that.
    """
    gallon_lb = alcohol.density_vacuum_to_air(water.density(T60)) / 1000.0 * GALLON_L / POUND_KG
    assert gallon_lb == pytest.approx(8.32823, rel=1e-4)
    assert 1.0 / gallon_lb == pytest.approx(0.120074, rel=1e-4)
