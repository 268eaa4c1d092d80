"""What a report says, whatever face shows it: sections of text to read, rows for a table file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

HELP = "A help for your own records, not a filing with any authority: what must be declared, your law says."
INVENTED = "Every figure is invented."

Value = str | int | None
Kind = Literal["text", "whole"]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and a table of text; `sides` has `l` or `r` for each column, `strong` rows are sums."""

    title: str
    head: tuple[str, ...]
    sides: str
    rows: tuple[tuple[str, ...], ...]
    strong: frozenset[int] = frozenset()
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Page:
    """A whole report: what it is of, the answer in a sentence or two, its sections, what to keep in mind."""

    title: str
    about: str
    answers: tuple[str, ...]
    sections: tuple[Section, ...]
    notes: tuple[str, ...] = (HELP,)
    invented: bool = False
    paper: Literal["a4", "us-letter"] = "a4"


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table file: text (decimals too, exactly as they are) or whole numbers."""

    name: str
    kind: Kind = "text"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows for a spreadsheet or a database: whole amounts in the book's own units, named in the column."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]
