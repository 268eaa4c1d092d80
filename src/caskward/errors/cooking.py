"""What a cook pot, a cooling tub or a measured response can get wrong."""

from __future__ import annotations

from caskward.errors.common import InputError


class NotHotEnough(InputError):
    """A pot whose walls lose as much as its heat gives before the cook's temperature."""

    def __init__(self, cook_c: float, reaches_c: float, power_kw: float, needed_kw: float) -> None:
        super().__init__(
            f"{power_kw:.3g} kW brings this pot to about {reaches_c:.0f} °C in a day and hardly further: its "
            f"walls lose what reaches it. Only to hold {cook_c:.0f} °C it needs {needed_kw:.2g} kW. Cover or "
            "wrap the pot, give it more heat, or cook smaller pots."
        )
        self.reaches_c = reaches_c


class NothingCooled(InputError):
    """Two temperatures of a standing tub that show no cooling toward the room."""

    def __init__(self, start_c: float, end_c: float, room_c: float) -> None:
        super().__init__(
            f"From {start_c:.1f} to {end_c:.1f} °C in a room of {room_c:.1f} °C shows no heat lost to the "
            "room. Give two readings of a tub at rest, the later one nearer to the room than the first but "
            "not yet there."
        )


class MovedTheWrongWay(InputError):
    """An acid that raised the pH, or a base that lowered it."""

    def __init__(self, what: str, kind: str, before: float, after: float) -> None:
        moved, should = ("raised", "lowers") if after > before else ("lowered", "raises")
        super().__init__(
            f"{what} {moved} the pH from {before:.2f} to {after:.2f}, but {kind} {should} it. Check which "
            "reading came first, what is in the bottle, and the meter in its buffers."
        )


class TargetTheOtherWay(InputError):
    """A target on the side to which this addition does not move the pH."""

    def __init__(self, what: str, lowers: bool, now: float, target: float) -> None:
        moves, goes, wanted = ("lowers", "up", "raises") if lowers else ("raises", "down", "lowers")
        super().__init__(
            f"{what} {moves} the pH, and from {now:.2f} to {target:.2f} it has to go {goes}. "
            f"Use something that {wanted} it, or leave it as it is."
        )


class NoMove(InputError):
    """A trial that moved the pH no more than the meter doubts."""

    def __init__(self, moved: float, doubt: float) -> None:
        super().__init__(
            f"The trial moved the pH by {abs(moved):.2f}, and two readings of this meter differ by up to "
            f"{doubt:.2f} by themselves: that tells nothing. Add more to the trial jar and read again."
        )


class UnlikeTrials(InputError):
    """Trials of one addition that moved the pH both ways."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"One trial of {what} raised the pH and another lowered it. Leave out the one whose readings "
            "were swapped."
        )


class MoreThanNothing(InputError):
    """An amount of nothing, where some of it is needed."""

    def __init__(self, name: str, given: float, unit: str, example: str) -> None:
        unit_after = f" {unit}" if unit else ""
        super().__init__(f"{name} is {given:g}{unit_after}, but must be more than 0. Write, say, {example}.")


class MoreThanThePot(InputError):
    """More grain than a pot holds, dry and level."""

    def __init__(self, grain: str, given: str, pot: str, most: str) -> None:
        super().__init__(
            f"{given} of {grain} is more than {pot} holds: brim-full of dry grain it takes {most}. Give "
            "less, or a larger pot."
        )
