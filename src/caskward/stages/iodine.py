"""The starch test: a drop of mash with iodine turns blue-black while long starch is left.

It says yes or no. Blue needs chains of about 45 glucose units, and 12 to 15 give no colour (from memory): no
colour is no proof that yeast can use what is left, for dextrin does not show.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caskward.stages.mashing import MashCourse
from caskward.stages.stream import Worlds

SHOWS_AT_SHARE = 0.007
"""Share of the starch that is still long at which every second maker calls the drop blue; 0.005 to 0.01,
*common practice, no source*."""
STEEPNESS = 4.0
"""Power of the share over that in the odds of blue: at half of it one maker in 17 sees blue, at twice 16."""
SLIP_RATE = 0.02
"""A drop is misread, mixed up or badly taken so often; *common practice, no source*."""
SPENT_SHARE = 0.05


def starch_test_positive(
    share: float | Worlds, shows_at: float | Worlds = SHOWS_AT_SHARE, slip: float = SLIP_RATE
) -> Worlds:
    """Probability that a drop with iodine turns blue-black [0..1]: the likelihood of a yes.

    p = slip + (1 - 2 slip) / (1 + (share / shows_at)^-4): logistic in the log of the share.

    Args:
        share: of the starch, what shows: `MashCourse.showing_share`, or long starch alone [0..1].
        shows_at: the share at which it is even [above 0]. slip: how often the answer is wrong [0..0.5].
    """
    odds = (np.maximum(share, 0.0) / np.asarray(shows_at)) ** STEEPNESS
    return np.asarray(slip + (1.0 - 2.0 * slip) * odds / (1.0 + odds))


@dataclass(frozen=True)
class TestTimes:
    """When to take a drop [h]; inf where the course ends before.

    first_h: from here on the drop is probably clear in most worlds; before, a blue one says little.
    sure_h: by here it is in nearly all; a blue one now says that something is wrong.
    spent_h: from here on the thinning enzymes are spent in most worlds, and waiting helps no more.
    """

    first_h: float
    sure_h: float
    spent_h: float


def when_to_test(course: MashCourse, most: float = 0.8, nearly_all: float = 0.95) -> TestTimes:
    """When the starch test is worth a drop.

    Args:
        course: the mash. most, nearly_all: shares of worlds [0..1].
    """
    clear = starch_test_positive(course.showing_share) < 0.5
    clear_share = clear.reshape(len(course.hours), -1).mean(axis=1)
    return TestTimes(
        first_h=_lasting(course.hours, clear_share >= most),
        sure_h=_lasting(course.hours, clear_share >= nearly_all),
        spent_h=_lasting(course.hours, _spent_share(course) >= most),
    )


def _spent_share(course: MashCourse) -> Worlds:
    """Share of worlds in which under a twentieth of every thinning dose is alive, all of them being in."""
    spent = np.ones((len(course.hours), int(np.prod(course.raw_kg.shape[1:]))), dtype=bool)
    for dose, alive in zip(course.doses, course.activity, strict=True):
        if dose.enzyme.does == "thin":
            is_in = (course.hours >= dose.at_h).reshape(-1, 1)
            spent &= is_in & (alive.reshape(len(course.hours), -1) < SPENT_SHARE)
    return np.asarray(spent.mean(axis=1))


def _lasting(hours: Worlds, holds: NDArray[np.bool_]) -> float:
    """First hour from which it holds to the end of the grid."""
    after_last_no = len(holds) - int(np.argmin(holds[::-1])) if not holds.all() else 0
    return float(hours[after_last_no]) if after_last_no < len(hours) else float("inf")
