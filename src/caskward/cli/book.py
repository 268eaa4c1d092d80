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
    "Set up": {
        "declare": ("book_deeds", "A vessel, cask or jar and its volume."),
        "begin": ("book_batch", "A batch begins, with its plan."),
        "plan": ("book_batch", "A batch gets its plan, or another one."),
        "close": ("book_deeds", "The end of a batch."),
    },
    "Record what was done": {
        "receive": ("book_deeds", "Materials, dry goods, bought spirit came in."),
        "mash": ("book_deeds", "Materials into a vessel."),
        "add": ("book_deeds", "Yeast, enzyme, acid into a vessel."),
        "convert": ("book_deeds", "A ferment gauged: the alcohol that was made."),
        "move": ("book_deeds", "Liquid from one place to another."),
        "distil": ("book_deeds", "A run of the still, and what became of its charge."),
        "vat": ("book_deeds", "Several liquids into one place."),
        "reduce": ("book_deeds", "Water into a spirit."),
        "fill": ("book_deeds", "Spirit into a cask."),
        "top": ("book_deeds", "More spirit into a cask."),
        "gauge": ("book_deeds", "What a place really holds."),
        "explain": ("book_deeds", "Why something was missing."),
        "sample": ("book_deeds", "A sample that does not come back."),
        "bottle": ("book_deeds", "Spirit into bottles."),
        "sell": ("book_deeds", "Bottles or liquid sold."),
        "destroy": ("book_deeds", "Thrown away on purpose."),
        "lose": ("book_deeds", "Lost, by a known cause."),
        "measure": ("book_deeds", "Readings of a batch."),
        "note": ("book_deeds", "Words to keep."),
        "correct": ("book_correct", "What an older entry should have said."),
    },
    "Look": {
        "balances": ("book_look", "What is where."),
        "account": ("book_look", "What went into a place and out of it."),
        "entries": ("book_look", "What was recorded, the newest last."),
        "forecast": ("book_batch", "What is believed of a batch now, by its plan and its readings."),
    },
    "Report": {
        "report": ("book_report", "A period's alcohol account, against your own limits."),
        "casks": ("book_report", "Every cask that holds something, now or at a date."),
        "stock": ("book_stock", "All that is there, and what runs low."),
        "shopping": ("book_stock", "What to buy for a plan."),
        "costs": ("book_report", "What a litre and a bottle have cost."),
        "trace": ("book_trace", "Back from a cask to every sack, or forward from a sack to every bottle."),
        "marks": ("book_stock", "Your own limits, least stocks, and a rate of duty."),
        "demo": ("book_report", "An invented year as a book of its own, to look at."),
    },
    "Keep": {
        "check": ("book_keep", "Prove the book: chain, sums, balances."),
        "backup": ("book_keep", "Copy the book, while it is in use."),
        "restore": ("book_keep", "Bring it back from a backup."),
        "export": ("book_keep", "Write it as lines of JSON."),
        "import": ("book_keep", "Take such lines into an empty book."),
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
