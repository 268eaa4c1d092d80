"""The kinds of refusal, and what any text, number or file can get wrong."""

from __future__ import annotations

from typing import Any


class CaskwardError(Exception):
    """Anything Caskward refuses to do, said in one sentence."""

    exit_code = 1

    def __reduce__(self) -> tuple[Any, ...]:
        """An error keeps its sentence from process to process, whatever it was made of."""
        return _as_it_was, (type(self), self.args, self.__dict__)


def _as_it_was(
    kind: type[CaskwardError], said: tuple[object, ...], known: dict[str, object]
) -> CaskwardError:
    error = kind.__new__(kind)
    error.args = said
    error.__dict__.update(known)
    return error


class InputError(CaskwardError):
    """Something that was given cannot be used as it stands."""

    exit_code = 2


class OutOfRange(InputError):
    """A value lies outside what a model or a vessel allows."""

    def __init__(self, name: str, given: float, unit: str, low: float, high: float, hint: str = "") -> None:
        unit_after = f" {unit}" if unit else ""
        sentence = f"{name} is {given:g}{unit_after}, but must lie between {low:g} and {high:g}{unit_after}."
        super().__init__(f"{sentence} {hint}".strip())
        self.name, self.given, self.unit, self.low, self.high = name, given, unit, low, high


class NotUnderstood(InputError):
    """A typed value could not be read."""

    def __init__(self, what: str, given: str, examples: str) -> None:
        super().__init__(f"{given!r} is not understood as {what}. Write it like {examples}.")


class WrongKind(InputError):
    """A value was given in a unit of another kind, such as a mass where a volume is needed."""

    def __init__(self, what: str, given: str, given_kind: str, wanted_kind: str, examples: str) -> None:
        super().__init__(
            f"{given!r} is {given_kind} and cannot be used for {what}. "
            f"Give {wanted_kind}, written like {examples}."
        )


class UnclearValue(InputError):
    """A typed value can be read in more than one way, and guessing would be dangerous."""

    def __init__(self, what: str, given: str, writings: tuple[str, ...]) -> None:
        super().__init__(f"{given!r} is not clear as {what}. Write {' or '.join(writings)}.")
        self.writings = writings


class NotAnAmount(InputError):
    """A number that no vessel, scale or clock could show: below zero, infinite, absurd."""

    def __init__(self, what: str, given: str, reason: str, examples: str) -> None:
        super().__init__(f"{given!r} cannot be {what}: it is {reason}. Write it like {examples}.")


class NothingGiven(InputError):
    """A field was left empty."""

    def __init__(self, what: str, examples: str) -> None:
        super().__init__(f"Nothing was given for {what}. Write it like {examples}.")


class NotShowable(CaskwardError):
    """A result is not a number that can be shown; the fault is in the calculation, not in what was typed."""

    def __init__(self, what: str, value: float) -> None:
        super().__init__(
            f"The calculation gave {value} as {what}, which cannot be right. "
            "Please report it with what you entered."
        )


class UnknownName(InputError):
    """A name that is not in the catalogue, or a key that is not part of the file's format."""

    def __init__(self, what: str, given: str, nearest: str | None, known: tuple[str, ...] = ()) -> None:
        if nearest:
            advice = f"Did you mean {nearest!r}?"
        else:
            listed = f"Known: {', '.join(known)}"
            advice = f"{listed}{'' if listed.endswith('...') else '.'}" if known else "Leave it out."
        if what == "material":
            advice += " All of them: caskward materials"
        super().__init__(f"{given!r} is not a known {what}. {advice}")
        self.given, self.nearest = given, nearest


class MissingValue(InputError):
    """Something the answer depends on was not given."""

    def __init__(self, where: str, what: str, example: str) -> None:
        super().__init__(f"{where} needs {what}. Add, for example: {example}")


class ImpossibleIntent(CaskwardError):
    """The wish cannot be met with this gear and these stores; says what binds."""

    exit_code = 3


class WrongShape(InputError):
    """A value is of another kind than its place asks for."""

    def __init__(self, where: str, given: object, allowed: str) -> None:
        super().__init__(f"{where} is {given!r}; it must be {allowed}.")


class NotToml(InputError):
    """A file that is not TOML."""

    def __init__(self, problem: str) -> None:
        what, _, where = problem.partition(" (at ")
        place = f"At {where.rstrip(')')} the" if where.startswith("line") else "The"
        super().__init__(
            f"{place} file cannot be read as TOML ({what[:1].lower()}{what[1:]}). Each key stands once, "
            'before a "="; words and amounts with a unit stand in straight quotes, like capacity = "25 L".'
        )


class UnreadableFile(InputError):
    """A file that cannot be opened or is not text."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(
            f"{path} cannot be read: {why}. Check the name, or begin with: caskward plan --new > mine.toml"
        )


class UnwritableFile(InputError):
    """A file that cannot be written where it was asked for."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(
            f"{path} cannot be written: {why}. Name a file in a folder that exists and that you may write to."
        )


class WouldOverwrite(InputError):
    """A file to print that holds something else already."""

    def __init__(self, given: str) -> None:
        super().__init__(f"{given} is there already and is no printed sheet. Name another, or move it.")


class WrongFileKind(InputError):
    """A file to write whose name says that it is of another kind."""

    def __init__(self, given: str, wanted: str, example: str) -> None:
        super().__init__(f"{given!r} is not the name of a {wanted} file. Name it like {example}.")


class OptionsClash(InputError):
    """Two options of a command that cannot be had together."""

    def __init__(self, first: str, second: str, advice: str) -> None:
        super().__init__(f"{first} and {second} do not go together. {advice}")


class NewGoesToTheScreen(InputError):
    """A file name where a starting point's name belongs."""

    def __init__(self, given: str) -> None:
        super().__init__(
            f"{given!r} is a file, but --new takes the name of a starting point, such as rye, and writes to "
            "the screen. To keep what it writes: caskward plan --new > mine.toml"
        )
