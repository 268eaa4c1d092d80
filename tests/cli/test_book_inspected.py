"""What an inspector reads: a damaged file, limits, periods corrected later, gains, traces, US units."""

from __future__ import annotations

import json
import shlex
import sqlite3
from contextlib import closing

import pytest


@pytest.fixture
def book(ask, tmp_path, monkeypatch):
    """Run a command of the book as typed in 80 columns."""
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "book.sqlite"))
    monkeypatch.setenv("CASKWARD_BY", "Maud")
    monkeypatch.setenv("COLUMNS", "80")
    return lambda line: ask("book", *shlex.split(line))


@pytest.fixture
def damaged(book, tmp_path):
    """A book with four notes, of which the second was changed by a stranger."""
    for words in ("one", "two", "three", "four"):
        assert book(f"note {words}").code == 0
    with closing(sqlite3.connect(tmp_path / "book.sqlite")) as stranger:
        stranger.execute("DROP TRIGGER entries_no_UPDATE")
        stranger.execute("UPDATE entries SET note = 'x' WHERE number = 2")
        stranger.execute(
            "CREATE TRIGGER entries_no_UPDATE BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'no'); END"
        )
        stranger.commit()
    return book


def test_a_check_names_the_first_bad_entry_and_counts_in_english(damaged):
    said = damaged("check")
    assert said.code == 3
    assert "1 finding in 4 entries" in said.out
    assert "the first bad entry is No 2" in " ".join(said.out.split())
    assert json.loads(damaged("check --json").out)["first_bad"] == 2


@pytest.mark.parametrize("line", ["report", "stock", "note five", "declare tub 100 L"])
def test_a_changed_book_is_neither_reported_nor_written_on(damaged, line):
    said = damaged(line)
    assert said.code != 0
    assert "Entry 2 was changed" in " ".join(said.err.split())
    assert "4 entries" in damaged("check").out


@pytest.fixture
def cask(book):
    """A cask with 30 L of spirit of 60 %, filled early in 2025."""
    book("declare cask 12 50 L --at 2025-01-02")
    said = book('receive 30 L 60 % at 20 C into "cask 12" from "Stone Barn" --at "2025-01-03 10:00"')
    assert said.code == 0, said
    return book


def words(said):
    return " ".join(said.out.split())


def test_a_loss_without_a_limit_is_not_called_within_it(cask):
    cask('gauge cask 12 27 L 60 % at 20 C --at "2025-12-30 10:00"')
    cask('explain cask 12 "angel\'s share" --at "2025-12-30 11:00"')
    said = words(cask("report 2025"))
    assert "No limit is set for: angel's share, what a cask loses in a year (cask 12: " in said
    assert "within" not in said
    some = words(cask("report 2025 --limit 'stillage 1 %'"))
    assert "Every loss that you set a limit for is within it." in some
    assert "No limit is set for: angel's share" in some


@pytest.mark.parametrize(("limit", "verdict"), [("casks 6 % a year", "over"), ("cask a year 40 %", "within")])
def test_a_cask_is_judged_by_the_year(cask, limit, verdict):
    cask('gauge cask 12 27 L 60 % at 20 C --at "2025-12-30 10:00"')
    cask('explain cask 12 evaporation --at "2025-12-30 11:00"')
    assert cask(f"marks --loss '{limit}'").code == 0
    assert "Most that a cask may lose in a year" in cask("marks").out
    said = words(cask("report 2025"))
    assert ("Over your own limit: cask 12 10" in said) is (verdict == "over")
    assert said.split("What casks lost")[1].split("What new wood")[0].split()[-1] == verdict
    assert json.loads(cask("report 2025 --json").out)["casks"][0]["over"] is (verdict == "over")


