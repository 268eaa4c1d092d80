"""The printed plan: its widths, its colours, its bars and its letters."""

from __future__ import annotations

import io
import re
import sys

import pytest

from caskward.cli.bars import mark_under, soft_bar
from caskward.cli.layout import clean, table, wrapped
from caskward.cli.render import plan_as_text, refusal_as_text
from caskward.cli.terminal import Terminal, look_alike, patience, put, put_json, terminal
from caskward.services import Band, words

ESCAPE = "\x1b"
SELECT_GRAPHIC = re.compile(r"\x1b\[[\d;]*m")
ALL = ("pears", "rye", "wheat-panela", "rye-us")


@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("name", ALL)
def test_no_line_is_wider_than_the_terminal(planned, name, width):
    text = plan_as_text(planned[name], Terminal(width, colour=False))
    assert [line for line in text.splitlines() if len(line) > width] == []
    assert ESCAPE not in text


@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_of_a_refusal_is_wider_than_the_terminal(refused, width):
    text = refusal_as_text(refused, Terminal(width, colour=False))
    assert [line for line in text.splitlines() if len(line) > width] == []


@pytest.mark.parametrize("name", ALL)
def test_colour_changes_nothing_but_colour(planned, name):
    coloured = plan_as_text(planned[name], Terminal(80, colour=True))
    assert ESCAPE in coloured
    assert SELECT_GRAPHIC.sub("", coloured) == plan_as_text(planned[name], Terminal(80, colour=False))


@pytest.mark.parametrize("name", ALL)
def test_every_figure_and_caution_of_every_stage_is_printed(planned, name):
    plan = planned[name]
    said = " ".join(plan_as_text(plan, Terminal(100, colour=False)).split())
    for stage in plan.stages:
        assert stage.title in said
        for target in stage.targets:
            assert f"{target.words} {words.target(target, plan.show)}" in said
        for caution in stage.cautions:
            assert f"Caution {caution}" in said
    for law in plan.law:
        assert law in said


@pytest.mark.parametrize("name", ALL)
def test_words_and_figures_stand_in_two_columns(planned, name):
    plan = planned[name]
    text = plan_as_text(plan, Terminal(100, colour=False))
    for stage in plan.stages:
        longest = max(len(target.words) for target in stage.targets)
        for target in stage.targets:
            assert f"   {target.words.ljust(longest)}  {words.target(target, plan.show)}\n" in text


def test_the_tightest_vessel_comes_first(planned):
    text = plan_as_text(planned["rye"], Terminal(100, colour=False), brief=True)
    block = text[text.index("What binds") : text.index("possible batches")]
    used = [int(share) for share in re.findall(r"(\d+) % used", block)]
    assert len(used) >= 3
    assert used == sorted(used, reverse=True)


def test_a_name_cannot_move_the_cursor_or_break_the_line():
    assert clean("a\x1b[31mred\nnew\u202e") == "a [31mred new "


# Bars -------------------------------------------------------------------------------------------------


def test_a_forecast_is_solid_then_fades_and_has_a_tick_at_its_middle():
    bar = soft_bar(Band(50.0, 70.0, 100.0), top=100.0, cells=20)
    assert bar == "█" * 10 + "▓▓▓▓│▒▒░░░"


def test_a_figure_without_doubt_has_a_hard_edge():
    assert soft_bar(Band(50.0, 50.0, 50.0), top=100.0, cells=20) == "█" * 10


def test_a_figure_too_small_to_draw_still_shows():
    assert soft_bar(Band(0.01, 0.02, 0.03), top=100.0, cells=20) == "│"
    assert soft_bar(Band(0.0, 0.0, 0.0), top=100.0, cells=20) == ""


@pytest.mark.parametrize("mid", [0.0, 30.0, 99.9, 100.0])
def test_a_bar_never_leaves_its_cells(mid):
    assert len(soft_bar(Band(0.0, mid, 100.0), top=100.0, cells=20)) <= 20


def test_a_mark_points_at_its_value_from_the_side_with_room():
    assert mark_under(25.0, 100.0, 40, "24 L wanted") == " " * 10 + "▲ 24 L wanted"
    assert mark_under(100.0, 100.0, 40, "24 L wanted") == "24 L wanted ▲".rjust(40)


# Layout -----------------------------------------------------------------------------------------------


def test_where_a_table_is_too_wide_its_words_wrap_and_its_figures_stay_whole():
    lines = table([("a rather long name of a thing", "12.5 kg"), ("b", "1 g")], "lr", 34)
    assert lines == ["   a rather long name of   12.5 kg", "   a thing", "   b" + " " * 27 + "1 g"]


def test_a_number_stays_with_its_unit():
    assert wrapped("warm to about 26 C and wait", 16) == ["warm to about", "26 C and wait"]
    assert wrapped("it fills, 8 in 10", 15) == ["it fills,", "8 in 10"]


# The terminal -----------------------------------------------------------------------------------------


class Screen(io.StringIO):
    """Something that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("stream", "settings", "colour"),
    [
        (Screen(), {"TERM": "xterm"}, True),
        (Screen(), {"TERM": "xterm", "NO_COLOR": "1"}, False),
        (Screen(), {"TERM": "dumb"}, False),
        (io.StringIO(), {"TERM": "xterm"}, False),
        (io.StringIO(), {"FORCE_COLOR": "1"}, True),
        (io.StringIO(), {"FORCE_COLOR": "0"}, False),
        (io.StringIO(), {"FORCE_COLOR": "1", "NO_COLOR": "1"}, False),
    ],
)
def test_colour_only_where_it_can_be_seen_and_is_wanted(monkeypatch, stream, settings, colour):
    for name, value in settings.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "stdout", stream)
    assert terminal().colour is colour


@pytest.mark.parametrize(("columns", "width"), [("40", 60), ("72", 72), ("200", 100)])
def test_lines_are_as_wide_as_the_terminal_within_reason(monkeypatch, columns, width):
    monkeypatch.setenv("COLUMNS", columns)
    assert terminal().width == width


def test_where_letters_are_missing_look_alikes_keep_the_columns(monkeypatch, planned):
    text = plan_as_text(planned["rye"], Terminal(100, colour=False))
    plain = look_alike(text, "ascii")
    assert plain.isascii()
    assert "?" not in plain
    assert [len(line) for line in plain.splitlines()] == [len(line) for line in text.splitlines()]
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, "ascii", newline="\n"))
    put(text)
    assert raw.getvalue().decode("ascii") == plain + "\n"


def test_json_is_escaped_and_not_replaced(monkeypatch):
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, "ascii", newline="\n"))
    put_json('{"unit": "m³"}')
    assert raw.getvalue() == b'{\n  "unit": "m\\u00b3"\n}\n'


def test_a_long_wait_is_said_and_taken_back(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    screen = Screen()
    monkeypatch.setattr(sys, "stderr", screen)
    with patience("Working ...", after_s=0.0):
        while "Working ..." not in screen.getvalue():
            pass
    assert screen.getvalue() == "\rWorking ...\r           \r"


def test_what_is_worked_on_stands_in_one_line_that_fits(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "16")
    screen = Screen()
    monkeypatch.setattr(sys, "stderr", screen)
    with patience("Sizing the batch ...", after_s=0.0) as say:
        while "Sizing" not in screen.getvalue():
            pass
        say("The mash ...")
    assert screen.getvalue() == "\rSizing the batc\rThe mash ...   \r            \r"


def test_a_short_wait_is_not_worth_a_word(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(sys, "stderr", Screen())
    with patience("Working ...", after_s=60.0):
        pass
    assert sys.stderr.getvalue() == ""
