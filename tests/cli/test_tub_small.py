"""`caskward tub acid` and `caskward tub pot` as a maker types them."""

from __future__ import annotations

import json

import pytest

ROW = "5 mL moved 5.8 to 5.4 in 1 L"
FIFTH = ("20 % of 120 L", "rye")


def test_acid_says_the_amount_half_first_and_stays_within_80_columns(ask, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("tub", "acid", ROW, "--to", "5.2", "--volume", "460 L")
    assert code == 0
    assert max(map(len, out.splitlines())) <= 80
    assert "460 L from pH 5.80 to 5.20 take 3.45 L" in out
    assert "Add half of it first" in " ".join(out.split())
    assert "the line is a guess" in " ".join(out.split())


def test_acid_takes_rows_as_words_and_answers_as_json(ask):
    code, out, _ = ask(
        "tub", "acid", ROW, "8 mL moved 5.8 to 5.15 in 1 L", "--to", "5.5", "--volume=460L", "--json"
    )
    assert code == 0
    found = json.loads(out)
    assert found["need"]["low"] < found["need"]["amount"] < found["need"]["high"]
    assert found["first"] == pytest.approx(found["need"]["amount"] / 2, rel=1e-4)


def test_a_us_tub_keeps_the_trial_s_own_unit(ask):
    _, out, _ = ask("tub", "acid", ROW, "--to", "5.5", "--volume", "120 gal")
    assert "120 gal from" in out
    assert "852 mL" in out
    _, out, _ = ask("tub", "acid", ROW, "--to", "5.5", "--volume", "120 gal", "--show", "us")
    assert "fl oz" in out
    assert "mL" not in out


def test_pot_says_grain_water_room_and_heat_within_80_columns(ask, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("tub", "pot", *FIFTH, "--strike", "60C", "--power", "9 kW")
    assert code == 0
    assert max(map(len, out.splitlines())) <= 80
    for part in ("17.3 kg", "It fits", "heating takes", "boils off", "starch swollen", "Caution"):
        assert part in out
    code, out, _ = ask("tub", "pot", *FIFTH, "--power", "9 kW", "--json")
    assert code == 0
    assert json.loads(out)["heat"]["heat_up_h"]["mid"] > 0.0


def test_a_us_maker_gets_no_litre_and_no_degree_celsius(ask):
    _, out, _ = ask("tub", "pot", "20 % of 32 gal", "rye", "--power", "30000 BTU/h", "--cook", "170 F")
    figures = out.partition("Caution")[0]
    assert "°C" not in figures
    assert " L " not in figures
    assert " kg" not in figures


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("acid",), "needs what a trial in a jar showed"),
        (("acid", "5 moved 5.8 to 5.4 in 1 L", "--to", "5.2", "--volume", "9L"), 'Write it like "5 mL moved'),
        (("acid", ROW, "--volume", "9L"), "--to 5.2"),
        (("acid", ROW, "--to", "5.2"), '--volume "460 L"'),
        (("acid", ROW, "--to", "sour", "--volume", "9L"), "Write it like 5.2"),
        (("acid", ROW, "--to", "5.2", "--volume", "9kg"), "Give a volume"),
        (("acid", "--calcium", "gypsun", "--volume", "9L"), "Did you mean 'gypsum'"),
        (("acid", ROW, "--too", "5.2"), "not a known option"),
        (("acid", "5 mL moved 5.8 to 5.4 in 0 L", "--to", "5.5", "--volume", "9L"), "Write, say, 1 L"),
        (("pot", "130 kg in 120 L", "rye"), "is more than 120 L holds"),
        (("pot",), "needs how full the pot is"),
        (("pot", "120 L", "rye"), 'Write it like "20 % of 120 L" rye'),
        (("pot", "60 of 120 L", "rye"), "Write 60 %"),
        (("pot", "60 % of 120 L", "ryee"), "Did you mean 'rye'"),
        (("pot", *FIFTH, "--strike", "60C", "--water-c", "50C"), "do not go together"),
        (("pot", *FIFTH, "--power", "1 kW", "--cook", "98C"), "brings this pot to about"),
        (("pot", *FIFTH, "--show", "imperial"), "not a known system of units"),
    ],
)
def test_what_cannot_be_used_ends_in_one_sentence(ask, words, said):
    code, out, err = ask("tub", *words)
    assert (code, out) == (2, "")
    assert said in err
    assert len(err.strip().splitlines()) == 1


def test_what_a_us_maker_minds_of_a_pot_is_in_fahrenheit(ask):
    _, out, _ = ask("tub", "pot", "20 % of 32 gal", "corn", "--power", "30000 BTU/h")
    assert "drops below 140 °F" in " ".join(out.split())
    assert "°C" not in out


def test_acid_says_how_it_is_handled_and_how_the_sample_is_read(ask):
    _, out, _ = ask("tub", "acid", ROW, "--to", "5.2", "--volume", "460 L")
    said = " ".join(out.split())
    for word in ("never water into acid", "goggles, gloves", "food-grade", "a sample cooled to"):
        assert word in said


def test_a_finished_ferment_is_called_dry_and_asks_for_nothing_else(ask, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, out, _ = ask("tub", "ask", "rye", "--reading", "ferment 10 d: 0.998, 20 C")
    assert code == 0
    assert out.startswith("It is dry: strain it and go on.")
    assert max(map(len, out.splitlines())) <= 80
    for word in ("What to do", "To tell them apart", "pitch again"):
        assert word not in out
