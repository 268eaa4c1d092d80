"""One root of a falling or rising function, without a slow library."""

from __future__ import annotations

from collections.abc import Callable

_MOST_STEPS = 100


def root(
    function: Callable[[float], float],
    low: float,
    high: float,
    precision: float = 1e-13,
    ends: tuple[float, float] | None = None,
) -> float:
    """Where a function that changes its sign between `low` and `high` is zero.

    Regula falsi in the Illinois form: the bracket is kept, the end that does not move counts half.

    ends: the function's values at the two ends, where they are known already.
    Without a change of sign the end with the smaller value comes back: the caller has judged both.
    """
    at_low, at_high = ends or (function(low), function(high))
    if at_low == 0.0 or at_high == 0.0 or (at_low > 0.0) == (at_high > 0.0):
        return low if abs(at_low) <= abs(at_high) else high
    side = 0
    for _ in range(_MOST_STEPS):
        guess = (low * at_high - high * at_low) / (at_high - at_low)
        value = function(guess)
        if value == 0.0 or abs(high - low) <= precision:
            return guess
        if (value > 0.0) == (at_high > 0.0):
            moved = abs(high - guess)
            high, at_high = guess, value
            at_low = at_low / 2.0 if side == 1 else at_low
            side = 1
        else:
            moved = abs(low - guess)
            low, at_low = guess, value
            at_high = at_high / 2.0 if side == -1 else at_high
            side = -1
        if moved <= precision:
            return guess
    return 0.5 * (low + high)
