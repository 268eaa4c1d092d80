"""The cautions that must never be missing, each short enough for a wet-handed reader."""

from __future__ import annotations

import pytest

STAGES = {
    "law",
    "cook",
    "acid",
    "convert",
    "pitch",
    "ferment",
    "separate",
    "strip",
    "charge",
    "spirit",
    "reduce",
    "fill",
}

MUST_SAY = [
    # stage, tags, a word that only the right caution holds
    ("law", (), "licence is a crime in most countries"),
    ("cook", ("immersion-element",), "scorches"),
    ("cook", (), "never lift or tip a full one"),
    ("acid", (), "never water into acid"),
    ("acid", (), "gloves"),
    ("acid", (), "food-grade"),
    ("acid", (), "chlorine gas"),
    ("convert", ("enzymes",), "label rules"),
    ("pitch", ("fruit",), "methanol"),
    ("ferment", (), "Carbon dioxide"),
    ("ferment", (), "confined space"),
    ("strip", (), "Never close a still"),
    ("strip", (), "never leave it alone"),
    ("strip", (), "Lead-free"),
    ("strip", ("immersion-element",), "solids"),
    ("charge", (), "40 %vol"),
    ("spirit", (), "Foreshots are not for drinking"),
    ("spirit", (), "marked"),
    ("spirit", ("fruit",), "does not remove methanol"),
    ("reduce", (), "Earth metal vessels"),
    ("fill", (), "dry cask"),
    ("clean", (), "Caustic"),
]


def test_every_stage_has_cautions(catalogue):
    assert set(catalogue.cautions.by_stage) == STAGES | {"clean"}


def test_cautions_are_short_and_end_like_sentences(catalogue):
    for rows in catalogue.cautions.by_stage.values():
        assert 1 <= len(rows) <= 6
        assert [c.text for c in rows if len(c.text) >= 110 or not c.text.endswith(".")] == []


@pytest.mark.parametrize(("stage", "tags", "word"), MUST_SAY)
def test_what_must_be_said_is_said(catalogue, stage, tags, word):
    assert any(word in c.text for c in catalogue.cautions.at(stage, *tags))


def test_a_caution_for_fruit_is_not_shown_with_grain(catalogue):
    with_grain = catalogue.cautions.at("pitch", "grain")
    assert with_grain
    assert not any("methanol" in c.text for c in with_grain)


def test_tags_name_styles_or_gear_that_exist(catalogue):
    gear = (catalogue.pots, catalogue.tubs, catalogue.stills, catalogue.strainings)
    known = {"enzymes", *catalogue.practices, *(key for kinds in gear for key in kinds)}
    used = {t for rows in catalogue.cautions.by_stage.values() for c in rows for t in c.only_for}
    assert used
    assert used <= known


def test_an_unknown_stage_has_none(catalogue):
    assert catalogue.cautions.at("flying") == ()
