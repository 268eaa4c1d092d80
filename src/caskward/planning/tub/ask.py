"""What now? Causes ranked by all readings, what the next check would show of each, and what to do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from caskward.planning.readings import QUANTITIES, Reading
from caskward.planning.tub.explain import Check, Weighed, worth_of_checks
from caskward.planning.tub.mend import Mend
from caskward.stages.stream import Worlds

LEAST_CHANCE, MOST_TOLD = 0.03, 4
"""Causes less likely than that are not told, nor more than so many."""
SETTLED = 0.95
"""Chance of one cause from which no check is asked for."""
_HARD_TO_BELIEVE = 4.0
_UNLIKELY_ANSWER = 0.06
_OUTSIDE, _SOUND_ANSWER = 0.05, 0.1
"""Share of sound tubs that may be called otherwise by all numbers together; least chance of a yes or no that
passes for a sound one's."""

Mender = Callable[[Weighed, int], tuple[Mend, ...]]


@dataclass(frozen=True)
class Shows:
    """What a reading would show under one cause: its middle, or the chance of a yes."""

    quantity: str
    value: float


@dataclass(frozen=True)
class Told:
    """A cause as told: its chance, what the suggested check would show, what to do."""

    key: str
    words: str
    chance: float
    shows: tuple[Shows, ...]
    mends: tuple[Mend, ...]


@dataclass(frozen=True)
class Suggested:
    """A check: chance of the leading cause now and, on average, after it."""

    check: Check
    now: float
    after: float


@dataclass(frozen=True)
class Doubted:
    """A reading that no cause explains: as read, as expected at its best."""

    reading: Reading
    expected: float


@dataclass(frozen=True)
class Answer:
    """What may be wrong, most likely first; the check that tells most; other checks by their worth."""

    readings: tuple[Reading, ...]
    at_h: float
    causes: tuple[Told, ...]
    others_chance: float
    check: Suggested | None
    more_checks: tuple[Suggested, ...]
    doubted: tuple[Doubted, ...]
    as_planned: bool = False
    """True where every reading lies where those of a sound tub do: nothing asks for a mend."""

    @property
    def unexplained(self) -> bool:
        """True where even the likeliest cause leaves two readings, or half of them, hard to believe."""
        return len(self.doubted) >= min(2, max(1, (len(self.readings) + 1) // 2))

    @property
    def settled(self) -> bool:
        """True where one cause explains it and no check is needed."""
        return self.check is None


def ask(
    weighed: Weighed, mender: Mender, most: int = MOST_TOLD, least_chance: float = LEAST_CHANCE
) -> Answer:
    """Tell what a weighed tub says: `mender` gives what to do about a cause."""
    sound_so_far = as_planned(weighed)
    order = weighed.order
    if sound_so_far:
        sound = _sound(weighed)
        order = [sound, *(k for k in order if k != sound)]
    told = [k for k in order[:most] if weighed.chance[k] >= least_chance] or order[:1]
    worth = worth_of_checks(weighed)
    checks = [Suggested(w.check, w.now, w.after) for w in worth if w.after > w.now + 0.005]
    settled = float(weighed.chance[told[0]]) >= SETTLED or not checks
    quantities = () if settled else checks[0].check.quantities
    return Answer(
        readings=weighed.readings,
        at_h=weighed.at_h,
        causes=tuple(_told(weighed, k, quantities, mender) for k in told),
        others_chance=float(1.0 - sum(weighed.chance[k] for k in told)),
        check=None if settled else checks[0],
        more_checks=() if settled else tuple(checks[1:]),
        doubted=tuple(_doubted(weighed)),
        as_planned=sound_so_far,
    )


def _sound(weighed: Weighed) -> int:
    """The cause that nothing is wrong."""
    return next(k for k, cause in enumerate(weighed.model.causes) if not cause.changes)


def as_planned(weighed: Weighed) -> bool:
    """Whether all readings together lie where nineteen of twenty sound tubs' do, errors included."""
    sound, each = _sound(weighed), weighed.weights.shape[1]
    judged = [r for r in weighed.readings if not weighed.model.drives(r.quantity)]
    outside = _OUTSIDE / max(len(judged), 1)

    def lies_within(reading: Reading) -> bool:
        expected = weighed.followed.expected(reading.quantity, reading.at_h)[
            sound * each : (sound + 1) * each
        ]
        if QUANTITIES[reading.quantity].yes_or_no:
            chance = float(np.mean(expected))
            return (chance if reading.value > 0.5 else 1.0 - chance) >= _SOUND_ANSWER
        low, middle, high = np.quantile(expected, (0.5 * outside, 0.5, 1.0 - 0.5 * outside))
        error = reading.sd * NormalDist().inv_cdf(1.0 - 0.5 * outside)
        spread = (middle - low) if reading.value < middle else (high - middle)
        return bool(abs(reading.value - middle) <= np.hypot(spread, error))

    steered = weighed.model.steered_as_planned(weighed.readings)
    return steered and all(lies_within(reading) for reading in judged)


def _told(weighed: Weighed, cause: int, quantities: Sequence[str], mender: Mender) -> Told:
    what = weighed.model.causes[cause]
    shows = tuple(Shows(q, _middle(weighed, cause, q)) for q in quantities)
    return Told(what.key, what.words, float(weighed.chance[cause]), shows, mender(weighed, cause))


def _middle(weighed: Weighed, cause: int, quantity: str) -> float:
    """What a cause's worlds would show now: the weighted mean chance of a yes, or the weighted median."""
    each = weighed.weights.shape[1]
    here = slice(cause * each, (cause + 1) * each)
    expected = weighed.followed.expected(quantity, weighed.at_h)[here]
    weights = weighed.of(cause)
    if QUANTITIES[quantity].yes_or_no:
        return float(np.sum(weights * expected))
    return _weighted_median(expected, weights)


def _weighted_median(values: Worlds, weights: Worlds) -> float:
    order = np.argsort(values)
    at = int(np.searchsorted(np.cumsum(weights[order]), 0.5 * float(weights.sum())))
    return float(values[order][min(at, values.size - 1)])


def _doubted(weighed: Weighed) -> list[Doubted]:
    """Readings far from what the worlds that explain the rest would show: look at the instrument."""
    out = []
    for reading in weighed.readings:
        if weighed.model.drives(reading.quantity):
            continue
        expected = weighed.followed.expected(reading.quantity, reading.at_h)
        weights = weighed.weights.ravel()
        mean = float(np.sum(weights * expected))
        if QUANTITIES[reading.quantity].yes_or_no:
            chance = mean if reading.value > 0.5 else 1.0 - mean
            hard = chance < _UNLIKELY_ANSWER
        else:
            spread = float(np.sqrt(np.sum(weights * (expected - mean) ** 2) + reading.sd**2))
            hard = abs(reading.value - mean) > _HARD_TO_BELIEVE * spread
        if hard:
            out.append(Doubted(reading, mean))
    return out
