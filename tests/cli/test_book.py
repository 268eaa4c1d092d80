"""The book from the command line: a season of deeds, what it answers, and what it refuses."""

from __future__ import annotations

import json
import re
import shlex
import sqlite3

import pytest

from caskward.cli import book as book_cli

SEASON = (
    'declare "tub 1" 600 L',
    "declare pot still 150 L",
    "declare tank 100 L",
    "declare cask 12 50 L --wood oak",
    "begin rye 5",
    'receive 50 kg rye from "Hill Farm" --price "31 EUR" --supplier-lot HF-7',
    "mash 35 kg rye into tub 1 180 L at 64 C",
    "convert tub 1 178 L 8.1 % at 24 C on oiml-3",
    "move tub 1 to pot still 120 L",
    'distil pot still into jar 1 500 mL 70 % at 18 C, jar 2 18 L 42.2 % at 19 C --left "98 L 0.5 % at 20 C"',
    "move jar 2 tank all",
    'fill tank cask 12 all --price "180 EUR"',
    "gauge cask 12 17.5 L 42 % at 18 C on oiml-2",
    "explain cask 12 evaporation",
)


@pytest.fixture
def book(ask, tmp_path, monkeypatch):
    """Run a command of the book as typed in 80 columns: `book("move tub 1 to pot still 120 L")`."""
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "book.sqlite"))
    monkeypatch.setenv("CASKWARD_BY", "Maud")
    monkeypatch.setenv("COLUMNS", "80")
    return lambda line: ask("book", *shlex.split(line))


@pytest.fixture
def season(book):
    """A book with a season in it."""
    for line in SEASON:
        said = book(line)
        assert said.code == 0, said
        assert fits(said.out)
    return book


def fits(text):
    """Whether every line of a text fits a narrow terminal."""
    return all(len(line) <= 80 for line in text.splitlines())


def test_a_season_is_recorded_and_whole(season):
    said = season("check")
    assert said.code == 0
    assert f"{len(SEASON)} entries" in said.out
    balances = season("balances")
    assert "cask/12" in balances.out
    assert fits(balances.out)
    entries = season("entries --last 50")
    assert fits(entries.out)
    assert "tub 1 -> pot still: 120 L at" in " ".join(entries.out.split())
    page = season("account cask 12")
    assert "takes 50 L" in page.out
    assert fits(page.out)


def test_what_was_entered_is_said_with_what_is_there_now(season):
    said = season("sample cask 12 100 mL")
    assert said.out.startswith("Entry 15, ")
    assert "Maud: sampled cask 12" in said.out
    assert re.search(r"cask 12 now holds 17\.\d+ L", said.out)


def test_a_difference_asks_why(season):
    said = season("gauge cask 12 16.9 L 42 % at 18 C on oiml-2")
    plain = " ".join(said.out.split())
    assert "of liquid less than the book had" in plain
    assert 'book explain "cask 12" "evaporation"' in plain


def test_the_reading_and_the_words_stay_as_typed(season):
    said = season("entries 8")
    assert "convert tub 1 178 L 8.1 % at 24 C on oiml-3" in " ".join(said.out.split())
    assert "strength 8.1 % at 24 °C, alcoholometer of class III ± 0.5 %" in " ".join(said.out.split())
    data = json.loads(season("entries 8 --json").out)[0]
    strength = data["readings"][1]
    assert (strength["typed"], strength["value"], strength["temp_c"]) == ("8.1 %", "8.1", "24")


def test_every_answer_is_also_json(season):
    moved = json.loads(season("move jar 1 tank 100 mL --json").out)
    assert moved["entry"]["kind"] == "moved"
    assert moved["places"]["vessel/tank"]["bulk"] == 100_000
    assert not moved["repeated"]
    assert json.loads(season("balances --json").out)["jar/1"]["bulk"] > 0
    assert json.loads(season("account cask 12 --json").out)["account"] == "cask/12"
    assert json.loads(season("check --json").out)["whole"] is True


def test_the_same_key_is_said_to_be_in_already(season):
    first = json.loads(season("move jar 1 tank 100 mL --key a7 --json").out)
    again = season("move jar 1 tank 100 mL --key a7")
    assert again.code == 0
    assert "recorded before" in again.out
    assert json.loads(season("move jar 1 tank 100 mL --key a7 --json").out)["entry"] == first["entry"]
    other = season("move jar 1 tank 200 mL --key a7")
    assert other.code == 2
    assert "says something else" in other.err


def test_a_correction_stands_beside(season):
    said = season('correct 9 move tub 1 to pot still 110 L --why "read the wrong mark"')
    assert said.code == 2
    assert "Correct the later ones first" in said.err
    said = season('correct 13 gauge cask 12 17.9 L 42 % at 18 C on oiml-2 --why "read the wrong mark"')
    assert said.code == 0, said
    assert "entry 13 should say: cask 12 as the book has it" in " ".join(said.out.split())
    assert "more than the book had" in " ".join(said.out.split())  # what was explained was never missing
    assert "more than the book had" not in season('correct 14 --why "it was not missing"').out
    assert season("check").code == 0


