"""`caskward plan learn`: a batch is closed, and the next plan begins with what it taught."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.layout import table, wrapped
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.plan_update import READINGS, WORDS, asked, named
from caskward.cli.still_parts import headline, notes, together
from caskward.cli.terminal import Terminal, complain, patience, put, put_json, terminal
from caskward.errors import WrongFileKind

if TYPE_CHECKING:
    from caskward.services.plan_learned import PlanLearned
    from caskward.units.types import UnitSystem

_SAVE = Option("--save", "OUT", 'Keep it in a file for the next plan, which says: learned = "OUT".')


def answer(given: Given) -> int:
    """Learn, write what was learned, and keep it where that is asked for."""
    from caskward.services import plan_learned, still_run
    from caskward.services.plan_learned_words import kept_sentence
    from caskward.sheets.still_files import can_be_reached

    source, folder, rows = asked(given, "learn")
    out, system = given.text("--save"), given.text("--show")
    own = system_for(system, ()) if system else None
    if out and Path(out).suffix.casefold() != ".toml":
        raise WrongFileKind(out, "TOML", "my-gear.toml")
    if out:
        can_be_reached(Path(out))
        plan_learned.refuse_loss(Path(out), source, folder)
    with patience("Working it out ...") as say:
        report = plan_learned.learned(source, rows, folder, say)
    if out:
        plan_learned.save(report.file_text, Path(out), source, folder)
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        put(as_text(report, own or report.show, terminal()))
    if out:
        kept = "\n".join(wrapped(kept_sentence(out), terminal().width))
        (complain if given.flag("--json") else put)(kept)
    return 0


COMMAND = LooseCommand(
    "plan learn",
    "Close a batch: what its readings taught of your gear, your way of working and your materials.",
    "Give all readings of the batch at once. What it taught is added to what its plan began with; the next "
    "plan begins with both.",
    WORDS,
    (*READINGS, _SAVE, SHOW, JSON),
    answer,
    "FILE",
)


def as_text(report: PlanLearned, system: UnitSystem, to: Terminal) -> str:
    """The sentence, readings that are hard to believe, learned against default, the notes."""
    from caskward.services import plan_learned_words as words
    from caskward.services import plan_update_words as update_words

    rows = table(words.habit_rows(report, system), "lrrr", to.width) if report.lines else []
    mind = update_words.doubted_sentences(report.update, system)
    rest = words.rest_sentence(report)
    return together(
        named(report.name, report.place, report.invented, to),
        headline(words.headline(report), to),
        [line for one in mind for line in notes([one], to, "caution")],
        [to.paint(rows[0], "dim"), *rows[1:]] if rows else [],
        notes([update_words.ROUGH], to, "caution") if report.update.rough else [],
        notes((*report.update.notes, *([rest] if rest else []), words.MEANS), to),
    )
