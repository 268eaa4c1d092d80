"""How much of the feints to throw away each time, so that what builds up stays under a limit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.errors import BuildUpOutOfReach, OutOfRange
from caskward.planning.plan import Band, band
from caskward.planning.recycling import Part, Recipe, Steady, steady_state
from caskward.planning.wish import Cap
from caskward.stages.stream import Stream

_MG_L_PER_G_HL = 10.0
_HALVINGS = 10
"""Halvings of the share to throw away: to a thousandth."""


@dataclass(frozen=True)
class ThrowAway:
    """How much of heads, tails or both to throw away each time, and what it does.

    Levels in the heart at steady state [g/hL of pure alcohol], and shares of worlds in which the limit is
    kept: as thrown, with nothing and with everything of the part thrown away. confidence: the share of worlds
    in which it had to be. recovery: of the low wines' alcohol, as thrown and with nothing thrown.
    """

    part: Part
    share: float
    confidence: float
    level_g_hl: Band
    level_none_g_hl: Band
    level_all_g_hl: Band
    kept: float
    kept_none: float
    kept_all: float
    recovery: Band
    recovery_none: Band


def share_to_throw(recipe: Recipe, limit: Cap, part: Part, confidence: float = 0.8) -> ThrowAway:
    """Least share of heads, tails or feints to throw away so that the steady heart keeps a cap.

    In the wanted share of worlds, to a thousandth of the part. Foreshots are thrown away whatever this says.

    Raises:
        BuildUpOutOfReach: the cap breaks with all of the part thrown away.
        NoTraceFigure: the low wines' congeners are not known. OutOfRange: a confidence not inside 0 to 1.
    """
    if not 0.0 < confidence < 1.0:
        raise OutOfRange("The confidence", confidence, "", 0.0, 1.0, "Write 8 in 10 as 0.8.")
    search = _Search(recipe, limit, part, confidence)
    none, every = search.at(0.0), search.at(1.0)
    share, best = (0.0, none) if search.keeps(none) else search.least(every)
    level, level_none, level_all = (
        band(s.heart_mg_per_l(limit.congeners) / _MG_L_PER_G_HL) for s in (best, none, every)
    )
    return ThrowAway(
        part,
        share,
        confidence,
        level,
        level_none,
        level_all,
        search.kept(best),
        search.kept(none),
        search.kept(every),
        band(best.recovery),
        band(none.recovery),
    )


@dataclass(frozen=True)
class _Search:
    """The steady state as a function of the share that is thrown away."""

    recipe: Recipe
    limit: Cap
    part: Part
    confidence: float

    def at(self, share: float, near: Stream | None = None) -> Steady:
        return steady_state(self.recipe.throwing(self.part, share), near)

    def kept(self, steady: Steady) -> float:
        """Share of worlds in which the limit is kept."""
        return float(np.mean(steady.heart_mg_per_l(self.limit.congeners) <= self.limit.most_mg_per_l))

    def keeps(self, steady: Steady) -> bool:
        return self.kept(steady) >= self.confidence

    def least(self, every: Steady) -> tuple[float, Steady]:
        """By halving between nothing, which is too little, and everything."""
        if not self.keeps(every):
            reached = float(np.quantile(every.heart_mg_per_l(self.limit.congeners), self.confidence))
            most, got = (mg_l / _MG_L_PER_G_HL for mg_l in (self.limit.most_mg_per_l, reached))
            raise BuildUpOutOfReach(self.limit.words, self.part, most, got, self.confidence)
        low, share, best = 0.0, 1.0, every
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + share)
            tried = self.at(middle, best.feints)
            if self.keeps(tried):
                share, best = middle, tried
            else:
                low = middle
        return share, best
