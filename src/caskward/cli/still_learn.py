"""`caskward still learn`: what a still's logged runs teach."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.bars import soft_bar
from caskward.cli.layout import wrapped
from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.still_parts import headline, notes, together
from caskward.cli.terminal import Terminal, put, put_json, terminal
from caskward.errors import MissingValue

if TYPE_CHECKING:
    from caskward.services.still_learned import LearnedReport

_OPTIONS: tuple[Option, ...] = (JSON,)
_BAR_CELLS = 40


def answer(given: Given) -> int:
    """Learn and write what was learned."""
    from caskward.services import still_files, still_learned, still_run

    if not given.words:
        raise MissingValue("still learn", "the name of your log", "caskward still learn runs.toml")
    report = still_learned.learned(still_files.run_log(Path(given.words)))
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        put(as_text(report, terminal()))
    return 0


COMMAND = LooseCommand(
    "still learn",
    "Learn your still from its logged runs.",
    'From a TOML file: kind and altitude of the still, then for each [[run]] its charge ("60 L 28 %"), power '
    '("6 kW"), heat_up ("52 min") with from ("18 C"), and points, pairs of litres and strength at the spout: '
    '[["2 L", "76 %"], ["10 L", "70 %"]]. kind = "strip" for a strip.',
    ("runs.toml              your file",),
    _OPTIONS,
    answer,
    "FILE",
)


def as_text(report: LearnedReport, to: Terminal) -> str:
    """The whole answer: the sentence, each habit before and after as bars, readings that do not fit."""
    from caskward.services import still_jar_words as words
    from caskward.services.still_words import BANDS

    parts: list[list[str]] = [headline(words.learned_headline(report), to)]
    for habit in report.habits:
        top, cells = max(habit.default.high, habit.learned.high), min(to.width - 20, _BAR_CELLS)
        parts.append(
            [
                *wrapped(habit.sentence, to.width),
                f"   catalogue   {to.paint(soft_bar(habit.default, top, cells), 'dim')}",
                f"   your still  {to.paint(soft_bar(habit.learned, top, cells), 'spirit')}",
            ]
        )
    parts.append(notes(words.doubted_sentences(report), to, "caution"))
    parts.append(notes((words.LEARNED_MEANS, BANDS), to))
    return together(*parts)
