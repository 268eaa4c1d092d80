"""`caskward tub simulate`: the whole tub side of a plan, hour by hour, by what was read of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.terminal import complain, patience, put, put_json, terminal
from caskward.errors import MissingValue, WrongFileKind

if TYPE_CHECKING:
    from caskward.services.tub_report import TubReport
    from caskward.services.tub_simulate import TubAsk

_FILES = ("--csv", "--svg", "--pdf")
_OPTIONS = (
    Option(
        "--reading",
        "ROW",
        'What you read: "mash 90 min: 62 C, pH 5.4", "ferment 2 d: 1.030, 24 C". May be given several times.',
        several=True,
    ),
    Option("--log", "FILE", "A text file of such rows, one a line, in order of time."),
    Option("--set-point", "T", "Held by a controller at this; otherwise left to its room."),
    Option("--room", "T", "How warm the room is; otherwise as your file says, or 18C."),
    Option("--days", "N", "How long the ferment is followed; otherwise until it should be done."),
    Option("--at-hour", "H", "Show this hour of the ferment, too. May be given several times.", several=True),
    Option("--csv", "OUT", "Write the ferment's table as CSV, too."),
    Option("--svg", "OUT", "Write the picture of the ferment as SVG, too."),
    Option("--pdf", "OUT", "Write the picture as PDF to print, too."),
    JSON,
    Option("--show", "UNITS", "The units of the answer: metric or us. Otherwise those of your file."),
)


def answer(given: Given) -> int:
    """Follow the tub and write it."""
    from caskward.cli.tub_text import as_text
    from caskward.services import tub_simulate

    files = {name: path for name in _FILES if (path := _file(given, name)) is not None}
    ask = ask_of(given)
    intent = tub_simulate.intent_of(ask.name)
    system = system_for(given.text("--show"), ()) if given.text("--show") else intent.show
    with patience("Working it out ..."):
        report = tub_simulate.report(ask, intent, system)
    if given.flag("--json"):
        put_json(tub_simulate.as_json(report))
    else:
        put(as_text(report, terminal()))
    for name, path in files.items():
        _write(name, path, report, quiet=given.flag("--json"))
    return 0


COMMAND = LooseCommand(
    "tub simulate",
    "See one tub hour by hour, from the pot to the wash.",
    "Pots in turn, where the mash lands, starch and sugar by the hour, yeast and its food, gravity day "
    "by day "
    "with a dry date, straining; corrected by what you read.",
    (
        "mine.toml              a plan's file",
        "rye                    or a starting point: pears, rye, wheat-panela",
    ),
    _OPTIONS,
    answer,
    "FILE",
)


def ask_of(given: Given) -> TubAsk:
    """The tub that words and options describe."""
    from caskward.services.tub_simulate import TubAsk
    from caskward.units import parse

    if not given.words:
        example = "caskward tub simulate mine.toml, or a starting point: caskward tub simulate rye"
        raise MissingValue("tub simulate", "the file of a plan", example)
    set_point, room = given.text("--set-point"), given.text("--room")
    return TubAsk(
        given.words,
        given.texts("--reading"),
        given.text("--log"),
        parse.temperature_c(set_point, what="the set-point") if set_point else None,
        parse.temperature_c(room, what="the room") if room else None,
        _days(given.text("--days")) if given.text("--days") else None,
        tuple(parse.duration_h(text, what="an hour to show") for text in given.texts("--at-hour")),
    )


def _days(text: str) -> float:
    """Days as a plain number, `7`, or with its unit, `7 d`, `36 h`."""
    from caskward.units import parse

    try:
        return float(text)
    except ValueError:
        return parse.duration_h(text, what="the number of days") / 24.0


def _file(given: Given, name: str) -> Path | None:
    """A file to write, refused before anything is worked out."""
    from caskward.sheets.tub_files import may_be_written

    text = given.text(name)
    if not text:
        return None
    if Path(text).suffix.casefold() != f".{name[2:]}":
        raise WrongFileKind(text, f".{name[2:]}", f"tub.{name[2:]}")
    may_be_written(Path(text))
    return Path(text)


def _write(name: str, path: Path, report: TubReport, *, quiet: bool) -> None:
    from caskward.sheets import tub_files

    words = {
        "--csv": ("The table of the ferment", tub_files.csv_to),
        "--svg": ("The picture of the ferment", tub_files.svg_to),
        "--pdf": ("The picture of the ferment, to print", tub_files.pdf_to),
    }
    what, write = words[name]
    write(report, path)
    (complain if quiet else put)(f"{what}: {path}")
