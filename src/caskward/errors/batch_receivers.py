"""What rows about a run's receivers can get wrong."""

from __future__ import annotations

from caskward.errors.common import InputError


class NotOfAReceiver(InputError):
    """Part of a receiver's row that is neither an amount nor a mark nor a word."""

    def __init__(self, receiver: str, given: str, example: str) -> None:
        super().__init__(
            f"{given!r} of {receiver} is not understood: give a volume with its unit, a strength, a mark "
            f"with its sign (+1, 0, -2, in, out, maybe, discard) or what it smells of. Write: {example!r}."
        )


class SaidTwice(InputError):
    """A receiver's row with two figures of one kind."""

    def __init__(self, receiver: str, what: str, first: str, second: str) -> None:
        super().__init__(
            f"The row of {receiver} has two of {what}: {first!r} and {second!r}. Keep the one that is right."
        )


class NothingOfTheReceiver(InputError):
    """A receiver's row with nothing behind its name."""

    def __init__(self, receiver: str, example: str) -> None:
        super().__init__(f"Nothing is said of {receiver}. Write: {example!r}.")


class NoSuchReceiver(InputError):
    """A mark, or a choice, of a receiver that nobody has filled."""

    def __init__(self, receiver: str, known: tuple[str, ...]) -> None:
        there = f"There are {', '.join(known)}" if known else "None is filled yet"
        super().__init__(
            f"{receiver[:1].upper()}{receiver[1:]} has no volume in this run. {there}. A new one is entered "
            "with what is in it: 'jar 1: 1 L, 74.2 %'."
        )


class ForeshotsStayOut(InputError):
    """Foreshots that somebody likes or takes."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"{name[:1].upper()}{name[1:]} stay out, whatever is said of them: they never go where a person "
            "drinks from. If it was a jar that you meant, give its name: 'jar 1: +1'."
        )


class NoSuchRun(InputError):
    """A run that begins without saying which."""

    def __init__(self, given: str) -> None:
        super().__init__(
            f"{given!r} does not say which run begins. Write 'begins: strip 2' or 'begins: run 1'."
        )
