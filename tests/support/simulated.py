"""Simulated batches: a truth drawn from the plan's doubts, readings of it that err, and where it ranks.

Source of the method: Talts et al. (2018), Validating Bayesian inference algorithms with simulation-based
calibration, arXiv 1804.06788: the truth's rank among draws of what is believed is even, from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from caskward.planning.belief.tempering import Care
from caskward.planning.belief.weighing import Number, YesNo, with_slips
from caskward.planning.forecast import Course, forecast
from caskward.planning.likelihood import WRONG_BY, seen
from caskward.planning.observing import Watched, unknowns_of
from caskward.planning.readings import QUANTITIES, STAGES, Quantity, Reading, Stage, reading_of
from caskward.planning.sizing import Sized, size
from caskward.planning.unknowns import Draw, draw_of
from caskward.planning.update import Belief, begin, update
from tests.support.batches import intent_of

Asked = tuple[Stage, str, float, float]
"""What may be read: stage, quantity, hours, litres."""
ASKED: tuple[Asked, ...] = (
    ("mash", "gravity", 1.0, 0.0),
    ("mash", "gravity_checked", 2.0, 0.0),
    ("mash", "volume", 1.0, 0.0),
    ("mash", "starch", 1.5, 0.0),
    ("ferment", "gravity", 24.0, 0.0),
    ("ferment", "gravity", 72.0, 0.0),
    ("ferment", "volume", 0.0, 0.0),
    ("wash", "gravity", 0.0, 0.0),
    ("wash", "volume", 0.0, 0.0),
    ("wash", "strength", 0.0, 0.0),
    ("strip", "spout", 0.0, 10.0),
    ("strip", "volume", 0.0, 0.0),
    ("strip", "strength", 0.0, 0.0),
    ("charge", "volume", 0.0, 0.0),
    ("charge", "strength", 0.0, 0.0),
    ("run", "spout", 0.0, 8.0),
    ("heart", "volume", 0.0, 0.0),
    ("heart", "strength", 0.0, 0.0),
    ("cask", "strength", 720.0, 0.0),
)
"""One of each kind along the whole batch."""


@cache
def sized_of(name: str, worlds: int) -> Sized:
    """A starting point, sized."""
    return size(intent_of(name, worlds=worlds))


def outcomes(course: Course) -> dict[str, NDArray[np.float64]]:
    """What is tracked of a batch, over worlds."""
    cask = course.filled.cask_record
    return {
        "fill": course.available_l,
        "mash gravity": course.mash.convert.specific_gravity,
        "wash strength": course.wash.strength_pct_vol,
        "wash volume": course.wash.volume_l,
        "low wines volume": course.low_wines.volume_l,
        "low wines alcohol": course.low_wines.ethanol_kg,
        "heart volume": course.spirit.receivers.heart.volume_l,
        "settled strength": cask.settled_pct_vol,
    }


def truth_of(sized: Sized, rng: np.random.Generator) -> Draw:
    """One world of what is not known of a batch; independent of the plan's own worlds."""
    names = begin(sized, 2).names
    deviates = {name: rng.standard_normal(1) for name in names}
    return draw_of(unknowns_of(sized), deviates, 1, sized.intent.seed)


def read(sized: Sized, truth: Draw, asked: Sequence[Asked], rng: np.random.Generator) -> tuple[Reading, ...]:
    """Readings of a truth, each with the error that its likelihood takes it to have.

    A reading that no instrument could show is drawn again.
    """
    blank = [
        reading_of(stage, quantity, _some(quantity), at_h, "", at_l) for stage, quantity, at_h, at_l in asked
    ]
    watched = Watched(sized, truth, blank)
    return tuple(_read(watched, b, rng) for b in blank)


def _some(quantity: str) -> float:
    kind = QUANTITIES[quantity]
    return 0.5 * (kind.low + kind.high) if not kind.yes_or_no else 1.0


