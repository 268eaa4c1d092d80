"""`caskward plan`: what it writes and what it ends with."""

from __future__ import annotations

import json
import re

import pytest

from caskward.services import plans, words

from .conftest import NAMES, TOO_SMALL_A_TUB, rye


def bands(value):
    """Every band inside a JSON value."""
    if isinstance(value, dict):
        if value.keys() == {"low", "mid", "high"}:
            yield value
        for part in value.values():
            yield from bands(part)
    elif isinstance(value, list):
        for part in value:
            yield from bands(part)


def test_a_plan_answers_first(ask, mine):
    code, out, err = ask("plan", mine())
    assert (code, err) == (0, "")
    lines = [line for line in out.splitlines() if line]
    assert lines[0].startswith("Rye, malt and oats · Low Marl Farm")
    assert lines[0].endswith("Every figure is invented.")
    assert lines[1].startswith("Mash ")
    assert lines[2].startswith("The cask fills with ")


def test_a_real_plan_is_not_called_invented(ask, mine):
    out = ask("plan", mine(("invented = true", "invented = false"))).out
    assert "invented" not in out


def test_the_plan_says_everything_in_the_order_of_the_work(ask, mine):
    out = ask("plan", mine()).out
    headings = (
        "Shopping",
        " 1 Cook",
        " 6 Strip",
        "10 Fill the cask",
        "Where the alcohol goes",
        "Energy, water",
    )
    places = [out.index(f"\n{heading}") for heading in (*headings, "What binds")]
    assert places == sorted(places)
    assert "seed 1" in out
    assert "check your local law" in out


def test_brief_leaves_out_the_stages_and_keeps_the_answer(ask, mine):
    code, out, _ = ask("plan", mine(), "--brief")
    assert code == 0
    assert "Mash " in out
    assert "Shopping" in out
    assert "What binds" in out
    assert "check your local law" in out
    assert "Caution" not in out
    assert "Where the alcohol goes" not in out


def test_json_has_bands_and_an_account_that_adds_up(ask, mine):
    code, out, err = ask("plan", mine(), "--json")
    assert (code, err) == (0, "")
    plan = json.loads(out)
    assert plan["outcome"] == "plan"
    found = list(bands(plan))
    assert len(found) > 50
    assert all(band["low"] <= band["mid"] <= band["high"] for band in found)
    sides = {"in": 0, "lost": 0, "kept": 0}
    for line in plan["account"]:
        sides[line["side"]] += line["millilitres"]
    assert sides["in"] == sides["lost"] + sides["kept"] > 0


def test_the_printed_account_adds_up_line_by_line(ask, mine):
    """The figures a person can add with a pencil: each group to its heading, and in = lost + kept."""
    out = ask("plan", mine()).out
    block = out[out.index("Where the alcohol goes") : out.index("Energy, water")]
    rows = re.findall(r"^   ( *)([A-Z][^\d\n]*?) +(\d+)(?: .*)?$", block, flags=re.MULTILINE)
    groups: list[tuple[int, list[int]]] = []
    for indent, _, figure in rows:
        if indent:
            groups[-1][1].append(int(figure))
        else:
            groups.append((int(figure), []))
    assert len(groups) == 3
    assert all(whole == sum(parts) and parts for whole, parts in groups)
    came, lost, kept = (whole for whole, _ in groups)
    assert came == lost + kept
    assert f"{came} mL in = {lost} mL lost + {kept} mL kept" in block


def test_a_file_to_begin_with_can_be_planned_at_once(ask, pipe_in):
    new = ask("plan", "--new")
    assert (new.code, new.err) == (0, "")
    assert new.out.strip() == plans.starting_point().strip()
    pipe_in(new.out.encode())
    assert ask("plan", "-").code == 0


@pytest.mark.parametrize("name", NAMES)
def test_every_starting_point_can_be_written_and_is_named_in_the_help(ask, name):
    assert ask("plan", "--new", name).out.strip() == plans.starting_point(name).strip()
    assert name in ask("plan", "--help").out


def test_the_help_names_no_starting_point_that_is_missing():
    assert plans.starting_points() == NAMES


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_what_a_text_editor_puts_before_a_file_does_no_harm(ask, pipe_in, encoding):
    pipe_in(rye().replace("\n", "\r\n").encode(encoding))
    assert ask("plan", "-", "--brief").code == 0


def test_a_run_sheet_is_written_beside_the_plan(ask, mine, tmp_path):
    pdf = tmp_path / "mine.pdf"
    code, out, _ = ask("plan", mine(), "--brief", "--pdf", str(pdf))
    assert code == 0
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert str(pdf) in out


def test_json_stays_json_beside_a_run_sheet(ask, mine, tmp_path):
    pdf = tmp_path / "mine.pdf"
    code, out, err = ask("plan", mine(), "--json", "--pdf", str(pdf))
    assert code == 0
    assert json.loads(out)["outcome"] == "plan"
    assert str(pdf) in err


def test_a_refusal_says_what_binds_and_what_was_solved(ask, mine, tmp_path):
    pdf = tmp_path / "mine.pdf"
    code, out, err = ask("plan", mine(TOO_SMALL_A_TUB), "--pdf", str(pdf))
    assert code == 3
    assert "tub binds" in out
    assert "170 L" in out  # 200 L less 15 % of headspace
    assert re.search(r" • With [34] ferments", out)
    assert re.search(r"mash [\d.]+ kg rye", " ".join(out.split()))
    assert not pdf.exists()
    assert "No run sheet is written" in err


def test_a_refusal_says_in_full_what_words_say(ask, mine, refused):
    out = " ".join(ask("plan", mine(TOO_SMALL_A_TUB)).out.split())
    assert refused.changes
    for change in refused.changes:
        assert words.change(change, "metric") in out


def test_a_refusal_as_json_ends_with_3(ask, mine):
    code, out, err = ask("plan", mine(TOO_SMALL_A_TUB), "--json")
    assert (code, err) == (3, "")
    refusal = json.loads(out)
    assert refusal["outcome"] == "refusal"
    assert refusal["reason"]
    assert refusal["broken"][0]["kind"] == "tub"
    assert all(change["bill_kg"] and change["chance"] >= 0.5 for change in refusal["changes"])


def test_a_starting_point_is_planned_by_its_name(ask, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    by_name = ask("plan", "pears", "--brief")
    assert by_name.code == 0
    (tmp_path / "mine.toml").write_text(plans.starting_point("pears"), encoding="utf-8")
    assert ask("plan", "mine.toml", "--brief").out == by_name.out
    (tmp_path / "pears").write_text(plans.starting_point("rye"), encoding="utf-8")
    assert ask("plan", "pears", "--brief").out != by_name.out, "a file of that name goes first"
    code, _, err = ask("plan", "peers")
    assert code == 2
    assert "Did you mean 'pears'?" in err


def test_a_plan_in_us_units_has_no_metric_temperature(ask, mine):
    _, out, _ = ask("plan", mine(('show = "metric"', 'show = "us"')))
    assert "°F" in out
    assert "°C" not in out
