"""What the conditions of a run can get wrong: heat, height, warmth, stops, dead volume, figures."""

from __future__ import annotations

from caskward.errors.common import InputError


class NotForThisRun(InputError):
    """A condition that no run of this charge can have; figures come with their units."""

    def __init__(self, what: str, given: str, allowed: str, advice: str) -> None:
        super().__init__(f"{what} is {given}, but must be {allowed}. {advice}")


class NothingRuns(InputError):
    """A stop that is met before the first drop, in all possible runs or in most of them."""

    def __init__(self, stop: str, chance: float, begins: str, advice: str) -> None:
        runs = "" if chance > 0.99 else f" in {round(10 * chance)} of 10 possible runs"
        super().__init__(
            f"Nothing would run{runs}: the stop, when {stop}, is met before the first drop. {begins} {advice}"
        )


class NoSuchReceiver(InputError):
    """A receiver that the plan does not hold."""

    def __init__(self, given: str, known: tuple[str, ...]) -> None:
        few = ", ".join(known[:6]) + (" ..." if len(known) > 6 else "")
        super().__init__(f"No receiver is called {given!r}. This plan has: {few}.")


class FigureTwice(InputError):
    """A congener with two laboratory figures."""

    def __init__(self, congener: str) -> None:
        super().__init__(
            f"{congener} has two laboratory figures. Give the one that belongs to what is in the pot."
        )
