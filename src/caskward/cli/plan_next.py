"""`caskward plan next`: which reading takes most of a batch's doubt away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.cli.layout import table
from caskward.cli.loose import JSON, Given, LooseCommand
from caskward.cli.plan_update import READINGS, SHOW, WORDS, answered, asked, named
from caskward.cli.plan_why import OF
from caskward.cli.still_parts import headline, notes, together
from caskward.cli.terminal import Terminal

if TYPE_CHECKING:
    from caskward.services.plan_doubt import Next
    from caskward.units.types import UnitSystem


def answer(given: Given) -> int:
    """Rank the readings that can be taken and write them."""
    from caskward.services import plan_doubt

    source, folder, rows = asked(given, "next")
    of = given.text("--of") or "fill"
    return answered(
        given, lambda say: plan_doubt.best_next(source, rows, folder, of, say), as_text, lambda of: of.show
    )


COMMAND = LooseCommand(
    "plan next",
    "Which reading to take next: what each takes off the doubt, for each minute of work.",
    "Give the readings that are in; those of the stage read last and of the two after it are ranked.",
    WORDS,
    (*READINGS, OF, SHOW, JSON),
    answer,
    "FILE",
)


def as_text(report: Next, system: UnitSystem, to: Terminal) -> str:
    """The sentence, the ranked readings, the notes."""
    from caskward.services import plan_doubt_words as words
    from caskward.services import plan_update_words as update_words

    rows = words.next_rows(report, system)
    lines = table(rows, "lrrrr", to.width) if rows else []
    each = words.each_of(report)
    return together(
        named(report.name, report.place, report.invented, to),
        headline(words.next_headline(report, system), to),
        [to.paint(lines[0], "dim"), *lines[1:]] if lines else [],
        notes(
            (
                *report.notes,
                *([each] if each else []),
                words.NEXT,
                update_words.drawn(report.worlds, report.seed),
            ),
            to,
        ),
    )
