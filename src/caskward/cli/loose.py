"""Commands that take loose words, `gauge 47 % at -5 C --volume 20L`, and start at once.

Their options are data and their reader is small, because the library behind the other commands takes longer
to load than a reading takes to work out. A figure below zero is a word here, and options may stand anywhere.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from caskward.cli.layout import wrapped
from caskward.cli.terminal import my_name, put, terminal
from caskward.errors import MissingValue, NotUnderstood, OptionsClash, UnknownName

_LIKE_AN_OPTION = re.compile(r"--?[a-z]", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Option:
    """One option: its name with the dashes, what its value is called (nothing for a flag), what it does."""

    name: str
    value: str
    help: str
    several: bool = False


JSON = Option("--json", "", "Write the answer as JSON.")
SHOW = Option("--show", "UNITS", "The units of the answer: metric or us. Otherwise those you type in.")


@dataclass(frozen=True, slots=True)
class Given:
    """What was typed: the words that belong to no option, and the values of the options.

    parts: the words one by one, as the shell parted them: a name in quotes is one.
    """

    words: str
    values: dict[str, list[str]] = field(default_factory=dict)
    parts: tuple[str, ...] = ()

    def text(self, name: str) -> str:
        """The value of an option; empty if it was not given."""
        return next(iter(self.values.get(name, [])), "")

    def texts(self, name: str) -> tuple[str, ...]:
        """Every value of an option that may be given several times."""
        return tuple(self.values.get(name, []))

    def flag(self, name: str) -> bool:
        """Whether a flag was given."""
        return name in self.values

    def count(self, name: str, what: str) -> int:
        """The whole number that an option gives; 0 if it was not given."""
        text = self.text(name)
        if text and not re.fullmatch(r"[1-9]\d{0,5}", text, re.ASCII):
            raise NotUnderstood(what, text, "5")
        return int(text or 0)

    def everything(self, *but: str) -> tuple[str, ...]:
        """Every text that was typed, but for the values of some options."""
        return (
            self.words,
            *(text for name, several in self.values.items() if name not in but for text in several),
        )


@dataclass(frozen=True, slots=True)
class LooseCommand:
    """A command: its name, what it is for, what its words are, its options, and what it does."""

    name: str
    about: str
    more: str
    words: tuple[str, ...]
    options: tuple[Option, ...]
    answer: Callable[[Given], int]
    usage: str = "[WORDS...]"

    def run(self, typed: Sequence[str]) -> int:
        """Read what was typed and answer it, or show the help."""
        given = read(self, typed)
        if given is None:
            put(help_of(self))
            return 0
        return self.answer(given)


def read(command: LooseCommand, typed: Sequence[str]) -> Given | None:
    """Words and options apart; nothing where help is wanted.

    Raises:
        InputError: an option that does not exist, has no value, or is given twice.
    """
    words: list[str] = []
    values: dict[str, list[str]] = {}
    rest = list(typed)
    while rest:
        word = rest.pop(0)
        if word == "--":
            words += rest
            break
        if not _LIKE_AN_OPTION.match(word):
            words.append(word)
            continue
        if word in ("-h", "--help"):
            return None
        name, _, glued = word.partition("=")
        option = _known(command, name)
        if option.name in values and not option.several:
            raise OptionsClash(f"{name} once", f"{name} again", "Give it once.")
        if not option.value:
            values[name] = []
        elif glued or rest:
            values.setdefault(name, []).append(glued or rest.pop(0))
        else:
            raise MissingValue(name, "a value", f"{name} {option.value} ({option.help.rstrip('.')})")
    return Given(" ".join(words), values, tuple(words))


def help_of(command: LooseCommand) -> str:
    """The help: how it is written, what it is for, every option."""
    to = terminal()
    lines = [f"Usage: {my_name()} {command.name} [OPTIONS] {command.usage}", ""]
    for text in (command.about, command.more):
        lines += [*wrapped(text, to.width, "  "), ""]
    lines += ["Words:", *(line for text in command.words for line in wrapped(text, to.width, "  ", " " * 4))]
    lines += ["", "Options:"]
    helped = (*command.options, Option("-h, --help", "", "Show this message and stop."))
    called = [f"{one.name} {one.value}".strip() for one in helped]
    wide = max(len(name) for name in called)
    for name, one in zip(called, helped, strict=True):
        lines += wrapped(one.help, to.width, f"  {name.ljust(wide)}  ", " " * (wide + 4))
    return "\n".join(lines)


def _known(command: LooseCommand, name: str) -> Option:
    names = {one.name: one for one in command.options}
    if name not in names:
        nearest = difflib.get_close_matches(name, names, n=1)
        every = (f"those of caskward {command.name} --help",)
        raise UnknownName("option", name, nearest[0] if nearest else None, every)
    return names[name]
