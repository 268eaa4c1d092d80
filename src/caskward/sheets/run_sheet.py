"""A plan as a run sheet: PDF bytes, a PDF file, or pictures of its pages."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

from caskward.services import Plan
from caskward.sheets.page_data import sheet_of
from caskward.sheets.press import printed, written

_TEMPLATE = "run_sheet.typ"


def run_sheet(plan: Plan) -> bytes:
    """The run sheet as PDF: A4, or US Letter for a US maker; the same plan gives the same bytes."""
    return printed(_TEMPLATE, asdict(sheet_of(plan)), "pdf")[0]


def run_sheet_to(plan: Plan, path: Path) -> None:
    """Write the run sheet to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    written(run_sheet(plan), path)


def run_sheet_pictures(plan: Plan, pixels_per_inch: float = 110.0) -> list[bytes]:
    """The pages of the run sheet as PNG."""
    return printed(_TEMPLATE, asdict(sheet_of(plan)), "png", pixels_per_inch)
