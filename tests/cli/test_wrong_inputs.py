"""Whatever a maker types wrong ends in one line that says what was given and what to do."""

from __future__ import annotations

import re

import pytest

from .conftest import rye

CAPACITY = 'capacity = "25 L"'
SETTLE = 'settle_strength = "60 %"'
POWER = 'power = "9 kW"'


def without(heading: str) -> str:
    """The rye example without one of its tables; every one of that name is left out."""
    return re.sub(rf"\[+{heading}\]+\n(.+\n)+", "", rye())


def only(material: str) -> str:
    """The rye example with a bill of one material."""
    return f'{without("bill")}\n[[bill]]\nmaterial = "{material}"\nshare = "100 %"\n'


WRONG = {
    "misspelt key": (rye((CAPACITY, 'capacty = "25 L"')), "capacity"),
    "misspelt table": (rye(("[tub]", "[tubb]")), "'tub'"),
    "no quotes": (rye((CAPACITY, "capacity = 25 L")), "quotes"),
    "quote left open": (rye((CAPACITY, 'capacity = "25 L')), "quotes"),
    "curly quotes": (rye((CAPACITY, "capacity = “25 L”")), "straight quotes"),
    "key written twice": (rye((CAPACITY, f"{CAPACITY}\n{CAPACITY}")), "stands once"),
    "another format": ('{"cask": 25}', "TOML"),
    "nothing": ("", "needs"),
    "only notes": ("# later\n", "needs"),
    "no bill": (without("bill"), "[[bill]]"),
    "share without percent": (rye(('share = "55 %"', "share = 55")), "55 %"),
    "shares short of a whole": (rye(('share = "55 %"', 'share = "45 %"')), "90 %"),
    "more than full": (rye(('fill = "97 %"', 'fill = "120 %"')), "120 %"),
    "stronger than the still": (rye((SETTLE, 'entry_strength = "95 %"')), "95.0 %vol"),
    "no cask": (without("cask"), "[cask]"),
    "no tub": (without("tub"), "[tub]"),
    "no still": (without("strip_still"), "[strip_still]"),
    "no pot for grain": (without("cook_pot"), "[cook_pot]"),
    "unknown material, near": (rye(('material = "rye"', 'material = "ryye"')), "'rye'"),
    "unknown material, far": (rye(('material = "rye"', 'material = "xyzzy"')), "materials"),
    "water": (only("water"), "'water'"),
    "power below zero": (rye((POWER, POWER.replace("9 kW", "-9 kW"))), "below zero"),
    "mass for a volume": (rye((CAPACITY, 'capacity = "25 kg"')), "a mass"),
    "words for a volume": (rye((CAPACITY, 'capacity = "quite big"')), "'quite big'"),
    "both strengths": (rye((SETTLE, f'{SETTLE}\nentry_strength = "63 %"')), "exactly one"),
    "neither strength": (rye((SETTLE, "")), "entry_strength"),
    "unknown yeast": (rye(('yeast = "distillers"', 'yeast = "bread"')), "'bakers'"),
    "window upside down": (rye(('["60 C", "75 C"]', '["75 C", "60 C"]')), "low first"),
    "certainty": (rye(('confidence = "8 in 10"', 'confidence = "10 in 10"')), "certain"),
}


def is_one_line(said: str) -> bool:
    """One line that a person can read at once, and no trace of the program's inside."""
    return (
        said.endswith("\n")
        and said.count("\n") == 1
        and 20 < len(said) < 320
        and not re.search(r"Traceback|Error\b|Exception|went wrong|0x[0-9a-f]+|[a-z]\.py\b(?<!run\.py)", said)
    )


@pytest.mark.parametrize(("text", "told"), WRONG.values(), ids=WRONG.keys())
def test_a_wrong_file_gets_one_sentence(ask, tmp_path, text, told):
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    code, out, err = ask("plan", str(path))
    assert (code, out) == (2, "")
    assert told in err
    assert is_one_line(err), err


def test_rye_without_enzymes_is_told_what_would_turn_it_into_sugar(ask, tmp_path):
    path = tmp_path / "mine.toml"
    no_enzymes = re.sub(r"\[\[enzyme\]\]\n(.+\n)+", "", only("rye"))
    path.write_text(re.sub(r"\[(stock.materials|prices.per_kg)\]\n(.+\n)+", "", no_enzymes), encoding="utf-8")
    code, out, err = ask("plan", str(path))
    assert (code, out) == (2, "")
    assert "[[enzyme]]" in err
    assert "more malt" in err
    assert err.count("\n") == 1


def test_a_file_that_is_not_there_or_not_text_is_named(ask, tmp_path):
    binary = tmp_path / "photo.toml"
    binary.write_bytes(bytes(range(256)))
    for name, why in ((tmp_path, "irectory"), (tmp_path / "no.toml", "No such file"), (binary, "plain text")):
        code, out, err = ask("plan", str(name))
        assert (code, out) == (2, "")
        assert str(name) in err
        assert why in err
        assert "plan --new" in err
        assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("plan",), "name of your file"),
        (("plan", "--new", "pear"), "'pears'"),
        (("plan", "--new", "nonsense"), "wheat-panela"),
        (("plan", "--new", "../rye"), "starting point"),
        (("plan", "--new", "mine.toml"), "> mine.toml"),
        (("plan", "--new", "--json"), "do not go together"),
        (("plan", "a.toml", "b.toml"), "b.toml"),
        (("plan", "--jsn"), "--json"),
        (("pln",), "'plan'"),
        (("materials", "malmt"), "malt"),
    ],
)
def test_wrong_words_get_one_sentence(ask, words, told):
    code, out, err = ask(*words)
    assert (code, out) == (2, "")
    assert told in err
    assert is_one_line(err), err


@pytest.mark.parametrize("place", ["no/such/folder/x.pdf", "."])
def test_a_run_sheet_that_cannot_be_written_is_named(ask, mine, tmp_path, place):
    code, out, err = ask("plan", mine(), "--brief", "--pdf", str(tmp_path / place))
    assert code == 2
    assert "Mash " in out
    assert str(tmp_path / place) in err
    assert is_one_line(err), err


def test_a_fault_of_its_own_is_said_without_a_trace(ask, mine, monkeypatch):
    monkeypatch.setattr("caskward.services.plans.plan_file", lambda path: 1 / 0)
    code, out, err = ask("plan", mine())
    assert (code, out) == (1, "")
    assert "report" in err
    assert "Traceback" not in err
    assert err.count("\n") == 1


def test_a_fault_of_its_own_shows_its_trace_where_asked(ask, mine, monkeypatch):
    monkeypatch.setattr("caskward.services.plans.plan_file", lambda path: 1 / 0)
    monkeypatch.setenv("CASKWARD_DEBUG", "1")
    code, _, err = ask("plan", mine())
    assert code == 1
    assert "Traceback" in err
    assert "ZeroDivisionError" in err


def test_stopped_by_the_keyboard_it_falls_silent(ask, mine, monkeypatch):
    def stop(path):
        raise KeyboardInterrupt

    monkeypatch.setattr("caskward.services.plans.plan_file", stop)
    assert ask("plan", mine()) == (130, "", "")
