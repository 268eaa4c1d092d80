"""A laboratory's figures: how they are read, what they do to a run, what is said of them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from caskward.errors import FigureTwice, InputError, MissingValue, UnclearValue, UnreadableNotes
from caskward.services import still_jar_words, still_run_words
from caskward.services.still_gear import Gear
from caskward.services.still_lab import LabFigure, figure_of, figures_of
from caskward.services.still_run import RunAsk, RunReport, run
from caskward.stages.distil import Stop
from caskward.stages.receivers import Receiver

GEAR = Gear("pot-bare", 6.0, limit_l=110.0)
CIDER = RunAsk(60.0, 28.0, GEAR, style="fruit", bill="apples")


def methanol_in(report: RunReport) -> tuple[float, float, float]:
    """Methanol in all that was collected [g/hL of pure alcohol]."""
    (line,) = report.receivers
    (b,) = (one.g_hl for one in line.congeners if one.name == "Methanol")
    return b.low, b.mid, b.high


def all_in_one(*figures: LabFigure) -> RunReport:
    """A run to the last of the alcohol into one can."""
    nearly, can = Stop("alcohol_share", 0.99), (Receiver("can"),)
    return run(RunAsk(60.0, 28.0, GEAR, stop=nearly, receivers=can, laboratory=figures))


@pytest.mark.parametrize(
    ("typed", "name", "g_hl", "doubt"),
    [
        ("methanol=850g/hL", "methanol", 850.0, None),
        ("Methanol: 850 ± 40 g/hL", "methanol", 850.0, 40.0),
        ("methanol 850 g/hL +/- 40", "methanol", 850.0, 40.0),
        ("methanol 850 ± 4 % g/hL", "methanol", 850.0, 34.0),
        ("2-methyl-1-butanol 54,5 g/hL", "2-methyl-1-butanol", 54.5, None),
        ("ethanal 0 ± 0.05 g/hL", "acetaldehyde", 0.0, 0.05),
        ("ethyl acetate 210 mg/L pure", "ethyl acetate", 21.0, None),
        ("ethyl acetate 56 mg/L as it is", "ethyl acetate", 20.0, None),
    ],
)
def test_a_figure_is_read_as_it_is_written(typed: str, name: str, g_hl: float, doubt: float | None) -> None:
    """A hectolitre of pure alcohol is 100 L: 10 mg/L of it is 1 g/hL; at 28 %vol a litre holds 0.28 of it."""
    read = figure_of(typed, 28.0)
    assert (read.congener, read.g_hl, read.doubt_g_hl) == (name, pytest.approx(g_hl), pytest.approx(doubt))


@pytest.mark.parametrize(
    "typed",
    ["methanol", "methanol 850", "methanol 850 ppm", "methanl 850 g/hL", "methanol 90000 g/hL", "850 g/hL"],
)
def test_what_is_no_figure_ends_in_a_sentence(typed: str) -> None:
    with pytest.raises(InputError, match=r"[.?]$"):
        figure_of(typed, 28.0)


def test_a_unit_with_two_meanings_is_asked_back() -> None:
    with pytest.raises(UnclearValue, match=r'210 mg/L pure" .* or "ethyl acetate 210 mg/L as it is"'):
        figure_of("ethyl acetate 210 mg/L", 28.0)


def test_a_file_is_read_and_no_congener_stands_twice(tmp_path: Path) -> None:
    sheet = tmp_path / "lab.csv"
    sheet.write_text("congener;figure;doubt\n# of May\nmethanol;850 g/hL;40\nfurfural;0,5 g/hL\n", "utf-8")
    read = figures_of((), sheet, 28.0)
    assert [(one.congener, one.g_hl, one.doubt_g_hl) for one in read] == [
        ("methanol", 850.0, 40.0),
        ("furfural", 0.5, None),
    ]
    with pytest.raises(FigureTwice, match="Methanol"):
        figures_of(("methanol 800 g/hL",), sheet, 28.0)
    sheet.write_text("# nothing yet\n", "utf-8")
    with pytest.raises(MissingValue):
        figures_of((), sheet, 28.0)
    with pytest.raises(UnreadableNotes):
        figures_of((), tmp_path / "no.csv", 28.0)


def test_all_the_methanol_of_the_laboratory_comes_over_with_all_the_alcohol() -> None:
    """99 % of the alcohol is collected and methanol runs a little behind it: nearly the charge's level."""
    low, mid, high = methanol_in(all_in_one(LabFigure("methanol", "Methanol", 850.0)))
    assert 0.93 * 850.0 < mid < 850.0
    assert high - low < 40.0, "what is left is the doubt of its volatility"


