"""`caskward demo`: an invented farm's cask, planned from sacks to fill."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from caskward.cli.plan import put_below, show, write_pdf
from caskward.cli.terminal import complain, my_name, patience, put
from caskward.errors import UnwritableFile


def demo(
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="The folder that the run sheet is written to.")
    ] = Path("out"),
    as_json: Annotated[bool, typer.Option("--json", help="Write the plan as JSON.")] = False,
    no_serve: Annotated[  # noqa: ARG001 - nothing is served yet, so there is nothing to leave out
        bool, typer.Option("--no-serve", help="Do not wait for a browser at the end.")
    ] = False,
) -> int:
    """Plan an example whose figures are invented.

    A 25 L cask of rye, malt and oats: writes the plan here, the run sheet for the bench as PDF, and
    says what to do next.
    """
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
        f"   {my_name()} plan mine.toml --pdf mine.pdf"
    )
