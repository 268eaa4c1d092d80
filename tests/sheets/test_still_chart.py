"""The picture of a run: its SVG as an XML reader finds it, its page as pypdf does, its table as csv does."""

from __future__ import annotations

import csv
import io
import itertools
import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader

from caskward.errors import InputError, WouldOverwrite
from caskward.services import still_words
from caskward.services.still_gear import Gear
from caskward.services.still_run import RunAsk, RunReport, run
from caskward.services.still_typed import receivers
from caskward.sheets import still_chart, still_files

SVG = "{http://www.w3.org/2000/svg}"
GEAR = Gear("pot-bare", 6.0, limit_l=110.0)


@pytest.fixture(scope="module")
def report() -> RunReport:
    return run(RunAsk(60.0, 28.0, GEAR, receivers=receivers("8 x 1 L"), worlds=64))


def points_of(element: ET.Element) -> list[tuple[float, float]]:
    return [tuple(map(float, pair.split(","))) for pair in element.get("points", "").split()]  # type: ignore[misc]


def test_everything_drawn_lies_on_the_page(report: RunReport) -> None:
    root = ET.fromstring(still_chart.chart(report))
    lines, shades = root.findall(f"{SVG}polyline"), root.findall(f"{SVG}polygon")
    assert len(lines) == 8, "strength, vapour, pot, rate, energy and three groups of congeners"
    assert len(shades) == 4 * len(lines)
    for element in (*lines, *shades):
        for x, y in points_of(element):
            assert 70.0 <= x <= 736.0
            assert 100.0 <= y <= still_chart.HEIGHT - 44.0


def test_the_middle_line_is_the_course(report: RunReport) -> None:
    """Strength is drawn from 0 at y = 316 to 90 %vol at y = 104, to a tenth of a unit of the drawing."""
    root = ET.fromstring(still_chart.chart(report))
    drawn = points_of(root.findall(f"{SVG}polyline")[0])
    moments = report.course.moments
    assert len(drawn) == len(moments)
    for (x, y), moment in zip(drawn, moments, strict=True):
        assert y == pytest.approx(316.0 - (316.0 - 104.0) * moment.spout_pct_vol.mid / 90.0, abs=0.06)
        assert x == pytest.approx(70.0 + 666.0 * moment.volume_l / moments[-1].volume_l, abs=0.06)


def test_a_shade_is_as_wide_as_the_doubt_and_no_wider(report: RunReport) -> None:
    root = ET.fromstring(still_chart.chart(report))
    whole = points_of(root.findall(f"{SVG}polygon")[0])
    first = report.course.moments[0].spout_pct_vol
    height = (316.0 - 104.0) / 90.0
    assert whole[-1][1] - whole[0][1] == pytest.approx((first.high - first.low) * height, abs=0.11)


def test_it_says_what_it_shows_and_that_the_nose_decides(report: RunReport) -> None:
    text = " ".join(
        element.text or "" for element in ET.fromstring(still_chart.chart(report)).iter(f"{SVG}text")
    )
    assert "heads end" in text
    assert "heart ends" in text
    assert "9 receivers, changed at the strokes" in text
    assert still_words.NOSE_DECIDES in text
    us = " ".join(e.text or "" for e in ET.fromstring(still_chart.chart(report, "us")).iter(f"{SVG}text"))
    assert "°F" in us
    assert "gallons collected" in us
    assert "Strength at the spout, proof" in us


def test_a_hard_stroke_stands_where_each_receiver_ends(report: RunReport) -> None:
    strokes = re.findall(r"M([\d.]+) 95\.0L([\d.]+) 103\.0", still_chart.chart(report))
    assert len(strokes) == 8
    most_l = report.course.moments[-1].volume_l
    assert [float(x) for x, _ in strokes] == pytest.approx(
        [70.0 + 666.0 * k / most_l for k in range(1, 9)], abs=0.1
    )


def test_a_receiver_whose_end_is_in_doubt_ends_in_a_hatch() -> None:
    """A jar of a litre ends where it is full; a heart that ends at a strength ends in a band."""
    cut = run(RunAsk(60.0, 28.0, GEAR, receivers=receivers("foreshots 1 L, heart to 62 %, tails"), worlds=64))
    hatches = re.findall(r'<rect x="([\d.]+)" y="95\.0" width="([\d.]+)"', still_chart.chart(cut))
    ((left, width),) = hatches
    heart, most_l = cut.receivers[1].volume_l, cut.course.moments[-1].volume_l
    assert float(left) == pytest.approx(70.0 + 666.0 * (1.0 + heart.low) / most_l, abs=0.1)
    assert float(width) == pytest.approx(666.0 * (heart.high - heart.low) / most_l, abs=0.2)


