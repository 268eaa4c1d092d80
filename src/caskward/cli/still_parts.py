"""Pieces that several still commands write: headings, tables with a faint head, cautions, methanol."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from caskward.cli.layout import table, wrapped
from caskward.cli.terminal import Style, Terminal

if TYPE_CHECKING:
    from caskward.services.still_methanol import MethanolReport


def together(*parts: Sequence[str]) -> str:
    """Parts with a line between, empty ones left out."""
    return "\n\n".join("\n".join(part) for part in parts if part)


def headline(said: str, to: Terminal) -> list[str]:
    """The answer in one sentence."""
    return [to.paint(line, "bold") for line in wrapped(said, to.width)]


def titled(
    title: str, rows_for: Callable[[int], Sequence[Sequence[str]]], sides: str, to: Terminal
) -> list[str]:
    """A heading and a table whose first row is its head, with as many bands as it has room for."""
    from caskward.services.still_words import ROOMS

    lines: list[str] = []
    for room in ROOMS:
        lines = table(rows_for(room), sides, to.width)
        if max(map(len, lines)) <= to.width:
            break
    return [to.paint(title, "bold"), to.paint(lines[0], "dim"), *lines[1:]]


def notes(said: Sequence[str], to: Terminal, style: Style = "dim") -> list[str]:
    """Sentences below the figures."""
    return [to.paint(line, style) for note in said for line in wrapped(note, to.width)]


def cautions(said: Sequence[str], to: Terminal, begin: str = "Caution  ") -> list[str]:
    """Short cautions, each begun with the word."""
    lines = [line for one in said for line in wrapped(one, to.width, begin, " " * len(begin))]
    return [to.paint(line, "caution") for line in lines]


def methanol_part(report: MethanolReport, to: Terminal) -> list[str]:
    """What methanol may come, every limit beside it, and what holds whatever the figures say."""
    return list(_methanol(report, to))


def _methanol(report: MethanolReport, to: Terminal) -> Iterator[str]:
    from caskward.services import still_jar_words as words

    yield to.paint("Methanol, in g/hL of pure alcohol", "bold")
    yield from wrapped(words.methanol_line(report), to.width, "   ")
    for sentence in report.sentences:
        yield from (to.paint(line, "caution") for line in wrapped(sentence, to.width, "   "))
    first, *others = table(words.limit_rows(report), "lrll", to.width)
    yield to.paint(first, "dim")
    yield from others
