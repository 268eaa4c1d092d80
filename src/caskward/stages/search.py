"""Where a rising function crosses zero, in every world at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from caskward.stages.stream import Worlds


def crossing(
    rising: Callable[[Worlds], Worlds], low: Worlds, high: Worlds, within: float = 1e-12, rounds: int = 60
) -> Worlds:
    """Place between two ends where a rising function is zero: false position, the Illinois way.

    The end nearest to zero where it has one sign throughout. Worlds are searched side by side, until none
    of them moves by more than `within`, or for `rounds`. For functions without cliffs: where the ends' values
    are a million times those near the root, choose a better scale for the place first.
    """
    a, b = (np.array(end, dtype=float) for end in np.broadcast_arrays(low, high))
    at_a, at_b = np.minimum(rising(a), 0.0), np.maximum(rising(b), 0.0)
    last, found = np.zeros(a.shape), np.where(at_a == 0.0, a, b)
    for _ in range(rounds):
        rise = at_b - at_a
        along = np.where(rise > 0.0, at_b / np.where(rise > 0.0, rise, 1.0), 0.0)
        c = b - along * (b - a)
        done = bool(np.all(np.abs(c - found) <= within))
        found = c
        if done:
            break
        at_c = rising(c)
        below = at_c < 0.0
        at_a = np.where(below, at_c, np.where(last < 0.0, 0.5 * at_a, at_a))
        at_b = np.where(below, np.where(last > 0.0, 0.5 * at_b, at_b), at_c)
        a, b, last = np.where(below, c, a), np.where(below, b, c), np.where(below, 1.0, -1.0)
    return np.asarray(found)
