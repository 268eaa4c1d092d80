"""What readings say to possible tubs: how well each explains them, and how each reading fits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from caskward.planning.plan import Band
from caskward.planning.readings import QUANTITIES, Reading
from caskward.planning.tub.brew import Brew
from caskward.planning.tub.explain import log_likelihood
from caskward.stages.iodine import starch_test_positive
from caskward.stages.mashing import MashCourse
from caskward.stages.stream import Stream, Worlds

MODEL_SG: Final = 0.003
"""What a course leaves out of a gravity, one standard deviation: 8 g/L of sugar, the most by which it may
miss the open series it is checked against."""
UNLIKELY: Final = 0.06
"""Chance of a yes or no under which it fits badly; *common practice, no source*."""
MODEL_PCT_VOL: Final = 0.4
FAR_OFF: Final = 3.0
"""Standard deviations from which a reading fits badly."""
JUDGES: Final = {
    "mash": ("starch", "gravity", "gravity_checked", "volume"),
    "ferment": ("gravity", "gravity_checked", "strength"),
}
DRIVES: Final = {"mash": ("temperature", "ph"), "ferment": ("temperature",)}


@dataclass(frozen=True)
class Fit:
    """A reading beside what was expected before any, and what is expected after all of them.

    sds_off: how far it lies from what the other readings lead one to expect, in standard deviations.
    """

    reading: Reading
    before: Band
    after: Band
    sds_off: float

    @property
    def badly(self) -> bool:
        """True where it lies far from what everything else leads one to expect."""
        return self.sds_off > FAR_OFF


def weighted_band(values: Worlds, weights: Worlds | None = None) -> Band:
    """1 in 10, middle and 9 in 10 of values by their weights; endless values stay endless."""
    flat = np.ravel(values)
    order = np.argsort(flat)
    part = np.full(flat.size, 1.0 / flat.size) if weights is None else np.ravel(weights)[order]
    reached = np.cumsum(part)
    at = np.minimum(np.searchsorted(reached, np.array([0.1, 0.5, 0.9]) * reached[-1]), flat.size - 1)
    low, mid, high = flat[order][at]
    return Band(float(low), float(mid), float(high))


Courses = tuple[MashCourse | None, Brew]
"""A tub's mash and its ferment."""


def weighed(
    readings: Sequence[Reading], followed: Courses, unread: Courses, count: int
) -> tuple[Worlds, tuple[Fit, ...]]:
    """Each world's share of the likelihood of all readings, and how each reading fits.

    followed: as warm and sour as it was read. unread: as it was expected before any reading.
    """
    judged = [(r, shown) for r in readings if (shown := _expected(r, *followed)) is not None]
    widened = [(with_model(r), shown) for r, shown in judged]
    each = [log_likelihood(reading, shown) for reading, shown in widened]
    before = [_expected(r, *unread) for r, _ in judged]
    whole = np.asarray(sum(each, np.zeros(count)))
    weights = _shares(whole)
    fits = (
        _fit(reading, shown, expected, weights, _shares(whole - own))
        for (reading, shown), expected, own in zip(widened, before, each, strict=True)
        if expected is not None
    )
    return weights, tuple(fits)


def _shares(log_like: Worlds) -> Worlds:
    weights = np.exp(log_like - np.max(log_like))
    return np.asarray(weights / weights.sum())


def with_model(reading: Reading) -> Reading:
    """A reading with the error of its instrument and what the course itself leaves out."""
    more = {"gravity": MODEL_SG, "gravity_checked": MODEL_SG, "strength": MODEL_PCT_VOL}
    own = more.get(reading.quantity, 0.0)
    return replace(reading, sd=float(np.hypot(reading.sd, own))) if own else reading


def _expected(reading: Reading, mash: MashCourse | None, brew: Brew) -> Worlds | None:
    if reading.quantity not in JUDGES[reading.stage]:
        return None
    if reading.stage == "ferment":
        i = int(np.argmin(np.abs(brew.hours - reading.at_h)))
        of = brew.strength_pct_vol if reading.quantity == "strength" else brew.specific_gravity
        return np.asarray(of[i])
    if mash is None:
        return None
    i = int(np.argmin(np.abs(mash.hours - reading.at_h)))
    if reading.quantity == "starch":
        return np.asarray(starch_test_positive(mash.showing_share[i]))
    stream: Stream = mash.stream(i)
    return np.asarray(
        stream.volume_at(stream.temp_c) if reading.quantity == "volume" else stream.specific_gravity
    )


def _fit(reading: Reading, shown: Worlds, unread: Worlds, weights: Worlds, by_others: Worlds) -> Fit:
    """How a reading fits: far off is far from what all the other readings lead one to expect."""
    middle = float(np.sum(by_others * shown))
    if QUANTITIES[reading.quantity].yes_or_no:
        chance = middle if reading.value > 0.5 else 1.0 - middle
        off = 0.0 if chance >= UNLIKELY else 2.0 * FAR_OFF
        after = float(np.sum(weights * shown))
        before = float(np.mean(unread))
        return Fit(reading, Band(before, before, before), Band(after, after, after), off)
    spread = float(np.sqrt(np.sum(by_others * (shown - middle) ** 2)))
    off = abs(reading.value - middle) / float(np.hypot(reading.sd, spread))
    return Fit(reading, weighted_band(unread), weighted_band(shown, weights), off)
