"""Sugar into a tub: how it dissolves, and what it does to gravity, warmth, sweetness and nitrogen."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.properties import dissolving
from caskward.stages.additions import USUAL_WATER_L_PER_KG, add_sugar, dissolve, sugar_g_l, water_c_for
from caskward.stages.balance import imbalance
from caskward.stages.grist import Analysis, weighed
from caskward.stages.stream import Stream
from tests.support.batches import CATALOGUE

TUB = Stream.of(temp_c=25.0, water_kg=np.full(1, 150.0), hexose_kg=15.0, insolubles_kg=5.0)
SUGARS = [key for key, material in CATALOGUE.materials.items() if material.prepare == "dissolve"]


def of(key: str, kg: float, temp_c: float = 18.0) -> Stream:
    m = CATALOGUE.material(key)
    facts = (m.moisture, m.starch_dry, m.sugars_dry, m.sucrose_share, m.dextrin_dry, m.unfermentable_dry)
    return weighed(kg, Analysis(*(np.full(1, fact.likely) for fact in facts)), temp_c)


@pytest.mark.parametrize("key", SUGARS)
def test_a_litre_of_hot_water_for_a_kilogram_dissolves_everything_sold(key: str) -> None:
    """*Common practice, no source*, held against the solubility tables."""
    crystals = CATALOGUE.material(key).kind == "sugar"
    done = dissolve(of(key, 10.0), 10.0 * USUAL_WATER_L_PER_KG, 90.0, crystals)
    assert done.all_dissolves.all()
    assert np.all(done.least_water_l < 10.0)
    assert np.all(done.syrup.insolubles_kg == 0.0)


def test_too_little_water_is_seen() -> None:
    """2.04 kg of sucrose saturate a kg of water at 20 °C: 10 kg want 4.9 L, and 3 L at 20 °C leave a part."""
    short = dissolve(of("cane-sugar", 10.0), 3.0, 20.0, crystals=True)
    assert not short.all_dissolves.any()
    assert float(short.least_water_l[0]) > 4.9
    assert dissolve(of("cane-sugar", 10.0), 3.0, 99.0, crystals=True).least_water_l < short.least_water_l


def test_dissolving_sugar_cools_and_syrup_does_not() -> None:
    as_sugar = dissolve(of("cane-sugar", 10.0), 10.0, 80.0, crystals=True).syrup
    as_syrup = dissolve(of("cane-sugar", 10.0), 10.0, 80.0, crystals=False).syrup
    cooled_k = dissolving.SUCROSE_COLD_KJ_KG * float(as_sugar.sucrose_kg[0]) / as_sugar.heat_capacity_kj_k
    assert as_syrup.temp_c - as_sugar.temp_c == pytest.approx(cooled_k, rel=0.01)
    assert 2.0 < float(cooled_k[0]) < 4.0


@given(st.sampled_from(SUGARS), st.floats(0.5, 3.0), st.floats(25.0, 60.0))
def test_water_for_a_syrup_s_warmth_is_dissolve_turned_round(key: str, litres: float, syrup_c: float) -> None:
    crystals = CATALOGUE.material(key).kind == "sugar"
    material = of(key, 5.0)
    water_c = water_c_for(material, 5.0 * litres, syrup_c, crystals)
    if water_c < 100.0:
        syrup = dissolve(material, 5.0 * litres, float(water_c[0]), crystals).syrup
        assert syrup.temp_c == pytest.approx(syrup_c, abs=1e-9)


@given(st.sampled_from(SUGARS), st.floats(0.5, 40.0))
def test_mass_and_potential_alcohol_are_the_sum(key: str, kg: float) -> None:
    syrup = dissolve(of(key, kg), kg, 70.0, crystals=True).syrup
    done = add_sugar(TUB, syrup, 50.0, kg, 0.8)
    off = imbalance([TUB, syrup], [done.after], [])
    assert off.mass < 1e-12
    assert off.alcohol < 1e-12
    water = Stream.of(water_kg=np.full(1, kg * 0.998207))
    assert imbalance([of(key, kg), water], [syrup], []).mass < 3e-6
    assert np.all(done.temp_change_k > 0.0)
    if key != "cane-juice":
        assert np.all(done.gravity_rise > 0.0)


def test_sugar_by_hand() -> None:
    """10 kg of cane sugar in 10 L into 150 kg of water with 15 kg of hexose: 15 + 10.5 kg of hexose."""
    kg = 10.0
    done = add_sugar(TUB, dissolve(of("cane-sugar", kg), kg, 80.0, crystals=True).syrup, 0.0, kg, 0.8)
    sugar_kg = 15.0 + 10.0 * 0.9995 * 0.9985 * 1.0526
    assert float(done.sugar_after_g_l[0]) == pytest.approx(
        1000.0 * sugar_kg / float(done.after.liquid_l[0]), rel=1e-3
    )
    assert float(done.nitrogen_needed_g[0]) == pytest.approx(0.8 * 10.5, rel=0.01)
    assert done.nitrogen_short_g == pytest.approx(done.nitrogen_needed_g)
    assert not done.too_sweet.any()


def test_molasses_leave_gravity_behind_and_sugar_does_not() -> None:
    def rise(key: str) -> float:
        syrup = dissolve(of(key, 20.0), 20.0, 70.0, crystals=False).syrup
        return float(add_sugar(TUB, syrup, 100.0, 20.0, 0.8).rise_from_unfermentables[0])

    assert rise("blackstrap-molasses") > 0.008
    assert 0.0 <= rise("cane-sugar") < 0.0003


def test_a_wash_grown_too_sweet_is_told() -> None:
    syrup = dissolve(of("cane-sugar", 40.0), 40.0, 80.0, crystals=True).syrup
    done = add_sugar(TUB, syrup, 0.0, 40.0, 0.8)
    assert float(sugar_g_l(done.after)[0]) > 200.0
    assert done.too_sweet.all()
