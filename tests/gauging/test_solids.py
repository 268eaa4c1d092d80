"""What sugar and cask extract hide."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caskward.errors import HeavierThanWater, OutOfRange, ScaleCannotShow
from caskward.gauging.instruments import instrument
from caskward.gauging.readings import SpiritReading
from caskward.gauging.solids import Solids, residue_g_l, true_strength_with_solids
from caskward.gauging.strength import gauge
from caskward.properties import alcohol, wash
from tests.gauging.conftest import MakeReading


def made(pct_vol: float, g_l: float) -> tuple[float, float, float]:
    """Water, ethanol and sugar [kg] in a litre at 20 °C of such a drink, by the model of a wash."""
    ethanol_kg, sugar_kg = pct_vol / 100.0 * alcohol.ETHANOL_DENSITY_20C / 1000.0, g_l / 1000.0
    low, high = 0.0, 1.2
    for _ in range(80):
        water_kg = 0.5 * (low + high)
        if wash.liquid_volume_l(water_kg + 1e-12, ethanol_kg, sugar_kg) < 1.0:
            low = water_kg
        else:
            high = water_kg
    return water_kg, ethanol_kg, sugar_kg


@settings(max_examples=40)
@given(st.floats(5.0, 60.0), st.floats(0.1, 250.0), st.floats(5.0, 35.0))
def test_strength_and_back(pct_vol: float, g_l: float, temp_c: float) -> None:
    parts = made(pct_vol, g_l)
    density = float(wash.density(*parts, temp_c))
    found = true_strength_with_solids(density, temp_c, g_l)
    # 1e-6: the strongest drinks' water is known to 1e-9 from the bisection above.
    assert found == pytest.approx(pct_vol, abs=1e-6)


@given(st.floats(1.0, 95.0), st.floats(0.0, 39.0))
def test_without_solids_it_is_plain_spirit(pct_vol: float, temp_c: float) -> None:
    density = float(alcohol.density(alcohol.mass_fraction(pct_vol), temp_c))
    assert true_strength_with_solids(density, temp_c, 0.0) == pytest.approx(pct_vol, abs=1e-7)


@pytest.mark.parametrize(
    ("proof", "least", "most"), [(80.0, 0.40, 0.50), (90.0, 0.36, 0.44), (100.0, 0.34, 0.42)]
)
def test_the_rule_and_the_model_agree(proof: float, least: float, most: float) -> None:
    """27 CFR 30.32: 0.4 proof per 100 mg/100 mL from 80 to 100 proof, one factor for all; read.

    The model's own factor falls with strength, about 0.4 in the middle; the rule is right to a fifth.
    """
    pct_vol = float(alcohol.pct_vol_20_from_proof(proof))
    apparent = alcohol.density(alcohol.mass_fraction(pct_vol), 20.0)
    more = alcohol.proof_60f(true_strength_with_solids(float(apparent), 20.0, 1.0)) - proof
    assert least <= more <= most


def test_the_rule_is_used_where_it_holds(read_as: MakeReading) -> None:
    solids = Solids(5.0, 0.05, "residue")
    inside = gauge([read_as(45.0, 20.0)], solids=solids)
    assert inside.hidden
    assert inside.hidden.by_rule
    assert inside.hidden.hidden_proof == pytest.approx(2.0, abs=1e-9)
    outside = gauge([read_as(60.0, 20.0)], solids=solids)
    assert outside.hidden
    assert not outside.hidden.by_rule
    assert outside.hidden.hidden_proof == pytest.approx(1.6, abs=0.1)
    by_sugar = gauge([read_as(45.0, 20.0)], solids=Solids(5.0, 0.05, "sugar"))
    assert by_sugar.hidden
    assert not by_sugar.hidden.by_rule


@pytest.mark.parametrize(
    ("proof", "holds"), [(79.9, False), (79.94, False), (80.0, True), (100.0, True), (100.06, False)]
)
def test_the_rule_holds_at_its_very_ends(read_as: MakeReading, proof: float, holds: bool) -> None:
    """27 CFR 30.32: from 80 to 100 proof, and proof is counted to the tenth; read."""
    pct_vol = float(alcohol.pct_vol_20_from_proof(proof))
    reading = read_as(pct_vol, 20.0, "us_proof", alcohol.TEMP_60F_C, "proof-gauger")
    hidden = gauge([reading], solids=Solids(5.0, 0.0, "residue")).hidden
    assert hidden
    assert hidden.by_rule is holds
    assert hidden.record_proof == pytest.approx(proof + hidden.hidden_proof, abs=1e-6)


@pytest.mark.parametrize(
    ("g_l", "verdict"), [(3.9, "ignore"), (5.0, "add"), (7.0, "distil"), (80.0, "distil")]
)
def test_distilling_is_asked_for(read_as: MakeReading, g_l: float, verdict: str) -> None:
    hidden = gauge([read_as(45.0, 20.0)], solids=Solids(g_l, 0.0, "residue")).hidden
    assert hidden
    assert hidden.verdict == verdict


def test_a_liqueur_heavier_than_water_is_taken_if_its_sugar_is_said() -> None:
    parts = made(20.0, 300.0)
    density = float(wash.density(*parts, 20.0))
    reading = SpiritReading(
        density, "density_kg_m3", 20.0, instrument("density-meter"), instrument("thermometer")
    )
    with pytest.raises(HeavierThanWater):
        gauge([reading])
    gauged = gauge([reading], solids=Solids(300.0, 3.0, "sugar"))
    assert gauged.pct_vol.value == pytest.approx(20.0, abs=1e-5)
    assert gauged.hidden
    assert gauged.hidden.apparent_pct_vol is None
    assert gauged.shares[0].name == "dissolved solids"


def test_sugar_that_would_not_dissolve(read_as: MakeReading) -> None:
    with pytest.raises(OutOfRange, match="does not dissolve"):
        gauge([read_as(43.0, 20.0)], solids=Solids(250.0, 2.0, "sugar"))


def test_more_sugar_than_the_density_allows() -> None:
    reading = SpiritReading(
        1050.0, "density_kg_m3", 20.0, instrument("density-meter"), instrument("thermometer")
    )
    with pytest.raises(HeavierThanWater, match="of sugar make of water"):
        gauge([reading], solids=Solids(50.0, 0.5, "sugar"))


def test_without_a_word_of_sugar_a_low_mark_points_to_it() -> None:
    reading = SpiritReading(0.0, "pct_vol", 30.0, instrument("oiml-2"), instrument("thermometer"))
    with pytest.raises(ScaleCannotShow, match="If sugar is in it"):
        gauge([reading])


@pytest.mark.parametrize(("residue_g", "sample_ml"), [(0.125, 0.0), (-0.1, 25.0), (20.0, 25.0)])
def test_a_residue_that_cannot_be(residue_g: float, sample_ml: float) -> None:
    with pytest.raises(OutOfRange):
        residue_g_l(residue_g, sample_ml)
