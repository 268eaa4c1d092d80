"""A spirit run as text: the sentence, what to mind, figures, table, plots, receivers, cuts, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from caskward.cli.answers import figures
from caskward.cli.layout import table, wrapped
from caskward.cli.still_parts import cautions, methanol_part, titled, together
from caskward.cli.still_plot import Plot, columns, litres_axis, soft_mark
from caskward.cli.terminal import Style, Terminal

if TYPE_CHECKING:
    from caskward.services import Band
    from caskward.services.still_run import RunReport
    from caskward.units.types import UnitSystem

_PLOT_CELLS = 72
_IN_RECEIVERS = "Congeners in the receivers, g/hL of pure alcohol"
_ROUGH: dict[str, Style] = {"early": "lost", "with the heart": "spirit", "late": "feints"}


def as_text(report: RunReport, system: UnitSystem, to: Terminal) -> str:
    """The whole answer, in the order of the work."""
    from caskward.services import still_run_words as words

    parts: list[Sequence[str]] = [
        [to.paint(line, "bold") for line in wrapped(words.run_headline(report, system), to.width)],
        cautions(report.charge.cautions, to) + cautions(report.warnings, to, "Mind     "),
        figures(words.run_lines(report, system), to.width),
        [] if report.methanol is None else methanol_part(report.methanol, to),
        _moments(report, system, to),
        list(_strength_plot(report, system, to)),
        list(_congener_plot(report, system, to)),
        *_receivers(report, system, to),
        _looked_into(report, to),
        list(_cuts(report, system, to)),
        list(_notes(report, to)),
        cautions(report.cautions, to),
    ]
    return together(*parts)


def _notes(report: RunReport, to: Terminal) -> Iterator[str]:
    from caskward.services import still_run_words, still_words

    ended = (still_words.SOME_HAVE_ENDED,) if report.moments[-1].running < 1.0 else ()
    learned = (report.learned,) if report.learned else ()
    seeds = still_words.drawn(report.worlds, report.seed)
    first = (*learned, still_words.BANDS, *ended, still_words.FULL_POWER)
    for note in (*first, still_run_words.congener_note(report), seeds):
        yield from (to.paint(line, "dim") for line in wrapped(note, to.width))


def _moments(report: RunReport, system: UnitSystem, to: Terminal) -> list[str]:
    from caskward.services import still_run_words, still_words

    title = f"What runs, against the {still_words.litre_word(system)} collected"
    return titled(title, lambda room: still_run_words.moment_rows(report, system, room), "r" * 7, to)


def _strength_plot(report: RunReport, system: UnitSystem, to: Terminal) -> Iterator[str]:
    from caskward.services import still_own_units, still_run_words, still_words

    course = report.course.moments
    cells = min(to.width - 10, _PLOT_CELLS)
    spout = [still_own_units.strengths(m.spout_pct_vol, system) for m in course]
    heat = [still_words.warmth(m.vapour_c, system) for m in course]
    unit = still_own_units.strength_unit(system)
    drawn: tuple[tuple[str, list[Band], tuple[float, float, float], Style], ...] = (
        (f"Strength at the spout, {unit}", spout, still_run_words.strength_span(course, system), "spirit"),
        (f"Vapour, {still_words.degree(system)}", heat, still_run_words.warmth_span(course, system), "grain"),
    )
    for title, bands, (low, high, step), colour in drawn:
        yield to.paint(title, "bold")
        for line in columns(Plot(title, bands, low, high, round((high - low) / step)), cells):
            yield line[:7] + to.paint(line[7:], colour)
    yield from _axis(report, system, cells)
    yield to.paint(
        "    █ 9 in 10 reach this   ▓▒░ 8 in 10 end in here   ▲ where the trade changes",
        "dim",
    )


def _axis(report: RunReport, system: UnitSystem, cells: int) -> Iterator[str]:
    from caskward.services import still_words as words

    most = words.litres(report.course.moments[-1].volume_l, system)
    yield from litres_axis(most, cells, words.litre_unit(system))
    for mark in report.cuts[1:]:
        if mark.chance >= 0.1:
            yield soft_mark(words.litre_band(mark.volume_l, system), most, cells, mark.key)


def _congener_plot(report: RunReport, system: UnitSystem, to: Terminal) -> Iterator[str]:
    from caskward.services import still_run_words, still_words
    from caskward.services.still_course import nice_top

    cells = min(to.width - 10, _PLOT_CELLS)
    yield to.paint("Congeners in what runs, mg/L (methanol and acetic acid apart)", "bold")
    for course in report.course.groups:
        top = nice_top(max(band.high for band in course.mg_per_l) or 1.0)
        yield still_run_words.GROUP_WORDS[course.group]
        for line in columns(Plot("", course.mg_per_l, 0.0, top, 4, "g"), cells):
            yield line[:7] + to.paint(line[7:], _ROUGH[course.group])
    most = still_words.litres(report.course.moments[-1].volume_l, system)
    yield from litres_axis(most, cells, still_words.litre_unit(system))


def _receivers(report: RunReport, system: UnitSystem, to: Terminal) -> list[list[str]]:
    """One table where there is room for every band, else receivers and their congeners below each other."""
    from caskward.services import still_run_words as words

    in_one = table(words.receiver_rows(report, system, 3), "l" + "r" * 8, to.width)
    if max(map(len, in_one)) <= to.width:
        title = "Receivers, congeners in g/hL of pure alcohol"
        return [[to.paint(title, "bold"), to.paint(in_one[0], "dim"), *in_one[1:]]]
    return [
        titled(
            "Receivers, hours since the first drop",
            lambda room: words.receiver_rows(report, system, room, groups=False),
            "lrrrr",
            to,
        ),
        titled(
            "Congeners in the receivers, g/hL of pure alcohol",
            lambda _: words.group_rows(report),
            "lrrrr",
            to,
        ),
    ]


def _looked_into(report: RunReport, to: Terminal) -> list[str]:
    from caskward.services import still_run_words, still_words

    title = still_run_words.looked_into_words(report)
    lines = titled(title, lambda _: still_run_words.level_rows(report.looked_into), "lrrl", to)
    return lines + wrapped(still_words.NOT_FOR_CUTS, to.width, "   ")


def _cuts(report: RunReport, system: UnitSystem, to: Terminal) -> Iterator[str]:
    from caskward.services import still_run_words, still_words

    yield to.paint("Where the trade usually changes receivers", "bold")
    yield from table([still_run_words.cut_words(mark, system) for mark in report.cuts], "lll", to.width)
    yield from wrapped(still_words.NOSE_DECIDES, to.width, "   ")
