"""All commands together, and the one place where an error becomes a sentence and an exit code."""

from __future__ import annotations

import os
import traceback
from typing import Annotated

import typer
from typer.exceptions import TyperException

import caskward
from caskward.cli import demo, gauge, materials, plan, proof
from caskward.cli.terminal import complain, in_my_words, my_name, put
from caskward.errors import CaskwardError

COMMANDS = (demo.demo, plan.plan, gauge.gauge, proof.proof, materials.materials)
"""Every command, in the order of the help; a new one is a function in a module of its own, added here."""
LOOSE = {"ignore_unknown_options": True}
"""For commands that take loose words: a figure below zero begins like an option."""

app = typer.Typer(
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
for command in COMMANDS:
    app.command(context_settings=LOOSE if command in (gauge.gauge, proof.proof) else None)(command)


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


def run(words: list[str]) -> int:
    """Run one command and return its exit code; whatever goes wrong ends in one sentence.

    0 done, 1 a fault of Caskward's own, 2 an input that cannot be used, 3 a wish that this gear cannot meet,
    130 stopped by the keyboard.
    """
    try:
        return int(typer.main.get_command(app).main(words, my_name(), standalone_mode=False) or 0)
    except CaskwardError as error:
        complain(in_my_words(str(error)))
        return error.exit_code
    except TyperException as error:
        said = error.format_message().rstrip(".")
        complain(f"{said}{'' if said.endswith('?') else '.'} See: {my_name()} --help")
        return error.exit_code
    except OSError as error:
        complain(f"The answer cannot be written: {error.strerror or error}.")
        return 1
    except Exception as error:  # the last resort: no stack trace in a shed
        if os.environ.get("CASKWARD_DEBUG") == "1":
            complain(traceback.format_exc().rstrip())
        complain(
            f"Something went wrong inside Caskward ({type(error).__name__}), and it is not your fault. "
            "Please report it with your file; CASKWARD_DEBUG=1 shows where it happened."
        )
        return 1
