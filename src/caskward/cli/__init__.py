"""The command line: a face over the services, with one module per command.

app       the commands together, and what happens to an error
plan      demo   materials: one command each
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
        from caskward.cli.app import run

        return run(sys.argv[1:] if argv is None else list(argv))
    except KeyboardInterrupt:
        return 130
