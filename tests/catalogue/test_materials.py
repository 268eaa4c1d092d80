"""What is in each material adds up, and is what its kind and its way of preparing ask for."""

from __future__ import annotations

import pytest

KINDS = {"grain", "malt", "sugar", "syrup", "fruit", "root", "agave"}
STARCHY = {"grain", "malt"}


@pytest.fixture(scope="module")
def materials(catalogue):
    return list(catalogue.materials.values())


def shares(material, level):
    parts = (material.starch_dry, material.sugars_dry, material.dextrin_dry, material.unfermentable_dry)
    return [getattr(part, level) for part in parts]


def test_there_are_many_fermentables_of_every_kind(materials):
    assert len(materials) >= 36
    assert {m.kind for m in materials} == KINDS


def test_the_likely_shares_leave_room_for_what_does_not_dissolve(materials):
    assert [m.key for m in materials if not 0.0 < sum(shares(m, "likely")) <= 1.0] == []


def test_lots_low_in_everything_and_starchy_lots_high_in_everything_still_add_up(materials):
    assert [m.key for m in materials if sum(shares(m, "low")) > 1.0] == []
    over = [m.key for m in materials if m.kind in STARCHY and sum(shares(m, "high")) > 1.0]
    assert over == []


def test_a_rich_lot_holds_less_of_the_rest_and_a_poor_one_more(materials):
    """Starch and sugars share the dry matter with longer sugars and what stays: both ends must fit."""

    def total(m, of_starch_and_sugars, of_the_rest):
        return sum(shares(m, of_starch_and_sugars)[:2]) + sum(shares(m, of_the_rest)[2:])

    assert [m.key for m in materials if total(m, "high", "low") > 1.0] == []
    assert [m.key for m in materials if total(m, "low", "high") > 1.0] == []


def test_everything_gives_alcohol(materials):
    assert [m.key for m in materials if not 0.02 < m.potential_lpa_per_kg < 0.70] == []


def test_syrups_and_sugars_leave_hardly_any_solids_behind(materials):
    dissolving = [m for m in materials if m.prepare == "dissolve"]
    assert len(dissolving) >= 15
    assert [m.key for m in dissolving if sum(shares(m, "likely")) < 0.95] == []


def test_what_is_cooked_says_how_hot_and_how_long(materials):
    cooked = [m for m in materials if m.prepare == "cook"]
    assert len(cooked) >= 12
    for m in cooked:
        assert None not in (m.gelatinisation_c, m.cook_c, m.cook_hold_min), m.key
        assert m.starch_dry.likely > 0.4, m.key
        assert m.cook_c.likely >= m.gelatinisation_c.high, f"{m.key}: the usual cook swells all the starch"


def test_flaked_grain_is_swollen_already(materials):
    flaked = [m for m in materials if m.key.endswith("-flaked")]
    assert len(flaked) >= 5
    assert all(m.prepare == "mash" and m.gelatinisation_c is None for m in flaked)


def test_malts_bring_enzymes_and_nothing_else_does(materials):
    assert {m.key for m in materials if m.enzymes} == {m.key for m in materials if m.kind == "malt"}
    assert all((m.diastatic_power_lintner.low > 0) == m.enzymes for m in materials)


def test_fruit_names_its_pectin_and_its_danger(materials):
    fruit = [m for m in materials if m.kind == "fruit"]
    assert len(fruit) >= 10
    assert all(m.pectin.likely > 0 and m.prepare == "crush" and m.caution for m in fruit)


def test_grain_and_sugar_bring_no_pectin(materials):
    assert all(m.pectin.high == 0 for m in materials if m.kind in {"grain", "malt", "sugar", "syrup"})


def test_a_table_of_what_makers_call_things(catalogue):
    for spoken, key in {
        "malted barley": "barley-malt",
        "Malted Barley": "barley-malt",
        "corn": "maize",
        "jaggery": "panela",
        "treacle": "cane-molasses-table",
        "rolled oats": "oats-flaked",
        "Pears": "pear",
        "rye_malt": "rye-malt",
    }.items():
        assert catalogue.material(spoken).key == key


def test_no_two_materials_answer_to_one_name(materials):
    owners: dict[str, str] = {}
    for m in materials:
        for spoken in {s.lower().replace(" ", "-") for s in (m.key, m.name, m.plural, *m.aliases)}:
            assert owners.setdefault(spoken, m.key) == m.key, spoken
