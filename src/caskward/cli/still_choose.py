"""`caskward still choose`: which jars go into the cask."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.bars import mark_under, soft_bar
from caskward.cli.layout import table
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.still_gear import number
from caskward.cli.still_parts import cautions, headline, notes, titled, together
from caskward.cli.terminal import Terminal, patience, put, put_json, terminal
from caskward.errors import MissingValue, OptionsClash, UnknownName

if TYPE_CHECKING:
    from caskward.services.still_choice import ChoiceReport, Wish
    from caskward.services.still_files import JarFile
    from caskward.units.types import UnitSystem

_OPTIONS = (
    Option("--cask", "V", 'Litres wanted at entry strength: "24.2 L"; otherwise as the file says.'),
    Option("--entry", "S", 'The entry strength: "63 %"; otherwise as the file says.'),
    Option("--free", "", "Any jars, not only an unbroken cut."),
    Option("--near", "", "As near to the cask's litres as can be, instead of at least so many."),
    Option("--part-jars", "", "With --free: a jar may be shared between cask and feints."),
    Option("--aim", "WHAT", "mark (the best average mark) or alcohol (the most of it); otherwise mark."),
    Option(
        "--cap", "LIMIT", 'Most of a congener: "ethyl acetate 300 mg/L", "fusel oils 200 g/hL".', several=True
    ),
    Option("--sure", "", "Every limit must hold in 8 of 10 worlds of your jug's and meter's doubt."),
    Option("--take", "NAMES", 'What your own choice gives: "3, 4, 5, 7".'),
    Option("--seconds", "N", "How long --free may search; otherwise 1."),
    SHOW,
    JSON,
)


def answer(given: Given) -> int:
    """Choose, or answer what a choice gives."""
    from caskward.services import still_choice, still_files, still_saved

    if not given.words:
        raise MissingValue("still choose", "the name of your file of jars", "caskward still choose jars.toml")
    _refuse_clashes(given)
    path = Path(given.words)
    found = still_files.jar_file(path)
    system = system_for(given.text("--show"), (*given.everything(), still_saved.text_of(path)))
    wish = _wish(given, found, system)
    own = given.text("--take")
    if own:
        names = {name.strip() for name in own.split(",") if name.strip()}
        report = still_choice.chosen(found.jars, names, wish)
    else:
        way: still_choice.Way = "free" if given.flag("--free") else "cut"
        with patience("Looking for the best choice ..."):
            report = still_choice.choose(found.jars, wish, way, _seconds(given), given.flag("--sure"))
    if given.flag("--json"):
        put_json(still_choice.as_json(report))
    else:
        put(as_text(report, wish, system, terminal(), forecast=found.forecast))
    return 0


def _refuse_clashes(given: Given) -> None:
    """Options that say nothing beside, or without, another one."""
    if given.flag("--part-jars") and not given.flag("--free"):
        raise OptionsClash("--part-jars", "an unbroken cut", "Add --free.")
    for other in ("--free", "--sure", "--near", "--aim", "--seconds"):
        if given.flag("--take") and given.flag(other):
            raise OptionsClash("--take", other, "Your own choice is only worked out, nothing is looked for.")
    if given.flag("--seconds") and not given.flag("--free"):
        raise OptionsClash("--seconds", "an unbroken cut, which is found at once", "Add --free.")


def _seconds(given: Given) -> float:
    from caskward.services.still_choice import TIME_LIMIT_S

    return number(given, "--seconds", "a number of seconds") if given.flag("--seconds") else TIME_LIMIT_S


COMMAND = LooseCommand(
    "still choose",
    "Choose the jars that go into the cask.",
    "From a file of jars as gauged: TOML with [[jar]] and name, volume, strength, mark and perhaps congeners "
    "(g/hL of pure alcohol); or CSV whose first line is name,volume,strength,mark. A mark is -2 to 2, or in, "
    "out, maybe, discard.",
    ("jars.toml              your file; jars stand in it in the order they came over",),
    _OPTIONS,
    answer,
    "FILE",
)


def _wish(given: Given, found: JarFile, system: UnitSystem) -> Wish:
    from caskward.services import still_typed
    from caskward.services.still_choice import Wish
    from caskward.units import parse

    cask, entry = given.text("--cask") or found.cask, given.text("--entry") or found.entry
    if not entry:
        raise MissingValue("still choose", "the entry strength", '--entry "63 %"')
    if given.flag("--near") and not cask:
        raise MissingValue("--near", "the litres that it is to be near", '--cask "24.2 L"')
    aim = given.text("--aim") or "mark"
    if aim not in ("mark", "alcohol"):
        raise UnknownName("aim", aim, None, ("mark", "alcohol"))
    return Wish(
        wanted_l=parse.volume_l(cask, what="the cask's litres") if cask else 0.0,
        entry_pct_vol=still_typed.strength_pct_vol(entry, "the entry strength"),
        volume="near" if given.flag("--near") else "at least",
        aim="alcohol" if aim == "alcohol" else "mark",
        caps=tuple(still_typed.cap_of(text) for text in given.texts("--cap")),
        part_jars=given.flag("--part-jars"),
        show=system,
    )


def as_text(
    report: ChoiceReport, wish: Wish, system: UnitSystem, to: Terminal, *, forecast: bool = False
) -> str:
    """The whole answer: the sentence, the cask's bar, figures, every jar and what it is worth."""
    from caskward.services import still_jar_words as words
    from caskward.services.words import figure

    minds = (*((words.A_FORECAST,) if forecast else ()), *words.choice_warnings(report, wish, system))
    bar: list[str] = []
    if wish.wanted_l > 0.0:
        top = max(report.reduced.volume_l.high, wish.wanted_l)
        cells = min(to.width - 6, 64)
        wanted = f"{figure(wish.wanted_l, 'L', system)} wanted"
        bar = [
            "   " + to.paint(soft_bar(report.reduced.volume_l, top, cells), "spirit"),
            "   " + mark_under(wish.wanted_l, top, cells, wanted),
        ]
    return together(
        headline(words.choice_headline(report, wish, system), to) + bar,
        cautions(minds, to, "Mind     "),
        table(words.choice_lines(report, wish, system), "ll", to.width),
        titled(
            "Jars, and the choice if that one alone changed sides",
            lambda _: words.jar_rows(report, wish, system),
            "llrrrrrr",
            to,
        ),
        notes((*(() if wish.wanted_l > 0.0 else (words.NO_CASK,)), words.JAR_DOUBT, words.YOUR_NOSE), to),
    )
