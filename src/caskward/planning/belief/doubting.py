"""Readings that are hard to believe: against the worlds that all other readings leave.

The worlds follow every reading; one is taken out again by its likelihood. The weights that do so are cut at
the square root of the number of worlds, for a reading that decided much leaves few worlds to judge it by.
Source: truncated importance sampling (Ionides 2008, Journal of Computational and Graphical Statistics 17),
from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np

from caskward.planning.belief.weighing import Number, Seen, effective, normalised
from caskward.stages.stream import Worlds

HARD: Final = 0.02
"""Chance under which a reading is hard to believe; *common practice, no source*."""
FINE: Final = 0.1
"""Chance over which it is nothing to remark on; *common practice, no source*."""
_FEW: Final = 50.0


@dataclass(frozen=True)
class Doubted:
    """How well the other readings bear one out.

    chance: of a reading so far out, or further, on either side; of a yes or no, "over" or "under", of that
    very answer. judged_by: how many worlds judge it; under fifty the chance is rough.
    """

    chance: float
    judged_by: float

    @property
    def hard(self) -> bool:
        """True where it is hard to believe."""
        return self.chance < HARD

    @property
    def rough(self) -> bool:
        """True where few worlds are left to judge by."""
        return self.judged_by < _FEW


def chance_of(reading: Seen, expected: Worlds, weights: Worlds) -> float:
    """Chance of a reading so far out under weighted worlds: two tails of a number, one of an answer.

    Judged as if no reading were ever simply wrong: that is what is in question.
    """
    if isinstance(reading, Number):
        low, high = (float(weights @ np.exp(tail)) for tail in reading.log_tails(expected))
        return min(1.0, 2.0 * min(low, high))
    return float(weights @ np.exp(reading.log_chance(expected)))


def without(log_likes: Worlds, out: Sequence[int]) -> Worlds:
    """Weights of worlds that follow every reading, once those named are taken out again.

    log_likes: (readings, worlds).
    """
    if not len(out):
        return np.full(log_likes.shape[1], 1.0 / log_likes.shape[1])
    weights = normalised(-log_likes[list(out)].sum(axis=0))
    cut = np.minimum(weights, np.sqrt(weights.size) * weights.mean())
    return np.asarray(cut / cut.sum())


def doubted(seen: Sequence[Seen], expected: Worlds) -> tuple[Doubted, ...]:
    """Each reading against all the others.

    Args:
        seen: every reading that the worlds follow. expected: (readings, worlds), worlds of equal weight.
    """
    log_likes = _log_likes(seen, expected)
    return tuple(_judged(seen, expected, log_likes, j, (j,)) for j in range(len(seen)))


def contradictions(seen: Sequence[Seen], expected: Worlds) -> tuple[tuple[int, int], ...]:
    """Pairs of readings that cannot both be right: each is fine by all the rest, and not beside the other.

    That one is hard to believe beside the other is enough, for by Bayes' rule it holds the other way round
    too; the worlds may have settled at one of the two, and can then judge only the other.
    """
    log_likes = _log_likes(seen, expected)
    found = []
    for i, j in combinations(range(len(seen)), 2):
        apart = [_judged(seen, expected, log_likes, k, (i, j)) for k in (i, j)]
        beside = [_judged(seen, expected, log_likes, k, (k,)) for k in (i, j)]
        if all(d.chance > FINE for d in apart) and any(d.hard for d in beside):
            found.append((i, j))
    return tuple(found)


def _log_likes(seen: Sequence[Seen], expected: Worlds) -> Worlds:
    return np.array([r.log_like(row) for r, row in zip(seen, expected, strict=True)])


def _judged(
    seen: Sequence[Seen], expected: Worlds, log_likes: Worlds, j: int, out: tuple[int, ...]
) -> Doubted:
    weights = without(log_likes, out)
    return Doubted(chance_of(seen[j], expected[j], weights), effective(weights))
