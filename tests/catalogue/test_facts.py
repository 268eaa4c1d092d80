"""Every fact has an order, a source and a plain way of saying how it was obtained."""

from __future__ import annotations

import pytest

from caskward.catalogue import Fact
from caskward.catalogue.fact import HOW, read_fact
from caskward.errors import BadCatalogueEntry
from caskward.sources import load_sources


def test_there_are_facts_in_every_section(all_facts):
    assert len({where.split()[0] for where, _ in all_facts}) == 10
    assert len(all_facts) > 800


def test_every_band_is_in_order(all_facts):
    assert [where for where, f in all_facts if not f.low <= f.likely <= f.high] == []


def test_every_fact_names_a_known_source(all_facts):
    known = load_sources()
    assert [(where, f.source) for where, f in all_facts if f.source not in known] == []


def test_every_fact_says_how_it_was_obtained(all_facts):
    assert [(where, f.how) for where, f in all_facts if f.how not in HOW] == []


def test_nothing_that_comes_with_caskward_claims_to_be_the_maker_s_own(all_facts):
    assert [where for where, f in all_facts if "maker" in (f.how, f.source)] == []


def test_nothing_is_called_read_that_was_not(all_facts):
    sources = load_sources()
    assert [where for where, f in all_facts if f.how == "read" and sources[f.source].how != "read"] == []


def test_every_caution_names_a_known_source(catalogue):
    known = load_sources()
    cautions = [c for rows in catalogue.cautions.by_stage.values() for c in rows]
    assert [c.text for c in cautions if c.source not in known or c.how not in HOW] == []


def test_a_plain_number_is_certain():
    fact = read_fact("here", 0.4, "maker", "maker")
    assert (fact.low, fact.likely, fact.high) == (0.4, 0.4, 0.4)
    assert fact.is_certain


def test_scaling_carries_the_band_and_says_so():
    fact = Fact(1.0, 2.0, 4.0, "maker", "maker").scaled(0.5)
    assert (fact.low, fact.likely, fact.high, fact.how) == (0.5, 1.0, 2.0, "derived")


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (
            {"low": 0.7, "likely": 0.62, "high": 0.8},
            "here: low 0.7, likely 0.62, high 0.8 are out of order. Put them so that low <= likely <= high.",
        ),
        (
            {"low": 0.5, "high": 0.8},
            "here: the likely value is missing. Write { low, likely, high } or a number.",
        ),
        (
            "62 %",
            "here: '62 %' is not a finite number. Write a number, or { low, likely, high }.",
        ),
        (
            True,
            "here: True is not a finite number. Write a number, or { low, likely, high }.",
        ),
        (
            {"likely": 0.6, "hgh": 0.7},
            "here: 'hgh' is not part of a fact. Use: low, likely, high, source, how, note.",
        ),
        (
            {"likely": 0.6, "how": "guessed"},
            "here: how = 'guessed' is not known. "
            "Use one of: read, memory, common practice, derived, label, maker.",
        ),
        (
            {"likely": "0.6"},
            "here low: '0.6' is not a finite number. Write it without quotes.",
        ),
        (
            float("nan"),
            "here: nan is not a finite number. Write a number, or { low, likely, high }.",
        ),
        (
            {"low": float("-inf"), "likely": 0.6, "high": 0.7},
            "here low: -inf is not a finite number. Write it without quotes.",
        ),
    ],
)
def test_a_wrong_fact_is_refused_in_one_sentence(raw, sentence):
    with pytest.raises(BadCatalogueEntry) as refusal:
        read_fact("here", raw, "maker", "maker")
    assert str(refusal.value) == sentence
