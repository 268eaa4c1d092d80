"""What a wish for a new batch can get wrong, beyond what its file can."""

from __future__ import annotations

from caskward.errors.common import ImpossibleIntent, InputError


class WishImpossible(ImpossibleIntent):
    """A wish that breaks a limit was to be begun."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"{reason} Nothing was begun. Change the wish, or take one of the ways out.")


class BatchAlreadyThere(InputError):
    """A new batch was given the name of one that the book has."""

    def __init__(self, name: str) -> None:
        super().__init__(f"The book has a batch {name} already. Give this one another name.")


class BatchNotOpen(InputError):
    """A batch that is closed was to get a plan."""

    def __init__(self, name: str) -> None:
        super().__init__(f"The batch {name} is closed, so it takes no plan. Begin a new one from it.")
