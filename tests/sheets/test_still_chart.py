"""The picture of a run: its SVG as an XML reader finds it, its page as pypdf does, its table as csv does."""

from __future__ import annotations

import csv
import io
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
from caskward.sheets import still_chart
from caskward.stages.distil import Stop

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
    assert len(lines) == 6, "strength, vapour, pot and three groups of congeners"
    assert len(shades) == 4 * len(lines)
    for element in (*lines, *shades):
        for x, y in points_of(element):
            assert 70.0 <= x <= 736.0
            assert 90.0 <= y <= still_chart.HEIGHT - 44.0


def test_the_middle_line_is_the_course(report: RunReport) -> None:
    """Strength is drawn from 0 at y = 380 to 90 %vol at y = 96, to a tenth of a unit of the drawing."""
    root = ET.fromstring(still_chart.chart(report))
    drawn = points_of(root.findall(f"{SVG}polyline")[0])
    moments = report.course.moments
    assert len(drawn) == len(moments)
    for (x, y), moment in zip(drawn, moments, strict=True):
        assert y == pytest.approx(380.0 - (380.0 - 96.0) * moment.spout_pct_vol.mid / 90.0, abs=0.06)
        assert x == pytest.approx(70.0 + 666.0 * moment.volume_l / moments[-1].volume_l, abs=0.06)


def test_a_shade_is_as_wide_as_the_doubt_and_no_wider(report: RunReport) -> None:
    root = ET.fromstring(still_chart.chart(report))
    whole = points_of(root.findall(f"{SVG}polygon")[0])
    first = report.course.moments[0].spout_pct_vol
    height = (380.0 - 96.0) / 90.0
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
    assert "gal collected" in us


def test_a_hard_stroke_stands_where_each_receiver_ends(report: RunReport) -> None:
    strokes = re.findall(r"M([\d.]+) 96\.0L([\d.]+) 104\.0", still_chart.chart(report))
    assert len(strokes) == 8
    most_l = report.course.moments[-1].volume_l
    assert [float(x) for x, _ in strokes] == pytest.approx(
        [70.0 + 666.0 * k / most_l for k in range(1, 9)], abs=0.1
    )


def test_a_receiver_whose_end_is_in_doubt_ends_in_a_hatch() -> None:
    """A jar of a litre ends where it is full; a heart that ends at a strength ends in a band."""
    cut = run(RunAsk(60.0, 28.0, GEAR, receivers=receivers("foreshots 1 L, heart to 62 %, tails"), worlds=64))
    hatches = re.findall(r'<rect x="([\d.]+)" y="96\.0" width="([\d.]+)"', still_chart.chart(cut))
    ((left, width),) = hatches
    heart, most_l = cut.receivers[1].volume_l, cut.course.moments[-1].volume_l
    assert float(left) == pytest.approx(70.0 + 666.0 * (1.0 + heart.low) / most_l, abs=0.1)
    assert float(width) == pytest.approx(666.0 * (heart.high - heart.low) / most_l, abs=0.2)


def test_a_run_that_gives_nothing_is_drawn_as_such() -> None:
    nothing = run(RunAsk(60.0, 28.0, GEAR, stop=Stop("spout_pct_vol", 90.0), worlds=64))
    root = ET.fromstring(still_chart.chart(nothing))
    assert not root.findall(f"{SVG}polyline")
    assert "give nothing" in (root.findtext(f"{SVG}title") or "")
    assert len(PdfReader(io.BytesIO(still_chart.pdf(nothing))).pages) == 1


def test_the_page_holds_the_picture_and_the_cautions(report: RunReport) -> None:
    made = still_chart.pdf(report)
    assert made == still_chart.pdf(report), "the same run gives the same bytes"
    (page,) = PdfReader(io.BytesIO(made)).pages
    text = " ".join((page.extract_text() or "").split())
    for caution in report.cautions:
        assert caution in text
    assert "Strength at the spout" in text
    assert float(page.mediabox.width) == pytest.approx(595.28, abs=0.5), "A4: 210 mm, ISO 216, from memory"


def test_the_table_is_the_course(report: RunReport) -> None:
    rows = list(csv.DictReader(io.StringIO(still_chart.csv_text(report))))
    assert len(rows) == len(report.course.moments)
    for row, moment in zip(rows, report.course.moments, strict=True):
        assert float(row["collected_l"]) == pytest.approx(moment.volume_l, rel=1e-5)
        assert float(row["spout_pct_vol_mid"]) == pytest.approx(moment.spout_pct_vol.mid, rel=1e-5)
        assert float(row["energy_kwh_high"]) == pytest.approx(moment.energy_kwh.high, rel=1e-5)


def test_files_are_written_over_only_by_their_like(report: RunReport, tmp_path: Path) -> None:
    for write, name in (
        (still_chart.csv_to, "run.csv"),
        (still_chart.svg_to, "run.svg"),
        (still_chart.pdf_to, "run.pdf"),
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
