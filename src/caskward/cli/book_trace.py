"""`caskward book trace`: from a cask or bottle back to every sack and person, or from a sack forward."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.book_page import PDF, SHOWN, page_as_text, system_of
from caskward.cli.layout import GAP, clean, wrapped
from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.terminal import Terminal, complain, put, put_json, terminal
from caskward.errors import MissingValue

if TYPE_CHECKING:
    from caskward.services.book.trace_report import TraceReport
    from caskward.services.book.trace_words import TreeLine
    from caskward.units.types import UnitSystem

_FORWARD = Option("--forward", "", "From a sack or batch forward to every cask, bottle and customer.")
_SVG = Option("--svg", "OUT", "Write the picture as SVG, too.")


def trace(given: Given) -> int:
    """Where something came from, or where it went."""
    from caskward.services.book import trace_report, trace_words
    from caskward.services.book.looked import look

    if not given.words:
        raise MissingValue("A trace", "a place or a lot", "cask 2, or for a sack: rye 26-1 --forward")
    book = look()
    found = trace_report.trace_report(book, given.words, "forward" if given.flag(_FORWARD.name) else "back")
    system, to = system_of(given, book.system), terminal()
    written = _write_files(given, found, system)
    if given.flag(JSON.name):
        put_json(json.dumps(trace_report.trace_data(found), ensure_ascii=False, indent=2))
    else:
        lines = list(tree_lines(trace_words.tree(found), to))
        put(page_as_text(trace_words.trace_page(found, system), to, lines))
    if written:
        (complain if given.flag(JSON.name) else put)("\n".join(written))
    return 0


def _write_files(given: Given, found: TraceReport, system: UnitSystem) -> list[str]:
    """Write the files that were asked for; returns what to say of them."""
    if not (given.text(_SVG.name) or given.text(PDF.name)):
        return []
    from caskward.services.book import trace_words
    from caskward.sheets import trace_files

    page, said = trace_words.trace_page(found, system), []
    if given.text(_SVG.name):
        trace_files.svg_to(found, page, Path(given.text(_SVG.name)))
        said.append(f"The picture is in {given.text(_SVG.name)}")
    if given.text(PDF.name):
        trace_files.pdf_to(found, page, trace_words.tree(found), Path(given.text(PDF.name)))
        said.append(f"The picture, the tree and the tables, to print: {given.text(PDF.name)}")
    return said


def tree_lines(tree: Sequence[TreeLine], to: Terminal) -> Iterator[str]:
    """The tree, what happened at the left, when and by whom at the right where there is room."""
    shown = [(f"{line.bars}{clean(line.words)}", clean(line.detail)) for line in tree]
    for left, right in shown:
        space = to.width - len(left) - len(right)
        if not right:
            yield from _folded(left, to.width)
        elif space >= GAP:
            yield left + " " * space + to.paint(right, "dim")
        else:
            bars = left[: len(left) - len(left.lstrip("│ •"))].replace("•", " ")
            yield from _folded(left, to.width)
            yield (bars + right.rjust(to.width - len(bars))) if len(right) < to.width else right


def _folded(line: str, width: int) -> Iterator[str]:
    """A line too long for the terminal, the rest of it under its first word."""
    words = line.lstrip("│ •")
    lead = line[: len(line) - len(words)]
    yield from wrapped(words, max(width, len(lead) + 20), lead, lead.replace("•", " ") + "  ")


COMMANDS = {
    "trace": LooseCommand(
        "book trace",
        "Back from a cask or bottle to every sack and person; or forward from a sack to every bottle.",
        "Corrections are put right. What goes through one place is mixed there: nothing is left out.",
        (
            'cask 2 | "bottles rye L26-1"      where it came from',
            '"rye 25-1" --forward               a recall of a sack',
            '"rye 3" --forward                  of a batch',
        ),
        (_FORWARD, JSON, SHOWN, _SVG, PDF),
        trace,
        "PLACE",
    ),
}
