"""Ethanol-water equilibrium at one pressure as a curve to look up, and what a head does to it.

Compositions are carried as the log ratio u = ln(x / (1 - x)), in which both axes are smooth.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from caskward.properties import vle
from caskward.stages.stream import Worlds

ETHANOL_KG_PER_MOL = vle.ETHANOL_KG_KMOL / 1000.0
WATER_KG_PER_MOL = vle.WATER_KG_KMOL / 1000.0

LOWEST, HIGHEST = 1e-7, 0.88
"""Mole fractions of ethanol between which the curve is tabled; the azeotrope lies above."""
_POINTS = 3001


def ratio(x: Worlds | float) -> Worlds:
    """Log ratio of a mole fraction."""
    return np.asarray(np.log(x) - np.log1p(-np.asarray(x)))


def fraction(u: Worlds) -> Worlds:
    """Mole fraction of a log ratio."""
    return np.asarray(1.0 / (1.0 + np.exp(-u)))


@dataclass(frozen=True)
class EquilibriumCurve:
    """Vapour against liquid at one pressure, tabled evenly in the liquid's log ratio."""

    kpa: float
    liquid: NDArray[np.float64]
    vapour: NDArray[np.float64]
    rise: NDArray[np.float64]
    slope: NDArray[np.float64]
    celsius: NDArray[np.float64]

    def vapour_over(self, liquid: Worlds) -> Worlds:
        """Log ratio of the vapour over a liquid."""
        return self._looked_up(liquid)[0]

    def vapour_and_slope(self, liquid: Worlds) -> tuple[Worlds, Worlds]:
        """Log ratio of the vapour over a liquid, and how it moves with the liquid's."""
        vapour, k = self._looked_up(liquid)
        return vapour, self.slope[k]

    def _looked_up(self, liquid: Worlds) -> tuple[Worlds, NDArray[np.intp]]:
        """Linear between points; even spacing makes the place a division, not a search."""
        place = (liquid - self.liquid[0]) * ((_POINTS - 1) / (self.liquid[-1] - self.liquid[0]))
        k = np.clip(place, 0.0, _POINTS - 2.0).astype(np.intp)
        return self.vapour[k] + (place - k) * self.rise[k], k

    def liquid_under(self, vapour: Worlds) -> Worlds:
        """Log ratio of the liquid in equilibrium with a vapour."""
        return np.interp(vapour, self.vapour, self.liquid)

    def boiling_c(self, liquid: Worlds) -> Worlds:
        """Boiling point of a liquid [°C]."""
        return np.interp(liquid, self.liquid, self.celsius)


@lru_cache(maxsize=8)
def equilibrium_curve(kpa: float) -> EquilibriumCurve:
    """The curve at a pressure [kPa], from `vle.bubble_point`; 3,001 points keep it within 1e-6 in y."""
    liquid = np.linspace(float(ratio(LOWEST)), float(ratio(HIGHEST)), _POINTS)
    celsius, y = vle.bubble_point(fraction(liquid), kpa)
    vapour = ratio(np.asarray(y))
    rise = np.append(np.diff(vapour), 0.0)
    return EquilibriumCurve(kpa, liquid, vapour, rise, np.gradient(vapour, liquid), np.asarray(celsius))


def spout_over(pot: Worlds, reflux: Worlds, curve: EquilibriumCurve) -> Worlds:
    """Log ratio at the spout over a boiling pot, with a share of the vapour condensed in the head.

    f x_c + (1 - f) y_out = y_boil, with x_c in equilibrium with y_out: what condenses in head and
    lyne arm runs back, and enriches what goes on. Solved by Newton in the condensate's log ratio.
    """
    boil = fraction(curve.vapour_over(pot))
    condensate = np.broadcast_to(pot, np.broadcast(pot, reflux).shape).astype(float)
    if not np.any(reflux > 0):
        return curve.vapour_over(condensate)
    for _ in range(3):
        vapour, slope = curve.vapour_and_slope(condensate)
        x, y = fraction(condensate), fraction(vapour)
        miss = reflux * x + (1.0 - reflux) * y - boil
        turn = reflux * x * (1.0 - x) + (1.0 - reflux) * y * (1.0 - y) * slope
        condensate = condensate - miss / turn
    return curve.vapour_over(condensate)


def pot_under(spout: Worlds, reflux: Worlds, curve: EquilibriumCurve) -> Worlds:
    """Log ratio in the pot when the spout runs at a composition; the inverse, without iteration."""
    condensate = fraction(curve.liquid_under(spout))
    boil = reflux * condensate + (1.0 - reflux) * fraction(spout)
    return curve.liquid_under(ratio(boil))
