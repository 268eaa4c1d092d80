"""All commands together, listed in one help."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

import typer
from typer.exceptions import TyperException

import caskward
from caskward.cli import demo, materials, plan
from caskward.cli.start import loose
from caskward.cli.terminal import complain, my_name, put

COMMANDS: tuple[Callable[..., int] | str, ...] = (
    demo.demo,
    plan.plan,
    "gauge",
    "proof",
    "card",
    "still",
    "tub",
    "book",
    "desk",
    materials.materials,
)
"""Every command, in the order of the help: a function in a module of its own, or the name of a loose one."""

app = typer.Typer(
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _add_loose(name: str) -> None:
    """List a command that reads its own words."""

    def answer(context: typer.Context) -> int:
        return loose(name).run(context.args)

    own = {"allow_extra_args": True, "ignore_unknown_options": True}
    app.command(name, help=loose(name).about, add_help_option=False, context_settings=own)(answer)


for command in COMMANDS:
    if isinstance(command, str):
        _add_loose(command)
    else:
        app.command()(command)


def _say_version(wanted: bool) -> None:
    if wanted:
        put(f"caskward {caskward.__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def caskward_(
    context: typer.Context,
    version: Annotated[  # noqa: ARG001 - answered by its callback
        bool,
        typer.Option("--version", callback=_say_version, is_eager=True, help="Say the version and stop."),
    ] = False,
) -> None:
    """Plan a batch of spirit backward from the cask: this cask, with the gear and the sacks I have.

    Caskward gives estimates; local codes and licensed practice decide.
    """
    if context.invoked_subcommand is None:
        put(context.get_help())


def run_listed(words: list[str]) -> int:
    """Run one command and return its exit code; words that no command takes end in one sentence."""
    try:
        return int(typer.main.get_command(app).main(words, my_name(), standalone_mode=False) or 0)
    except TyperException as error:
        said = error.format_message().rstrip(".")
        complain(f"{said}{'' if said.endswith('?') else '.'} See: {my_name()} --help")
        return error.exit_code
