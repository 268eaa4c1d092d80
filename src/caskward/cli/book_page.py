"""A report's page as text, and the files that a report can be written to."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.layout import table, wrapped
from caskward.cli.loose import JSON, Given, Option
from caskward.cli.still_parts import notes, together
from caskward.cli.terminal import Terminal, complain, in_my_words, put, put_json, terminal
from caskward.errors import UnknownName

if TYPE_CHECKING:
    from caskward.services.book.pages import Page, Section, Table
    from caskward.units.types import UnitSystem

CSV = Option("--csv", "OUT", "Write the table as CSV, too: whole amounts as in the book.")
PARQUET = Option("--parquet", "OUT", "Write the same table as Parquet, too.")
PDF = Option("--pdf", "OUT", "Write the report as PDF to print, too.")
FILES = (CSV, PARQUET, PDF)
SHOWN = Option("--show", "UNITS", "The units of the answer: metric or us. Otherwise those typed last.")
OPTIONS = (JSON, SHOWN, *FILES)


def system_of(given: Given, usual: UnitSystem = "metric") -> UnitSystem:
    """The units asked for; else the usual ones, those that the book was last written in.

    Raises:
        UnknownName: no such system.
    """
    asked = given.text(SHOWN.name).casefold()
    if asked not in ("", "metric", "us"):
        raise UnknownName("system of units", asked, None, ("metric", "us"))
    return "us" if asked == "us" else "metric" if asked else usual


def put_report(
    given: Given, page: Page, data: Callable[[], dict[str, object]], rows: Callable[[], Table]
) -> None:
    """Write a report to the files that were asked for, then as text or JSON."""
    written = _write_files(given, page, rows)
    if given.flag(JSON.name):
        put_json(json.dumps(data(), ensure_ascii=False, indent=2))
    else:
        put(page_as_text(page, terminal()))
    if written:
        (complain if given.flag(JSON.name) else put)("\n".join(written))


def _write_files(given: Given, page: Page, rows: Callable[[], Table]) -> list[str]:
    """Write the files; returns what to say of them."""
    if not any(given.text(option.name) for option in FILES):
        return []
    from caskward.sheets import book_files

    said = []
    for option, write in ((CSV, book_files.csv_to), (PARQUET, book_files.parquet_to)):
        if given.text(option.name):
            write(rows(), Path(given.text(option.name)))
            said.append(f"The table is in {given.text(option.name)}")
    if given.text(PDF.name):
        book_files.pdf_to(page, Path(given.text(PDF.name)))
        said.append(f"The report, to print: {given.text(PDF.name)}")
    return said


def page_as_text(page: Page, to: Terminal, drawn: Sequence[str] = ()) -> str:
    """The page for a terminal: the answer, what is drawn, the tables, what to keep in mind."""
    from caskward.services.book.pages import INVENTED

    title = f"{page.title}, {page.about}" if page.about else page.title
    head = [to.paint(line, "bold") for line in wrapped(title, to.width)]
    head += [to.paint(INVENTED, "caution")] if page.invented else []
    answers = [line for answer in page.answers for line in wrapped(answer, to.width)]
    return together(
        head, answers, drawn, *(list(section(one, to)) for one in page.sections), notes(page.notes, to)
    )


def section(one: Section, to: Terminal) -> Iterator[str]:
    """A heading, its table, and the sentences below."""
    yield to.paint(one.title, "bold")
    headed = any(one.head)
    rows = [one.head, *one.rows] if headed else list(one.rows)
    lines = table(rows, one.sides, to.width) if rows else []
    if lines and max(map(len, lines)) > to.width:
        lines = list(_stacked(one, to.width))
        headed = False
    yield from ([to.paint(lines[0], "dim"), *lines[1:]] if headed else lines)
    for sentence in one.sentences:
        shown = wrapped(in_my_words(sentence), to.width, "   ")
        yield from (to.paint(line, "dim") for line in shown)


def _stacked(one: Section, width: int) -> Iterator[str]:
    """A table too wide for the terminal: each row as a line of its own with the figures named below it."""
    for row in one.rows:
        yield from wrapped(row[0] or "-", width, "   ")
        figures = [f"{name} {cell}".strip() for name, cell in zip(one.head[1:], row[1:], strict=True) if cell]
        yield from wrapped(", ".join(figures), width, " " * 6)
