"""`caskward tub`: the tub's questions, each a command of its own below this one."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import cast

from caskward.cli.layout import wrapped
from caskward.cli.loose import LooseCommand
from caskward.cli.terminal import my_name, put, terminal
from caskward.errors import UnknownName

QUESTIONS = {
    "simulate": "See one tub hour by hour: cook, mash, yeast, ferment, straining.",
    "ask": "Ask what is wrong with a mash or a ferment, and what to check next.",
    "acid": "How much acid, chalk, backset or calcium, by what a trial showed.",
    "pot": "How much grain fills part of a pot, its water, and whether it fits hot.",
}
"""Every question, in the order of the help; each is the `COMMAND` of a module `tub_...`."""


@dataclass(frozen=True, slots=True)
class Questions:
    """A command whose first word says which question is asked."""

    name: str
    about: str

    def run(self, typed: Sequence[str]) -> int:
        """Answer the question that the first word names, or show the help."""
        if not typed or typed[0] in ("-h", "--help"):
            put(self._help())
            return 0
        if typed[0] not in QUESTIONS:
            close = difflib.get_close_matches(typed[0], QUESTIONS, n=1)
            raise UnknownName("question about a tub", typed[0], close[0] if close else None, tuple(QUESTIONS))
        command = cast(LooseCommand, import_module(f"caskward.cli.tub_{typed[0]}").COMMAND)
        return command.run(typed[1:])

    def _help(self) -> str:
        to = terminal()
        lines = [f"Usage: {my_name()} {self.name} QUESTION [WORDS...] [OPTIONS]", ""]
        lines += [*wrapped(self.about, to.width, "  "), "", "Questions:"]
        wide = max(map(len, QUESTIONS))
        for name, what in QUESTIONS.items():
            lines += wrapped(what, to.width, f"  {name.ljust(wide)}  ", " " * (wide + 4))
        return "\n".join([*lines, "", f"  Each with --help, such as: {my_name()} tub simulate --help"])


COMMAND = Questions(
    "tub", "Follow a tub hour by hour, from the pot to the wash, and ask what is wrong with it."
)
