"""What rows of things done in a batch can get wrong."""

from __future__ import annotations

from caskward.errors.common import InputError


class NotInTheBill(InputError):
    """A material that was mashed and that the plan's bill does not have."""

    def __init__(self, name: str, bill: tuple[str, ...]) -> None:
        super().__init__(
            f"{name!r} is not in this plan's bill ({', '.join(bill)}). Mashed is what the plan has, in other "
            "amounts; with another material, change the bill in your file."
        )


class DoneTwice(InputError):
    """Two rows that say the same thing was done."""

    def __init__(self, first: str, second: str) -> None:
        super().__init__(
            f"{first!r} and {second!r} both say what was done once. Keep one row, with all of it."
        )


class CaskReadOnBothSides(InputError):
    """A cask that was read before something was done to it, and again after."""

    def __init__(self, done: str, after: str) -> None:
        super().__init__(
            f"The cask was read before {done!r} and again after it, {after!r}. Leave out what was read "
            "before: it is another cask by now."
        )


class DoneCannotBe(InputError):
    """Something done that is out of all reach; what is allowed comes with its unit."""

    def __init__(self, said: str, allowed: str) -> None:
        super().__init__(
            f"{said!r} cannot be right: here it can be {allowed}. Check the figure and its unit."
        )


class NothingOfTheKind(InputError):
    """Something done to what this batch does not have."""

    def __init__(self, said: str, why: str) -> None:
        super().__init__(f"{said!r} has no place here: {why}. Leave the row out, or check the plan's file.")
