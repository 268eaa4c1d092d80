"""A spirit run as files: its picture as SVG or on a page to print, its course as CSV."""

from __future__ import annotations

import csv
import io
import os
import re
from pathlib import Path

from caskward.errors import UnwritableFile, WouldOverwrite
from caskward.services import Band, still_run_words
from caskward.services.still_run import RunReport
from caskward.sheets.press import printed, written
from caskward.sheets.still_chart import chart
from caskward.units.types import UnitSystem

_CSV_BEGINS = b"collected_l,"
_BEGINS = {".csv": (_CSV_BEGINS,), ".svg": (b"<svg", b"<?xml"), ".pdf": (b"%PDF",)}
"""How files begin that may be written over: anything else is somebody's work."""
_TEMPLATE = "still_chart.typ"
_FIGURES = ("spout_pct_vol", "pot_pct_vol", "pot_c", "vapour_c", "rate_l_h", "hours", "energy_kwh")
_ON_SCREEN = re.compile(r' \(--[a-z]+ "[^"]*"\)')
"""What only somebody at a keyboard can use."""
_GROUPS = {"early": "early", "with the heart": "heart", "late": "late"}


def may_be_written(path: Path) -> None:
    """Refuse a place that no file can be written to, before anything is worked out for it.

    Raises:
        UnwritableFile: no such folder, a folder itself, or no leave. WouldOverwrite: it holds something else.
    """
    can_be_reached(path)
    if path.exists() and path.stat().st_size:
        with path.open("rb") as there:
            first = there.read(16)
        if not first.startswith(_BEGINS[path.suffix.casefold()]):
            raise WouldOverwrite(str(path))


def can_be_reached(path: Path) -> None:
    """Refuse a place where no file can be, whatever it holds.

    Raises:
        UnwritableFile: no such folder, a folder itself, or no leave.
    """
    folder = path.parent
    if not folder.is_dir():
        raise UnwritableFile(str(path), f"there is no folder {folder}")
    if path.is_dir():
        raise UnwritableFile(str(path), "it is a folder")
    if not os.access(path if path.exists() else folder, os.W_OK):
        raise UnwritableFile(str(path), "you may not write there")


def csv_text(report: RunReport) -> str:
    """The course of a run as CSV: litres at 20 °C, then low, middle and high of each figure.

    Congeners [mg/L] are of what runs from this row's litres to the next row's, so the last row has none.
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    names = (*_FIGURES, *(f"{_GROUPS[one.group]}_mg_l" for one in report.course.groups))
    ends = (f"{name}_{end}" for name in names for end in ("low", "mid", "high"))
    table.writerow(["collected_l", *ends, "share_running"])
    for k, moment in enumerate(report.course.moments):
        bands: list[Band] = [getattr(moment, name) for name in _FIGURES]
        figures = [value for b in bands for value in (b.low, b.mid, b.high)]
        rows = [one.mg_per_l[k : k + 1] for one in report.course.groups]
        mg_l = [f"{v:.6g}" for row in rows for b in row for v in (b.low, b.mid, b.high)]
        mg_l = mg_l or [""] * 3 * len(rows)
        table.writerow(
            [*(f"{value:.6g}" for value in (moment.volume_l, *figures)), *mg_l, f"{moment.running:.6g}"]
        )
    return out.getvalue()


def csv_to(report: RunReport, path: Path, _system: UnitSystem = "metric") -> None:
    """Write the table to a file.

    Raises:
        InputError: the file cannot be written there, or holds something else than such a table.
    """
    may_be_written(path)
    try:
        path.write_text(csv_text(report), encoding="utf-8")
    except OSError as error:
        raise UnwritableFile(str(path), error.strerror or "it cannot be opened") from None


def svg_to(report: RunReport, path: Path, system: UnitSystem = "metric") -> None:
    """Write the picture to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    may_be_written(path)
    written(chart(report, system).encode(), path)


def pdf_to(report: RunReport, path: Path, system: UnitSystem = "metric") -> None:
    """Write the page to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    may_be_written(path)
    written(pdf(report, system), path)


def pdf(report: RunReport, system: UnitSystem = "metric") -> bytes:
    """The picture on one page, A4 or US Letter, with the cautions below it."""
    return printed(_TEMPLATE, _page(report, system), "pdf")[0]


def picture(report: RunReport, system: UnitSystem = "metric", pixels_per_inch: float = 110.0) -> bytes:
    """The page as PNG."""
    return printed(_TEMPLATE, _page(report, system), "png", pixels_per_inch)[0]


def _page(report: RunReport, system: UnitSystem) -> dict[str, object]:
    methanol = () if report.methanol is None else report.methanol.sentences
    lab = (still_run_words.congener_note(report),) if report.laboratory else ()
    charge = [_ON_SCREEN.sub("", one) for one in report.charge.cautions]
    return {
        "paper": "a4" if system == "metric" else "us-letter",
        "svg": chart(report, system),
        "title": still_run_words.run_headline(report, system),
        "cautions": [*charge, *methanol, *report.warnings, *report.cautions, *lab],
    }
