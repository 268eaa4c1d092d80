"""`caskward still run`: a spirit run as it may go, before the burner is lit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.layout import table, wrapped
from caskward.cli.loose import Given, LooseCommand, Option
from caskward.cli.still_gear import COMMON, gear_of
from caskward.cli.still_parts import cautions, methanol_part, titled, together
from caskward.cli.still_plot import Plot, columns, litres_axis, soft_mark
from caskward.cli.terminal import Style, Terminal, complain, put, put_json, terminal
from caskward.errors import MissingValue, UnknownName, WrongFileKind

if TYPE_CHECKING:
    from caskward.services.still_run import ReceiverLine, RunAsk, RunReport
    from caskward.units.types import UnitSystem

_OPTIONS = (
    Option("--stop", "WHEN", 'Where it ends: "10 %", "1 % in the pot", "24 L", "95 C vapour", "6 h".'),
    Option("--receivers", "ROW", '"24 x 1 L", or "foreshots 0.3 L, 20 x 1 L, tails to 10 %".'),
    Option("--from", "WHAT", "What is charged: wash or low-wines; otherwise by its strength."),
    Option("--bill", "B", 'What was fermented, for its methanol: "60 kg pears".'),
    Option("--start", "T", "How warm the charge is; otherwise 20C."),
    Option("--csv", "OUT", "Write the table of the run as CSV, too."),
    Option("--svg", "OUT", "Write the picture of the run as SVG, too."),
    Option("--pdf", "OUT", "Write the picture of the run as PDF to print, too."),
    *COMMON,
)
_PLOT_CELLS = 72
_ROUGH: dict[str, Style] = {"early": "lost", "with the heart": "spirit", "late": "feints"}


def answer(given: Given) -> int:
    """Forecast the run and write it."""
    from caskward.services import still_run

    files = {name: _file(given, name) for name in ("--csv", "--svg", "--pdf")}
    system = system_for(given.text("--show"), given.everything("--site-rule", "--csv", "--svg", "--pdf"))
    report = still_run.run(ask_of(given))
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        put(as_text(report, system, terminal()))
    for name, path in files.items():
        if path is not None:
            _write(name, path, report, system, quiet=given.flag("--json"))
    return 0


COMMAND = LooseCommand(
    "still run",
    "See a spirit run before you light the burner.",
    "What comes when and how sure, what lands in which receiver, where the trade usually cuts, what to mind.",
    ("60 L 28 %              the charge: litres at 20 °C and strength", "16 gal of 56 proof"),
    _OPTIONS,
    answer,
    "CHARGE",
)


def ask_of(given: Given) -> RunAsk:
    """The run that the words and options describe."""
    from caskward.services import still_methanol, still_typed
    from caskward.services.still_run import RunAsk
    from caskward.units import parse

    if not given.words:
        raise MissingValue("still run", "the charge", 'caskward still run "60 L 28 %" --power "6 kW"')
    charge = still_typed.charge(given.words)
    stop, row, start = (given.text(name) for name in ("--stop", "--receivers", "--start"))
    made_from = given.text("--from").replace("-", " ")
    if made_from not in ("", "wash", "low wines"):
        raise UnknownName("kind of charge", given.text("--from"), None, ("wash", "low-wines"))
    style, bill = still_methanol.style_of(given.text("--style"))
    return RunAsk(
        charge.volume_l,
        charge.pct_vol,
        gear_of(given),
        style=style,
        stop=still_typed.stop(stop) if stop else None,
        receivers=still_typed.receivers(row) if row else (),
        bill=given.text("--bill") or bill,
        made_from=still_typed.from_what(made_from),
        start_c=parse.temperature_c(start, what="the charge's temperature") if start else 20.0,
    )


def _file(given: Given, name: str) -> Path | None:
    text = given.text(name)
    if not text:
        return None
    if Path(text).suffix.casefold() != f".{name[2:]}":
        raise WrongFileKind(text, f".{name[2:]}", f"run.{name[2:]}")
    return Path(text)


def _write(name: str, path: Path, report: RunReport, system: UnitSystem, *, quiet: bool) -> None:
    from caskward.sheets import still_chart

    words = {
        "--csv": ("The table of the run", still_chart.csv_to),
        "--svg": ("The picture of the run", still_chart.svg_to),
        "--pdf": ("The picture of the run, to print", still_chart.pdf_to),
    }
    what, write = words[name]
    write(report, path, system)
    (complain if quiet else put)(f"{what}: {path}")


# As text ------------------------------------------------------------------------------------------


def as_text(report: RunReport, system: UnitSystem, to: Terminal) -> str:
    """The whole answer: sentence, warnings, figures, table, plots, receivers, the trade's cuts, cautions."""
    from caskward.services import still_words as words

    parts: list[Sequence[str]] = [
        [to.paint(line, "bold") for line in wrapped(words.run_headline(report, system), to.width)],
        cautions(report.charge.cautions, to) + cautions(report.warnings, to, "Mind     "),
        table(words.run_lines(report, system), "ll", to.width),
    ]
    if report.moments:
        parts += [
            _moments(report, system, to),
            list(_strength_plot(report, system, to)),
            list(_congener_plot(report, system, to)),
            _receivers(report, system, to),
            _smells(report, to),
            list(_cuts(report, system, to)),
            [] if report.methanol is None else methanol_part(report.methanol, to),
        ]
    ended = (words.SOME_HAVE_ENDED,) if report.moments and report.moments[-1].running < 1.0 else ()
    learned = (report.learned,) if report.learned else ()
    notes = (*learned, words.BANDS, *ended, words.FULL_POWER, words.CONGENERS_ARE_PRIORS)
    seeds = words.drawn(report.worlds, report.seed)
    parts.append([to.paint(line, "dim") for note in (*notes, seeds) for line in wrapped(note, to.width)])
    parts.append(cautions(report.cautions, to))
    return together(*parts)


