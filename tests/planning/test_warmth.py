"""Heat on the way to the tub: water for malt, what must be cooled, and what heats a still."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from caskward.planning.doubts import doubts
from caskward.planning.intent import BillItem, Intent
from caskward.planning.mash_forecast import forecast_mash
from caskward.planning.method import bill_of, method_for
from caskward.planning.plan import Plan, Target
from caskward.planning.planner import make_plan
from caskward.planning.unknowns import likely_world
from caskward.planning.warmth import HOTTEST_WATER_C, cooling, with_water_temperatures
from tests.support.batches import CATALOGUE, intent_of


def bill(*shares: tuple[str, float]) -> tuple[BillItem, ...]:
    return tuple(BillItem(CATALOGUE.material(name), share) for name, share in shares)


def all_malt() -> Intent:
    roomy = replace(intent_of().gear.tub, volume_l=1500.0)
    gear = replace(intent_of().gear, tub=roomy)
    return intent_of(bill=bill(("barley-malt", 1.0)), enzymes=(), gear=gear, worlds=256)


def plan_of(intent: Intent) -> Plan:
    outcome = make_plan(intent, CATALOGUE)
    assert isinstance(outcome, Plan)
    return outcome


def targets(plan: Plan, stage: str) -> dict[str, Target]:
    return {t.key: t for card in plan.stages if card.key == stage for t in card.targets}


def test_malt_comes_to_its_rest() -> None:
    """Strike water a few kelvin over the rest: 68 to 76 °C for 3.4 to 4 L/kg and a rest of 64 °C;
    *common practice, no source*."""
    convert = targets(plan_of(all_malt()), "convert")
    assert 68.0 <= convert["water_c.barley-malt"].band.mid <= 76.0
    assert convert["stirred"].band.mid == pytest.approx(64.0, abs=0.2)
    assert convert["malt_hold"].band.mid == 1.0


def test_strike_water_by_the_textbook_s_arithmetic() -> None:
    """T_water = T_rest + (C_malt (T_rest - T_malt) - S) / C_water by hand, c = 1.59 (1 - M) + 4.18 M kJ/kg/K.

    S is the heat that the dry malt sets free, 19.3 kJ/kg at 4 % moisture and two thirds of it at 8 %.
    Source: Pauls and Whites Brewing Room Book 1984/85, specific heat of malt and slaking heat, read. 0.1 K,
    the step that the water's temperature is rounded to.
    """
    intent = all_malt()
    likely = likely_world(doubts(intent))
    method = with_water_temperatures(intent, method_for(intent, bill_of(intent, 100.0), 60.0), likely)
    moisture = float(likely["barley-malt.moisture"][0])
    malt_kj_k = 100.0 * (1.59 * (1.0 - moisture) + 4.18 * moisture)
    water_kj_k = method.water_l * 0.9982 * 4.18
    assert 0.04 <= moisture <= 0.08
    slaking_kj = 100.0 * 19.3 * (1.0 - (moisture - 0.04) / 0.12)
    warming_kj = malt_kj_k * (method.rest_c - intent.site.room_c)
    by_hand_c = method.rest_c + (warming_kj - slaking_kj) / water_kj_k
    assert method.mash_water_c == pytest.approx(by_hand_c, abs=0.1)


def test_water_is_never_colder_than_the_tap_nor_over_95() -> None:
    rye = intent_of(worlds=256)
    likely = likely_world(doubts(rye))
    method = with_water_temperatures(rye, method_for(rye, bill_of(rye, 120.0), 60.0), likely)
    assert rye.site.water_c <= method.mash_water_c <= HOTTEST_WATER_C


def test_cooling_is_newton_s_and_heat_is_conserved() -> None:
    """Heat out = C (T1 - T2); standing time = C / UA ln((T1 - Ta) / (T2 - Ta)), Newton's law of cooling.

    UA is that of a full tub by its floor, surface and wet side: (1/2 + fill) in (1/2 + 1).
    """
    intent = intent_of(worlds=256)
    likely = likely_world(doubts(intent))
    mash = forecast_mash(intent, method_for(intent, bill_of(intent, 120.0), 60.0), likely)
    found = cooling(intent, mash.tub, 62.0, 30.0)
    assert found is not None
    capacity = float(mash.tub.heat_capacity_kj_k[0])
    assert found.kwh == pytest.approx(capacity * 32.0 / 3600.0)
    fill = float(mash.tub.volume_l[0]) / intent.gear.tub.working_l
    loss_w_k = intent.gear.tub.heat_loss_w_k.likely * (0.5 + fill) / 1.5
    hours = capacity * 1000.0 / loss_w_k * np.log((62.0 - 18.0) / (30.0 - 18.0)) / 3600.0
    assert found.standing_h == pytest.approx(hours, rel=1e-6)
    assert cooling(intent, mash.tub, 30.0, 31.0) is None
    cellar = cooling(intent, mash.tub, 62.0, 17.0)
    assert cellar is not None
    assert cellar.standing_h == float("inf")


@pytest.mark.parametrize("others", [(("rye-malt", 0.7),), (("cane-sugar", 0.7),)])
def test_a_little_fruit_brings_its_warning(others: tuple[tuple[str, float], ...]) -> None:
    roomy = replace(intent_of().gear.tub, volume_l=3000.0)
    intent = intent_of(
        bill=bill(*others, ("plum", 0.3)), gear=replace(intent_of().gear, tub=roomy), worlds=256
    )
    said = " ".join(text for card in plan_of(intent).stages for text in (*card.cautions, *card.notes))
    assert "methanol" in said.lower()


def test_an_element_in_the_still_is_warned_of_where_it_is() -> None:
    """The pot is on gas and the still has an element: each stage warns of its own heat."""
    stages = {card.key: " ".join(card.cautions) for card in plan_of(intent_of(worlds=256)).stages}
    assert "carbon monoxide" in stages["cook"]
    assert "immersed element" in stages["strip"]
    assert "immersed element" not in stages["cook"]
    assert "caustic" in stages["clean"].lower()


def test_a_ferment_gets_its_own_malt_and_enzymes() -> None:
    plan = plan_of(intent_of("wheat-panela", worlds=256))
    convert = targets(plan, "convert")
    whole = dict(plan.bill_kg)["Malted barley"]
    assert convert["kg.barley-malt"].band.mid == pytest.approx(whole / 2)
    bought_ml = next(line.need for line in plan.shopping if line.key == "enzyme/Sweetening enzyme")
    assert convert["dose.Sweetening enzyme"].band.mid * 2 <= bought_ml


def test_sugar_washes_are_fed_and_grain_is_left_alone() -> None:
    def feeds(plan: Plan) -> bool:
        return any(line.key == "nutrient" for line in plan.shopping)

    sugar = intent_of(bill=bill(("cane-sugar", 1.0)), enzymes=(), water_l_per_kg=4.5, worlds=256)
    assert feeds(plan_of(sugar))
    assert not feeds(plan_of(intent_of(worlds=256)))


def test_food_that_is_bought_stands_where_it_goes_in() -> None:
    """A third under its need is fed, not left to starve, and the pitch says how much a ferment gets."""
    plan = plan_of(intent_of("wheat-panela", worlds=256))
    bought_g = next(line.need for line in plan.shopping if line.key == "nutrient")
    food_g = targets(plan, "pitch")["food"].band.mid
    assert 30.0 < food_g <= 0.5 * bought_g + 1.0
    assert "food" not in targets(plan_of(intent_of(worlds=256)), "pitch")


def test_the_way_down_to_the_yeast_starts_where_sugar_and_its_cold_water_leave_the_tub() -> None:
    plan = plan_of(intent_of("wheat-panela", worlds=256))
    pitch, convert = targets(plan, "pitch"), targets(plan, "convert")
    to_c = pitch["pitch.to"].band.mid
    assert to_c == pitch["pitched"].band.mid
    litres, kwh = pitch["volume"].band.mid, pitch["pitch.cool"].band.mid
    from_rest_kwh = litres * 3.9 / 3600.0 * (convert["rest"].band.mid - to_c)
    assert 0.4 * from_rest_kwh < kwh < 0.75 * from_rest_kwh
    assert "sours" in pitch["pitch.stand"].words