def test_us_units_come_back_as_us_units(book):
    book('declare "tub 1" 150 gal')
    book("begin rye 5")
    assert "200 lb" in book('receive 200 lb rye from "Hill Farm" --price "$60"').out
    book("mash 80 lb rye into tub 1 50 gal at 150 F")
    said = book("convert tub 1 49 gal 15.8 proof at 75 F")
    assert re.search(r"tub 1 now holds 4\d\.\d+ gal", said.out)
    spirit = book('receive 5 gal 120 proof at 60 F into jar 1 from "Old Mill"')
    assert "120.0 proof" in spirit.out
    refused = book("move jar 1 jar 2 6 gal")
    assert "6 gal" in refused.err
    assert "the book has 5.0" in refused.err
    assert "gal" in book("balances").out
    assert "L" in book("balances --show metric").out


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("move tub 1 to pot still 400 L", "there"),
        ("move jar 9 to pot still 1 L", "no liquid in jar/9"),
        ("move tub 1 to pot still 10 L 101 % at 20 C", "101"),
        ("fill tub 1 cask 12 55 L", "takes 50 L"),
        ("sample cask 12 1 L --at 2999-01-01", "after 2200"),
        ("sample cask 12 1 L --batch rye9", "'rye 5'"),
        ("move tub 9 to pot still 1 L", "'tub 9'"),
        ("move tub 1 to pot still", "20 L"),
        ("move tub 1 to pot still 10", "10 L"),
        ("mov tub 1 to pot still 10 L", "'move'"),
        ("move tub 1 to pot still 10 L --becuse x", "--"),
        ("account nowhere", "'nowhere'"),
        ("account", "cask 12"),
        ("entries 999", "entries 1 to 14"),
        ("entries twelve", "12"),
        ("entries --last 0", "5"),
        ("correct 3 --why x", "Declare the vessel again"),
        ("correct 99 --why x", "entries 1 to 14"),
        ("correct twelve", "number of an entry"),
        ("correct", "number of an entry"),
        ("backup", "file"),
        ("forecast", "no plan"),
        ("plan", "mine.toml"),
        ("begin", "rye 5"),
        ("begin rye 5", "already"),
        ("receive 5 kg rye from X --price 31", "EUR"),
        ('receive 5 kg rye, 3 kg malt from X --price "31 EUR"', "several goods"),
    ],
)
def test_a_wrong_line_ends_in_one_sentence(season, line, told):
    before = season("entries --json").out
    code, out, err = season(line)
    assert (code, out) == (2, ""), (out, err)
    assert told in err
    assert len(err.strip().splitlines()) == 1
    assert season("entries --json").out == before


def test_an_empty_place_still_has_its_page(season):
    assert "tank holds nothing" in season("account tank").out
    assert "jar 2 holds nothing" in season("account jar 2").out
    season("lose rye 15 kg mice")
    assert "rye lot 6 holds nothing" in season("account rye lot 6").out
    assert "lost (mice)" in season("account lost/mice").out


def test_no_book_is_begun_by_looking(book, tmp_path):
    for line in ("balances", "entries", "check", "account cask 12", "export"):
        code, out, err = book(line)
        assert (code, out) == (2, "")
        assert "no book at" in err
    assert not (tmp_path / "book.sqlite").exists()


def test_a_changed_byte_ends_with_3_and_names_the_entry(season, tmp_path):
    with sqlite3.connect(tmp_path / "book.sqlite") as connection:
        connection.execute("DROP TRIGGER postings_no_UPDATE")
        connection.execute("UPDATE postings SET amount = amount + 1 WHERE number = 9 AND line = 1")
    connection.close()
    said = season("check")
    assert said.code == 3
    assert "ntry 9" in said.out
    found = json.loads(season("check --json").out)
    assert found["whole"] is False
    assert next(one["number"] for one in found["findings"] if one["number"]) == 9


def test_kept_brought_back_and_taken_elsewhere(season, tmp_path, monkeypatch):
    copy, lines = tmp_path / "copy.sqlite", tmp_path / "farm.jsonl"
    head = json.loads(season("check --json").out)["head"]
    assert season(f"backup {copy}").code == 0
    assert season(f"backup {copy}").code == 2
    assert season(f"export {lines}").code == 0
    assert lines.read_text(encoding="utf-8") == season("export").out
    season("sample cask 12 100 mL")
    assert season(f"restore {copy}").code == 2
    assert season(f"restore {copy} --overwrite").code == 0
    assert json.loads(season("check --json").out)["head"] == head
    balances = season("balances --all --json").out
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "other.sqlite"))
    assert season(f"import {lines}").code == 0
    assert json.loads(season("check --json").out)["head"] == head
    assert season("balances --all --json").out == balances
    assert season(f"import {lines}").code == 2
    assert season("import nowhere.jsonl").code == 2


def test_a_batch_with_its_plan_is_followed_by_what_was_measured(book, mine):
    name = mine()
    assert "plan is entry 2" in book(f"begin rye 5 --plan {name}").out
    assert "reading" in book("forecast rye 5").err
    book('measure "wash: 8.4 %, 340 L"')
    said = book("forecast rye 5")
    assert said.code == 0
    assert "wanted" in said.out
    assert json.loads(book("forecast --json").out)["last"] == "wash"
    assert book(f'plan "rye 5" {name}').code == 0


def test_every_command_has_its_help(ask, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    names = [name for part in book_cli.PARTS.values() for name in part]
    whole = ask("book")
    assert whole.code == 0
    assert all(name in whole.out for name in names)
    for name in names:
        said = ask("book", name, "--help")
        assert said.code == 0, name
        assert fits(said.out), name
        assert f"book {name}" in said.out
