"""Which cause explains all readings best, and which check would tell the rest apart.

Each cause is a tub with a few unknowns changed. Its worlds are carried through the same model as every
forecast; the share of a cause's prior weight that its worlds keep under the readings is its chance
(Bayes' rule by plain Monte Carlo). A check is worth what it is expected to add to the chance of the cause
that then leads.
Source: expected value of information, any text on decision analysis, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

import numpy as np

from caskward.planning.belief.weighing import with_slips
from caskward.planning.likelihood import seen_among_causes
from caskward.planning.readings import QUANTITIES, Reading
from caskward.planning.unknowns import Unknown, draw
from caskward.stages.stream import Worlds

WORLDS_EACH: Final = 512
"""Worlds of each cause."""
_BINS, _FEWEST_BINS, _MOST_OUTCOMES = 7, 3, 4096
"""Ranges that a figure is looked at in; fewer where a check reads so much that its outcomes are too many."""
_MINUTE_COSTS: Final = 0.001
"""Chance that a minute of work is worth, where two checks settle about as much."""


@dataclass(frozen=True)
class Cause:
    """Something that may be wrong: its weight before any reading, and the unknowns it changes.

    weight: how often it is met, against the others; *common practice, no source*.
    """

    key: str
    words: str
    weight: float
    changes: tuple[Unknown, ...] = ()


@dataclass(frozen=True)
class Check:
    """One look that may tell causes apart: the quantities it reads together, and the work it is."""

    key: str
    words: str
    quantities: tuple[str, ...]
    minutes: float


class Followed(Protocol):
    """A tub carried through worlds."""

    def expected(self, quantity: str, at_h: float) -> Worlds:
        """What an instrument would show in each world; of a yes or no, the chance of a yes."""


class Model(Protocol):
    """A stage that can go wrong."""

    @property
    def base(self) -> tuple[Unknown, ...]:
        """Unknowns of a sound stage."""

    @property
    def causes(self) -> tuple[Cause, ...]:
        """What may be wrong; among them that nothing is."""

    @property
    def checks(self) -> tuple[Check, ...]:
        """Looks that may tell causes apart."""

    def follow(self, worlds: Mapping[str, Worlds], readings: Sequence[Reading], at_h: float) -> Followed:
        """Carry the stage through worlds, as the readings say, to some hour."""

    def drives(self, quantity: str) -> bool:
        """True for a quantity whose readings steer the model instead of judging it."""

    def steering(self, readings: Sequence[Reading]) -> Worlds:
        """Log likelihood, under each cause, that a maker steers the tub as the readings say: (causes,)."""

    def steered_as_planned(self, readings: Sequence[Reading]) -> bool:
        """Whether what steers the model was kept as planned."""


@dataclass(frozen=True)
class Weighed:
    """Causes after the readings.

    chance: of each cause, adds up to 1. weights: (causes, worlds), add up to 1 over all. surprise: how many
    times less likely the readings are than ones that the best cause would give (log); large means that no
    cause explains them.
    """

    model: Model
    readings: tuple[Reading, ...]
    at_h: float
    chance: Worlds
    weights: Worlds
    worlds: Mapping[str, Worlds]
    followed: Followed

    @property
    def order(self) -> list[int]:
        """Causes by their chance, most likely first."""
        return [int(i) for i in np.argsort(-self.chance, kind="stable")]

    def of(self, cause: int) -> Worlds:
        """Weights of one cause's worlds within it (add up to 1)."""
        own = self.weights[cause]
        whole = float(own.sum())
        return own / whole if whole > 0.0 else np.full_like(own, 1.0 / own.size)


@dataclass(frozen=True)
class Worth:
    """A check before it is made: chance of the leading cause now and, on average, after; what it may show.

    hedged: the same, were the answer only half as sure of itself as it is; checks go by that, for an answer
    that is wrong and sure of it is what a check is for. leads: for each outcome (by its readings' words) its
    chance, and the cause that then leads.
    """

    check: Check
    now: float
    after: float
    hedged: float
    leads: tuple[tuple[tuple[float | str, ...], float, int], ...]


def weigh(
    model: Model, readings: Sequence[Reading], at_h: float, seed: int = 1, worlds_each: int = WORLDS_EACH
) -> Weighed:
    """Chance of each cause after all readings, at some hour of the stage.

    Args:
        model: the stage with its causes. readings: of this stage. at_h: now [h]; not before any reading.
        seed, worlds_each: the same give the same answer; worlds of each cause, a power of two.
    """
    count = len(model.causes)
    worlds = _worlds_of_causes(model, worlds_each, seed)
    followed = model.follow(worlds, readings, at_h)
    log_like: Worlds = np.repeat(model.steering(readings), worlds_each)
    for reading in readings:
        if not model.drives(reading.quantity):
            log_like = log_like + log_likelihood(reading, followed.expected(reading.quantity, reading.at_h))
    log_like = log_like.reshape(count, worlds_each)
    prior = np.array([cause.weight for cause in model.causes])
    log_weight = log_like + np.log(prior / prior.sum())[:, None]
    weights = np.exp(log_weight - np.max(log_weight))
    weights /= weights.sum()
    return Weighed(model, tuple(readings), at_h, weights.sum(axis=1), weights, worlds, followed)


