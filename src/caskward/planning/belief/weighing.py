"""How likely a reading is in each world, and summaries of worlds that count unequally.

A number errs with long tails (Student's t with 4 degrees of freedom), and "over" and "under" use the same t,
cut off. Now and then a reading is simply wrong: another glass, another unit, another tub. Then a number may
be anything, and an answer either: far outside all that the worlds could show a reading says no more than that
it is wrong, and moves nothing.
Source: Student's t with 4 degrees of freedom has a distribution function in closed form (NIST/SEMATECH
e-Handbook of Statistical Methods, 1.3.6.6.4, for the family; the closed form derived here and tested).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.stages.stream import Worlds

DEGREES: Final = 4.0
"""Degrees of freedom of a reading's error."""
SLIP: Final = 0.02
"""Share of readings, numbers and answers, that are simply wrong; *common practice, no source*."""
_RIDGE: Final = 1e-9
_NOTHING: Final = -100.0
"""Log weight, against the heaviest world, that is none: smaller numbers only make sums slow."""


def t4_log_density(off: Worlds) -> Worlds:
    """Log density of Student's t with 4 degrees of freedom: log 3/8 - 5/2 log(1 + off²/4)."""
    return np.asarray(np.log(0.375) - 0.5 * (DEGREES + 1.0) * np.log1p(np.square(off) / DEGREES))


def t4_log_cdf(off: Worlds) -> Worlds:
    """Log of the chance that such a t is at most `off`, to rounding however far out.

    With c = off / sqrt(4 + off²) the chance is (1 + c)² (2 - c) / 4; on the left 1 + c is taken from
    (1 - c²) / (1 - c), which loses no digits.
    """
    off = np.asarray(off, dtype=float)
    root = np.hypot(2.0, off)
    c = off / root
    with np.errstate(divide="ignore"):
        one_and_c = np.where(off < 0.0, np.square(2.0 / root) / (1.0 - np.minimum(c, 0.0)), 1.0 + c)
        return np.asarray(2.0 * np.log(one_and_c) + np.log(2.0 - c) - np.log(4.0))


@dataclass(frozen=True)
class Number:
    """A reading that shows a value, with the scale of its error, both in the unit of what is expected.

    slip: share of such readings that are simply wrong. over: how wide the values lie that a wrong one shows,
    in the same unit; each as likely as any.
    """

    value: float
    sd: float
    slip: float = 0.0
    over: float = 1.0

    def log_like(self, expected: Worlds) -> Worlds:
        """Log density of the reading where `expected` is true."""
        right = t4_log_density((self.value - np.asarray(expected)) / self.sd) - np.log(self.sd)
        return _or_wrong(right, self.slip, 1.0 / self.over)

    def log_tails(self, expected: Worlds) -> tuple[Worlds, Worlds]:
        """Log chance of a reading as low as this, and of one as high, unless it is simply wrong."""
        off = (self.value - np.asarray(expected)) / self.sd
        return t4_log_cdf(off), t4_log_cdf(-off)


@dataclass(frozen=True)
class Above:
    """A reading that only says "over": the thermometer ends here, the paper is past its last colour."""

    value: float
    sd: float
    slip: float = 0.0

    def log_like(self, expected: Worlds) -> Worlds:
        """Log chance of "over"; of a wrong reading it is one in two."""
        return _or_wrong(self.log_chance(expected), self.slip, 0.5)

    def log_chance(self, expected: Worlds) -> Worlds:
        """Log chance that the instrument would show more than the value."""
        return t4_log_cdf((np.asarray(expected) - self.value) / self.sd)


@dataclass(frozen=True)
class Below:
    """A reading that only says "under"."""

    value: float
    sd: float
    slip: float = 0.0

    def log_like(self, expected: Worlds) -> Worlds:
        """Log chance of "under"; of a wrong reading it is one in two."""
        return _or_wrong(self.log_chance(expected), self.slip, 0.5)

    def log_chance(self, expected: Worlds) -> Worlds:
        """Log chance that the instrument would show less than the value."""
        return t4_log_cdf((self.value - np.asarray(expected)) / self.sd)


