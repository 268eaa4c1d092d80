"""`caskward still strip` and `still feints` as they are typed: order, width, units, and what is refused."""

from __future__ import annotations

import json
import re

import pytest

STILL = ("--power", "6 kW", "--limit", "110 L")
STRIP = ("still", "strip", "350 L 8.5 %", *STILL)
FEINTS = ("still", "feints", "90 L 26 %", *STILL)
US_STRIP = ("still", "strip", "92 gal 17 proof", "--power", "6 kW", "--limit", "29 gal")
US_FEINTS = ("still", "feints", "24 gal 120 proof", "--power", "6 kW", "--limit", "30 gal")
ELEMENT = ("--element", "--least", "78 L")
LARGE = ("--power", "150 kW", "--limit", "4000 L", "--element", "--least", "3000 L")
LARGE_FEINTS = (*LARGE[:-1], "1500 L")


def flat(text: str) -> str:
    return " ".join(text.split())


def test_a_bared_element_stands_before_the_figures(ask):
    for words in ((*STRIP, *ELEMENT), (*FEINTS, "--element", "--least", "50 L")):
        code, out, _ = ask(*words)
        assert code == 0
        said = flat(out)
        assert "and bares the heating element" in said
        assert said.index("bares the heating element") < said.index("charge's strength")
    assert "A charge bares the element before this stop" in ask(*STRIP, *ELEMENT).out
    assert "bares" not in ask(*STRIP).out


@pytest.mark.parametrize(
    "words",
    [
        ("still", "run", "60 L 28 %", "--power", "6 kW", "--limit", "60 L", "--element", "--least", "60 L"),
        (
            "still",
            "strip",
            "30 L 8.5 %",
            "--power",
            "6 kW",
            "--limit",
            "30 L",
            "--element",
            "--least",
            "29.5 L",
        ),
        (*FEINTS, "--element", "--least", "60 L"),
    ],
)
def test_a_bared_element_that_nothing_mends_is_refused(ask, words):
    code, out, err = ask(*words)
    assert (code, out) == (2, "")
    assert "do not light it" in flat(err)


@pytest.mark.parametrize(
    "words",
    [
        (*STRIP, *ELEMENT),
        (*FEINTS, "--cap", "ethyl acetate 40 g/hL"),
        US_STRIP,
        US_FEINTS,
        ("still", "strip", "20000 L 12 %", *LARGE, "--stop", "1 %"),
        ("still", "feints", "15000 L 60 %", *LARGE_FEINTS),
        (
            "still",
            "feints",
            "900 gal 52 proof",
            *LARGE[:2],
            "--limit",
            "400 gal",
            "--working-volume",
            "390 gal",
        ),
        (
            *FEINTS,
            "--strongest",
            "55 %",
            "--site-rule",
            "Fire certificate number 7 of the county: up to 55 %vol",
        ),
    ],
)
@pytest.mark.parametrize("columns", ["80", "100"])
def test_nothing_is_wider_than_the_screen(ask, monkeypatch, words, columns):
    monkeypatch.setenv("COLUMNS", columns)
    code, out, err = ask(*words)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= int(columns)
    assert not re.search(r"-0(\.0+)?\b(?!\d)", out)


@pytest.mark.parametrize("words", [US_STRIP, US_FEINTS])
def test_a_us_maker_reads_gallons_proof_and_proof_gallons(ask, words):
    out = ask(*words).out
    assert "PG" in out
    assert "proof" in out
    assert not re.search(r"\d L\b|litre|\bpure L\b", out)
    assert not re.search(r"low wines L|\bL/h", out)


def test_the_rate_of_a_strip_is_shown(ask):
    out = flat(ask(*STRIP).out)
    assert re.search(r"a strip runs at 8\.\d+ L/h \(.*L/h at first.*L/h at the stop", out)
    assert "gal/h at first" in flat(ask(*US_STRIP).out)


def test_charges_that_are_alike_share_a_row(ask):
    out = ask(*STRIP).out
    assert re.search(r"^ +1–3 +110\.0 ", out, re.MULTILINE)
    assert re.search(r"^ +4 +20\.0 ", out, re.MULTILINE)


def test_a_cap_says_its_chance_its_unit_and_which_case_the_tables_show(ask):
    for typed in ("ethyl acetate 40 g/hL", "ethyl acetate 400 mg/L"):
        out = flat(ask(*FEINTS, "--cap", typed, "--confidence", "90 %").out)
        assert "at most 40 g/hL of pure alcohol with 9 in 10 confidence" in out
        assert "mg" not in out
        assert "Batch after batch in litres, with nothing thrown away" in out
        assert "What builds up once it rests, with nothing thrown away" in out
    thrown = flat(ask(*FEINTS, "--heads-thrown", "20 %").out)
    assert "Batch after batch in litres, with 20 % of the heads thrown away" in thrown
    assert (
        json.loads(ask(*FEINTS, "--cap", "ethyl acetate 400 mg/L", "--json").out)["throw"][0]["most_g_hl"]
        == 40.0
    )


def test_water_is_named_and_enough(ask):
    """60 %vol to 40: 46.4 L for 90 L by the charge's own mending, so no less is named here."""
    out = flat(ask("still", "feints", "90 L 60 %", *STILL).out)
    named = re.search(r"let a batch down to 40 %vol.*?: ([\d.]+) L in batch 1", out)
    assert named
    refused = ask("still", "run", "90 L 60 %", "--power", "6 kW", "--limit", "200 L").err
    needed = re.search(r"add ([\d.]+) L of water", refused)
    assert needed
    assert float(named[1]) == pytest.approx(float(needed[1]), abs=0.6)
    assert float(named[1]) >= 46.3


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((*STRIP, "--stop", "banana"), "99 C in the pot"),
        ((*STRIP, "--stop", "0"), "3 %"),
        ((*STRIP, "--stop", "-5 %"), "3 %"),
        ((*STRIP, "--stop", "200 L"), "110 L"),
        ((*STRIP, "--stop", "90 %"), "before the first drop"),
        ((*STRIP, "--start", "200 C"), "its boil"),
        ((*FEINTS, "--heads", "80 %", "--foreshots", "30 %"), "leaves no heart"),
        ((*FEINTS, "--tails-end", "70 %"), "the spout only grows weaker"),
        ((*FEINTS, "--heart-end", "95 %"), "End the heart lower."),
        ((*FEINTS, "--confidence", "0 %"), "--confidence"),
        ((*FEINTS, "--element", "--least", "120 L"), "No charge suits this still"),
        (("still", "strip", "60 L 8 %", *STILL, "--charges", "full-only"), "full-then-rest"),
        (("still", "strip", "350 L 55 %", "--limit", "110 L"), "L of water"),
    ],
)
def test_what_cannot_be_is_refused_with_what_mends_it(ask, words, said):
    code, out, err = ask(*words)
    assert (code, out) == (2, "")
    assert said in err
    assert len(err.strip().splitlines()) == 1


@pytest.mark.parametrize("words", [STRIP, FEINTS])
def test_json_has_no_noise(ask, words):
    out = ask(*words, "--json").out
    assert json.loads(out)
    assert max(len(digits.replace(".", "").lstrip("0")) for digits in re.findall(r"\d+\.\d+", out)) <= 8
