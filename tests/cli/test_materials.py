"""`caskward materials`: what a bill may name."""

from __future__ import annotations

import json

from caskward.services import facts


def test_all_materials_are_listed_under_their_kinds(ask):
    code, out, err = ask("materials")
    assert (code, err) == (0, "")
    every = facts.materials()
    for fact in every:
        assert f"\n   {fact.name} " in out
        assert f"\n{fact.kind.capitalize()}\n" in out
    assert len(every) > 40
    assert max(map(len, out.splitlines())) <= 100


def test_a_word_finds_names_other_names_and_kinds(ask):
    assert "Panela" in ask("materials", "jaggery").out
    assert "Honey" in ask("materials", "syrup").out
    assert "Rye" not in ask("materials", "honey").out


def test_few_materials_are_told_more_closely(ask):
    out = ask("materials", "panela").out
    assert "also called jaggery" in out
    assert "Caution  Rye turns to glue" in ask("materials", "rye").out


def test_what_a_material_brings_follows_from_its_analysis():
    """A sugar is nearly all sugar and gives 0.68 L of pure alcohol per kg at most: 0.682 L/kg of sucrose."""
    (sugar,) = (fact for fact in facts.materials("white cane sugar") if fact.key == "cane-sugar")
    assert sugar.starch_share == 0.0
    assert 0.99 < sugar.sugars_share <= 1.0
    assert 0.675 < sugar.most_lpa_per_kg <= 0.682


def test_json_lists_the_same(ask):
    found = json.loads(ask("materials", "malt", "--json").out)
    assert [fact["key"] for fact in found] == [fact.key for fact in facts.materials("malt")]
