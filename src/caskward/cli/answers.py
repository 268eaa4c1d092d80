"""An answer of gauging as text: the answer first, then the figures, what to mind, what was assumed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from caskward.cli.layout import GAP, wrapped
from caskward.cli.terminal import Terminal
from caskward.errors import UnclearValue

if TYPE_CHECKING:
    from caskward.services.gauging_phrases import Words
    from caskward.units.types import UnitSystem

INDENT = "   "


def system_for(shown: str, typed: Iterable[str]) -> UnitSystem:
    """The units asked for; else those of what was typed."""
    from caskward.services import gauging_systems  # a help shows nothing, and loads no services

    return gauging_systems.system_for(shown, typed)


def as_text(
    words: Words, assumed: Sequence[str], to: Terminal, more: Sequence[str] = (), hide: str = ""
) -> str:
    """The whole answer; `more` are lines below the figures, `hide` is the start of figures not to show."""
    shown = [line for line in words.lines if not hide or not line[0].startswith(hide)]
    parts: list[Iterable[str]] = [
        (to.paint(line, "bold") for line in wrapped(words.headline, to.width)),
        figures(shown, to.width),
        more,
        _paragraphs([note for note in words.notes if note not in assumed], to),
        _assumed(assumed, to),
        _cautions(words.cautions, to),
    ]
    return "\n\n".join(part for part in ("\n".join(lines) for lines in parts) if part)


def figures(lines: Sequence[tuple[str, str]], width: int) -> list[str]:
    """Names and their figures in two columns; a figure too wide for its column runs on below."""
    wide = max((len(name) for name, _ in lines), default=0)
    below = " " * (len(INDENT) + wide + GAP)
    return [
        line
        for name, figure in lines
        for line in wrapped(figure, width, f"{INDENT}{name.ljust(wide)}{' ' * GAP}", below)
    ]


def one_of(what: str, *given: str) -> str:
    """The one value that was given, in words or by an option."""
    several = [text for text in given if text]
    if len(several) > 1:
        raise UnclearValue(what, " and ".join(several), tuple(several))
    return several[0] if several else ""


# The parts ---------------------------------------------------------------------------------------


def _paragraphs(notes: Sequence[str], to: Terminal) -> Iterator[str]:
    for note in notes:
        yield from wrapped(note, to.width)


def _assumed(assumed: Sequence[str], to: Terminal) -> Iterator[str]:
    if assumed:
        yield to.paint("Taken for granted", "dim")
        for sentence in assumed:
            yield from (to.paint(line, "dim") for line in wrapped(sentence, to.width, INDENT))


def _cautions(cautions: Sequence[str], to: Terminal) -> Iterator[str]:
    for caution in cautions:
        lines = wrapped(caution, to.width, "Caution  ", " " * 9)
        yield from (to.paint(line, "caution") for line in lines)
