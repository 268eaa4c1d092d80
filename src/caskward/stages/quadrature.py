"""Integrals over nodes that need not be even, and curves between them: Simpson and Hermite."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from caskward.stages.stream import Worlds


def weights(at: Worlds) -> tuple[Worlds, Worlds, Worlds]:
    """Simpson's weights of each interval's first, middle and last point: (2 n + 1, ...) to (n, ...).

    Exact for a parabola wherever the middle point lies; an empty interval weighs nothing.
    """
    before, after = at[1::2] - at[:-1:2], at[2::2] - at[1::2]
    there = (before != 0.0) & (after != 0.0)
    a, b = np.where(there, before, 1.0), np.where(there, after, 1.0)
    sixth = np.where(there, (a + b) / 6.0, 0.0)
    return sixth * (2.0 - b / a), sixth * (a + b) ** 2 / (a * b), sixth * (2.0 - a / b)


def cumulative(values: Worlds, at: Worlds) -> Worlds:
    """Integral from the first point to each end of an interval, (2 n + 1, ...) to (n + 1, ...)."""
    first, middle, last = weights(at)
    pieces = first * values[:-1:2] + middle * values[1::2] + last * values[2::2]
    return np.concatenate([np.zeros_like(pieces[:1]), np.cumsum(pieces, axis=0)])


def interval_of(falling: Worlds, where: Worlds) -> tuple[NDArray[np.intp], Worlds, Worlds]:
    """Interval of falling nodes (n + 1, ...) that holds a place, how far along it (0..1), and its width."""
    k = np.clip(np.sum(falling > where, axis=0) - 1, 0, len(falling) - 2).astype(np.intp)
    start = picked(falling, k)
    width = picked(falling, k + 1) - start
    along = np.where(width == 0.0, 0.0, (where - start) / np.where(width == 0.0, 1.0, width))
    return k, np.clip(along, 0.0, 1.0), width


def picked(values: Worlds, k: NDArray[np.intp]) -> Worlds:
    """One node of each world; `values` may have axes between nodes and worlds."""
    between = values.ndim - 1 - k.ndim
    index = k.reshape((1,) * (1 + between) + k.shape)
    return np.asarray(np.take_along_axis(values, index, axis=0)[0])


def hermite(values: Worlds, slopes: Worlds, k: NDArray[np.intp], along: Worlds, width: Worlds) -> Worlds:
    """Cubic between the two nodes of an interval whose slopes are known."""
    a, b = picked(values, k), picked(values, k + 1)
    da, db = width * picked(slopes, k), width * picked(slopes, k + 1)
    rest = 1.0 - along
    return np.asarray(
        (a * (1.0 + 2.0 * along) + da * along) * rest**2 + (b * (3.0 - 2.0 * along) - db * rest) * along**2
    )
