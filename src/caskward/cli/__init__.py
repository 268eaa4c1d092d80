"""The command line: a face over the services, with one module per command.

start     which command the words ask for, and what happens to an error; app: all commands in one help
plan      demo   materials   gauge   proof   card: one command each
still     its questions, one module each: still_choose, still_run, still_strip, still_feints, still_gear, ...
tub       its questions: tub_simulate (tub_text says it), tub_ask, tub_acid, tub_pot
book      its commands by name; book_deeds (book_deeds_help: its table), book_look, book_keep, book_batch, ...
plan_...  questions about a plan's batch under way: update, why, next, remedy, learn
desk      opens the desk, and says who may come in
loose     the reader of commands that take loose words; answers: what they answer, as text
render    a plan or a refusal as text; bars draws its soft edges
layout    wrapped text, pairs and tables
terminal  width, colours, letters it can show, and writing to it
"""

from __future__ import annotations

import sys
from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command that the words ask for and return its exit code; by default the words typed."""
    try:
        from caskward.cli.start import run

        return run(sys.argv[1:] if argv is None else list(argv))
    except KeyboardInterrupt:
        return 130