def test_every_word_stands_where_no_line_runs(report: RunReport) -> None:
    """A letter reaches from about its base line up to 0.75 of its size; no faint or hard level cuts it."""
    for drawn in (report, run(RunAsk(60.0, 8.0, GEAR, worlds=64))):
        root = ET.fromstring(still_chart.chart(drawn))
        levels = [
            (70.0, float(found[1]))
            for path in root.iter(f"{SVG}path")
            if (found := re.fullmatch(r"M70(?:\.0)? ([\d.]+)(?:H736\.0|L736\.0 .*)", path.get("d", "")))
        ]
        assert len(levels) > 20
        for word in root.iter(f"{SVG}text"):
            left = float(word.get("x", "")) if word.get("text-anchor") != "end" else 500.0
            right = 736.0 if word.get("text-anchor") != "end" else float(word.get("x", ""))
            base, size = float(word.get("y", "")), float(word.get("font-size", ""))
            for starts, y in levels:
                cut = right > starts + 2.0 and left < 736.0 and base - 0.75 * size < y < base
                assert not cut, (word.text, base, y)


def test_the_figures_along_the_axes_are_even(report: RunReport) -> None:
    """Litres along the base go in steps of 1, 2 or 5 and so do gallons."""
    for system in ("metric", "us"):
        root = ET.fromstring(still_chart.chart(report, system))  # type: ignore[arg-type]
        along = [float(e.text or "") for e in root.iter(f"{SVG}text") if e.get("text-anchor") == "middle"]
        steps = {round(after - before, 6) for before, after in itertools.pairwise(along)}
        assert len(along) >= 4
        assert steps <= {0.5, 1.0, 2.0, 5.0, 10.0}
        assert len(steps) == 1


def test_the_page_holds_the_picture_and_the_cautions(report: RunReport) -> None:
    made = still_files.pdf(report)
    assert made == still_files.pdf(report), "the same run gives the same bytes"
    (page,) = PdfReader(io.BytesIO(made)).pages
    text = " ".join((page.extract_text() or "").split())
    for caution in report.cautions:
        assert caution in text
    assert "Strength at the spout" in text
    fruit = run(RunAsk(60.0, 28.0, GEAR, style="fruit", worlds=64))
    (page_of_fruit,) = PdfReader(io.BytesIO(still_files.pdf(fruit))).pages
    assert "Cuts do not remove methanol" in " ".join((page_of_fruit.extract_text() or "").split())
    assert float(page.mediabox.width) == pytest.approx(595.28, abs=0.5), "A4: 210 mm, ISO 216, from memory"


def test_the_table_is_the_course(report: RunReport) -> None:
    rows = list(csv.DictReader(io.StringIO(still_files.csv_text(report))))
    assert len(rows) == len(report.course.moments)
    for row, moment in zip(rows, report.course.moments, strict=True):
        assert float(row["collected_l"]) == pytest.approx(moment.volume_l, rel=1e-5)
        assert float(row["spout_pct_vol_mid"]) == pytest.approx(moment.spout_pct_vol.mid, rel=1e-5)
        assert float(row["energy_kwh_high"]) == pytest.approx(moment.energy_kwh.high, rel=1e-5)
        assert float(row["rate_l_h_low"]) == pytest.approx(moment.rate_l_h.low, rel=1e-5)
    early = report.course.groups[0].mg_per_l
    assert [float(row["early_mg_l_mid"]) for row in rows[:-1]] == pytest.approx(
        [b.mid for b in early], rel=1e-5
    )
    assert rows[-1]["early_mg_l_mid"] == ""


def test_files_are_written_over_only_by_their_like(report: RunReport, tmp_path: Path) -> None:
    for write, name in (
        (still_files.csv_to, "run.csv"),
        (still_files.svg_to, "run.svg"),
        (still_files.pdf_to, "run.pdf"),
    ):
        path = tmp_path / name
        write(report, path)
        first = path.read_bytes()
        write(report, path)
        assert path.read_bytes() == first
        path.write_text("my notes of years", encoding="utf-8")
        with pytest.raises(WouldOverwrite):
            write(report, path)
        assert path.read_text(encoding="utf-8") == "my notes of years"
        with pytest.raises(InputError):
            write(report, tmp_path / "nowhere" / name)
