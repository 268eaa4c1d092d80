"""`caskward demo`: the invented farm, its run sheet, and what to do next."""

from __future__ import annotations

import json


def test_the_demo_plans_writes_a_run_sheet_and_says_what_next(ask, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, err = ask("demo", "--no-serve")
    assert (code, err) == (0, "")
    sheets = list((tmp_path / "out").iterdir())
    assert [sheet.read_bytes()[:5] for sheet in sheets] == [b"%PDF-"]
    assert out.startswith("Rye, malt and oats · Low Marl Farm")
    assert "Every figure is invented." in out
    ending = out[out.index("The run sheet") :]
    assert str(sheets[0].relative_to(tmp_path)) in ending
    assert "plan --new > mine.toml" in ending
    assert "plan mine.toml --pdf mine.pdf" in ending


def test_the_demo_goes_where_it_is_told_and_speaks_json(ask, tmp_path):
    code, out, err = ask("demo", "--json", "--out", str(tmp_path / "a" / "b"))
    assert code == 0
    assert json.loads(out)["invented"] is True
    assert len(list((tmp_path / "a" / "b").glob("*.pdf"))) == 1
    assert str(tmp_path) in err


def test_a_folder_that_cannot_be_made_is_named(ask, tmp_path):
    (tmp_path / "file").touch()
    code, _, err = ask("demo", "--out", str(tmp_path / "file" / "x"))
    assert code == 2
    assert str(tmp_path / "file" / "x") in err
    assert err.count("\n") == 1
