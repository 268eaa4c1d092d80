"""`caskward still`: the still's questions, each a command of its own below this one."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import cast

from caskward.cli.layout import wrapped
from caskward.cli.loose import LooseCommand
from caskward.cli.terminal import my_name, put, terminal
from caskward.errors import UnknownName

QUESTIONS = {
    "run": "See a spirit run before you light the burner.",
    "strip": "See the strips of a wash, and where stopping pays.",
    "choose": "Choose the jars that go into the cask.",
    "feints": "See where feints settle when they go back each time.",
    "learn": "Learn your still from its logged runs.",
    "methanol": "See what methanol a bill may bring, beside legal limits.",
}
"""Every question, in the order of the help; each is the `COMMAND` of a module `still_...`."""

_JOINS = re.compile(r"[x×]|\d.*", re.IGNORECASE)
_UNIT = re.compile(r"(?:ml|cl|dl|l|litres?|liters?|gal|gallons?|qt|pt|oz),?", re.IGNORECASE)


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
            raise UnknownName(
                "question about a still", typed[0], close[0] if close else None, tuple(QUESTIONS)
            )
        command = cast(LooseCommand, import_module(f"caskward.cli.still_{typed[0]}").COMMAND)
        return command.run(rows_joined(typed[1:]))

    def _help(self) -> str:
        to = terminal()
        lines = [f"Usage: {my_name()} {self.name} QUESTION [WORDS...] [OPTIONS]", ""]
        lines += [*wrapped(self.about, to.width, "  "), "", "Questions:"]
        wide = max(map(len, QUESTIONS))
        for name, what in QUESTIONS.items():
            lines += wrapped(what, to.width, f"  {name.ljust(wide)}  ", " " * (wide + 4))
        return "\n".join([*lines, "", f"  Each with --help, such as: {my_name()} still run --help"])


def rows_joined(typed: Sequence[str]) -> list[str]:
    """`--receivers 24 x 1 L` without quotes, as one value."""
    words = list(typed)
    if "--receivers" in words:
        at = words.index("--receivers") + 1
        end = at + 1
        while end < len(words) and (_JOINS.fullmatch(words[end]) or _UNIT.fullmatch(words[end])):
            end += 1
        words[at:end] = [" ".join(words[at:end])] if at < len(words) else []
    return words


COMMAND = Questions(
    "still", "See a still's work before it is lit: runs, strips, jars, feints, and what its own runs taught."
)
