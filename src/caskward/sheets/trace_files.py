"""A lineage as files: its picture as SVG, or picture, tree and tables as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

from caskward.services.book.pages import INVENTED, Page
from caskward.services.book.trace_report import TraceReport
from caskward.services.book.trace_words import TreeLine
from caskward.sheets.press import printed, written
from caskward.sheets.still_files import can_be_reached
from caskward.sheets.trace_picture import picture


def svg_to(report: TraceReport, page: Page, path: Path) -> None:
    """Write the picture to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    can_be_reached(path)
    written(picture(report, page).encode(), path)


def pdf(report: TraceReport, page: Page, tree: Sequence[TreeLine]) -> bytes:
    """The picture on a page of its own, turned; then the tree and the tables."""
    data = asdict(page) | {"mark": INVENTED if page.invented else "", "svg": picture(report, page)}
    for section in data["sections"]:
        section["strong"] = sorted(section["strong"])
    data["tree"] = [asdict(line) | {"depth": line.bars.count("│")} for line in tree]
    return printed("book_report.typ", data, "pdf")[0]


def pdf_to(report: TraceReport, page: Page, tree: Sequence[TreeLine], path: Path) -> None:
    """Write picture, tree and tables to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    can_be_reached(path)
    written(pdf(report, page, tree), path)
