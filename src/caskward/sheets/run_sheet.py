"""A plan as a run sheet: PDF bytes, a PDF file, or pictures of its pages."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Literal

from caskward.errors import UnwritableFile
from caskward.services import Plan
from caskward.sheets.page_data import Sheet, sheet_of

_HERE = Path(__file__).parent


def run_sheet(plan: Plan) -> bytes:
    """The run sheet as PDF: A4, or US Letter for a US maker; the same plan gives the same bytes."""
    return _printed(sheet_of(plan), "pdf")[0]


def run_sheet_to(plan: Plan, path: Path) -> None:
    """Write the run sheet to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    pages = run_sheet(plan)
    try:
        path.write_bytes(pages)
    except OSError as error:
        raise UnwritableFile(str(path), error.strerror or "it cannot be opened") from None


def run_sheet_pictures(plan: Plan, pixels_per_inch: float = 110.0) -> list[bytes]:
    """The pages of the run sheet as PNG."""
    return _printed(sheet_of(plan), "png", pixels_per_inch)


def _printed(sheet: Sheet, kind: Literal["pdf", "png"], pixels_per_inch: float | None = None) -> list[bytes]:
    """What the template makes of a sheet; text reaches it as data, so nothing in a name is markup."""
    from typst import Compiler

    compiler = Compiler(
        _HERE / "run_sheet.typ",
        root=_HERE,
        font_paths=[_HERE / "fonts"],
        ignore_system_fonts=True,
        sys_inputs={"sheet": json.dumps(asdict(sheet), ensure_ascii=False)},
    )
    made = compiler.compile(format=kind, ppi=pixels_per_inch)
    return made if isinstance(made, list) else [made or b""]
