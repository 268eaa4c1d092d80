"""`caskward still strip`: the strips of a wash, and where stopping pays."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.cli.answers import figures, system_for
from caskward.cli.loose import Given, LooseCommand, Option
from caskward.cli.still_gear import COMMON, gear_of
from caskward.cli.still_parts import cautions, headline, notes, titled, together
from caskward.cli.terminal import Terminal, put, put_json, terminal
from caskward.errors import MissingValue, UnknownName

if TYPE_CHECKING:
    from caskward.services.still_strip import StripReport
    from caskward.units.types import UnitSystem

_OPTIONS = (
    Option("--stop", "WHEN", 'Where each strip ends: "3 %", "0.5 % in the pot", "20 L", "99 C in the pot".'),
    Option("--solids", "S", 'Undissolved solids, of the mass: "2 %".'),
    Option("--charges", "HOW", "full-then-rest, equal or full-only; otherwise full-then-rest."),
    Option("--start", "T", "How warm the wash is; otherwise 20C."),
    *COMMON,
)
_WAYS = {"": "full then rest", "full-then-rest": "full then rest", "equal": "equal", "full-only": "full only"}


def answer(given: Given) -> int:
    """Forecast the strips and write them."""
    from caskward.services import still_run, still_strip, still_strip_ends, still_typed
    from caskward.units import parse

    if not given.words:
        raise MissingValue("still strip", "the wash", 'caskward still strip "350 L 8.5 %" --limit "110 L"')
    wash, stop, solids = still_typed.charge(given.words), given.text("--stop"), given.text("--solids")
    way, start = given.text("--charges"), given.text("--start")
    if way not in _WAYS:
        raise UnknownName("way to part a wash", way, None, tuple(_WAYS)[1:])
    system = system_for(given.text("--show"), given.everything("--site-rule"))
    report = still_strip.strip_wash(
        still_strip.StripAsk(
            wash.volume_l,
            wash.pct_vol,
            gear_of(given),
            style=given.text("--style") or "grain",
            stop=still_strip_ends.strip_stop(stop) if stop else None,
            solids_share=parse.share(solids, what="the share of solids") if solids else 0.0,
            charging=still_strip.charging(_WAYS[way]),
            start_c=parse.temperature_c(start, what="the wash's temperature") if start else 20.0,
            system=system,
        )
    )
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        put(as_text(report, system, terminal()))
    return 0


COMMAND = LooseCommand(
    "still strip",
    "See the strips of a wash, and where stopping pays.",
    "Charges in turn, what is carried over, the low wines, and what each lower stop wins and costs.",
    ("350 L 8.5 %            the wash: litres at 20 °C and strength",),
    _OPTIONS,
    answer,
    "WASH",
)


def as_text(report: StripReport, system: UnitSystem, to: Terminal) -> str:
    """The whole answer: the sentence, what is wrong, charges, the trade-off of stops, cautions."""
    from caskward.services import still_batch_words as words
    from caskward.services.still_words import BANDS, drawn

    bares = [words.BARES] if any(line.bares for line in report.stops) else []
    return together(
        headline(words.strip_headline(report, system), to),
        cautions(report.checked.cautions, to) + cautions(report.warnings, to, "Mind     "),
        figures(words.strip_lines(report, system), to.width),
        titled("Charges, each", lambda room: words.charge_rows(report, system, room), "lrrrrrrr", to),
        titled(
            "Where stopping pays, by the %vol that the spout shows",
            lambda room: words.stop_rows(report, system, room),
            "lrrrrrr",
            to,
        )
        + notes(bares, to, "caution")
        + notes(words.going_on(report, system), to),
        notes((report.learned,), to) if report.learned else [],
        notes((words.stops_are_equal_charges(system), BANDS, drawn(report.worlds, report.seed)), to),
        cautions(report.cautions, to),
    )
