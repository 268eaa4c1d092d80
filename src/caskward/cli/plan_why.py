"""`caskward plan why`: whose the doubt of a batch is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.cli.layout import table, wrapped
from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.plan_update import READINGS, SHOW, WORDS, answered, asked, named
from caskward.cli.still_parts import headline, notes, together
from caskward.cli.terminal import Terminal

if TYPE_CHECKING:
    from caskward.services.plan_doubt import Why
    from caskward.units.types import UnitSystem

OF = Option(
    "--of",
    "FIGURE",
    'Whose doubt is asked about: fill, else such as "wash strength", "low wines volume", "heart volume", '
    '"cask strength", feints.',
)


def answer(given: Given) -> int:
    """Part the doubt and write whose it is."""
    from caskward.services import plan_doubt

    source, folder, rows = asked(given, "why")
    of = given.text("--of") or "fill"
    return answered(
        given, lambda say: plan_doubt.why(source, rows, folder, of, say), as_text, lambda of: of.show
    )


COMMAND = LooseCommand(
    "plan why",
    "Where the doubt of a batch comes from: the share of each thing that is not known.",
    "Without readings it parts the doubt of the plan; with them, what is left of it.",
    WORDS,
    (*READINGS, OF, SHOW, JSON),
    answer,
    "FILE",
)


def as_text(report: Why, system: UnitSystem, to: Terminal) -> str:
    """The sentence, the shares, the notes."""
    from caskward.services import plan_doubt_words as words
    from caskward.services import plan_update_words as update_words

    rows = words.share_rows(report)
    lines = table(rows, "l" + "r" * (len(rows[0]) - 1), to.width)
    return together(
        named(report.name, report.place, report.invented, to),
        headline(words.why_headline(report, system), to),
        wrapped(words.why_width(report, system), to.width),
        [to.paint(lines[0], "dim"), *lines[1:]],
        notes(
            (*report.notes, words.SHARES, update_words.BANDS, update_words.drawn(report.worlds, report.seed)),
            to,
        ),
    )
