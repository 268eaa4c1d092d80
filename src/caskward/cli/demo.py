"""`caskward demo`: an invented farm, at the desk in the browser, or its next cask planned in the terminal."""

from __future__ import annotations

import os
import sys
import webbrowser
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Annotated

import typer

from caskward.cli.plan import put_below, show, write_pdf
from caskward.cli.terminal import complain, my_name, patience, put
from caskward.errors import OptionsClash, UnwritableFile


def demo(
    text: Annotated[
        bool, typer.Option("--text", help="Plan the farm's next cask in the terminal, and end.")
    ] = False,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="With --text: the folder of the run sheet.")
    ] = Path("out"),
    as_json: Annotated[bool, typer.Option("--json", help="Write that plan as JSON, and end.")] = False,
    serve: Annotated[
        bool, typer.Option("--serve", help="Open the desk although nobody sits at a terminal.")
    ] = False,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Say the address, but open no browser.")
    ] = False,
    port: Annotated[
        int,
        typer.Option(
            "--port", metavar="N", help="Of the desk; otherwise 8080 or the next free.", min=0, max=65535
        ),
    ] = 0,
) -> int:
    """Open the desk on an invented farm's book, made anew each time; Ctrl+C closes it.

    A batch is under way, casks lie in the rack, a year is in the book; every figure is invented. Where
    nobody sits at a terminal (in a pipe, in CI) it plans the farm's next cask as text instead, and ends.
    """
    if serve and (text or as_json):
        raise OptionsClash("--serve", "--text" if text else "--json", "Say one of them.")
    if serve or (not text and not as_json and somebody_is_there()):
        return _at_the_desk(port, browser=not no_browser)
    return _as_text(out, as_json=as_json)


def somebody_is_there() -> bool:
    """Whether a person sits at a terminal, who can read the address and press Ctrl+C."""
    return sys.stdout.isatty() and sys.stdin.isatty() and not os.environ.get("CI")


# At the desk -------------------------------------------------------------------------------------


def _at_the_desk(port: int, *, browser: bool) -> int:
    from caskward.cli.desk import say
    from caskward.desk import serve

    with ExitStack() as until_closed:
        with patience("Writing the invented farm's book ..."):
            until_closed.enter_context(serve.fresh_demo())
        say("An invented farm: nothing in it is real, and all that you try is gone when you close it.")
        serve.serve(port=port, say=say, once_open=_open_a_browser if browser else _leave_it)
    return 0


def _leave_it(_: str) -> None:
    """The address was said."""


def _open_a_browser(address: str) -> None:
    """Where there is a screen to open one on; a browser for terminals would take the terminal away."""
    shown = sys.platform in ("win32", "darwin") or bool(
        os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    )
    if shown:
        with suppress(webbrowser.Error, OSError):
            webbrowser.open(address)


# In the terminal ---------------------------------------------------------------------------------


def _as_text(out: Path, *, as_json: bool) -> int:
    from caskward.services import plans

    with patience("Working it out ..."):
        outcome = plans.plan_text(plans.starting_point(plans.DEMO))
    code = show(outcome, as_json=as_json)
    if code:
        return code
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UnwritableFile(str(out), error.strerror or "it cannot be made") from None
    write_pdf(outcome, out / f"{plans.DEMO}-run-sheet.pdf", say=complain if as_json else put_below)
    if not as_json:
        put(_what_next())
    return 0


def _what_next() -> str:
    return (
        "Next, your own cask:\n"
        f"   {my_name()} plan --new > mine.toml\n"
        "   change in mine.toml what is yours\n"
        f"   {my_name()} plan mine.toml --pdf mine.pdf\n"
        "or in the browser, under Batches, New batch:\n"
        f"   {my_name()} desk"
    )
