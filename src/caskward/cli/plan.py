"""`caskward plan`: plan a maker's file, or write a file to begin with."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from caskward.cli.terminal import complain, patience, put, put_json, terminal
from caskward.errors import MissingValue, NewGoesToTheScreen, OptionsClash

if TYPE_CHECKING:
    from caskward.services import Plan, Refusal

EXIT_IMPOSSIBLE = 3
"""Exit code of a plan that is refused, the same as of an `ImpossibleIntent`."""


def plan(
    file: Annotated[
        str,
        typer.Argument(
            metavar="FILE",
            help="Your file, or a starting point: pears, rye or wheat-panela, which --new writes. - reads "
            "standard input.",
            show_default=False,
        ),
    ] = "",
    new: Annotated[bool, typer.Option("--new", help="Write a file to begin with, with notes.")] = False,
    brief: Annotated[
        bool, typer.Option("--brief", help="Only the answer, the shopping, what binds.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Write the plan as JSON.")] = False,
    pdf: Annotated[
        Path | None,
        typer.Option("--pdf", metavar="OUT", help="Write the run sheet for the bench as PDF, too."),
    ] = None,
) -> int:
    """Plan the batch that fills your cask, backward to the sacks.

    Begin with: plan --new > mine.toml, change what is yours in it, then: plan mine.toml --pdf mine.pdf

    Once it is under way: plan update, why, next, remedy and learn, each with --help.
    """
    if new:
        for option, given in (("--pdf", pdf), ("--json", as_json), ("--brief", brief)):
            if given:
                raise OptionsClash("--new", option, "Write the file first, then plan it.")
        return write_new(file)
    if not file:
        raise MissingValue("plan", "the name of your file", _EXAMPLE)
    from caskward.services import plans

    piped = sys.stdin.buffer.read() if file == "-" else None
    with patience("Working it out ..."):
        outcome = (
            plans.plan_file(Path(file)) if piped is None else plans.plan_bytes(piped, "What is piped in")
        )
    code = show(outcome, as_json=as_json, brief=brief)
    if pdf is not None:
        write_pdf(outcome, pdf, say=complain if as_json else put_below)
    return code


_EXAMPLE = "caskward plan mine.toml, or begin one with: caskward plan --new > mine.toml"


def write_new(name: str) -> int:
    """Write a starting point to standard output."""
    from caskward.services import plans

    if name.endswith(".toml") or Path(name).name != name:
        raise NewGoesToTheScreen(name)
    put(plans.starting_point(name or plans.DEMO).rstrip("\n"))
    return 0


def show(outcome: Plan | Refusal, *, as_json: bool = False, brief: bool = False) -> int:
    """Write a plan or a refusal as text or JSON, and return the exit code that belongs to it."""
    from caskward.cli.render import plan_as_text, refusal_as_text
    from caskward.services import Refusal, plans

    refused = isinstance(outcome, Refusal)
    if as_json:
        put_json(plans.as_json(outcome))
    elif isinstance(outcome, Refusal):
        put(refusal_as_text(outcome, terminal()))
    else:
        put(plan_as_text(outcome, terminal(), brief=brief))
    return EXIT_IMPOSSIBLE if refused else 0


def put_below(text: str) -> None:
    """Write below a plan, with a line between."""
    put(f"\n{text}")


def write_pdf(outcome: Plan | Refusal, path: Path, say: Callable[[str], None]) -> None:
    """Write the run sheet of a plan and say where it is; a refusal has none."""
    from caskward.services import Refusal

    if isinstance(outcome, Refusal):
        complain(f"No run sheet is written to {path}: there is no plan to run.")
        return
    from caskward.sheets import run_sheet_to

    run_sheet_to(outcome, path)
    say(f"The run sheet, to print and take to the bench: {path}")
