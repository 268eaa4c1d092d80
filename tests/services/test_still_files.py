"""Files of jars and of logged runs, and what they come to."""

from __future__ import annotations

from pathlib import Path

import pytest

from caskward.errors import (
    InputError,
    MissingValue,
    NamedTwice,
    NotAnAmount,
    NotToml,
    NotUnderstood,
    OutOfRange,
    UnknownName,
    UnreadableNotes,
    WrongShape,
)
from caskward.services import still_jar_words
from caskward.services.still_choice import Wish, choose
from caskward.services.still_files import jar_file, run_log
from caskward.services.still_learned import learned
from caskward.services.still_methanol import methanol

JARS = """
cask = "2 L"
entry = "63 %"
[[jar]]
name = 1
volume = "1 L"
strength = "78 %"
mark = "discard"
[[jar]]
name = 2
volume = "1 L"
strength = "76 %"
mark = "+1"
congeners = { "ethyl acetate" = 30 }
[[jar]]
volume = "1 L"
strength = "70 %"
mark = 0
congeners = { "ethyl acetate" = [5, 10, 20] }
"""
RUNS = """
altitude = "140 m"
[[run]]
name = "12 March"
charge = "60 L 28 %"
power = "6 kW"
heat_up = "58 min"
from = "12 C"
points = [["1 L", "79.5 %"], ["5 L", "77.6 %"], ["10 L", "73.5 %"], ["15 L", "66 %"]]
[[run]]
charge = "65 L 27 %"
power = "6 kW"
points = [["2 L", "78.6 %"], ["8 L", "75 %", "0.4 %"], ["14 L", "50 %"]]
"""


def written(path: Path, content: str, name: str = "file.toml") -> Path:
    (path / name).write_text(content, encoding="utf-8")
    return path / name


def test_jars_are_read_with_marks_and_congeners(tmp_path: Path) -> None:
    """30 g/hL of pure alcohol in 0.76 L of it are 300 mg/L x 0.76 L = 228 mg."""
    found = jar_file(written(tmp_path, JARS))
    assert (found.cask, found.entry) == ("2 L", "63 %")
    assert [jar.name for jar in found.jars] == ["1", "2", "jar 3"]
    assert [jar.mark.place for jar in found.jars] == ["discard", "maybe", "maybe"]
    assert found.jars[1].traces_mg["ethyl acetate"].mid == pytest.approx(228.0)
    assert found.jars[2].traces_mg["ethyl acetate"].high == pytest.approx(20.0 * 7.0)


@pytest.mark.parametrize("sep", [",", ";"])
def test_a_csv_says_the_same(tmp_path: Path, sep: str) -> None:
    rows = [
        "name,volume,strength,mark,ethyl acetate",
        "1,1 L,78 %,discard,",
        "2,1.0,76,+1,30",
        "",
        "3,1 L,70 %,0,10",
    ]
    found = jar_file(written(tmp_path, "\n".join(rows).replace(",", sep), "jars.csv"))
    same = jar_file(written(tmp_path, JARS))
    assert [(j.volume_l, j.pct_vol, j.mark) for j in found.jars] == [
        (j.volume_l, j.pct_vol, j.mark) for j in same.jars
    ]
    assert found.jars[1].traces_mg == same.jars[1].traces_mg
    assert found.jars[0].traces_mg == {}


def test_a_table_of_jars_is_known_by_its_first_line(tmp_path: Path) -> None:
    found = jar_file(written(tmp_path, "name;volume;strength\n1;1,5 L;70,3 %\n", "jars.txt"))
    assert (found.jars[0].volume_l, found.jars[0].pct_vol) == (1.5, 70.3)
    assert len(jar_file(written(tmp_path, f"# jars, of May\n{JARS}", "jars.txt")).jars) == 3


def test_a_still_far_from_its_kind_is_said_to_be(tmp_path: Path) -> None:
    """84 %vol and more, from 28 %vol: no bare head does that (catalogue 4 to 20 % reflux)."""
    points = '[["1 L", "87.5 %"], ["4 L", "87 %"], ["8 L", "86 %"], ["12 L", "84 %"]]'
    run = f'[[run]]\nname = "K"\ncharge = "60 L 28 %"\npower = "6 kW"\npoints = {points}\n'
    rows = "".join(run.replace("K", f"run {k}") for k in range(6))
    far = learned(run_log(written(tmp_path, rows)))
    assert far.warnings
    assert "farther from the catalogue than 1 still in 80" in far.warnings[0]
    assert learned(run_log(written(tmp_path, RUNS))).warnings == ()


def test_a_choice_is_told_in_a_sentence(tmp_path: Path) -> None:
    """Jars 2 and 3 hold 1.46 L of pure alcohol, 2.317 L at 63 %vol by definition."""
    wish = Wish(2.0, 63.0)
    report = choose(jar_file(written(tmp_path, JARS)).jars, wish, "cut")
    said = still_jar_words.choice_headline(report, wish, "metric")
    assert said.startswith("Take 2 and jar 3: 2.32 L")
    assert "the best of all unbroken cuts" in said
    rows = still_jar_words.jar_rows(report, wish, "metric")
    assert [row[1].strip() for row in rows[1:]] == ["away", "█ cask", "█ cask"]


