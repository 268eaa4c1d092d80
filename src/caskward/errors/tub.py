"""What readings of a mash or a ferment can get wrong."""

from __future__ import annotations

from caskward.errors.common import InputError, MissingValue


class ReadingOutOfPlace(InputError):
    """A reading of a stage that does not have it."""

    def __init__(self, words: str, stage: str, stages: tuple[str, ...]) -> None:
        super().__init__(f"{words[:1].upper()}{words[1:]} is no reading of a {stage}, but of a {stages[0]}.")


class NoReadings(MissingValue):
    """A question without a reading to go by."""

    def __init__(self) -> None:
        super().__init__("tub ask", "at least one reading", '"mash starch blue at 90 min"')


class SameReadingTwice(InputError):
    """Two values of one quantity at one moment."""

    def __init__(self, words: str, first: str, second: str) -> None:
        super().__init__(
            f"Two readings of the {words} at the same time: {first!r} and {second!r}. "
            "Keep the one you trust, or give the second its own time."
        )


class NothingToConvert(InputError):
    """A question about a mash where the bill has no starch."""

    def __init__(self) -> None:
        super().__init__(
            "This bill holds no starch, so there is no mash to ask about. "
            'Ask about its ferment: "ferment gravity 1.030 at 4 d".'
        )
