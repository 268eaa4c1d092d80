"""What a reading not yet taken would settle: how much of an outcome's doubt it is expected to take away.

Over the worlds the reading is played, with its error; the outcome is followed along it by a line with kinks,
and what then still varies is what the reading leaves. A yes or no parts the worlds in two.
Source: expected conditional variance, any text on decision analysis, from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.belief.weighing import SLIP, effective, equal, quantiles, with_slips
from caskward.stages.stream import Worlds

_PLAYS: Final = 4
_KINKS: Final = 9
_PARTS: Final = 12
_BAND: Final = (0.1, 0.9)
_RIDGE: Final = 1e-9


@dataclass(frozen=True)
class Settled:
    """What a reading is expected to do to an outcome.

    share: of the outcome's variance that it takes away, 0 to 1. width, width_after: of the outcome's 80 %
    band, now and expected.
    """

    share: float
    width: float
    width_after: float


def settles(
    outcome: Worlds, observable: Worlds, sd: float, weights: Worlds | None = None, seed: int = 1
) -> Settled:
    """What a number read with an error is expected to settle.

    Args:
        outcome, observable: (worlds,). sd: of the reading's error, in the observable's unit.
        weights: of the worlds. seed: for the errors played.
    """
    w = equal(outcome.size) if weights is None else weights / weights.sum()
    read, again = _played(observable, sd, seed), np.tile(outcome, _PLAYS)
    each = np.tile(w, _PLAYS) / _PLAYS
    followed, kinks = _followed(again, read, each)
    rest = again - followed
    whole, left = _variance(outcome, w), float(each @ np.square(rest))
    spare = max(1.0 - kinks / effective(w), 0.1)
    share = 1.0 - left / spare / whole if whole > 0.0 else 0.0
    width = _width(outcome, w)
    after = min(_width_within(rest, read, each) / np.sqrt(spare), width)
    return Settled(float(np.clip(share, 0.0, 1.0)), width, float(after))


def settles_yes_or_no(
    outcome: Worlds, chance: Worlds, weights: Worlds | None = None, slip: float = SLIP
) -> Settled:
    """What an answer is expected to settle; chance: of a yes in each world."""
    w = equal(outcome.size) if weights is None else weights / weights.sum()
    yes = with_slips(np.clip(chance, 0.0, 1.0), slip)
    left = after = 0.0
    for answer in (yes, 1.0 - yes):
        part = w * answer
        of_all = float(part.sum())
        if of_all > 0.0:
            left += of_all * _variance(outcome, part / of_all)
            after += of_all * _width(outcome, part / of_all)
    whole, width = _variance(outcome, w), _width(outcome, w)
    # The means of two halves differ by chance too: one part in as many as there are worlds.
    by_chance = whole / effective(w)
    share = (whole - left - by_chance) / whole if whole > 0.0 else 0.0
    return Settled(float(np.clip(share, 0.0, 1.0)), width, min(after, width))


def best_first(found: Sequence[Settled]) -> list[int]:
    """Readings by what they settle, the most first."""
    return sorted(range(len(found)), key=lambda i: -found[i].share)


def _played(observable: Worlds, sd: float, seed: int) -> Worlds:
    """Readings of every world, several of each; errors in pairs that cancel."""
    errors = np.random.default_rng(seed).standard_normal((_PLAYS // 2, observable.size))
    return np.asarray((observable + sd * np.concatenate([errors, -errors])).ravel())


def _followed(outcome: Worlds, read: Worlds, w: Worlds) -> tuple[Worlds, int]:
    """The outcome along the reading, by a line with kinks where the readings lie; and its coefficients."""
    spread = np.sqrt(_variance(read, w))
    if spread <= 0.0:
        return np.full_like(outcome, w @ outcome), 1
    at = np.unique(quantiles(read, tuple(np.linspace(0.0, 1.0, _KINKS + 2)[1:-1]), w))
    rows = np.stack([np.ones_like(read), (read - w @ read) / spread], axis=1)
    rows = np.hstack([rows, np.maximum(read[:, None] - at, 0.0) / spread])
    weighted = (rows * w[:, None]).T
    gram = weighted @ rows
    gram[np.diag_indices_from(gram)] += _RIDGE
    return np.asarray(rows @ np.linalg.solve(gram, weighted @ outcome)), rows.shape[1]


def _width_within(rest: Worlds, read: Worlds, w: Worlds) -> float:
    """Width of what the reading leaves, on average over readings low and high."""
    edges = quantiles(read, tuple(np.linspace(0.0, 1.0, _PARTS + 1)[1:-1]), w)
    part = np.searchsorted(edges, read)
    total = 0.0
    for one in np.unique(part):
        here = part == one
        of_all = float(w[here].sum())
        if of_all > 0.0:
            total += of_all * _width(rest[here], w[here] / of_all)
    return total


def _variance(values: Worlds, w: Worlds) -> float:
    return float(w @ np.square(values - w @ values))


def _width(values: Worlds, w: Worlds) -> float:
    low, high = quantiles(values, _BAND, w)
    return float(high - low)
