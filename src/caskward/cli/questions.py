"""A command whose first word says which question is asked, each a command of a module of its own."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import cast

from caskward.cli.layout import wrapped
from caskward.cli.loose import LooseCommand
from caskward.cli.terminal import my_name, put, terminal
from caskward.errors import UnknownName


def as_typed(typed: Sequence[str]) -> Sequence[str]:
    """The words as they were typed."""
    return typed


@dataclass(frozen=True, slots=True)
class Questions:
    """Questions by name, in the order of the help; each is the `COMMAND` of a module `<name>_<question>`.

    joins: brings words together that belong together, before the question reads them.
    """

    name: str
    about: str
    questions: Mapping[str, str]
    joins: Callable[[Sequence[str]], Sequence[str]] = as_typed

    def run(self, typed: Sequence[str]) -> int:
        """Answer the question that the first word names, or show the help."""
        if not typed or typed[0] in ("-h", "--help"):
            put(self._help())
            return 0
        asked = typed[0]
        if asked not in self.questions:
            close = difflib.get_close_matches(asked, self.questions, n=1)
            raise UnknownName(
                f"question about a {self.name}", asked, close[0] if close else None, tuple(self.questions)
            )
        command = cast(LooseCommand, import_module(f"caskward.cli.{self.name}_{asked}").COMMAND)
        return command.run(self.joins(typed[1:]))

    def _help(self) -> str:
        to = terminal()
        lines = [f"Usage: {my_name()} {self.name} QUESTION [WORDS...] [OPTIONS]", ""]
        lines += [*wrapped(self.about, to.width, "  "), "", "Questions:"]
        wide = max(map(len, self.questions))
        for name, what in self.questions.items():
            lines += wrapped(what, to.width, f"  {name.ljust(wide)}  ", " " * (wide + 4))
        example = f"{my_name()} {self.name} {next(iter(self.questions))} --help"
        return "\n".join([*lines, "", f"  Each with --help, such as: {example}"])
