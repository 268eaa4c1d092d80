"""Dead volume between pot and spout: a well-mixed vessel that must fill before the first drop runs.

With c the concentration that flows in per litre run, H its litres and a what it holds,
da/dV = c - a / H. Between two nodes of a run c is a parabola in the litres run, and the solution is exact:
a1 = a0 exp(-t) + d (b0 p1(t) + b1 p2(t) + b2 p3(t)), t = d / H. What left it is what came less what it
holds, so nothing is lost to rounding. Litres add up as they run; mixing in the vessel shrinks none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from caskward.properties._arrays import check_range
from caskward.stages.quadrature import picked
from caskward.stages.stream import Worlds

CONDENSED_L_PER_L_VAPOUR = 1.2e-3
"""Litres of distillate that a litre of vapour makes at 101 kPa: ideal gas at 90 °C, 35 mL per mol."""
_SMALL = 0.05
_LEAST_L = 1e-6


@dataclass(frozen=True)
class HoldUp:
    """Dead volume between pot and spout; plain numbers or arrays over worlds.

    liquid_l: what stands in condenser, pipe and parrot while it runs [L], 0 or more.
    vapour_l: head space over the pot and vapour pipe [L]; a litre counts as 1.2 mL of distillate.
    drains: True where what is left at the end runs into the last receiver, False where it is lost.
    """

    liquid_l: float | Worlds = 0.0
    vapour_l: float | Worlds = 0.0
    drains: bool = True

    def __post_init__(self) -> None:
        check_range("The liquid held between pot and spout", self.liquid_l, "L", 0.0, np.inf)
        check_range("The head space", self.vapour_l, "L", 0.0, np.inf)

    def mixing_l(self, kpa: float) -> Worlds:
        """Litres of distillate that mix before they reach the spout."""
        thin = CONDENSED_L_PER_L_VAPOUR * kpa / 101.325
        return np.asarray(self.liquid_l + thin * np.asarray(self.vapour_l), dtype=float)


class Inflow(NamedTuple):
    """Parabolas c = b0 + b1 t + b2 t² over each interval, t from 0 to 1 [amount per litre run]."""

    b0: Worlds
    b1: Worlds
    b2: Worlds

    def between(self, start: Worlds, end: Worlds) -> Inflow:
        """The same flow over a part of the interval, its own t from 0 to 1."""
        if np.all(start == 0.0) and np.all(end == 1.0):
            return self
        length = end - start
        return Inflow(
            self.b0 + start * (self.b1 + start * self.b2),
            (self.b1 + 2.0 * start * self.b2) * length,
            self.b2 * length**2,
        )

    def total(self) -> Worlds:
        """Integral over t from 0 to 1."""
        return np.asarray(self.b0 + self.b1 / 2.0 + self.b2 / 3.0)


@dataclass(frozen=True)
class Held:
    """What a hold-up of `litres` holds along a run; axes (nodes, parts, worlds...).

    `run_l` are litres that have left the pot (nodes, worlds...), `amounts` what the vessel holds of each
    part, `inflow` the parabolas of each interval.
    """

    litres: Worlds
    run_l: Worlds
    amounts: Worlds
    inflow: Inflow

    def within(self, k: NDArray[np.intp], along: Worlds, parts: int) -> Worlds:
        """Amounts of the first parts held at 0..1 of an interval [in litres run], (parts, worlds...)."""
        start_l = picked(self.run_l, k)
        run_l = picked(self.run_l, k + 1) - start_l
        inflow = Inflow(*(picked(b[:, :parts], k) for b in self.inflow))
        return _through(picked(self.amounts[:, :parts], k), inflow, along, start_l, run_l, self.litres)

    def filled_at(self) -> tuple[NDArray[np.intp], Worlds]:
        """Interval in which the vessel is full, and how far along it."""
        k = np.clip(np.sum(self.run_l < self.litres, axis=0) - 1, 0, len(self.run_l) - 2).astype(np.intp)
        start_l = picked(self.run_l, k)
        run_l = picked(self.run_l, k + 1) - start_l
        return k, np.clip((self.litres - start_l) / np.where(run_l > 0.0, run_l, np.inf), 0.0, 1.0)


def hold(came: Worlds, per_litre: Worlds, run_l: Worlds, litres: Worlds) -> Held:
    """What the vessel holds at every node.

    Args:
        came: what has left the pot, (nodes, parts, worlds...), from zero on.
        per_litre: what flows in at each node [amount per litre], same shape.
        run_l: litres that have left the pot, (nodes, worlds...), from zero on.
        litres: the vessel [L], above 0, (worlds...).
    """
    litres = np.maximum(litres, _LEAST_L)
    steps_l = np.diff(run_l, axis=0)
    held, inflows = [np.zeros_like(came[0])], []
    for k, step_l in enumerate(steps_l):
        inflows.append(_parabola(came[k + 1] - came[k], per_litre[k], per_litre[k + 1], step_l))
        held.append(_through(held[-1], inflows[-1], np.ones_like(step_l), run_l[k], step_l, litres))
    inflow = Inflow(*(np.stack(part) for part in zip(*inflows, strict=True)))
    return Held(litres, run_l, np.stack(held), inflow)


def _parabola(gain: Worlds, first: Worlds, last: Worlds, step_l: Worlds) -> Inflow:
    """Parabola with the flow's values at both ends and its total; the mean where that would fall below 0."""
    mean = np.where(step_l > 0.0, gain / np.where(step_l > 0.0, step_l, 1.0), 0.0)
    b1 = 6.0 * mean - 4.0 * first - 2.0 * last
    b2 = 3.0 * (first + last) - 6.0 * mean
    turn = -b1 / np.where(b2 > 0.0, 2.0 * b2, 1.0)
    dips = (b2 > 0.0) & (turn > 0.0) & (turn < 1.0) & (first + 0.5 * b1 * turn < 0.0)
    if np.any(dips):
        return Inflow(np.where(dips, mean, first), np.where(dips, 0.0, b1), np.where(dips, 0.0, b2))
    return Inflow(first, b1, b2)


