"""A template and its data to PDF or pictures; text goes in as data, so nothing in it is markup."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Literal

from caskward.errors import UnwritableFile, WouldOverwrite

_HERE = Path(__file__).parent

_MARKS = (b"%PDF", b"\x89PNG", b"<svg", b"<?xml")
"""How files that a press may print over begin: anything else is somebody's work."""


def printed(
    template: str, data: object, kind: Literal["pdf", "png"], pixels_per_inch: float | None = None
) -> list[bytes]:
    """What a template beside this file makes of its data: one PDF, or a picture of each page."""
    from typst import Compiler

    compiler = Compiler(
        _HERE / template,
        root=_HERE,
        font_paths=[_HERE / "fonts"],
        ignore_system_fonts=True,
        sys_inputs={"sheet": json.dumps(data, ensure_ascii=False)},
    )
    made = compiler.compile(format=kind, ppi=pixels_per_inch)
    return made if isinstance(made, list) else [made or b""]


def written(pages: bytes, path: Path) -> None:
    """Write a printed file.

    Raises:
        InputError: the file cannot be written there.
    """
    try:
        if path.exists() and path.stat().st_size and not path.read_bytes().startswith(_MARKS):
            raise WouldOverwrite(str(path))
        path.write_bytes(pages)
    except OSError as error:
        raise UnwritableFile(str(path), error.strerror or "it cannot be opened") from None
