"""Congeners in a run: what is left of each in the pot, by its volatility against ethanol's.

d ln n_i = (Y_out/X_pot)_i / (y_out/x_pot) d ln E: one more integral over the nodes that ethanol took. Each
place where liquid and vapour meet (head, plates, dephlegmator) changes Y_out by the trace's own ratio there.
Not in it: what is made or bound in the pot (esters, furfural, sulphur on copper), droplets carried over,
what a plate holds back of a trace that gathers on it.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from caskward.errors import BeyondTraceCurves
from caskward.properties import congeners
from caskward.properties.congeners import CONGENERS
from caskward.stages.columns import Contact, VapourPath
from caskward.stages.quadrature import weights
from caskward.stages.stream import Worlds
from caskward.stages.vapour import fraction

_WATER_RICH_X, _ETHANOL_RICH_X = 0.1, 0.6
_WATER_CM3, _ETHANOL_CM3 = 18.07, 58.68


@dataclass(frozen=True)
class TraceCourse:
    """ln(n/n0) of each congener in the pot and its slope in the pot's log ratio: (nodes, 16, worlds...)."""

    ln_left: Worlds
    slope: Worlds


@lru_cache(maxsize=1)
def _coefficients() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Curves as (16, 5), and the logs of the bands at the water-rich and the ethanol-rich end."""
    curves = [congeners.volatility(name) for name in CONGENERS]
    water_rich = np.log([c.band_water_rich for c in curves])
    ethanol_rich = np.log([c.band_ethanol_rich for c in curves])
    return np.array([c.coefficients for c in curves]), water_rich, ethanol_rich


def ln_volatility(x: Worlds, plus: Worlds, places: Worlds | None, sign: float = 1.0) -> Worlds:
    """sign times the log of all congeners' volatility against ethanol, `plus` added: (16, worlds...).

    x: mole fraction of ethanol in the liquid [-], 0 to 0.9, (worlds...). plus: to add, (worlds...).
    places: where the truth lies in each congener's band, (16, worlds...): 0 on the curve, -1 and 1 at the
    band's edges; None for the curves themselves.
    Outside: the caller's affair; `TraceRates` holds x at the curves' end and warns.
    Source: congener-fits; see `congeners.relative_volatility` and its band.
    """
    curves, water_rich, ethanol_rich = _coefficients()
    water = _WATER_CM3 * (1.0 - x)
    phi = np.ravel(water / (water + _ETHANOL_CM3 * x))
    powers = np.stack([np.ones_like(phi), phi, phi**2, phi**3, phi**4, np.ravel(plus)])
    out = np.column_stack([sign * curves, np.ones(len(curves))]) @ powers
    out = out.reshape(-1, *x.shape)
    if places is not None:
        rich = np.clip((x - _WATER_RICH_X) / (_ETHANOL_RICH_X - _WATER_RICH_X), 0.0, 1.0)
        column = (-1,) + (1,) * x.ndim
        first, more = water_rich.reshape(column), (ethanol_rich - water_rich).reshape(column)
        out += sign * places * (first + more * rich)
    return np.asarray(out)


def _within_curves(x: Worlds) -> Worlds:
    if np.max(x) > congeners.X_MAX:
        warnings.warn(BeyondTraceCurves(float(np.max(x)), congeners.X_MAX), stacklevel=2)
        return np.minimum(x, congeners.X_MAX)
    return x


class TraceRates:
    """Per node of a run: (Y_out/X_pot)_i / (y_out/x_pot) times d ln E / du, for all congeners."""

    def __init__(
        self, path: VapourPath, pot: Worlds, spout: Worlds, slope: Worlds, places: Worlds | None
    ) -> None:
        self._places = places
        self._pot_x = _within_curves(fraction(pot))
        contacts, boiled = path.contacts(spout)
        self._pot_plus = np.log(fraction(boiled) / fraction(spout) * slope)
        self._contacts = [_Level(contact) for contact in contacts]

    def at(self, node: int) -> Worlds:
        """Slopes of ln n at one node, (16, worlds...)."""
        from_pot = np.exp(ln_volatility(self._pot_x[node], self._pot_plus[node], self._places))
        z = np.ones_like(from_pot)
        for level in self._contacts:
            k = np.exp(ln_volatility(level.x[node], level.ln_k[node], self._places))
            z = level.below(z, k)
        return np.asarray(from_pot / z)


class _Level:
    """A contact ready to be read node by node."""

    def __init__(self, contact: Contact) -> None:
        x = fraction(contact.liquid)
        self.x, self.ln_k = _within_curves(x), np.log(fraction(contact.vapour) / x)
        self.below = contact.below


def trace_course(rates: TraceRates, pot: Worlds) -> TraceCourse:
    """Integrate over a run whose nodes have a point between each two: (2 n + 1, worlds...) in the pot's u."""
    first, middle, last = weights(pot)
    ln_left, slopes = [], [rates.at(0)]
    ln_left.append(np.zeros_like(slopes[0]))
    for step in range(len(first)):
        begin, mid, end = slopes[-1], rates.at(2 * step + 1), rates.at(2 * step + 2)
        ln_left.append(ln_left[-1] + first[step] * begin + middle[step] * mid + last[step] * end)
        slopes.append(end)
    return TraceCourse(np.stack(ln_left), np.stack(slopes))
