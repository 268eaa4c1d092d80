"""`caskward book`: what is recorded and read there, each a command of its own below this one."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import cast

from caskward.cli.layout import wrapped
from caskward.cli.loose import LooseCommand
from caskward.cli.terminal import my_name, put, terminal
from caskward.errors import UnknownName

PARTS: dict[str, dict[str, tuple[str, str]]] = {
    "Keep": {
        "check": ("book_keep", "Prove the book: chain, sums, balances."),
    },
}
"""Every command by the part of the help it stands in: the module `caskward.cli.<module>` whose `COMMANDS` has
it, and what it is for. A module is loaded when one of its commands is asked for."""


@dataclass(frozen=True, slots=True)
class BookCommands:
    """All commands of the book, in the order of the help."""

    name: str
    about: str
    parts: Mapping[str, Mapping[str, tuple[str, str]]]

    def run(self, typed: Sequence[str]) -> int:
        """Run the command that the first word names, or show the help."""
        if not typed or typed[0] in ("-h", "--help"):
            put(self._help())
            return 0
        return self.command(typed[0]).run(typed[1:])

    def command(self, asked: str) -> LooseCommand:
        """The command of this name; raises `UnknownName`."""
        modules = {name: row[0] for part in self.parts.values() for name, row in part.items()}
        if asked not in modules:
            close = difflib.get_close_matches(asked, modules, n=1)
            raise UnknownName("command of the book", asked, close[0] if close else None, tuple(modules))
        found = import_module(f"caskward.cli.{modules[asked]}").COMMANDS[asked]
        return cast(LooseCommand, found)

    def _help(self) -> str:
        to = terminal()
        lines = [f"Usage: {my_name()} {self.name} COMMAND [WORDS...] [OPTIONS]", ""]
        lines += wrapped(self.about, to.width, "  ")
        wide = max(len(name) for part in self.parts.values() for name in part)
        for title, part in self.parts.items():
            lines += ["", f"{title}:"]
            for name, (_, what) in part.items():
                lines += wrapped(what, to.width, f"  {name.ljust(wide)}  ", " " * (wide + 4))
        return "\n".join([*lines, "", f"  Each with --help, such as: {my_name()} {self.name} move --help"])


COMMAND = BookCommands(
    "book",
    "Keep the book: every litre of pure alcohol accounted for, every act on record. Nothing in it is ever "
    "changed; what was wrong is corrected by a new entry.",
    PARTS,
)
