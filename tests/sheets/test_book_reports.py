"""Reports of the book on paper and in table files: read again by pypdf, csv, duckdb and an XML reader."""

from __future__ import annotations

import csv
import io
import re
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader

from caskward.errors import InputError, UnwritableFile, WouldOverwrite
from caskward.errors.book_read import NoParquet
from caskward.services.book.demo_book import demo_entries
from caskward.services.book.looked import Looked
from caskward.services.book.pages import HELP, INVENTED, Column, Page, Section, Table
from caskward.services.book.period_report import period_report, period_table
from caskward.services.book.period_words import period_page
from caskward.services.book.periods import period
from caskward.services.book.trace_report import TraceReport, trace_report
from caskward.services.book.trace_words import trace_page, tree
from caskward.sheets import book_files, trace_files
from caskward.sheets.trace_picture import picture
from caskward.sheets.trace_plan import BOX_WIDTH, plan_of

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def year() -> Looked:
    return Looked(demo_entries())


@pytest.fixture(scope="module", params=[("bottles rye L25-1", "back"), ("rye 25-1", "forward")])
def lineage(request: pytest.FixtureRequest, year: Looked) -> TraceReport:
    return trace_report(year, *request.param)


def of_2025(year: Looked) -> tuple[Page, Table]:
    report = period_report(year, period("2025", year.entries[-1].done_at))
    return period_page(report, "metric"), period_table(report)


def text_of(pdf: bytes) -> str:
    pages = PdfReader(io.BytesIO(pdf), strict=True).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


# Paper -------------------------------------------------------------------------------------------


def test_every_figure_of_the_page_is_on_paper(year: Looked) -> None:
    page, _ = of_2025(year)
    said = text_of(book_files.pdf(page))
    for section in page.sections:
        for row in section.rows:
            for cell in filter(None, row):
                assert cell in said
    assert said.count(HELP) == len(PdfReader(io.BytesIO(book_files.pdf(page))).pages)
    assert INVENTED in said


def test_the_same_report_gives_the_same_bytes(year: Looked) -> None:
    page, _ = of_2025(year)
    assert book_files.pdf(page) == book_files.pdf(page)


def test_a_maker_s_own_words_are_no_markup() -> None:
    rough = 'a #text[b] $x$ "quoted" <tag> _u_ *s* \\ @ref'
    section = Section("Heading #1", ("", ""), "lr", ((rough, "1.000"),))
    said = text_of(book_files.pdf(Page("Title", rough, (rough,), (section,))))
    assert said.count("#text[b] $x$") == 4


@pytest.mark.parametrize(("paper", "width_mm"), [("a4", 210.0), ("us-letter", 215.9)])
def test_the_paper_is_the_maker_s(paper: str, width_mm: float) -> None:
    made = book_files.pdf(Page("T", "", ("A.",), (), paper=paper))  # type: ignore[arg-type]
    (page,) = PdfReader(io.BytesIO(made)).pages
    assert float(page.mediabox.width) / 72 * 25.4 == pytest.approx(width_mm, abs=0.1)


def test_a_lineage_on_paper_has_tree_tables_and_picture(lineage: TraceReport) -> None:
    page = trace_page(lineage, "metric")
    made = trace_files.pdf(lineage, page, tree(lineage))
    said = text_of(made)
    for line in tree(lineage):
        assert line.words in said
    pages = PdfReader(io.BytesIO(made)).pages
    turned = [one for one in pages if one.mediabox.width > one.mediabox.height]
    assert len(turned) == 1, "the picture has a page of its own"
    assert "Batch rye 2" in turned[0].extract_text()


# Picture -----------------------------------------------------------------------------------------


def test_the_picture_names_every_step(lineage: TraceReport) -> None:
    root = ET.fromstring(picture(lineage, trace_page(lineage, "metric")))
    words = " ".join(element.text or "" for element in root.iter(f"{SVG}text"))
    for box in plan_of(lineage.steps).boxes.values():
        assert all(line in words for line in box.lines)
    assert root.findtext(f"{SVG}title")
    assert "people" in (root.findtext(f"{SVG}desc") or "")


def test_boxes_stand_apart_and_on_the_page(lineage: TraceReport) -> None:
    plan = plan_of(lineage.steps)
    boxes = list(plan.boxes.values())
    assert len(boxes) == len(lineage.steps.steps)
    for place, one in enumerate(boxes):
        assert 0 < one.x < one.right < plan.width
        assert 0 < one.y < one.y + one.height < plan.height
        for other in boxes[place + 1 :]:
            beside = one.right <= other.x or other.right <= one.x
            assert beside or one.y + one.height <= other.y or other.y + other.height <= one.y


def test_within_a_band_every_step_stands_right_of_what_it_came_from(lineage: TraceReport) -> None:
    boxes = plan_of(lineage.steps).boxes
    for way in lineage.steps.ways:
        source, target = boxes[way.source], boxes[way.target]
        if source.band_top == target.band_top:
            assert target.x >= source.x + BOX_WIDTH


def test_there_is_an_arrow_for_each_way(lineage: TraceReport) -> None:
    root = ET.fromstring(picture(lineage, trace_page(lineage, "metric")))
    arrows = [path for path in root.iter(f"{SVG}path") if path.get("marker-end")]
    assert len(arrows) == len(lineage.steps.ways)


