"""What a maker asks the book at a terminal: reports, casks, stock, shopping, costs, traces, marks, demo."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from caskward.services import Refusal, plans
from caskward.services.book.pages import HELP
from tests.cli.conftest import Said

Ask = Callable[..., Said]
REPORTS = (
    ("report", "2025"),
    ("report", "2025", "Q4"),
    ("casks", "2025-12-31"),
    ("stock",),
    ("costs",),
    ("costs", "cask", "2"),
    ("trace", "cask", "2"),
    ("trace", "bottles", "rye", "L25-1"),
    ("trace", "rye", "25-1", "--forward"),
    ("marks",),
)


@pytest.fixture(scope="module")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from caskward.services.book.demo_book import write_demo

    file = tmp_path_factory.mktemp("books") / "low-marl-farm.sqlite"
    write_demo(str(file))
    return file


@pytest.fixture
def book(ask: Ask, demo_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    """Ask a copy of the invented book."""
    mine = tmp_path / "mine.sqlite"
    mine.write_bytes(demo_file.read_bytes())
    monkeypatch.setenv("CASKWARD_BOOK", str(mine))
    monkeypatch.setenv("CASKWARD_BY", "Edda")
    return lambda *words: ask("book", *words)


def test_the_demo_goes_into_a_file_of_its_own(
    ask: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "not this.sqlite"))
    said = ask("book", "demo")
    assert said.code == 0
    assert "invented" in said.out
    assert "CASKWARD_BOOK=" in said.out
    assert [file.name for file in tmp_path.glob("*.sqlite")] == ["low-marl-farm.sqlite"]
    again = ask("book", "demo")
    assert (again.code, again.out) == (2, "")
    assert "another.sqlite" in again.err


@pytest.mark.parametrize("words", REPORTS)
def test_every_report_fits_eighty_columns(
    book: Ask, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    for units in ("metric", "us"):
        said = book(*words, "--show", units)
        assert (said.code, said.err) == (0, "")
        assert max(map(len, said.out.splitlines())) <= 80
        assert "Every figure is invented." in said.out


@pytest.mark.parametrize("words", REPORTS)
def test_every_report_is_there_as_json(book: Ask, words: tuple[str, ...]) -> None:
    said = book(*words, "--json")
    assert said.code == 0
    assert json.loads(said.out)["what"]


@pytest.mark.parametrize("words", [row for row in REPORTS if row[0] in ("report", "casks", "costs", "trace")])
def test_what_could_be_taken_for_a_filing_says_that_it_is_none(book: Ask, words: tuple[str, ...]) -> None:
    assert HELP in " ".join(book(*words).out.split())
    assert json.loads(book(*words, "--json").out)["note"] == HELP


def test_the_account_of_the_year_adds_up_as_printed(book: Ask) -> None:
    lines = book("report", "2025").out.splitlines()
    first = next(n for n, line in enumerate(lines) if line.strip().startswith("At the start"))
    last = next(n for n, line in enumerate(lines) if line.strip().startswith("At the end"))
    thousandths = [round(float(line.split()[-1]) * 1000) for line in lines[first : last + 1]]
    assert sum(thousandths[:-1]) == thousandths[-1] > 0


def test_quarters_follow_on_each_other(book: Ask) -> None:
    ends = [json.loads(book("report", f"2025 Q{n}", "--json").out) for n in (1, 2, 3, 4)]
    year = json.loads(book("report", "2025", "--json").out)
    assert [one["opening_ul"] for one in ends[1:]] == [one["closing_ul"] for one in ends[:-1]]
    assert year["closing_ul"] == ends[-1]["closing_ul"]


def test_files_of_every_kind(book: Ask, tmp_path: Path) -> None:
    pytest.importorskip("duckdb")
    names = {kind: str(tmp_path / f"year.{kind}") for kind in ("csv", "parquet", "pdf")}
    said = book("report", "2025", *(word for kind, name in names.items() for word in (f"--{kind}", name)))
    assert said.code == 0
    for kind, begins in (("csv", b"from,until"), ("parquet", b"PAR1"), ("pdf", b"%PDF")):
        assert Path(names[kind]).read_bytes().startswith(begins)
        assert names[kind] in said.out


def test_a_picture_of_a_lineage(book: Ask, tmp_path: Path) -> None:
    said = book(
        "trace", "cask 2", "--svg", str(tmp_path / "t.svg"), "--pdf", str(tmp_path / "t.pdf"), "--json"
    )
    assert said.code == 0
    assert (tmp_path / "t.svg").read_bytes().startswith(b"<svg")
    assert (tmp_path / "t.pdf").read_bytes().startswith(b"%PDF")
    assert "t.svg" in said.err, "JSON stays whole: what else is said goes beside it"
    assert json.loads(said.out)["lots"]


def test_a_file_that_cannot_be_written_says_nothing_else(book: Ask, tmp_path: Path) -> None:
    said = book("report", "2025", "--csv", str(tmp_path / "none" / "a.csv"))
    assert (said.code, said.out) == (2, "")
    assert "no folder" in said.err


def test_what_a_plan_needs_beyond_the_book(book: Ask) -> None:
    """The book has 104 kg of rye, of malt 34.5 kg: enough; of the plan's 240 g of yeast a part."""
    said = book("shopping", "rye", "--json")
    rows = {row["commodity"]: row for row in json.loads(said.out)["rows"]}
    assert said.code == 0
    assert rows["mass/rye"]["missing"] == 0 < rows["mass/rye"]["there"]
    assert rows["mass/malted barley"]["there"] > 0
    yeast = rows["mass/distillers' dry yeast"]
    assert yeast["missing"] == yeast["needed"] - yeast["there"] > 0


