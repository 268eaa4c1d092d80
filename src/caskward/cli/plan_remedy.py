"""`caskward plan remedy`: moves that are still open to a batch, and what each leads to."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from caskward.cli.layout import table, wrapped
from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.plan_update import READINGS, SHOW, WORDS, answered, asked, named
from caskward.cli.still_parts import cautions, headline, notes, together
from caskward.cli.terminal import Terminal

if TYPE_CHECKING:
    from caskward.services.plan_remedy import RemedyReport
    from caskward.units.types import UnitSystem

_OPTIONS = (
    *READINGS,
    Option("--aim", "SHARE", 'The confidence to reach, such as "9 in 10"; the file\'s own otherwise.'),
    Option(
        "--feints",
        "ROW",
        'Spirits in store that the file does not name: "8 L, 28 %". May be given several times.',
        several=True,
    ),
    Option("--top-up", "STRENGTH", "Strength of spirit from another batch; entry strength otherwise."),
    Option("--take", "MOVE", 'Show every figure with one move taken: "heart end", sugar, rinse ...'),
    SHOW,
    JSON,
)


def answer(given: Given) -> int:
    """Solve the moves and write them by rank."""
    from caskward.services import plan_remedy

    source, folder, rows = asked(given, "remedy")
    ask = plan_remedy.RemedyAsk(
        given.text("--aim"), given.texts("--feints"), given.text("--top-up"), given.text("--take")
    )
    return answered(
        given,
        lambda say: plan_remedy.remedy(source, rows, folder, ask, say),
        partial(as_text, file=given.words),
        lambda of: of.show,
    )


COMMAND = LooseCommand(
    "plan remedy",
    "What can still be done for a full cask: every move that is open, solved for the confidence you want.",
    "Give the readings that are in. Those that get there come first, then those that add most for what they "
    "take; each is worked through to the cask with what is believed now. One that is done goes into the log "
    "as a row of its own, which every question then follows.",
    WORDS,
    _OPTIONS,
    answer,
    "FILE",
)


def as_text(report: RemedyReport, system: UnitSystem, to: Terminal, file: str = "-") -> str:
    """That the ferment stands; the sentence, the moves by rank or the figures with one, the notes."""
    from caskward.services import plan_ferment_words as ferment_words
    from caskward.services import plan_remedy_words as words
    from caskward.services import plan_update_words as update_words

    ranked = report.taken is None
    below = [*words.closed_sentences(report), *([words.RANK] if report.offers else [])] if ranked else []
    always = (update_words.BANDS, update_words.drawn(report.worlds, report.seed))
    return together(
        named(report.name, report.place, report.invented, to),
        notes(ferment_words.first_put_right(report.stands, file), to, "caution"),
        notes(ferment_words.last_row_doubted(report.doubted), to, "caution"),
        headline(words.headline(report, system), to),
        _mends(report, system, to) if ranked else [],
        _ranked(report, system, to) if ranked else _with_it(report, system, to),
        _each(report, system, to),
        notes([*below, *report.notes, *always], to),
    )


def _mends(report: RemedyReport, system: UnitSystem, to: Terminal) -> list[str]:
    """What puts a ferment right, before every move of still and cask, with its cautions."""
    from caskward.services import plan_remedy_words as words
    from caskward.services import tub_ask_words

    told = words.mend_rows(report, system)
    if report.tub is None or not told:
        return []
    check = words.mend_check(report, system)
    return [
        *((to.paint("First tell what it is", "bold"), *wrapped(check, to.width), "") if check else ()),
        to.paint("What puts the ferment right, by its rows alone", "bold"),
        *(line for one in told for line in wrapped(one, to.width, " • ", "   ")),
        *cautions(tub_ask_words.cautions(report.tub, system), to),
        "",
        to.paint("Moves at the still and the cask, if nothing is done to it", "bold"),
    ]


def _ranked(report: RemedyReport, system: UnitSystem, to: Terminal) -> list[str]:
    from caskward.services import plan_remedy_words as words

    if not report.offers:
        return []
    first, *others = table(words.offer_rows(report, system), "lrrrr", to.width)
    return [to.paint(first, "dim"), *others]


def _with_it(report: RemedyReport, system: UnitSystem, to: Terminal) -> list[str]:
    from caskward.services import plan_remedy_words as words

    first, *others = table(words.figure_rows(report, system), "lrr", to.width)
    return [to.paint(first, "dim"), *others]


def _each(report: RemedyReport, system: UnitSystem, to: Terminal) -> list[str]:
    from caskward.services import plan_remedy_words as words

    if report.taken is not None:
        return wrapped(words.told(report.taken, report, system), to.width)
    return [
        line
        for number, one in enumerate(report.offers, 1)
        for line in wrapped(words.told(one, report, system), to.width, f"{number:>2} ", "   ")
    ]
