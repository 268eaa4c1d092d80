"""How likely a reading is: its instrument's error, what its model leaves out, and that it is simply wrong."""

from __future__ import annotations

from collections.abc import Mapping
from math import log
from typing import Final

import numpy as np

from caskward.planning.belief.weighing import SLIP, Above, Below, Number, Seen, YesNo
from caskward.planning.readings import QUANTITIES, Quantity, Reading, Stage

MODEL_SD: Final[Mapping[tuple[Stage, str], float]] = {
    ("mash", "gravity"): 0.001,
    ("mash", "gravity_checked"): 0.001,
    ("ferment", "gravity"): 0.003,
    ("ferment", "gravity_checked"): 0.003,
    ("ferment", "strength"): 0.4,
    ("strip", "spout"): 1.0,
    ("run", "spout"): 1.0,
}
"""What the models leave out of a reading, one standard deviation in its unit: a course misses the open
ferment series by up to 8 g/L of sugar, a run the published strengths by about 1 %vol; *common practice* for
the rest."""


WRONG_BY: Final = 10.0
"""Most over least that a wrong volume shows, about the true one; *common practice, no source*."""


def seen(reading: Reading) -> Seen:
    """A reading as a likelihood: its own error and what its model leaves out, together; and slips."""
    return _likelihood(reading, sd_of(reading), SLIP)


def seen_among_causes(reading: Reading) -> Seen:
    """The same where causes are weighed that hold the model's error and a misread figure among them."""
    return _likelihood(reading, reading.sd, 0.0)


def _likelihood(reading: Reading, sd: float, slip: float) -> Seen:
    """A number, a bound or an answer; of answers the usual share is wrong, whatever is asked."""
    kind = QUANTITIES[reading.quantity]
    if kind.yes_or_no:
        return YesNo(reading.value > 0.5)
    if reading.bound == "over":
        return Above(reading.value, sd, slip)
    if reading.bound == "under":
        return Below(reading.value, sd, slip)
    return Number(reading.value, sd, slip, _over(kind, reading.value))


def sd_of(reading: Reading) -> float:
    """Spread of a number's error, its model's with it, in the quantity's unit."""
    return float(np.hypot(reading.sd, MODEL_SD.get((reading.stage, reading.quantity), 0.0)))


def _over(kind: Quantity, value: float) -> float:
    """How wide the values lie that a wrong reading shows, in the quantity's unit, seen from one of them.

    As far as the instrument goes; where its error is a share of the reading, over an order of size: evenly
    on a scale of logarithms, whose density is 1 over the value and over the length of the scale.
    """
    if kind.relative:
        return max(value, kind.low, 1e-9) * log(WRONG_BY)
    return kind.high - kind.low
