"""Targets: one figure of a stage, set by the maker, expected with a band, or a label's window."""

from __future__ import annotations

import numpy as np

from caskward.planning.plan import Band, Target, Unit, band
from caskward.stages.stream import Worlds


def is_set(key: str, words: str, unit: Unit, value: float) -> Target:
    """A figure the maker sets, the same in every world."""
    return Target(key, words, "set", unit, Band(value, value, value))


def expected(key: str, words: str, unit: Unit, values: Worlds) -> Target:
    """A figure that worlds differ in."""
    return Target(key, words, "forecast", unit, band(values))


def window(key: str, words: str, unit: Unit, edges: tuple[float, float]) -> Target:
    """The edges that a label or a yeast allows."""
    low, high = edges
    return Target(key, words, "window", unit, Band(low, 0.5 * (low + high), high))


def middle(key: str, words: str, unit: Unit, values: Worlds) -> Target:
    """A figure whose spread over worlds says less than what the model leaves out: the middle alone."""
    mid = float(np.median(values))
    return Target(key, words, "forecast", unit, Band(mid, mid, mid))
