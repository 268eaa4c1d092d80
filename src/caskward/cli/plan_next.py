"""`caskward plan next`: which reading takes most of a batch's doubt away."""

from __future__ import annotations

from functools import partial
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
        given,
        lambda say: plan_doubt.best_next(source, rows, folder, of, say),
        partial(as_text, file=given.words),
        lambda of: of.show,
    )


COMMAND = LooseCommand(
    "plan next",
    "Which reading to take next: what each takes off the doubt, for each minute of work.",
    "Give the readings that are in. What can be read now comes first, then what comes later, of the stage "
    "read last and of the two after it.",
    WORDS,
    (*READINGS, OF, SHOW, JSON),
    answer,
    "FILE",
)


def as_text(report: Next, system: UnitSystem, to: Terminal, file: str = "-") -> str:
    """That the ferment stands; the sentence, the readings by rank, those that come later, the notes."""
    from caskward.services import plan_doubt_words as words
    from caskward.services import plan_ferment_words as ferment_words
    from caskward.services import plan_update_words as update_words

    now, later = words.next_rows(report, system), words.later_rows(report, system)
    lines = table(now, "lrrrr", to.width) if now else []
    to_come = table(later, "llrrr", to.width) if later else []
    each = words.each_of(report)
    return together(
        named(report.name, report.place, report.invented, to),
        notes(ferment_words.first_put_right(report.stands, file), to, "caution"),
        headline(words.next_headline(report, system), to),
        [to.paint(lines[0], "dim"), *lines[1:]] if lines else [],
        [to.paint(to_come[0], "dim"), *to_come[1:]] if to_come else [],
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
