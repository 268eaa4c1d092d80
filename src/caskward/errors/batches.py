"""What strips in turn and feints over many batches can get wrong."""

from __future__ import annotations

from caskward.errors.common import InputError


class NoFullCharge(InputError):
    """Full charges alone, of a wash that does not fill the still once; amounts come with their units."""

    def __init__(self, wash: str, charge: str) -> None:
        super().__init__(
            f"{wash} do not make one full charge of {charge}, so with full charges only all of it would be "
            "kept for the next batch. Run it as it is: --charges full-then-rest"
        )


class LeastOverMost(InputError):
    """A still whose element wants more over it than the pot takes; amounts come with their units."""

    def __init__(self, least: str, most: str, why: str) -> None:
        super().__init__(
            f"No charge suits this still: at least {least} must be charged (--least), and at most {most} of "
            f"this {why}. Check what covers the element, or take a larger pot."
        )


class OverTheBrim(InputError):
    """A charge limit or a working volume over what the pot holds; amounts come with their units."""

    def __init__(self, name: str, room: str, brimful: str) -> None:
        super().__init__(
            f"The {name} of {room} is more than the pot holds to the brim, {brimful}. Check both: a boiling "
            "pot needs room over it."
        )


class StopNeverMet(InputError):
    """A stop that the charge is spent before."""

    def __init__(self, stop: str, charge: str, most: str, examples: str) -> None:
        super().__init__(
            f"The stop, {stop}, is never met: when a charge of {charge} has no alcohol left, {most}. "
            f"Write it like {examples}."
        )


class ImpossibleCuts(InputError):
    """Cuts that leave no heart, or that no run can make."""

    def __init__(self, why: str, instead: str) -> None:
        super().__init__(f"These cuts cannot be made: {why}. {instead}")