def _worlds_of_causes(model: Model, worlds_each: int, seed: int) -> dict[str, Worlds]:
    """Worlds of all causes, one after the other, from the same deviates: they differ by the cause alone."""
    z = draw(model.base, worlds_each, seed).deviates
    sets = [{u.name: u for u in with_changes(model.base, cause)} for cause in model.causes]
    nothing = np.zeros(worlds_each)

    def where(unknown: Unknown) -> Worlds:
        """Where earlier batches put it in its band; what was learned with it is drawn apart from it here."""
        place = unknown.taught
        return unknown.at(place.mean + place.sd * z.get(unknown.name, nothing))

    return {u.name: np.concatenate([where(own[u.name]) for own in sets]) for u in model.base}


def log_likelihood(reading: Reading, expected: Worlds) -> Worlds:
    """Log likelihood of a reading, by what was expected: long tails for a number, a slip for a yes or no."""
    return seen_among_causes(reading).log_like(expected)


def worth_of_checks(weighed: Weighed) -> tuple[Worth, ...]:
    """Every check that is not yet made, the one that settles most for its work first."""
    made = {r.quantity for r in weighed.readings if r.at_h >= weighed.at_h - 1e-9}
    open_checks = [c for c in weighed.model.checks if not set(c.quantities) <= made]
    found = [_worth(weighed, check) for check in open_checks]
    return tuple(sorted(found, key=lambda w: -(w.hedged - _MINUTE_COSTS * w.check.minutes)))


def with_changes(base: tuple[Unknown, ...], cause: Cause) -> tuple[Unknown, ...]:
    """The unknowns of a tub with one thing wrong."""
    changed = {u.name: u for u in cause.changes}
    return tuple(changed.get(u.name, u) for u in base)


def _worth(weighed: Weighed, check: Check) -> Worth:
    bins = _bins(check)
    spread = [_outcomes(weighed, quantity, bins) for quantity in check.quantities]
    leads = []
    after = hedged = 0.0
    unsure = _half_as_sure(weighed.chance)
    for values, weights in _several(spread, (), weighed.weights.ravel()):
        of_cause = np.sum(weights.reshape(weighed.weights.shape), axis=1)
        lead, whole = int(np.argmax(of_cause)), float(of_cause.sum())
        after += float(of_cause[lead])
        hedged += float(np.max(of_cause * unsure))
        leads.append((values, whole, lead))
    return Worth(check, float(np.max(weighed.chance)), after, hedged, tuple(leads))


Outcome = tuple[float | str, Worlds]


def _several(
    spread: Sequence[Sequence[Outcome]], values: tuple[float | str, ...], weights: Worlds
) -> Iterator[tuple[tuple[float | str, ...], Worlds]]:
    """Everything that a check may show together, and what each world then weighs."""
    if not spread:
        yield values, weights
        return
    for value, chance in spread[0]:
        yield from _several(spread[1:], (*values, value), weights * chance)


def _bins(check: Check) -> int:
    """Ranges of each figure, so that the outcomes of all together stay few enough."""
    yes_or_no = sum(QUANTITIES[q].yes_or_no for q in check.quantities)
    figures = len(check.quantities) - yes_or_no
    fits = [
        b for b in range(_FEWEST_BINS, _BINS + 1) if 2.0**yes_or_no * float(b) ** figures <= _MOST_OUTCOMES
    ]
    return max(fits, default=_FEWEST_BINS)


def _half_as_sure(chance: Worlds) -> Worlds:
    """What each cause's chance is multiplied by where all log odds are halved; they still add up to 1."""
    root = np.sqrt(np.maximum(chance, 1e-12))
    return np.asarray(root / root.sum() / np.maximum(chance, 1e-12))


def _outcomes(weighed: Weighed, quantity: str, bins: int) -> list[Outcome]:
    """What a reading may show, each with its chance in every world: yes and no, or ranges by their middle."""
    expected = weighed.followed.expected(quantity, weighed.at_h)
    if QUANTITIES[quantity].yes_or_no:
        yes = with_slips(expected)
        return [("yes", yes), ("no", 1.0 - yes)]
    kind = QUANTITIES[quantity]
    sd = kind.sd * (max(float(np.sum(weighed.weights.ravel() * expected)), 1.0) if kind.relative else 1.0)
    edges = _edges(expected, weighed.weights.ravel(), sd, bins)
    below = np.array([_under(edge, expected, sd) for edge in edges])
    cumulative = np.concatenate([np.zeros((1, expected.size)), below, np.ones((1, expected.size))])
    middles = [edges[0] - sd, *(0.5 * (edges[:-1] + edges[1:])), edges[-1] + sd]
    return [(float(m), p) for m, p in zip(middles, np.diff(cumulative, axis=0), strict=True)]


def _edges(expected: Worlds, weights: Worlds, sd: float, bins: int) -> Worlds:
    order = np.argsort(expected)
    cumulative = np.cumsum(weights[order])
    at = np.searchsorted(cumulative, np.linspace(0.0, 1.0, bins + 1)[1:-1] * cumulative[-1])
    edges = expected[order][np.minimum(at, expected.size - 1)]
    return np.asarray(edges + np.linspace(-1e-6, 1e-6, edges.size) * sd)


def _under(edge: float, expected: Worlds, sd: float) -> Worlds:
    """Chance that a reading is under an edge: a logistic curve, whose tails are long like a reading's."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip((edge - expected) / (0.551 * sd), -50.0, 50.0))))
