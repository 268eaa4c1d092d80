"""Worlds of two kinds, one of them rare, carried to what readings leave: each by itself, then together.

A ferment that stops short is such a kind. Of two thousand draws of the prior forty are of it, and of those
few show what was read; no Gaussian goes from one kind to the other. So each has a ladder of its own, and how
much each counts for follows from its evidence: the mean likelihood of the readings over its own prior.
Source: normalising constants by sequential Monte Carlo, as in `tempering`; the tests hold the outcome against
draws of the prior, weighed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caskward.planning.belief.proposals import Deviates
from caskward.planning.belief.tempering import Care, Evaluated, Particles, Target, temper
from caskward.stages.stream import Worlds

_FIRST_TRY: Final = 0.25
"""Share of the worlds that the rare kind gets at first."""
_LEAST: Final = 64
_TINY: Final = 1e-300
_FEW: Final = 0.02
"""A kind of which so few are left says nothing of how the whole went."""
_NORMAL: Final = NormalDist()


@dataclass(frozen=True)
class Rare:
    """A kind that few worlds are of: those whose deviate in one column of z lies beyond a point.

    column: of z. share: of the prior's worlds, over 0 and under 1.
    """

    column: int
    share: float

    @property
    def first(self) -> float:
        """The deviate at which the kind begins."""
        return _NORMAL.inv_cdf(1.0 - self.share)

    def met(self, z: Deviates) -> NDArray[np.bool_]:
        """Which worlds are of the kind."""
        return np.asarray(z[:, self.column] > self.first)

    def only(self, z: Deviates, *, rare: bool) -> Deviates:
        """Draws of the prior, their deviate moved into the kind, quantile for quantile."""
        at = z[:, self.column].tolist()
        if rare:  # by the upper tail, which keeps its digits
            moved = [-_NORMAL.inv_cdf(max(self.share * _NORMAL.cdf(-x), _TINY)) for x in at]
            column = np.maximum(moved, np.nextafter(self.first, np.inf))
        else:
            moved = [_NORMAL.inv_cdf(max((1.0 - self.share) * _NORMAL.cdf(x), _TINY)) for x in at]
            column = np.minimum(moved, self.first)
        found = z.copy()
        found[:, self.column] = column
        return found


def temper_kinds(
    target: Target,
    z: Deviates,
    log_like_now: Worlds | None,
    rare: Rare,
    seed: int = 1,
    *,
    care: Care | None = None,
) -> Particles:
    """As `temper`, from worlds in which no reading has yet told the kinds apart.

    Args:
        z: (worlds, unknowns), draws of the prior, or of a belief whose readings hang on nothing of the kind.
        rare: the kind. The others are as for `temper`.
    """
    count = len(z)
    usual = _of_kind(target, z, log_like_now, rare, seed, care, rare_ones=False)
    # From all along: particles lie in the order in which they were last resampled.
    every = max(min(round(1.0 / _FIRST_TRY), count // _LEAST), 1)
    now = None if log_like_now is None else log_like_now[::every]
    unusual = _of_kind(target, z[::every], now, rare, seed, care, rare_ones=True)
    if round(_share(rare, usual, unusual) * count) > len(unusual.z):
        unusual = _of_kind(target, z, log_like_now, rare, seed + 1, care, rare_ones=True)
    return _together(usual, unusual, rare, np.random.default_rng(seed))


def _of_kind(
    target: Target,
    z: Deviates,
    now: Worlds | None,
    rare: Rare,
    seed: int,
    care: Care | None,
    *,
    rare_ones: bool,
) -> Particles:
    """One kind's worlds; whatever is tried beyond it cannot be."""

    def of_kind(z: Deviates) -> Evaluated:
        found = target(z)
        return replace(found, log_like=np.where(rare.met(z) == rare_ones, found.log_like, -np.inf))

    return temper(of_kind, rare.only(z, rare=rare_ones), now, seed, care=care)


def _weights(rare: Rare, usual: Particles, unusual: Particles) -> tuple[float, float]:
    """Log of how much each kind counts for after the readings, the prior's worlds counting for one."""
    return np.log1p(-rare.share) + usual.log_evidence, np.log(rare.share) + unusual.log_evidence


def _share(rare: Rare, usual: Particles, unusual: Particles) -> float:
    """The rare kind's share after the readings."""
    of_usual, of_rare = _weights(rare, usual, unusual)
    return float(np.exp(of_rare - np.logaddexp(of_usual, of_rare)))


def _together(usual: Particles, unusual: Particles, rare: Rare, rng: np.random.Generator) -> Particles:
    """So many of each that all count for the same, none of them twice."""
    count = len(usual.z)
    of_rare = min(round(_share(rare, usual, unusual) * count), len(unusual.z))
    kept = np.sort(rng.permutation(count)[: count - of_rare])
    more = np.sort(rng.permutation(len(unusual.z))[:of_rare])
    counts = [part for part, taken in ((usual, len(kept)), (unusual, of_rare)) if taken > _FEW * count]
    return replace(
        usual,
        z=np.vstack([usual.z[kept], unusual.z[more]]),
        log_like=np.concatenate([usual.log_like[kept], unusual.log_like[more]]),
        payload=None,
        evaluations=usual.evaluations + unusual.evaluations,
        unique=min(part.unique for part in counts),
        moved=min(part.moved for part in counts),
        whole=all(part.whole for part in counts),
        log_evidence=float(np.logaddexp(*_weights(rare, usual, unusual))),
    )
