"""`caskward plan update`: readings taken into a plan; and what every question about a batch is asked with."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from caskward.cli.answers import system_for
from caskward.cli.layout import table, wrapped
from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.still_parts import headline, notes, together
from caskward.cli.terminal import Terminal, patience, put, put_json, terminal
from caskward.errors import MissingValue, RowNotQuoted

if TYPE_CHECKING:
    from caskward.services.batch_typed import Rows
    from caskward.services.plan_update import PlanUpdate
    from caskward.units.types import UnitSystem

Report = TypeVar("Report")
EXAMPLE = 'caskward plan {} mine.toml --reading "mash 3 h: 1.060, 61 C"'
READINGS = (
    Option(
        "--reading",
        "ROW",
        'A stage and what you read: "mash 3 h: 1.060, 61 C", "ferment 4 d: 1.010", "wash: 8.4 %, 340 L", '
        '"strip 2 L: 54 %" at the spout, "strip: 110 L, 26 %" in all, "charge: 119 L, 26 %", '
        '"run 12 L: 71 %", "heart: 22 L, 70 %", "cask: 24 L, 63 %", "cask 30 d: 61 %"; where an '
        'instrument ends, "run 2 L: over 80 %". What was done is a row, too: "mashed: rye 60 kg, malt '
        '28 kg", "rinse: 2 x 34 L". May be given several times.',
        several=True,
    ),
    Option("--log", "FILE", "A file with one such row a line; lines that begin with # are notes."),
)
SHOW = Option("--show", "UNITS", "The units of the answer: metric or us. Otherwise those of your file.")
WORDS = ("mine.toml              your plan's file, or a starting point's name; - reads it from a pipe",)


def asked(given: Given, question: str) -> tuple[str, Path, Rows]:
    """The plan's text, its folder, and the readings of a question about it."""
    from caskward.services import plan_update, plans, tub_files

    if not given.words:
        raise MissingValue(f"plan {question}", "the name of your plan's file", _example(question))
    if (":" in given.words or " " in given.words) and not Path(given.words).exists():
        raise RowNotQuoted(f"plan {question}", given.words)
    log = given.text("--log")
    logged = tub_files.log(Path(log)) if log else ()
    rows = plan_update.rows_asked(logged, given.texts("--reading"), log or "The log")
    if given.words == "-":
        return plans.text_of(sys.stdin.buffer.read(), "What is piped in"), Path(), rows
    return (*plans.wish(given.words), rows)


def _example(question: str) -> str:
    named = f" (a plan in a file called {question}: caskward plan ./{question})"
    return EXAMPLE.format(question) + (named if Path(question).is_file() else "")


def answered(
    given: Given,
    work: Callable[[Callable[[str], None]], Report],
    shown: Callable[[Report, UnitSystem, Terminal], str],
    own: Callable[[Report], UnitSystem],
) -> int:
    """Work an answer out and write it as asked for; `work` is handed what says how far it is."""
    from caskward.services import still_run

    system = system_for(given.text("--show"), ()) if given.text("--show") else None
    with patience("Working it out ...") as say:
        report = work(say)
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        put(shown(report, system or own(report), terminal()))
    return 0


def answer(given: Given) -> int:
    """Take the readings in and write what is believed now."""
    from caskward.services import plan_update

    source, folder, rows = asked(given, "update")
    return answered(
        given,
        lambda say: plan_update.updated(source, rows, folder, say),
        partial(as_text, file=given.words),
        lambda of: of.show,
    )


COMMAND = LooseCommand(
    "plan update",
    "Take readings into a plan: how sure the cask fills now, and every later figure before and after.",
    "Every reading moves all that is not known at once; one that is hard to believe is named, and so are two "
    "that contradict each other.",
    WORDS,
    (*READINGS, SHOW, JSON),
    answer,
    "FILE",
)


def as_text(report: PlanUpdate, system: UnitSystem, to: Terminal, file: str = "-") -> str:
    """The whole answer: the sentence, what is hard to believe, the figures before and after, the notes."""
    from caskward.services import plan_ferment_words as ferment_words
    from caskward.services import plan_update_words as words

    rows = table(words.figure_rows(report, system), "lrr", to.width)
    stands = None if report.ferment is None else report.ferment.stands
    mind = [*ferment_words.standing_sentences(stands, file), *words.doubted_sentences(report, system)]
    return together(
        named(report.name, report.place, report.invented, to),
        headline(words.headline(report, system), to),
        wrapped(words.width_sentence(report, system), to.width),
        [line for one in mind for line in notes([one], to, "caution")],
        [to.paint(rows[0], "dim"), *rows[1:]],
        notes([words.ROUGH], to, "caution") if report.rough else [],
        notes(_below(report), to),
    )


def _below(report: PlanUpdate) -> list[str]:
    from caskward.services import plan_update_words as words

    followed = words.followed_sentence(report)
    return [
        *report.notes,
        *([followed] if followed else []),
        words.BANDS,
        words.drawn(report.worlds, report.seed),
    ]


def named(name: str, place: str, invented: bool, to: Terminal) -> list[str]:
    """The batch's name; one that is invented is said to be."""
    whole = " · ".join(part for part in (name, place) if part)
    lines = [to.paint(line, "dim") for line in wrapped(whole, to.width)]
    return [*lines, to.paint("Every figure is invented.", "caution")] if invented else lines
