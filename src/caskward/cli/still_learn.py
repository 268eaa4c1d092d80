"""`caskward still learn`: what a still's logged runs teach."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.bars import soft_bar
from caskward.cli.layout import wrapped
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.still_parts import cautions, headline, notes, together
from caskward.cli.terminal import Terminal, complain, put, put_json, terminal
from caskward.errors import MissingValue, WrongFileKind

if TYPE_CHECKING:
    from caskward.services.still_learned import LearnedReport
    from caskward.units.types import UnitSystem

_OPTIONS = (
    Option("--save", "OUT", 'Keep it in a file for plans (learned = "...") and runs (--learned).'),
    SHOW,
    JSON,
)
_BAR_CELLS = 40


def answer(given: Given) -> int:
    """Learn, write what was learned, and keep it where that is asked for."""
    from caskward.services import still_files, still_learned, still_run, still_saved
    from caskward.sheets.still_files import can_be_reached

    if not given.words:
        raise MissingValue("still learn", "the name of your log", "caskward still learn runs.toml")
    log, out = Path(given.words), given.text("--save")
    if out and Path(out).suffix.casefold() != ".toml":
        raise WrongFileKind(out, "TOML", "my-still.toml")
    if out:
        can_be_reached(Path(out))
    report = still_learned.learned(still_files.run_log(log))
    if out:
        still_saved.save(report.file_text, Path(out))
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        put(as_text(report, system_for(given.text("--show"), (still_saved.text_of(log),)), terminal()))
    if out:
        kept = "\n".join(wrapped(f"Kept in {out}. {_USE}", terminal().width))
        (complain if given.flag("--json") else put)(kept)
    return 0


_USE = 'A plan takes it as learned = "..." in [strip_still], a run with --learned.'


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


def as_text(report: LearnedReport, system: UnitSystem, to: Terminal) -> str:
    """The whole answer: the sentence, each habit before and after as bars, readings that do not fit."""
    from caskward.services import still_jar_words as words
    from caskward.services.still_words import BANDS

    parts: list[list[str]] = [headline(words.learned_headline(report), to)]
    parts.append(cautions(report.warnings, to, "Mind     "))
    parts.append(notes(words.doubted_sentences(report, system), to, "caution"))
    for habit in words.told_apart(report):
        top, cells = max(habit.default.high, habit.learned.high), min(to.width - 20, _BAR_CELLS)
        parts.append(
            [
                *wrapped(words.habit_sentence(habit, system), to.width),
                f"   catalogue   {to.paint(soft_bar(habit.default, top, cells), 'dim')}",
                f"   your still  {to.paint(soft_bar(habit.learned, top, cells), 'spirit')}",
            ]
        )
    parts.append(notes((words.LEARNED_MEANS, BANDS), to))
    return together(*parts)