@pytest.mark.parametrize("asked", ["rye 25-1", "oats 25-1", "yeast 25-1"])
def test_no_line_leaves_the_page_or_crosses_a_box_or_a_band_s_name(year: Looked, asked: str) -> None:
    report = trace_report(year, asked, "forward")
    plan = plan_of(report.steps)
    root = ET.fromstring(picture(report, trace_page(report, "metric")))
    drawn = [path.get("d") or "" for path in root.iter(f"{SVG}path") if path.get("marker-end")]
    for x1, y1, x2, y2 in (line for path in drawn if "C" not in path for line in _lines_of(path)):
        assert 4 < min(x1, x2) <= max(x1, x2) < plan.width - 4
        for band in plan.bands:
            along = y1 == y2 and band.top < y1 < band.top + 18
            assert not along, (band.name, y1)
        for box in plan.boxes.values():
            bulge = 3.0 if box.step.root == "cask" else 0.0
            beside = max(x1, x2) <= box.x - bulge + 0.1 or min(x1, x2) >= box.right - 0.1
            assert beside or max(y1, y2) <= box.y or min(y1, y2) >= box.y + box.height


def _lines_of(path: str) -> list[tuple[float, float, float, float]]:
    """The straight lines of a path made of M, H and V."""
    found = []
    x = y = 0.0
    for letter, first, second in re.findall(r"([MHV])(-?[\d.]+)(?: (-?[\d.]+))?", path):
        was = x, y
        x = float(first) if letter in "MH" else x
        y = float(second) if letter == "M" else float(first) if letter == "V" else y
        if letter != "M":
            found.append((*was, x, y))
    return found


def test_colour_is_never_alone(lineage: TraceReport) -> None:
    """Every kind of place has a shape or an edge of its own, and the key says which."""
    svg = picture(lineage, trace_page(lineage, "metric"))
    for word in ("Cut corner: lot", "Square: vessel", "Round: jar", "Bulging: cask", "Double: bottles"):
        assert word in svg


# Table files -------------------------------------------------------------------------------------


def test_csv_read_again(year: Looked, tmp_path: Path) -> None:
    _, table = of_2025(year)
    book_files.csv_to(table, tmp_path / "year.csv")
    rows = list(csv.DictReader((tmp_path / "year.csv").read_text(encoding="utf-8").splitlines()))
    changes = sum(int(row["alcohol_ul"]) for row in rows if row["line"] == "change")
    ends = {row["line"]: int(row["alcohol_ul"]) for row in rows if row["line"] in ("opening", "closing")}
    assert ends["opening"] + changes == ends["closing"] > 0


def test_parquet_read_again(year: Looked, tmp_path: Path) -> None:
    duckdb = pytest.importorskip("duckdb")
    _, table = of_2025(year)
    file = tmp_path / "it's.parquet"
    book_files.parquet_to(table, file)
    quoted = str(file).replace("'", "''")
    found = duckdb.sql(f"SELECT * FROM '{quoted}'")
    assert found.columns == [column.name for column in table.columns]
    assert found.fetchall() == [tuple(row) for row in table.rows]
    assert str(found.types[4]) == "BIGINT"
    assert list(tmp_path.iterdir()) == [file], "nothing is left beside it"


def test_nothing_known_is_nothing_in_both(tmp_path: Path) -> None:
    table = Table("t", (Column("a"), Column("b", "whole")), (("x", None), (None, 5)))
    assert book_files.csv_text(table) == "a,b\nx,\n,5\n"
    duckdb = pytest.importorskip("duckdb")
    book_files.parquet_to(table, tmp_path / "t.parquet")
    assert duckdb.sql(f"SELECT * FROM '{tmp_path / 't.parquet'}'").fetchall() == [("x", None), (None, 5)]


def test_without_the_library_it_says_so(
    year: Looked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "duckdb", None)
    with pytest.raises(NoParquet, match="--csv"):
        book_files.parquet_to(of_2025(year)[1], tmp_path / "year.parquet")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["year.csv", "year.parquet", "year.pdf"])
def test_another_s_file_is_left_alone(year: Looked, tmp_path: Path, name: str) -> None:
    page, table = of_2025(year)
    file = tmp_path / name
    file.write_text("my own notes, long kept\n", encoding="utf-8")
    write = {"csv": book_files.csv_to, "parquet": book_files.parquet_to}.get(file.suffix[1:])
    with pytest.raises(WouldOverwrite):
        write(table, file) if write else book_files.pdf_to(page, file)
    assert file.read_text(encoding="utf-8") == "my own notes, long kept\n"


def test_its_own_file_may_be_written_again(year: Looked, tmp_path: Path) -> None:
    pytest.importorskip("duckdb")
    page, table = of_2025(year)
    for _ in range(2):
        book_files.csv_to(table, tmp_path / "a.csv")
        book_files.parquet_to(table, tmp_path / "a.parquet")
        book_files.pdf_to(page, tmp_path / "a.pdf")


def test_no_such_folder(year: Looked, tmp_path: Path) -> None:
    page, table = of_2025(year)
    for write in (book_files.csv_to, book_files.parquet_to):
        with pytest.raises((UnwritableFile, NoParquet)):
            write(table, tmp_path / "none" / "a.x")
    with pytest.raises(InputError, match="no folder"):
        book_files.pdf_to(page, tmp_path / "none" / "a.pdf")
