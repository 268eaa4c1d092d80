"""`caskward proof`: how much water brings spirit to a strength, and what a mixture comes to."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from caskward.cli.answers import as_text, one_of, system_for
from caskward.cli.layout import table
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.terminal import Terminal, complain, in_my_words, put, put_json, terminal
from caskward.errors import ImpossibleIntent, InputError, OptionsClash

if TYPE_CHECKING:
    from caskward.services.gauging import LiquidAsk, MixAnswer, ReduceAnswer
    from caskward.services.gauging_sentence import Wish
    from caskward.units.types import UnitSystem

_OPTIONS = (
    Option("--spirit", "LIQUID", 'What there is, as often as needed: "12 L 71.3 %".', several=True),
    Option("--add", "LIQUID", 'What goes in as well: "5 L water", "3 L 24 %".', several=True),
    Option("--to", "STRENGTH", "The strength wanted: 63%, 80proof."),
    Option("--make", "V", "Make so much of it, 50L or 46kg; otherwise use it all."),
    Option("--with", "LIQUID", 'Add this and not water: backset, "8 L low wines 24 %", "70 %".'),
    Option("--temp", "T", "How warm it all is when it is measured; otherwise 20C."),
    Option("--days", "N", "Spread the additions over so many days."),
    Option("--steps", "N", "So many additions."),
    Option("--rest", "D", "How long between two of them: 2d; otherwise 3d."),
    Option("--measured-by", "KEY", "What that is measured in with: scale, cylinder, dip; otherwise scale."),
    SHOW,
    JSON,
)


def proof(given: Given) -> int:
    """Answer how much water it takes, or what a mixture comes to."""
    from caskward.services import gauging_sentence as sentence

    system = system_for(given.text("--show"), given.everything())
    try:
        return _show(sentence.answer(_wish(given)), system, as_json=given.flag("--json"))
    except ImpossibleIntent as refusal:  # only typed figures are at fault here, so it is a wrong input
        complain(in_my_words(str(refusal)))
        return InputError.exit_code


COMMAND = LooseCommand(
    "proof",
    "Say how much water it takes, or what a mixture comes to.",
    "By volume or, better, by mass on a scale, with the contraction. A strength with a temperature is a "
    "reading and is corrected first.",
    (
        "20 L 71.3 % to 63 %                 use it all",
        "12.5 kg 71.3 % to 63 % over 5 days  a little each day",
        "71.3 % to 50 L of 63 %              make so much",
        "71 % and 24 % to 50 L of 60 %       which two amounts",
        "10 L 38 % to 40 % with 70 %         lift what has become too weak",
        "20 L 63 % and 5 L water             what results",
        "20 L 71.3 % ± 0.4 at 28 C to 63 %   a reading, and its doubt",
    ),
    _OPTIONS,
    proof,
)


def _wish(given: Given) -> Wish:
    """The question in the words, with what the options say."""
    from caskward.services import gauging_sentence as sentence
    from caskward.services.gauging_said import liquid

    said = sentence.wish(given.words)
    there = [sentence.known(liquid(one)) for one in (*given.texts("--spirit"), *given.texts("--add"))]
    with_ = given.text("--with")
    return replace(
        said,
        spirits=(*said.spirits, *there),
        to=one_of("the strength wanted", said.to, given.text("--to")),
        make=one_of("how much to make", said.make, given.text("--make")),
        temp=one_of("how warm it is", said.temp, given.text("--temp")),
        add=_one_liquid(said.add, liquid(with_) if with_ else None),
        days=given.count("--days", "a number of days") or said.days,
        steps=given.count("--steps", "a number of additions") or said.steps,
        rest=given.text("--rest"),
        by=given.text("--measured-by") or "scale",
    )


def _one_liquid(said: LiquidAsk | None, option: LiquidAsk | None) -> LiquidAsk | None:
    if said and option:
        raise OptionsClash("--with", "a liquid to add in the words", "Say once what is added.")
    return option or said


def _show(answer: ReduceAnswer | MixAnswer, system: UnitSystem, *, as_json: bool) -> int:
    from caskward.services import gauging
    from caskward.services.gauging_words import words

    if as_json:
        put_json(gauging.as_json(answer))
        return 0
    to = terminal()
    steps = _steps(answer, system, to) if isinstance(answer, gauging.ReduceAnswer) else []
    put(as_text(words(answer, system), answer.assumed, to, more=steps, hide="Step "))
    return 0


def _steps(answer: ReduceAnswer, system: UnitSystem, to: Terminal) -> list[str]:
    """The additions one below the other."""
    from caskward.services.gauging_mixing_words import step_rows

    if not answer.steps:
        return []
    head = ("", "weigh in", "or measure", "then it rests at")
    first, *others = table([head, *step_rows(answer.steps, system)], "lrrr", to.width)
    return [to.paint("Little by little", "bold"), to.paint(first, "dim"), *others]
