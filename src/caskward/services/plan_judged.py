"""How readings of a batch go together: what is hard to believe, and pairs that cannot both be right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from caskward.planning.belief.doubting import HARD, contradictions, doubted, without
from caskward.planning.belief.weighing import Number, Seen, quantiles
from caskward.planning.likelihood import seen
from caskward.planning.observing import Watched, drives
from caskward.planning.plan import Band, band
from caskward.planning.readings import QUANTITIES, Reading, Stage
from caskward.planning.update import Belief
from caskward.services.batch_typed import Pair, exclude
from caskward.stages.stream import Worlds

_FEWEST: Final = 8
"""Worlds that do not follow a row from which it is told what they lead one to expect."""
_APART: Final = 2.0
"""Errors of two readings together beyond which they contradict each other."""
_BELIEVED: Final = 0.5
"""Share of batches that show a reading from which it is believed, however little it was expected."""


@dataclass(frozen=True)
class Taken:
    """A reading as it was taken in.

    follows: it is followed, unless it is wrong; wrong: the chance of that, None where it is judged. chance:
    of a reading so far out, by all others; fits: what they lead one to expect; agrees: share of the batches,
    as they are believed with it, that would show it; chance and agrees are None where it is followed. hard:
    hard to believe by all others, and not believed. unforeseen: hard to believe by all others, and believed
    all the same. rough: few possible batches are left to judge it by.
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
    agrees: float | None = None
    unforeseen: bool = False
    wrong: float | None = None
    rough: bool = False


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
        share = agreeing(likelihoods[j], expected[j])
        believed = share >= _BELIEVED
        taken[id(reading)] = replace(
            _taken(reading, doubt.chance, fits, doubt.hard and not believed),
            agrees=share,
            unforeseen=doubt.hard and believed,
            rough=doubt.rough,
        )
    every = {id(r): taken.get(id(r)) or _followed(watched, r) for r in readings}
    apart = [(told[i], told[j]) for i, j in contradictions(likelihoods, expected)]
    return tuple(every.values()), _contradictions(pairs, apart, every)


def may_be_wrong(now: Belief, pairs: Sequence[Pair]) -> tuple[Reading, ...]:
    """Readings that are hard to believe, were not foreseen, or contradict another."""
    taken, apart = judged(now, pairs)
    at_odds = {id(one) for c in apart for one in (c.first, c.second)}
    return tuple(
        reading
        for reading, one in zip(now.readings, taken, strict=True)
        if one.hard or one.unforeseen or id(one) in at_odds
    )


def notes_of_doubted(now: Belief, pairs: Sequence[Pair]) -> tuple[str, ...]:
    """A sentence for each row that may be wrong; a pair of one moment has its own."""
    paired = {said for pair in pairs for said in (pair.first.said, pair.second.said)}
    rows = dict.fromkeys(one.said for one in may_be_wrong(now, pairs) if one.said not in paired)
    return tuple(
        f"'{row}' may be wrong, and all of this rests on it too: read it again before you act."
        for row in rows
    )


def agreeing(reading: Seen, expected: Worlds) -> float:
    """Share of equal worlds in which a reading is not hard to believe."""
    if isinstance(reading, Number):
        low, high = reading.log_tails(expected)
        return float(np.mean(2.0 * np.exp(np.minimum(low, high)) >= HARD))
    return float(np.mean(np.exp(reading.log_chance(expected)) >= HARD))


def _followed(watched: Watched, of: Reading) -> Taken:
    """A row of a log: how likely it is wrong, and what would have been read where it is."""
    wrong = watched.wrong(of)
    chance = float(np.mean(wrong))
    some = watched.expected(of)[wrong]
    fits = band(some) if some.size >= _FEWEST else None
    return replace(_taken(of, fits=fits, hard=chance > _BELIEVED), wrong=chance)


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
    found = [(p.first, p.second, p.first.moment == p.second.moment) for p in pairs if differ(p)]
    at_once = {(id(one), id(other)) for one, other, _ in found}
    found += [(one, other, False) for one, other in apart if (id(one), id(other)) not in at_once]
    return tuple(
        Contradiction(every.get(id(one)) or _taken(one), every.get(id(other)) or _taken(other), once)
        for one, other, once in found
    )


def differ(of: Pair) -> bool:
    """True for two readings that exclude each other, or lie too far apart for their errors."""
    if QUANTITIES[of.first.quantity].yes_or_no or exclude(of.first, of.second):
        return True
    return abs(of.first.value - of.second.value) > _APART * float(np.hypot(of.first.sd, of.second.sd))
