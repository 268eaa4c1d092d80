"""`caskward still run`: a spirit run as it may go, before the burner is lit."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.loose import Given, LooseCommand, Option
from caskward.cli.still_gear import COMMON, gear_of
from caskward.cli.terminal import complain, put, put_json, terminal
from caskward.errors import MissingValue, WouldLoseNotes, WrongFileKind

if TYPE_CHECKING:
    from caskward.services.still_run import RunAsk, RunReport
    from caskward.units.types import UnitSystem

_FILES = ("--csv", "--svg", "--pdf")
_OTHERS = ("--jars", "--learned", "--congener", "--lab")
"""Further options whose values say nothing about the maker's units."""
_OPTIONS = (
    Option(
        "--stop",
        "WHEN",
        'Where it ends: "10 %", "1 % in the pot", "24 L", "95 C vapour", "90 % of the alcohol", "6 h".',
    ),
    Option("--receivers", "ROW", '"24 x 1 L", or "foreshots 0.3 L, 20 x 1 L, tails to 10 %".'),
    Option("--look-in", "NAME", "The receiver whose congeners are told one by one; otherwise the heart."),
    Option("--from", "WHAT", "What is charged: wash, low-wines, cider ...; otherwise by its strength."),
    Option("--bill", "B", 'What was fermented, for its methanol: "60 kg pears".'),
    Option(
        "--congener",
        "X",
        'Your laboratory\'s figure for the charge: "methanol = 850 ± 40 g/hL". May be given several times.',
        several=True,
    ),
    Option("--lab", "FILE", "Such figures from a CSV file: congener, figure, doubt."),
    Option("--solids", "S", 'Undissolved solids in the charge, of its mass, as in a fruit mash: "10 %".'),
    Option("--start", "T", "How warm the charge is; otherwise 20C."),
    Option("--water", "T", "How warm the cooling water comes; otherwise 15C."),
    Option("--jars", "OUT", "Write the receivers as a file of jars, too, for still choose."),
    Option("--csv", "OUT", "Write the table of the run as CSV, too."),
    Option("--svg", "OUT", "Write the picture of the run as SVG, too."),
    Option("--pdf", "OUT", "Write the picture of the run as PDF to print, too."),
    *COMMON,
)


def answer(given: Given) -> int:
    """Forecast the run and write it."""
    from caskward.cli.still_run_text import as_text
    from caskward.services import still_jars_file, still_run

    jars = _jars(given)
    files = {name: path for name in _FILES if (path := _file(given, name)) is not None}
    system = system_for(given.text("--show"), given.everything("--site-rule", *_FILES, *_OTHERS))
    report = still_run.run(ask_of(given, system))
    if jars is not None:
        still_jars_file.save_jars(still_jars_file.jars_text(report, system), jars)
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        put(as_text(report, system, terminal()))
    if jars is not None:
        (complain if given.flag("--json") else put)(f"The receivers, for still choose: {jars}")
    for name, path in files.items():
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


def ask_of(given: Given, system: UnitSystem = "metric") -> RunAsk:
    """The run that the words and options describe."""
    from caskward.services import still_lab, still_typed
    from caskward.services.still_run import RunAsk
    from caskward.units import parse

    if not given.words:
        raise MissingValue("still run", "the charge", 'caskward still run "60 L 28 %" --power "6 kW"')
    charge = still_typed.charge(given.words)
    stop, row, start, water = (given.text(name) for name in ("--stop", "--receivers", "--start", "--water"))
    charged = given.text("--from").replace("-", " ").casefold()
    solids = given.text("--solids")
    style, bill = still_typed.fermented(given.text("--style"), charged, given.text("--bill"))
    lab = Path(given.text("--lab")) if given.text("--lab") else None
    return RunAsk(
        charge.volume_l,
        charge.pct_vol,
        gear_of(given),
        style=style,
        stop=still_typed.stop(stop) if stop else None,
        receivers=still_typed.receivers(row) if row else (),
        made_from=still_typed.from_what(charged),
        bill=bill,
        start_c=parse.temperature_c(start, what="the charge's temperature") if start else 20.0,
        water_c=parse.temperature_c(water, what="the cooling water") if water else 15.0,
        solids_share=parse.share(solids, what="the share of solids") if solids else 0.0,
        laboratory=still_lab.figures_of(given.texts("--congener"), lab, charge.pct_vol),
        look_into=given.text("--look-in"),
        system=system,
    )


def _file(given: Given, name: str) -> Path | None:
    """A file to write, refused before anything is worked out."""
    from caskward.sheets.still_files import may_be_written

    text = given.text(name)
    if not text:
        return None
    if Path(text).suffix.casefold() != f".{name[2:]}":
        raise WrongFileKind(text, f".{name[2:]}", f"run.{name[2:]}")
    may_be_written(Path(text))
    return Path(text)


def _jars(given: Given) -> Path | None:
    """A file of jars to write, refused before anything is worked out: it never goes over another."""
    from caskward.sheets.still_files import can_be_reached

    out = given.text("--jars")
    if not out:
        return None
    if Path(out).suffix.casefold() != ".toml":
        raise WrongFileKind(out, ".toml", "jars.toml")
    can_be_reached(Path(out))
    if Path(out).exists():
        raise WouldLoseNotes(out)
    return Path(out)


def _write(name: str, path: Path, report: RunReport, system: UnitSystem, *, quiet: bool) -> None:
    from caskward.sheets import still_files

    words = {
        "--csv": ("The table of the run", still_files.csv_to),
        "--svg": ("The picture of the run", still_files.svg_to),
        "--pdf": ("The picture of the run, to print", still_files.pdf_to),
    }
    what, write = words[name]
    write(report, path, system)
    (complain if quiet else put)(f"{what}: {path}")
