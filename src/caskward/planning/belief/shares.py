"""Whose doubt an outcome's doubt is: the share of its variance that goes with each unknown alone.

The outcome is taken as a sum of one curve for each unknown (z, |z| and z² and z³, fitted together); a share
is the covariance of a curve with their sum, over the outcome's variance, less what chance alone would give.
With independent unknowns that is the first-order index of Sobol; with worlds moved by readings the shares
still add up. What no sum of curves gives is "together".
Sources: Sobol (1993), first-order indices; Li et al. (2010), Journal of Physical Chemistry A 114, covariance
shares of correlated inputs; from memory, the tests hold closed forms.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.belief.proposals import Deviates
from caskward.planning.belief.weighing import effective, equal
from caskward.planning.unknowns import Unknown
from caskward.stages.stream import Worlds

_CURVE: Final = 4
"""Coefficients of a curve; |z| is for unknowns whose spread differs to both sides, or stops at nought."""
_RIDGE: Final = 1e-9
_SURE: Final = 2.0
"""Standard errors by which a share must stand out of chance."""
_FEWEST_EACH: Final = 1.5
"""Effective worlds for each coefficient, at least."""


@dataclass(frozen=True)
class Shares:
    """Shares of an outcome's variance, 0 to 1, largest first; `together` goes with no unknown alone."""

    of: Mapping[str, float]
    together: float


def shares(
    outcome: Worlds,
    z: Deviates,
    names: Sequence[str],
    weights: Worlds | None = None,
    groups: Mapping[str, str] | None = None,
) -> Shares:
    """Share of the outcome's variance that goes with each unknown, or group of them.

    Args:
        outcome: (worlds,); z: (worlds, unknowns); names: of the columns of z.
        weights: of the worlds; None where they count the same.
        groups: group of some names, to be counted as one; others stand for themselves.
    """
    w = equal(len(z)) if weights is None else weights / weights.sum()
    off = outcome - w @ outcome
    whole = float(w @ np.square(off))
    if whole <= 0.0:
        return Shares({}, 0.0)
    found = _of_columns(off, z, w) / whole
    by_group: dict[str, float] = {}
    for name, share in zip(names, found, strict=True):
        group = (groups or {}).get(name, name)
        by_group[group] = by_group.get(group, 0.0) + float(share)
    # Shares that chance took over the whole are taken back from all alike.
    over = max(sum(by_group.values()), 1.0)
    ranked = sorted(((k, v / over) for k, v in by_group.items() if v > 0.0), key=lambda kv: -kv[1])
    return Shares(dict(ranked), max(0.0, 1.0 - sum(v for _, v in ranked)))


def moving_together(unknowns: Sequence[Unknown]) -> dict[str, tuple[str, ...]]:
    """For each unknown with a deviate of its own, all that move with it, itself first."""
    free = {u.name for u in unknowns if not u.certain}
    own = [u.name for u in unknowns if not u.certain and u.moves_with not in free]
    return {
        name: (name, *(u.name for u in unknowns if u.moves_with == name and not u.certain)) for name in own
    }


def _of_columns(off: Worlds, z: Deviates, w: Worlds) -> Worlds:
    """Variance that goes with each column, less what chance gives; nought where it does not stand out."""
    curves, n = _curves(z, w), effective(w)
    weighted = (curves * w[:, None]).T
    gram = weighted @ curves
    gram[np.diag_indices_from(gram)] += _RIDGE
    each = weighted @ off
    found = np.linalg.solve(gram, each)
    spare = max(1.0 - len(found) / n, 1.0 - 1.0 / _FEWEST_EACH)
    # What chance gives each coefficient, by what is left where that coefficient has its say: interactions
    # leave most in the tails, where the bent terms are largest.
    left = curves * (w * (off - curves @ found))[:, None]
    by_chance = np.diag(np.linalg.solve(gram, left.T @ left)) / spare
    per = _coefficients(z, n)
    gone_with, chance = ((part.reshape(-1, per).sum(axis=1)) for part in (found * each, by_chance))
    stands_out = gone_with > chance * (1.0 + _SURE * np.sqrt(2.0 / per))
    return np.where(stands_out, np.maximum(gone_with - chance, 0.0), 0.0)


def _coefficients(z: Deviates, n: float) -> int:
    """As many for a curve as the worlds can tell: all, or a straight line and its bend, or the line."""
    for each in (_CURVE, 2):
        if each * z.shape[1] * _FEWEST_EACH <= n:
            return each
    return 1


def _curves(z: Deviates, w: Worlds) -> Deviates:
    """Columns of every unknown's curve side by side, each of mean nought and sd one."""
    terms = (z, np.square(z), np.abs(z), z**3)[: _coefficients(z, effective(w))]
    curves = np.stack(terms, axis=2).reshape(len(z), -1)
    curves = curves - w @ curves
    sd = np.sqrt(w @ np.square(curves))
    return np.asarray(curves / np.where(sd > 0.0, sd, 1.0))
