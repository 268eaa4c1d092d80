"""One class per situation that a maker can meet; the sentences are written here.

A sentence says what was given (value and unit), what is allowed, and what to do next. `exit_code` is
what a command ends with: 2 for a wrong input, 3 for an intent that cannot be met with this gear.
"""

from __future__ import annotations


class CaskwardError(Exception):
    """Anything Caskward refuses to do, said in one sentence."""

    exit_code = 1


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
            advice = f"Known: {', '.join(known)}." if known else "Leave it out."
        super().__init__(f"{given!r} is not a known {what}. {advice}")
        self.given, self.nearest = given, nearest


class MissingValue(InputError):
    """Something the answer depends on was not given."""

    def __init__(self, where: str, what: str, example: str) -> None:
        super().__init__(f"{where} needs {what}. Add, for example: {example}")


class BadCatalogueEntry(InputError):
    """A catalogue file, or a maker's own entry, holds something that cannot be used."""

    def __init__(self, where: str, problem: str, advice: str) -> None:
        super().__init__(f"{where}: {problem}. {advice}")
        self.where, self.problem, self.advice = where, problem, advice


class ImpossibleIntent(CaskwardError):
    """The wish cannot be met with this gear and these stores; says what binds."""

    exit_code = 3