@dataclass(frozen=True)
class YesNo:
    """An answer; what is expected is the chance of a yes in each world."""

    yes: bool
    slip: float = SLIP

    def log_like(self, expected: Worlds) -> Worlds:
        """Log chance of this answer, where a few answers are simply wrong."""
        chance = with_slips(np.clip(expected, 0.0, 1.0), self.slip)
        return np.asarray(np.log(chance if self.yes else 1.0 - chance))

    def log_chance(self, expected: Worlds) -> Worlds:
        """Log chance of this answer, unless it is simply wrong."""
        chance = np.clip(expected, 0.0, 1.0)
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(chance if self.yes else 1.0 - chance))


Seen = Number | Above | Below | YesNo


def _or_wrong(log_right: Worlds, slip: float, wrong: float) -> Worlds:
    """Log likelihood where a share of readings is wrong, and one so likely then, whatever is true."""
    if slip <= 0.0:
        return log_right
    return np.asarray(np.logaddexp(np.log1p(-slip) + log_right, np.log(slip * wrong)))


def with_slips(chance: Worlds, slip: float = SLIP) -> Worlds:
    """A chance of yes, where a few answers are simply wrong."""
    return np.asarray(slip + (1.0 - 2.0 * slip) * np.asarray(chance, dtype=float))


def normalised(log_weight: Worlds) -> Worlds:
    """Weights that add up to 1; a world without a likelihood (NaN) has none.

    Raises:
        ValueError: no world has any weight.
    """
    some = np.where(np.isnan(log_weight), -np.inf, log_weight)
    top = np.max(some)
    if not np.isfinite(top):
        raise ValueError("no world has any likelihood")
    weights = np.exp(np.maximum(some - top, _NOTHING))
    weights[some - top <= _NOTHING] = 0.0
    return np.asarray(weights / weights.sum())


def effective(weights: Worlds) -> float:
    """How many equal worlds tell as much as these (Kish): (sum w)² / sum w²."""
    return float(np.square(weights.sum()) / np.square(weights).sum())


def equal(count: int) -> Worlds:
    """Weights of worlds that count the same."""
    return np.full(count, 1.0 / count)


@dataclass(frozen=True)
class Summary:
    """An outcome over worlds: mean, sd, and the 80 % band about its median."""

    mean: float
    sd: float
    low: float
    likely: float
    high: float


def summary(values: Worlds, weights: Worlds | None = None) -> Summary:
    """Mean, sd, and 10th, 50th and 90th percentile of an outcome."""
    w = equal(values.size) if weights is None else weights / weights.sum()
    mean = float(w @ values)
    low, likely, high = quantiles(values, (0.1, 0.5, 0.9), w)
    return Summary(
        mean, float(np.sqrt(w @ np.square(values - mean))), *(float(v) for v in (low, likely, high))
    )


def quantiles(values: Worlds, shares: tuple[float, ...], weights: Worlds | None = None) -> Worlds:
    """Values below which the given shares of the weight lie; linear between the middles of neighbours."""
    w = equal(values.size) if weights is None else weights / weights.sum()
    order = np.argsort(values, kind="stable")
    order = order[w[order] > 0.0]
    ranked = w[order]
    middles = np.cumsum(ranked) - 0.5 * ranked
    return np.asarray(np.interp(shares, middles, values[order]))


def least_squares(rows: Worlds, values: Worlds, weights: Worlds) -> Worlds:
    """Weighted least squares of values (worlds, figures) on rows (worlds, terms): (terms, figures).

    A ridge of one part in a thousand million only keeps it solvable.
    """
    weighted = (rows * weights[:, None]).T
    gram = weighted @ rows
    gram[np.diag_indices_from(gram)] += _RIDGE * np.trace(gram) / len(gram)
    return np.asarray(np.linalg.solve(gram, weighted @ values))