def test_a_doubt_of_95_in_100_is_told_as_one_of_8_in_10() -> None:
    """A normal's 95 in 100 is 1.960 deviates either way, its 8 in 10 is 1.282 (tables, from memory)."""
    doubtful = all_in_one(LabFigure("methanol", "Methanol", 850.0, 150.0))
    low, mid, high = methanol_in(doubtful)
    assert high - low == pytest.approx(2.0 * 150.0 * 1.282 / 1.960 * mid / 850.0, rel=0.1)


def test_it_is_said_to_be_the_laboratory_s() -> None:
    exact, doubtful = LabFigure("methanol", "Methanol", 850.0), LabFigure("furfural", "Furfural", 0.5, 0.1)
    report = all_in_one(exact, doubtful)
    said = [figure for name, figure in still_run_words.run_lines(report, "metric") if "laboratory" in name]
    assert said == [
        "methanol 850 g/hL, no doubt stated, of pure alcohol",
        "furfural 0.5 g/hL ± 0.1, of pure alcohol",
    ]
    note = still_run_words.congener_note(report)
    assert "methanol, furfural are your laboratory's figures" in note
    assert "taken as exact" in note
    assert "laboratory" not in still_run_words.congener_note(all_in_one())


def test_a_laboratory_s_methanol_is_held_against_the_limits_in_place_of_a_forecast() -> None:
    sure = run(replace(CIDER, laboratory=(LabFigure("methanol", "methanol", 850.0, 40.0),)))
    near = run(replace(CIDER, laboratory=(LabFigure("methanol", "methanol", 990.0, 40.0),)))
    over = run(replace(CIDER, laboratory=(LabFigure("methanol", "methanol", 1400.0, 40.0),)))
    for report, standing in ((sure, "under"), (near, "in doubt"), (over, "over")):
        assert report.methanol is not None
        assert report.methanol.measured
        (perry,) = (one for one in report.methanol.limits if "cider" in one.product)
        assert (perry.limit_g_hl, perry.standing) == (1000.0, standing)
    assert sure.methanol is not None
    assert sure.methanol.g_hl.high - sure.methanol.g_hl.low < 60.0
    assert "your laboratory's figure" in still_jar_words.methanol_line(sure.methanol)
    assert still_jar_words.limit_rows(sure.methanol)[0][2] == "your figure"
    forecast = run(CIDER).methanol
    assert forecast is not None
    assert not forecast.measured


def test_grain_shows_methanol_once_a_laboratory_found_it() -> None:
    found = (LabFigure("methanol", "methanol", 60.0),)
    grain = run(RunAsk(60.0, 28.0, GEAR, laboratory=found)).methanol
    assert grain is not None
    assert grain.g_hl.low == grain.g_hl.high == 60.0
    assert any(one.standing == "over" for one in grain.limits)
    assert run(RunAsk(60.0, 28.0, GEAR)).methanol is None


def test_a_file_of_another_kind_is_not_written_out_in_the_refusal(tmp_path: Path) -> None:
    (tmp_path / "run.csv").write_text(
        ",".join(f"column_{k}" for k in range(60)) + "\n1,2\n", encoding="utf-8"
    )
    with pytest.raises(InputError, match="is not understood as a laboratory's figure") as refused:
        figures_of((), tmp_path / "run.csv", 28.0)
    assert len(str(refused.value)) < 220
