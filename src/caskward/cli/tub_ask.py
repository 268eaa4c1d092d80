"""`caskward tub ask`: what may be wrong with a mash or a ferment, and what to do."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.layout import table, wrapped
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.still_parts import cautions, headline, notes, together
from caskward.cli.terminal import Terminal, put, put_json, terminal
from caskward.errors import MissingValue

if TYPE_CHECKING:
    from caskward.services.tub_ask import TubAnswer
    from caskward.units.types import UnitSystem

_EXAMPLE = 'caskward tub ask rye.toml --reading "mash 90 min: starch blue, 62 C, pH 5.4"'
_OPTIONS = (
    Option(
        "--reading",
        "ROW",
        'A stage, the time since it began, and what you read: "mash 90 min: starch blue, 62 C, pH 5.4" or '
        '"ferment 4 d: 1.030, 24 C, bubbles no". A mash\'s volume as it stands, hot. May be given several '
        "times.",
        several=True,
    ),
    Option("--log", "FILE", "A file with one such row a line; lines that begin with # are notes."),
    SHOW,
    JSON,
)


def answer(given: Given) -> int:
    """Ask and write the answer."""
    from caskward.services import plans, still_run, tub_ask, tub_files

    if not given.words:
        raise MissingValue("tub ask", "the name of your plan's file", _EXAMPLE)
    rows = [*tub_files.log(Path(given.text("--log")))] if given.text("--log") else []
    source, folder = plans.wish(given.words)
    report = tub_ask.question(source, [*rows, *given.texts("--reading")], folder)
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        system = system_for(given.text("--show"), ()) if given.text("--show") else report.show
        put(as_text(report, system, terminal()))
    return 0


COMMAND = LooseCommand(
    "tub ask",
    "Ask what may be wrong with a mash or a ferment, and what to do.",
    "Give the plan's file and what you read; every cause is weighed by how well it explains all readings, "
    "with the one check that tells most and what to do for each.",
    ("rye.toml               your plan's file, or a starting point's name",),
    _OPTIONS,
    answer,
    "FILE",
)


def as_text(report: TubAnswer, system: UnitSystem, to: Terminal) -> str:
    """The whole answer: the sentence, causes, the check, what to do for each, cautions."""
    from caskward.services import tub_ask_words as words

    minded = cautions(words.cautions(report, system), to)
    if report.dry:
        said = headline(words.headline(report, system), to)
        return together(said, notes(report.left_out, to), minded)
    rows = words.cause_rows(report, system)
    lines = table(rows, "l" + "r" * (len(rows[0]) - 1), to.width)
    check = report.answer.check
    apart: list[str] = []
    if check is not None:
        apart = [
            *wrapped(words.check_sentence(check, system), to.width),
            *wrapped(words.how_to_enter(check, report, system), to.width),
        ]
    others = words.more_checks(report, system)
    return together(
        headline(words.headline(report, system), to),
        notes(words.doubted_sentences(report, system), to, "caution"),
        [to.paint(words.table_title(report), "bold"), to.paint(lines[0], "dim"), *lines[1:]],
        apart,
        table(others, "lrr", to.width) if others else [],
        _what_to_do(report, system, to),
        notes((*report.left_out, *words.dry_notes(report), words.ESTIMATE), to),
        minded,
    )


def _what_to_do(report: TubAnswer, system: UnitSystem, to: Terminal) -> list[str]:
    from caskward.services import tub_mend_words as words

    lines = [to.paint("What to do", "bold")]
    for told in report.answer.causes[: 1 if report.answer.as_planned else None]:
        first, *rest = words.mends(report, told, system)
        lines += wrapped(f"If {told.words}: {first}", to.width, " • ", "   ")
        for more in rest:
            lines += wrapped(f"Or: {more}", to.width, "   ")
    return lines
