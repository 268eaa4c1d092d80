"""`caskward proof`: how much water brings spirit to a strength, and what a mixture comes to."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from caskward.cli.answers import SHOW_HELP, as_text, loose_words, one_of, system_for
from caskward.cli.layout import table
from caskward.cli.terminal import Terminal, complain, in_my_words, put, put_json, terminal
from caskward.errors import ImpossibleIntent, InputError, OptionsClash

if TYPE_CHECKING:
    from caskward.services.gauging import LiquidAsk, MixAnswer, ReduceAnswer
    from caskward.units.types import UnitSystem

_NONE: list[str] = []


def proof(  # noqa: PLR0913 - one parameter is one option
    *,
    context: typer.Context,
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WORDS...",
            help="20 L 71.3% to 63%, or 71% and 24% to 50 L of 60%, or 20 L 63% and 5 L water.",
            show_default=False,
        ),
    ] = None,
    spirit: Annotated[
        list[str] | None,
        typer.Option(metavar="LIQUID", help='What there is, as often as needed: "12 L 71%".'),
    ] = None,
    add: Annotated[
        list[str] | None, typer.Option(metavar="LIQUID", help='Goes in as well: "5 L water", "3 L 24%".')
    ] = None,
    to: Annotated[str, typer.Option(metavar="STRENGTH", help="The strength wanted: 63%, 80proof.")] = "",
    make: Annotated[str, typer.Option(metavar="V", help="So much of it: 50L, 46kg; otherwise all.")] = "",
    with_: Annotated[
        str, typer.Option("--with", metavar="LIQUID", help='Not water but: backset, "8 L low wines 24%".')
    ] = "",
    temp: Annotated[str, typer.Option(metavar="T", help="How warm it all is; otherwise 20C.")] = "",
    days: Annotated[
        int, typer.Option(metavar="N", show_default=False, help="Spread the additions over so many days.")
    ] = 0,
    steps: Annotated[int, typer.Option(metavar="N", show_default=False, help="So many additions.")] = 0,
    rest: Annotated[str, typer.Option(metavar="D", help="How long between two: 2d; otherwise 3d.")] = "",
    measured_by: Annotated[
        str, typer.Option(metavar="KEY", help="What you measure that with: scale, cylinder, dip ...")
    ] = "scale",
    show: Annotated[str, typer.Option(metavar="UNITS", help=SHOW_HELP)] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Write the answer as JSON.")] = False,
) -> int:
    """How much water? Brings spirit to a strength, or says what a mixture comes to.

    By volume or, better, by mass on a scale, with the contraction; over several days if wished.
    """
    from caskward.services import gauging_sentence as sentence
    from caskward.services.gauging_said import liquid

    text = loose_words(context, words or _NONE)
    there = [*(spirit or _NONE), *(add or _NONE)]
    said = sentence.wish(text)
    wish = replace(
        said,
        spirits=(*said.spirits, *(sentence.known(liquid(one)) for one in there)),
        to=one_of("the strength wanted", said.to, to),
        make=one_of("how much to make", said.make, make),
        temp=one_of("how warm it is", said.temp, temp),
        add=_one_liquid(said.add, liquid(with_) if with_ else None),
        days=days or said.days,
        steps=steps or said.steps,
        rest=rest,
        by=measured_by,
    )
    system = system_for(show, [text, *there, to, make, with_, temp])
    try:
        return _show(sentence.answer(wish), system, as_json=as_json)
    except ImpossibleIntent as refusal:  # only typed figures are at fault here, so it is a wrong input
        complain(in_my_words(str(refusal)))
        return InputError.exit_code


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