@pytest.mark.parametrize(
    ("content", "name", "error", "said"),
    [
        ("[[jar]]\nvolume = '1 L'", "j.toml", MissingValue, "strength"),
        ("[[jar]]\nvolum = '1 L'\nstrength = '70 %'", "j.toml", UnknownName, "volume"),
        ("cask = '2 L'", "j.toml", MissingValue, "a jar"),
        ("[[jar]", "j.toml", NotToml, "TOML"),
        ("[[jar]]\nvolume = '1 L'\nstrength = '70 %'\nmark = 'lovely'", "j.toml", NotUnderstood, "mark"),
        ("[[jar]]\nvolume = '1 L'\nstrength = '70 %'\nmark = 7", "j.toml", OutOfRange, "mark"),
        (
            "[[jar]]\nvolume='1 L'\nstrength='70 %'\ncongeners = { fusel = 3 }",
            "j.toml",
            UnknownName,
            "fusel",
        ),
        ("name,strength\n1,70", "j.csv", MissingValue, "a column called volume"),
        ("name,volume,strength\n1,1,70\n1,1,60", "j.csv", NamedTwice, "Two jars are called '1'"),
        ("name,volume,strength,mark,mark\n1,1,70,0,1", "j.csv", NamedTwice, "Two columns"),
        ("volume,strength,ethyl acetate\n1,70,-30", "j.csv", WrongShape, "0 or more"),
        ("volume,strength,ethyl acetate\n1,70,much", "j.csv", WrongShape, "ethyl acetate in jar 1 is 'much'"),
        ("volume,strength\n-1 L,70", "j.csv", NotAnAmount, "below zero"),
        ("volume,strength\n1 L,170 %", "j.csv", OutOfRange, "170 %vol"),
        (
            "[[jar]]\nvolume='1 L'\nstrength='70 %'\ncongeners = { acetal = [3, 2, 1] }",
            "j.toml",
            WrongShape,
            "in order",
        ),
        ("name,volume,strength\n1,1,70,8,9", "j.csv", WrongShape, "line 2"),
        ("", "j.csv", MissingValue, "volume"),
    ],
)
def test_a_file_of_jars_that_cannot_be_used_ends_in_a_sentence(
    tmp_path: Path, content: str, name: str, error: type[InputError], said: str
) -> None:
    with pytest.raises(error, match=said):
        jar_file(written(tmp_path, content, name))


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(UnreadableNotes, match="cannot be read"):
        jar_file(tmp_path / "none.toml")
    (tmp_path / "b.toml").write_bytes(b"\xff\xfe\x00\x80")
    with pytest.raises(UnreadableNotes, match="not plain text"):
        run_log(tmp_path / "b.toml")


def test_runs_teach_a_still_and_a_reading_that_does_not_fit_is_named(tmp_path: Path) -> None:
    """First drops stronger than the catalogue's head gives teach more reflux; the 50 % is wrong."""
    report = learned(run_log(written(tmp_path, RUNS)))
    reflux = next(one for one in report.habits if one.key == "spirit.reflux")
    lost = next(one for one in report.habits if one.key == "spirit.heat_lost")
    assert (reflux.runs, reflux.readings, lost.runs) == (2, 7, 1)
    assert reflux.learned.mid > reflux.default.mid
    assert reflux.learned.high - reflux.learned.low < reflux.default.high - reflux.default.low
    assert [(one.run, one.reading) for one in report.doubted] == [("run 2", "at 14 L")]
    assert report.settled
    assert "2 runs with 8 readings" in still_jar_words.learned_headline(report)
    assert "one run alone says little" in lost.sentence


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('power = "6 kW"', "", "power"),
        ('["1 L", "79.5 %"]', '["1 L"]', "pairs"),
        ('altitude = "140 m"', 'altitud = "140 m"', "altitude"),
        ('charge = "60 L 28 %"', 'charge = "60 L"', "charge"),
        ('altitude = "140 m"', "hold_up = -1", "hold_up"),
        ('from = "12 C"', 'kind = "third"', "kind"),
    ],
)
def test_a_log_that_cannot_be_used_ends_in_a_sentence(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in RUNS
    with pytest.raises(InputError, match=said):
        run_log(written(tmp_path, RUNS.replace(old, new, 1)))


def test_dead_volume_is_learned_where_it_is_asked_for(tmp_path: Path) -> None:
    report = learned(run_log(written(tmp_path, f'hold_up = "0.4 L"\n{RUNS}')))
    dead = next(one for one in report.habits if one.unit == "L")
    assert dead.default.mid == pytest.approx(0.4)
    assert "L (" in dead.sentence


def test_methanol_goes_by_the_bill_and_says_what_it_goes_by() -> None:
    """Pears and apples hold the same pectin in the catalogue, and nearly as much sugar."""
    pears, both = methanol("60 kg pears"), methanol("60 kg pears, 60 kg apples")
    assert pears.g_hl.mid == pytest.approx(both.g_hl.mid, rel=0.2)
    assert methanol("grape pomace").g_hl.mid > methanol("wine grapes").g_hl.mid
    anything = methanol(style="fruit")
    assert "kinds of fruit" in anything.bill
    assert anything.g_hl.low < pears.g_hl.mid < anything.g_hl.high
    for bad in ("60 kg", "60 L pears", "pears, apples", "60 kg unobtainium"):
        with pytest.raises(InputError):
            methanol(bad)