def test_a_period_corrected_later_says_so_and_can_be_shown_as_put_right(cask):
    said = cask('correct 2 --why "typed twice the amount" -- receive 15 L 60 % at 20 C into "cask 12" '
                'from "Stone Barn"')  # fmt: skip
    assert said.code == 0, said
    booked, right = cask("report 2025-01"), cask("report 2025-01 --put-right")
    assert "18.000 L are there at the end" in words(booked)
    assert "Entry 2 of this period was corrected on 20" in words(booked)
    assert "As put right: 0.000 L of pure alcohol at the start, 9.000 came in" in words(booked)
    assert "9.000 L are there at the end" in words(right).split("Entry 2")[0]
    data = json.loads(cask("report 2025-01 --json").out)
    assert (data["closing_ul"], data["as_put_right"]["closing_ul"]) == (18_000_000, 9_000_000)
    assert [one["first"] for one in data["corrected_later"]] == [2]
    assert json.loads(cask("report 2025-02 --json").out)["corrected_later"] == []


@pytest.mark.parametrize(
    ("gauged", "why"),
    [
        ("31 L 61", "misread before"),
        ("28 L 60", "evaporation"),
        ("29 L 64", "misread before"),
        ("31 L 55", "misread before"),
    ],
)
def test_a_gain_is_never_called_evaporation(cask, gauged, why):
    said = words(cask(f"gauge cask 12 {gauged} % at 20 C"))
    assert f'explain "cask 12" "{why}"' in said
    refused = cask("explain cask 12 evaporation")
    assert (refused.code == 0) is (why == "evaporation")
    if refused.code:
        assert "misread before" in " ".join(refused.err.split())
    assert "evaporation" not in cask("report").out or why == "evaporation"


def test_stock_says_that_it_is_no_filing_and_how_much_room_is_left(cask):
    assert "not a filing" in words(cask("stock"))
    data = json.loads(cask("stock --json").out)
    assert "not a filing" in data["note"]
    [one] = data["liquids"]
    assert (one["room_ul"], one["room_left_ul"]) == (50_000_000, 20_000_000)


@pytest.fixture
def us_cask(book):
    """A cask of a maker who types US units: 10 gal of 120 proof, 12 proof gallons."""
    assert book('declare cask 12 15 gal --at "2025-01-03 09:00"').code == 0
    said = book('receive 10 gal 120 proof at 60 F from "Stone Barn" into "cask 12" --at "2025-01-03 10:00"')
    assert said.code == 0, said
    assert "12.000 proof gal" in said.out
    assert "gal of pure alcohol" not in said.out
    return book


def test_a_duty_for_a_proof_gallon_is_reckoned_and_shown_by_the_proof_gallon(us_cask):
    """1 gal of 120 proof is 1.2 proof gallons by definition; source: 27-cfr-30."""
    assert us_cask('marks --duty "13.50 USD per proof gallon"').code == 0
    assert "each proof gallon 13.50 USD" in words(us_cask("marks"))
    said = us_cask("sell cask 12 1 gal 120 proof at 60 F to Bar")
    assert said.code == 0, said
    shown = words(us_cask("report"))
    assert "1.200 proof gal" in shown
    assert "Your rate, each proof gallon 13.50 USD" in shown
    assert "Estimate 16.20 USD" in shown


@pytest.mark.parametrize("rate", ["13.50 EUR", "13.50 EUR per litre", "13.50 EUR a litre of pure alcohol"])
def test_a_duty_for_a_litre_stays_one(cask, rate):
    assert cask(f'marks --duty "{rate}"').code == 0
    assert "each litre of pure alcohol 13.50 EUR" in words(cask("marks"))


def test_a_duty_for_something_else_is_refused(cask):
    said = cask('marks --duty "13.50 USD per hogshead"')
    assert said.code == 2
    assert "per proof gallon" in " ".join(said.err.split())


def test_reports_are_in_the_units_typed_last(us_cask):
    for line in ("report 2025", "stock", "casks", "trace cask 12"):
        assert "proof gal" in us_cask(line).out, line
        assert "proof gal" not in us_cask(f"{line} --show metric").out, line
    assert us_cask("sample cask 12 50 mL at 20 C").code == 0
    assert "proof gal" not in us_cask("stock").out
