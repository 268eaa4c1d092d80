"""One root of one rising function, in as few evaluations as can be: each one is a whole forecast.

The library's root-finder takes over a second to import; the tests hold this one against it.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from caskward.errors import CaskwardError

_MOST_STEPS = 60
_FIRST_STEP = 1.15


class NoRoot(CaskwardError):
    """The function stays on one side of zero between the bounds; `above` says which side."""

    def __init__(self, above: bool) -> None:
        super().__init__("the function stays above zero" if above else "the function stays below zero")
        self.above = above


def rising_root(
    value: Callable[[float], float],
    guess: float,
    least: float,
    most: float,
    within: float,
    step: float = _FIRST_STEP,
) -> float:
    """Where a rising function passes zero; a little above it rather than below.

    Args:
        value: rises, not necessarily smoothly.
        guess: a first place to look, inside the bounds, above 0.
        least: lower bound, above 0.
        most: upper bound.
        within: relative width of the last bracket.
        step: factor of the first step away from the guess; near 1 for a good guess.

    Raises:
        NoRoot: no sign change between the bounds.
    """
    low, high = _bracket(value, guess, least, most, step)
    (x_low, y_low), (x_high, y_high) = low, high
    last_side = 0
    for _ in range(_MOST_STEPS):
        if y_high == 0.0 or x_high - x_low <= within * x_high:
            break
        x = x_low - y_low * (x_high - x_low) / (y_high - y_low)  # regula falsi, with Illinois halving
        edge = 0.25 * within * x_high
        x = min(max(x + edge, x_low + edge), x_high - edge)
        y = value(x)
        if not math.isfinite(y):
            raise ArithmeticError(f"the function is {y} at {x}")
        side = 1 if y >= 0.0 else -1
        if side > 0:
            x_high, y_high = x, y
            y_low = 0.5 * y_low if last_side > 0 else y_low
        else:
            x_low, y_low = x, y
            y_high = 0.5 * y_high if last_side < 0 else y_high
        last_side = side
    else:
        raise ArithmeticError(f"no root after {_MOST_STEPS} steps")
    return x_high


def _bracket(
    value: Callable[[float], float], guess: float, least: float, most: float, step: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Two places with the root between, by steps that double."""
    here = (guess, value(guess))
    while True:
        there_x = min(max(here[0] * step if here[1] < 0.0 else here[0] / step, least), most)
        there = (there_x, value(there_x))
        if (here[1] < 0.0) != (there[1] < 0.0):
            return (here, there) if here[1] < 0.0 else (there, here)
        if there_x in (least, most):
            raise NoRoot(above=there[1] >= 0.0)
        here, step = there, step**2
