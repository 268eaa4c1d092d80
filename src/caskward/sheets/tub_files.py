"""One tub's ferment as files: a table as CSV, a picture as SVG, a page to print as PDF."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from caskward.errors import UnwritableFile, WouldOverwrite
from caskward.services.tub_report import TubReport
from caskward.sheets import still_files
from caskward.sheets.press import printed, written
from caskward.sheets.tub_chart import chart

_CSV_BEGINS = b"hours,"
_FIGURES = ("temp_c", "gravity", "strength_pct_vol", "sugar_g_l", "co2_m3")


def may_be_written(path: Path) -> None:
    """Refuse a place that no file can be written to, before anything is worked out for it.

    Raises:
        UnwritableFile: no such folder, a folder itself, or no leave. WouldOverwrite: it holds something else.
    """
    if path.suffix.casefold() != ".csv" or not path.is_file() or not path.stat().st_size:
        still_files.may_be_written(path)
        return
    with path.open("rb") as there:
        if not there.read(len(_CSV_BEGINS)).startswith(_CSV_BEGINS):
            raise WouldOverwrite(str(path))


def csv_text(of: TubReport) -> str:
    """The ferment as CSV: hours since the yeast went in, then low, middle and high of each figure."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(["hours", *(f"{name}_{end}" for name in _FIGURES for end in ("low", "mid", "high"))])
    for row in of.ferment.rows:
        bands = [getattr(row, name) for name in _FIGURES]
        figures = (value for b in bands for value in (b.low, b.mid, b.high))
        table.writerow([f"{row.at_h:g}", *(f"{value:.6g}" for value in figures)])
    return out.getvalue()


def csv_to(of: TubReport, path: Path) -> None:
    """Write the table to a file.

    Raises:
        InputError: the file cannot be written there, or holds something else than such a table.
    """
    may_be_written(path)
    try:
        path.write_text(csv_text(of), encoding="utf-8")
    except OSError as error:
        raise UnwritableFile(str(path), error.strerror or "it cannot be opened") from None


def svg_to(of: TubReport, path: Path) -> None:
    """Write the picture to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    may_be_written(path)
    written(chart(of).encode(), path)


def pdf_to(of: TubReport, path: Path) -> None:
    """Write the page to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    may_be_written(path)
    written(pdf(of), path)


def pdf(of: TubReport) -> bytes:
    """The picture on one page, A4 or US Letter, with the cautions below it."""
    page = {
        "paper": "a4" if of.show == "metric" else "us-letter",
        "svg": chart(of),
        "title": f"{of.name}: the ferment",
        "cautions": [*of.minds, *of.cautions["ferment"]],
    }
    return printed("still_chart.typ", page, "pdf")[0]