def test_shopping_for_a_plan_that_cannot_be(
    book: Ask, refused: Refusal, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plans, "plan_file", lambda _: refused)
    said = book("shopping", "mine.toml")
    assert said.code == 3
    assert "cannot be met" in said.out


def test_marks_are_set_and_hold(book: Ask) -> None:
    assert "over" not in _losses(book("report", "2025").out, "stillage")
    said = book("marks", "--loss", "stillage 2 %", "--stock", "cork 150", "--duty", "20 EUR")
    assert said.code == 0
    assert "150 pieces" in said.out
    assert "over" in _losses(book("report", "2025").out, "stillage")
    assert "cork" in book("stock").out.split("Runs low")[1].split("Materials")[0]
    assert "20.00 EUR" in book("report", "2025").out
    assert json.loads(book("check", "--json").out)["whole"] is True


def test_a_limit_for_one_report_is_not_kept(book: Ask) -> None:
    assert "over" in _losses(book("report", "2025", "--limit", "stillage 1 %").out, "stillage")
    assert "over" not in _losses(book("report", "2025").out, "stillage")


def _losses(out: str, cause: str) -> str:
    part = out.split("Losses against your own limits")[1]
    return next(line for line in part.splitlines() if line.strip().startswith(cause))


def test_as_the_book_stood(book: Ask) -> None:
    """Entry 157 put a sample right on 17 September; two days before nobody knew."""
    then = json.loads(book("report", "2025 Q3", "--known", "2025-09-16 12:00", "--json").out)
    now = json.loads(book("report", "2025 Q3", "--json").out)
    assert then["corrections"] == []
    assert len(now["corrections"]) == 1
    assert then["closing_ul"] < now["closing_ul"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("report", "20255"), "no period"),
        (("report", "2025-12-31", "to", "2025-01-01"), "ends on 2025-01-01"),
        (("report", "--duty", "13"), "currency"),
        (("report", "--limit", "lots"), "sets no mark"),
        (("report", "--show", "imperial"), "metric"),
        (("casks", "2024-01-01"), "no filled cask"),
        (("casks", "someday"), "someday"),
        (("trace",), "needs a place or a lot"),
        (("trace", "caks 2"), "Did you mean 'cask 2'?"),
        (("costs", "made/fermentation/rye 1"), "no costs"),
        (("shopping",), "needs the name of your plan's file"),
        (("shopping", "nowhere.toml"), "nowhere.toml"),
        (("marks", "--stock", "rye"), "sets no mark"),
    ],
)
def test_what_cannot_be_answered_is_said_in_a_sentence(book: Ask, words: tuple[str, ...], says: str) -> None:
    said = book(*words)
    assert (said.code, said.out) == (2, "")
    assert says in said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize("words", [("report",), ("stock",), ("trace", "cask 1"), ("costs",), ("casks",)])
def test_without_a_book(
    ask: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.setenv("CASKWARD_BOOK", str(tmp_path / "none.sqlite"))
    said = ask("book", *words)
    assert (said.code, said.out) == (2, "")
    assert "There is no book" in said.err
    assert not list(tmp_path.iterdir()), "looking begins no book"


@pytest.mark.parametrize("name", ["report", "casks", "costs", "stock", "shopping", "marks", "trace", "demo"])
def test_each_has_a_help(ask: Ask, name: str) -> None:
    said = ask("book", name, "--help")
    assert said.code == 0
    assert f"book {name}" in said.out
