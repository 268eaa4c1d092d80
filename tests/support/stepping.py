"""A still stepped the slow way: one world, one drop after the other, straight from the bubble point.

Nothing here is shared with the stages: it is what they are held against.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from caskward.properties import vle


@dataclass(frozen=True)
class SlowStill:
    """Head share, whole plates, reflux ratio of the main condenser, dephlegmator share."""

    head: float = 0.0
    plates: int = 0
    reflux_ratio: float = 0.0
    dephlegmator: float = 0.0
    kpa: float = 101.325


def vapour(x: float, kpa: float) -> float:
    return float(vle.bubble_point(x, kpa).y)


def liquid(y: float, kpa: float) -> float:
    top = vle.azeotrope(kpa).x
    return float(brentq(lambda x: vapour(x, kpa) - y, 1e-12, top, xtol=1e-14, rtol=1e-11))


@lru_cache(maxsize=64)
def levels(still: SlowStill, y_spout: float) -> tuple[list[tuple[str, float, float]], float, float]:
    """Contacts from the top as (kind, x, y above), then what boils off the pot and the pot itself."""
    met, y = [], y_spout
    if still.dephlegmator:
        x = liquid(y, still.kpa)
        met.append(("dephlegmator", x, y))
        y = still.dephlegmator * x + (1.0 - still.dephlegmator) * y
    rises = (1.0 + still.reflux_ratio) / (1.0 - still.dephlegmator)  # moles, for one that is drawn off
    for _ in range(still.plates):
        x = liquid(y, still.kpa)
        met.append(("plate", x, y))
        y = ((rises - 1.0) * x + y_spout) / rises
    if still.head:
        x = liquid(y, still.kpa)
        met.append(("head", x, y))
        y = still.head * x + (1.0 - still.head) * y
    return met, y, liquid(y, still.kpa)


def spout(still: SlowStill, x_pot: float) -> float:
    """Ethanol in the vapour that is drawn off over a pot, by trial."""
    top = vle.azeotrope(still.kpa).x * (1.0 - 1e-9)
    return float(brentq(lambda y: levels(still, y)[2] - x_pot, x_pot, top, xtol=1e-12, rtol=1e-10))


def trace_ratio(still: SlowStill, name: str, y_spout: float) -> float:
    """A trace in the vapour that is drawn off, over the same trace in the pot."""
    met, y_boiled, x_pot = levels(still, y_spout)
    rises = (1.0 + still.reflux_ratio) / (1.0 - still.dephlegmator)
    z = 1.0
    for kind, x, y in met:
        k = vle.relative_volatility(name, x) * y / x
        share = {"dephlegmator": still.dephlegmator, "head": still.head}.get(kind, 0.0)
        z = ((rises - 1.0) * z / k + 1.0) / rises if kind == "plate" else z * (1.0 - share + share / k)
    return float(vle.relative_volatility(name, x_pot) * y_boiled / x_pot / z)


def run(still: SlowStill, mol: tuple[float, float], names: tuple[str, ...], drawn_mol: float) -> np.ndarray:
    """What is left of ethanol, water (mol) and traces (of 1 each) once so many moles are drawn off."""

    def falls(_: float, left: np.ndarray) -> list[float]:
        total = left[0] + left[1]
        y = spout(still, left[0] / total)
        traces = zip(names, left[2:], strict=True)
        return [-y, -(1.0 - y), *(-trace_ratio(still, n, y) * v / total for n, v in traces)]

    start = [*mol, *(1.0 for _ in names)]
    solution = solve_ivp(falls, (0.0, drawn_mol), start, method="LSODA", rtol=1e-6, atol=1e-8)
    return np.asarray(solution.y[:, -1])
