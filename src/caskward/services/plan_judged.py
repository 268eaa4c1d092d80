"""How readings of a batch go together: what is hard to believe, and pairs that cannot both be right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from caskward.planning.belief.doubting import contradictions, doubted, without
from caskward.planning.belief.weighing import quantiles
from caskward.planning.likelihood import seen
from caskward.planning.observing import Watched, drives
from caskward.planning.plan import Band, band
from caskward.planning.readings import QUANTITIES, Reading, Stage
from caskward.planning.update import Belief
from caskward.services.batch_typed import Pair, exclude

_FEWEST: Final = 8
"""Worlds that do not follow a row from which it is told what they lead one to expect."""
_HARD_IN: Final = 0.5
"""Chance of being wrong from which a row of a log is hard to believe."""
_APART: Final = 2.0
"""Errors of two readings together beyond which they contradict each other."""


@dataclass(frozen=True)
class Taken:
    """A reading as it was taken in.

    follows: it is followed, unless it is wrong; wrong: the chance of that, None where it is judged. chance:
    of a reading so far out, by all others, None where it is followed; fits: what they lead one to expect.
    hard: hard to believe.
    """

    stage: Stage
    quantity: str
    words: str
    value: float
    unit: str
    bound: str
    said: str
    follows: bool
    chance: float | None = None
    fits: Band | None = None
    hard: bool = False
    wrong: float | None = None


@dataclass(frozen=True)
class Contradiction:
    """Two readings of which only one can be right; both are kept. at_once: of one thing at one moment."""

    first: Taken
    second: Taken
    at_once: bool


def judged(now: Belief, pairs: Sequence[Pair]) -> tuple[tuple[Taken, ...], tuple[Contradiction, ...]]:
    """Every reading with how well the others bear it out, and pairs that cannot both be right."""
    readings = now.readings
    told = [r for r in readings if not drives(r)]
    likelihoods = [seen(r) for r in told]
    watched = Watched(now.sized, now.worlds, readings, now.settings)
    expected = np.array([watched.expected(r) for r in told]).reshape(len(told), len(now.z))
    log_likes = np.array([s.log_like(row) for s, row in zip(likelihoods, expected, strict=True)])
    found = doubted(likelihoods, expected)
    taken: dict[int, Taken] = {}
    for j, (reading, doubt) in enumerate(zip(told, found, strict=True)):
        low, mid, high = quantiles(expected[j], (0.1, 0.5, 0.9), without(log_likes, (j,)))
        fits = Band(float(low), float(mid), float(high))
        taken[id(reading)] = _taken(reading, doubt.chance, fits, doubt.hard)
    every = {id(r): taken.get(id(r)) or _followed(watched, r) for r in readings}
    apart = [(told[i], told[j]) for i, j in contradictions(likelihoods, expected)]
    return tuple(every.values()), _contradictions(pairs, apart, every)


def _followed(watched: Watched, of: Reading) -> Taken:
    """A row of a log: how likely it is wrong, and what would have been read where it is."""
    wrong = watched.wrong(of)
    chance = float(np.mean(wrong))
    some = watched.expected(of)[wrong]
    fits = band(some) if some.size >= _FEWEST else None
    return replace(_taken(of, fits=fits, hard=chance > _HARD_IN), wrong=chance)


def _taken(of: Reading, chance: float | None = None, fits: Band | None = None, hard: bool = False) -> Taken:
    kind = QUANTITIES[of.quantity]
    return Taken(
        of.stage,
        of.quantity,
        kind.words,
        of.value,
        kind.unit,
        of.bound,
        of.said,
        drives(of),
        chance,
        fits,
        hard,
    )


def _contradictions(
    pairs: Sequence[Pair], apart: Sequence[tuple[Reading, Reading]], every: dict[int, Taken]
) -> tuple[Contradiction, ...]:
    found = [(p.first, p.second, True) for p in pairs if differ(p)]
    at_once = {(id(one), id(other)) for one, other, _ in found}
    found += [(one, other, False) for one, other in apart if (id(one), id(other)) not in at_once]
    return tuple(
        Contradiction(every.get(id(one)) or _taken(one), every.get(id(other)) or _taken(other), once)
        for one, other, once in found
    )


def differ(of: Pair) -> bool:
    """True for two readings of one moment that exclude each other, or lie too far apart for their errors."""
    if QUANTITIES[of.first.quantity].yes_or_no or exclude(of.first, of.second):
        return True
    return abs(of.first.value - of.second.value) > _APART * float(np.hypot(of.first.sd, of.second.sd))