def _moments(report: RunReport, system: UnitSystem, to: Terminal) -> list[str]:
    from caskward.services import still_words as words

    title = f"What runs, against the {words.litre_word(system)} collected"
    return titled(title, lambda room: words.moment_rows(report, system, room), "r" * 6, to)


def _strength_plot(report: RunReport, system: UnitSystem, to: Terminal) -> Iterator[str]:
    from caskward.services import still_words as words

    course = report.course.moments
    cells = min(to.width - 10, _PLOT_CELLS)
    spout, heat = [m.spout_pct_vol for m in course], [words.warmth(m.vapour_c, system) for m in course]
    low, high = words.warmth_span(system)
    for plot, colour in (
        (Plot("Strength at the spout, %vol", spout, 0.0, 90.0, 9), "spirit"),
        (Plot(f"Vapour, {words.degree(system)}", heat, low, high, 5), "grain"),
    ):
        yield to.paint(plot.title, "bold")
        for line in columns(plot, cells):
            yield line[:7] + to.paint(line[7:], "spirit" if colour == "spirit" else "grain")
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
    from caskward.services import still_words as words

    cells = min(to.width - 10, _PLOT_CELLS)
    yield to.paint("Congeners in what runs, mg/L (methanol and acetic acid apart)", "bold")
    for course in report.course.groups:
        top = max(band.high for band in course.mg_per_l) or 1.0
        digits = ".0f" if top >= 10.0 else ".1f"
        yield words.GROUP_WORDS[course.group]
        for line in columns(Plot("", course.mg_per_l, 0.0, top, 4, digits), cells):
            yield line[:7] + to.paint(line[7:], _ROUGH[course.group])
    yield from litres_axis(
        words.litres(report.course.moments[-1].volume_l, system), cells, words.litre_unit(system)
    )


def _receivers(report: RunReport, system: UnitSystem, to: Terminal) -> list[str]:
    from caskward.services import still_words as words

    title = "Receivers, congeners in g/hL of pure alcohol"
    return titled(title, lambda room: words.receiver_rows(report.receivers, system, room), "lrrrrrr", to)


def _smells(report: RunReport, to: Terminal) -> list[str]:
    from caskward.services import still_words as words

    heart: ReceiverLine = next(line for line in report.trade if line.name == "heart")
    but = ("Methanol",) if report.methanol else ()
    title = "Congeners in the heart, if cut by the trade's habit"
    lines = titled(title, lambda _: words.level_rows(heart, but), "lrrl", to)
    return lines + wrapped(words.NOT_FOR_CUTS, to.width, "   ")


def _cuts(report: RunReport, system: UnitSystem, to: Terminal) -> Iterator[str]:
    from caskward.services import still_words as words

    yield to.paint("Where the trade usually changes receivers", "bold")
    yield from table([words.cut_words(mark, system) for mark in report.cuts], "lll", to.width)
    yield from wrapped(words.NOSE_DECIDES, to.width, "   ")