def _read(watched: Watched, blank: Reading, rng: np.random.Generator) -> Reading:
    expected = float(watched.expected(blank)[0])
    kind = QUANTITIES[blank.quantity]
    if kind.yes_or_no:
        judged = seen(blank)
        assert isinstance(judged, YesNo)
        yes = rng.random() < float(with_slips(np.array(expected), judged.slip))
        return reading_of(blank.stage, blank.quantity, float(yes), blank.at_h, "", blank.at_l)
    near = reading_of(blank.stage, blank.quantity, expected, blank.at_h, "", blank.at_l)
    judged = seen(near)
    assert isinstance(judged, Number)
    wrong = rng.random() < judged.slip
    for _ in range(1000):
        value = _anything(kind, expected, rng) if wrong else expected + judged.sd * float(rng.standard_t(4))
        if kind.low <= value <= kind.high:
            return Reading(blank.stage, blank.quantity, value, blank.at_h, near.sd, "", blank.at_l)
    raise AssertionError("no instrument could show this")


def _anything(kind: Quantity, expected: float, rng: np.random.Generator) -> float:
    """What a reading shows that is simply wrong: every value alike, or up to an order of size about it."""
    if kind.relative:
        return float(expected * WRONG_BY ** rng.uniform(-0.5, 0.5))
    return float(rng.uniform(kind.low, kind.high))


def some_of(rng: np.random.Generator, asked: Sequence[Asked] = ASKED, most: int = 8) -> tuple[Asked, ...]:
    """A few readings by chance, in the order of the batch: it may end anywhere along its way."""
    until = rng.integers(1, len(STAGES) + 1)
    possible = [a for a in asked if STAGES.index(a[0]) < until]
    count = int(rng.integers(1, min(most, len(possible)) + 1))
    picked = sorted(rng.choice(len(possible), size=count, replace=False))
    return tuple(possible[int(k)] for k in picked)


@dataclass(frozen=True)
class Ranked:
    """Where one truth lies among the worlds believed: share of them below it, by outcome; and how it went."""

    below: dict[str, float]
    readings: int
    runs: int
    whole: bool


def replicate(
    name: str, worlds: int, seed: int, asked: Sequence[Asked] = ASKED, care: Care | None = None
) -> Ranked:
    """One simulated batch: drawn, read, believed, ranked. Other worlds for each, as independent as truths."""
    rng = np.random.default_rng([2026, seed])
    sized = sized_of(name, worlds)
    truth = truth_of(sized, rng)
    readings = read(sized, truth, some_of(rng, asked), rng)
    belief = update(own_worlds(sized, seed, worlds), readings, care)
    return Ranked(
        _below(sized, truth, belief),
        len(readings),
        belief.particles.evaluations if belief.particles else 0,
        belief.particles.whole if belief.particles else True,
    )


def own_worlds(sized: Sized, seed: int, worlds: int) -> Belief:
    """A belief before any reading whose worlds are scrambled by a seed of their own."""
    own = replace(sized, intent=replace(sized.intent, seed=100_000 + seed))
    return begin(own, worlds)


def covered(below: NDArray[np.float64], share: float = 0.8) -> float:
    """Part of the truths within the middle share of what is believed."""
    return float(np.mean(np.abs(below - 0.5) <= 0.5 * share))


def evenness(below: NDArray[np.float64], bins: int) -> float:
    """Chance of ranks so uneven, or more so, if they are even (chi-square)."""
    from scipy import stats

    counts = np.histogram(below, bins, (0.0, 1.0))[0]
    return float(stats.chisquare(counts).pvalue)


def _below(sized: Sized, truth: Draw, belief: Belief) -> dict[str, float]:
    true = outcomes(forecast(sized.intent, sized.method, truth))
    rng = np.random.default_rng(belief.sized.intent.seed)
    found = {}
    for key, values in outcomes(belief.course).items():
        under = np.count_nonzero(values < true[key][0])
        same = np.count_nonzero(values == true[key][0])
        # Rank among the worlds and itself; one of equal ones by chance.
        found[key] = float(under + rng.integers(0, same + 1) + rng.random()) / (len(values) + 1)
    return found
