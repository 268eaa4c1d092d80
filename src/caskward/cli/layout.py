"""Text laid out in columns: wrapped paragraphs and tables."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence

GAP = 2
_LEAST_WORDS = 18
_AFTER_NUMBER = re.compile(r"(?<=\d) (?=\S)|(?<=\d in) (?=\d)")
_UNBROKEN = "\u00a0"


def clean(text: str) -> str:
    """The text without line breaks and control characters, which a maker's own names may hold."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def wrapped(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """A paragraph in lines of `width`, the first begun with `first`, the others with `rest`.

    A number and its unit stay together, and so does `8 in 10`.
    """
    lines = textwrap.wrap(
        _AFTER_NUMBER.sub(_UNBROKEN, clean(text)),
        width,
        initial_indent=first,
        subsequent_indent=first if rest is None else rest,
        break_on_hyphens=False,
    )
    return [line.replace(_UNBROKEN, " ") for line in lines]


def table(
    rows: Sequence[Sequence[str]],
    sides: str,
    width: int,
    indent: str = "   ",
    tails: Sequence[str] = (),
    tail_width: int = 0,
) -> list[str]:
    """Rows in aligned columns; where they are too wide together, the first column wraps.

    `sides` holds `l` or `r` for each column; a row that is shorter leaves its last columns empty. `tails` are
    one text for each row to end it with, painted already, the widest of them `tail_width` wide to the eye.
    """
    cells = [[clean(cell) for cell in row] + [""] * (len(sides) - len(row)) for row in rows]
    widths = [max((len(row[i]) for row in cells), default=0) for i in range(len(sides))]
    others = sum(GAP + w for w in (*widths[1:], tail_width) if w)
    widths[0] = min(widths[0], max(width - len(indent) - others, _LEAST_WORDS))
    ends = tails or [""] * len(cells)
    return [
        line for row, tail in zip(cells, ends, strict=True) for line in _row(row, widths, sides, indent, tail)
    ]


def _row(row: Sequence[str], widths: Sequence[int], sides: str, indent: str, tail: str) -> list[str]:
    lead = " " * (len(row[0]) - len(row[0].lstrip()))
    lines = textwrap.wrap(row[0], widths[0], subsequent_indent=lead) or [""]
    others = [
        cell.ljust(w) if side == "l" else cell.rjust(w)
        for cell, w, side in zip(row[1:], widths[1:], sides[1:], strict=True)
        if w
    ]
    whole = (" " * GAP).join([lines[0].ljust(widths[0]), *others, *([tail] if tail else [])])
    return [f"{indent}{line}".rstrip() for line in (whole, *lines[1:])]
