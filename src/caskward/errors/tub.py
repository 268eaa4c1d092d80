"""What readings of a mash or a ferment can get wrong."""

from __future__ import annotations

from caskward.errors.common import InputError, MissingValue


class ReadingOutOfPlace(InputError):
    """A reading of a stage that does not have it."""

    def __init__(self, words: str, stage: str, stages: tuple[str, ...]) -> None:
        named = words if words.startswith("pH") else f"{words[:1].upper()}{words[1:]}"
        super().__init__(f"{named} is no reading of a {stage}, but of a {' or a '.join(stages)}.")


class NoReadings(MissingValue):
    """A question without a reading to go by."""

    def __init__(self) -> None:
        super().__init__("tub ask", "at least one reading", '--reading "mash 90 min: starch blue, 62 C"')


class EmptyLog(InputError):
    """A log without a single reading."""

    def __init__(self, path: str, example: str) -> None:
        super().__init__(
            f"{path} holds no reading. Write one row of them a line, such as {example}; a line that begins "
            "with # is a note."
        )


class SameReadingTwice(InputError):
    """Two values of one quantity at one moment."""

    def __init__(self, words: str, first: str, second: str) -> None:
        super().__init__(
            f"Two readings of the {words} at the same time: {first!r} and {second!r}. "
            "Keep the one you trust, or give the second its own time."
        )


class NothingToRead(InputError):
    """A reading of something that this batch does not have, or that no model tells."""

    def __init__(self, stage: str, words: str = "", instead: str = "") -> None:
        what = f"The {words} of the {stage}" if words else f"A {stage}"
        do = instead or "Leave that reading out, or note it by hand."
        super().__init__(f"{what} tells nothing about this batch. {do}")


class NoMashHere(NothingToRead):
    """A mash's reading where nothing is mashed: a must is read as the yeast goes in."""

    def __init__(self, items: str) -> None:
        super().__init__(
            "mash",
            instead=f"It has no starch to mash. What the yeast goes into is read as it goes in: "
            f'"ferment 0 d: {items}".',
        )


class NothingToConvert(InputError):
    """A question about a mash where the bill has no starch."""

    def __init__(self) -> None:
        super().__init__(
            "This bill holds no starch, so there is no mash to ask about. "
            'Ask about its ferment: --reading "ferment 4 d: 1.030, 24 C".'
        )


class SetPointOutOfReach(InputError):
    """A set-point at which the yeast is not kept."""

    def __init__(self, set_c: float, yeast: str, low_c: float, high_c: float, system: str = "metric") -> None:
        given, low, high = (_degrees(temp_c, system) for temp_c in (set_c, low_c, high_c))
        super().__init__(
            f"The set-point is {given}, but {yeast[:1].lower()}{yeast[1:]} is kept between {low} and {high}. "
            "Give one in there, or choose another yeast in your file."
        )


class ReadingsOutOfOrder(InputError):
    """A log whose rows go back in time."""

    def __init__(self, log: str, earlier: str, later: str) -> None:
        super().__init__(
            f"{log} is out of order: {later!r} stands below {earlier!r} but is earlier. Count all hours from "
            "the start of the stage, and put the rows in order of time."
        )


def _degrees(temp_c: float, system: str) -> str:
    return f"{temp_c * 1.8 + 32.0:.0f} °F" if system == "us" else f"{temp_c:.0f} °C"