def _through(
    before: Worlds, inflow: Inflow, along: Worlds, start_l: Worlds, run_l: Worlds, litres: Worlds
) -> Worlds:
    """Amounts held after a part of an interval: first the vessel fills, then it overflows."""
    to_full = np.clip((litres - start_l) / np.where(run_l > 0.0, run_l, np.inf), 0.0, along)
    full = before + run_l * to_full * inflow.between(np.zeros_like(to_full), to_full).total()
    rest_l = run_l * (along - to_full)
    b0, b1, b2 = inflow.between(to_full, along)
    kept, p1, p2, p3 = _moments(rest_l / litres)
    return np.asarray(full * kept + rest_l * (b0 * p1 + b1 * p2 + b2 * p3))


def _moments(t: Worlds) -> tuple[Worlds, Worlds, Worlds, Worlds]:
    """exp(-t), and the integrals of s^n exp(-t (1 - s)) over s from 0 to 1 for n = 0, 1, 2."""
    small = t < _SMALL
    z = np.where(small, 1.0, t)
    kept = np.exp(-t)
    p1 = -np.expm1(-z) / z
    p2 = (1.0 - p1) / z
    p3 = (1.0 - 2.0 * p2) / z
    return (
        kept,
        np.where(small, _series(t, 1.0, 2.0), p1),
        np.where(small, _series(t, 0.5, 3.0), p2),
        np.where(small, _series(t, 1.0 / 3.0, 4.0), p3),
    )


def _series(t: Worlds, first: float, divisor: float) -> Worlds:
    """first (1 - t/d + t²/(d (d+1)) - ...): the integral's power series, for small t."""
    term, total = np.ones_like(t), np.ones_like(t)
    for n in range(7):
        term = -term * t / (divisor + n)
        total = total + term
    return np.asarray(first * total)
