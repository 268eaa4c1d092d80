"""Ethanol-water equilibrium at one pressure as a curve to look up, both ways.

Compositions are carried as the log ratio u = ln(x / (1 - x)), in which both axes are smooth and a trace of
either stays a number of ordinary size.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from caskward.properties import alcohol, vle
from caskward.stages.stream import Worlds

ETHANOL_KG_PER_MOL = vle.ETHANOL_KG_KMOL / 1000.0
WATER_KG_PER_MOL = vle.WATER_KG_KMOL / 1000.0

LOWEST, HIGHEST = 1e-7, 0.88
"""Mole fractions of ethanol a charge may have; the curve goes on to the azeotrope, which lies above."""
_POINTS, _FINER = 4001, 4
"""Points of the curve, and how many times more of them its inverse takes: it is four times as steep."""


def ratio(x: Worlds | float) -> Worlds:
    """Log ratio of a mole fraction."""
    share = np.asarray(x)
    return np.asarray(np.log(share / (1.0 - share)))


def fraction(u: Worlds) -> Worlds:
    """Mole fraction of a log ratio."""
    return np.asarray(1.0 / (1.0 + np.exp(-u)))


def strength_pct_vol(u: Worlds) -> Worlds:
    """Strength of a log ratio [%vol at 20 °C]."""
    return np.asarray(alcohol.pct_vol(vle.mass_fraction_from_mole(fraction(u))))


def ratio_of_strength(pct_vol: float | Worlds) -> Worlds:
    """Log ratio of a strength [%vol at 20 °C]."""
    return ratio(np.asarray(vle.mole_fraction(alcohol.mass_fraction(pct_vol))))


@dataclass(frozen=True)
class EvenTable:
    """A function tabled evenly: its place is a division, not a search; linear between its points.

    Beyond its ends it goes on straight, which in log ratios is Henry's law at the dilute end.
    """

    first: float
    per_unit: float
    values: NDArray[np.float64]
    rise: NDArray[np.float64]

    @classmethod
    def of(cls, at: NDArray[np.float64], values: NDArray[np.float64]) -> EvenTable:
        """The table of values at evenly spaced places."""
        per_unit = (len(at) - 1) / float(at[-1] - at[0])
        return cls(float(at[0]), per_unit, values, np.append(np.diff(values), 0.0))

    @property
    def last(self) -> float:
        """The last place."""
        return self.first + (len(self.values) - 1) / self.per_unit

    def at(self, where: Worlds) -> Worlds:
        """Value at a place."""
        place = (where - self.first) * self.per_unit
        k = np.minimum(np.maximum(place, 0.0), len(self.values) - 2.0).astype(np.intp)
        return np.asarray(self.values[k] + (place - k) * self.rise[k])


@dataclass(frozen=True)
class EquilibriumCurve:
    """Vapour over liquid, liquid under vapour and boiling point, each against a log ratio."""

    kpa: float
    vapour: EvenTable
    liquid: EvenTable
    celsius: EvenTable

    @classmethod
    def through(
        cls,
        kpa: float,
        liquid: NDArray[np.float64],
        vapour: NDArray[np.float64],
        celsius: NDArray[np.float64],
    ) -> EquilibriumCurve:
        """The curve through many points, liquid and vapour both rising; liquid evenly spaced."""
        even = np.linspace(vapour[0], vapour[-1], len(vapour))
        under = np.interp(even, vapour, liquid)
        tables = (EvenTable.of(liquid, vapour), EvenTable.of(even, under), EvenTable.of(liquid, celsius))
        return cls(kpa, *tables)

    @property
    def richest(self) -> float:
        """Log ratio of the richest vapour there is: the azeotrope's."""
        return self.liquid.last

    def vapour_over(self, liquid: Worlds) -> Worlds:
        """Log ratio of the vapour over a liquid."""
        return self.vapour.at(liquid)

    def liquid_under(self, vapour: Worlds) -> Worlds:
        """Log ratio of the liquid in equilibrium with a vapour."""
        return self.liquid.at(vapour)

    def boiling_c(self, liquid: Worlds) -> Worlds:
        """Boiling point of a liquid [°C]."""
        return self.celsius.at(liquid)

    def liquid_boiling_at(self, temp_c: float | Worlds) -> Worlds:
        """Log ratio of the liquid that boils at a temperature [°C]; the curve's end where none does."""
        falling = self.celsius.values[::-1]
        places = self.celsius.first + np.arange(len(falling))[::-1] / self.celsius.per_unit
        return np.asarray(np.interp(temp_c, falling, places))


@lru_cache(maxsize=8)
def equilibrium_curve(kpa: float) -> EquilibriumCurve:
    """The curve at a pressure [kPa], from `vle.bubble_point` up to the azeotrope; within 1e-6 in y."""
    azeotrope = float(ratio(vle.azeotrope(kpa).x))
    liquid = np.linspace(float(ratio(LOWEST)), azeotrope, _FINER * (_POINTS - 1) + 1)
    celsius, y = vle.bubble_point(fraction(liquid), kpa)
    vapour = ratio(np.asarray(y))
    vapour[-1] = azeotrope
    even = np.linspace(vapour[0], azeotrope, len(vapour))
    return EquilibriumCurve(
        kpa,
        EvenTable.of(liquid[::_FINER], vapour[::_FINER]),
        EvenTable.of(even, np.interp(even, vapour, liquid)),
        EvenTable.of(liquid[::_FINER], np.asarray(celsius)[::_FINER]),
    )
