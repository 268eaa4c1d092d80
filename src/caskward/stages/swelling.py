"""Swelling: raw starch takes up water above its range, and becomes long starch that can be split.

Each granule of a material has its own temperature: at one temperature the share that can swell is the
straight line of `cook.gelatinised_share`. It is reached with a first-order lag; what has swollen stays so.
"""

from __future__ import annotations

import numpy as np

from caskward.properties import heat
from caskward.stages.cook import gelatinised_share
from caskward.stages.stream import Worlds

SWELL_PER_H = 45.0
"""Rate at which the share that can swell is reached [1/h]: all but done in 10 min for malt (rittenauer-2021).
Whole and coarse grain takes longer, for water must first soak in: *common practice, no source*."""


def swelling_heat_kj(
    starch_kg: float | Worlds, temp_c: float | Worlds, onset_c: float | Worlds, complete_c: float | Worlds
) -> Worlds:
    """Heat that starch has taken up by swelling when it has stood at a temperature [kJ]: 12 kJ/kg in all."""
    share = gelatinised_share(np.asarray(temp_c), np.asarray(onset_c), np.asarray(complete_c))
    return np.asarray(heat.GELATINISATION_KJ_KG * np.asarray(starch_kg) * share)


def swollen(
    raw_share: float | Worlds,
    temp_c: Worlds,
    hours: Worlds,
    onset_c: float | Worlds,
    complete_c: float | Worlds,
    per_h: float | Worlds = SWELL_PER_H,
) -> Worlds:
    """Share of one material's starch that has swollen, on a grid of hours: (times, worlds...).

    Args:
        raw_share: share that is raw at the start [0..1]; the rest has swollen before.
        temp_c: on the grid [°C], between its points a straight line. hours: (times,) or (times, worlds...).
        onset_c, complete_c: the material's range [°C]. per_h: rate of the lag [1/h].
    """
    temps = np.asarray(temp_c, dtype=float)
    stays = 1.0 - gelatinised_share(temps, np.asarray(onset_c), np.asarray(complete_c))
    grid = np.asarray(hours, dtype=float)
    lags = np.diff(grid.reshape(grid.shape + (1,) * (stays.ndim - grid.ndim)), axis=0) * per_h
    shape = np.broadcast_shapes(np.shape(raw_share), stays.shape[1:], lags.shape[1:])
    raw = [np.broadcast_to(np.asarray(raw_share, dtype=float), shape)]
    for i, lag in enumerate(lags):
        raw.append(raw_after(raw[-1], (stays[i], stays[i + 1]), lag))
    return np.asarray(1.0 - np.stack(raw))


def raw_after(raw: Worlds, stays: tuple[Worlds, Worlds], lags: float | Worlds) -> Worlds:
    """Raw starch left after a short time: dr/dt = -k (r - s), s in a straight line; exact, never rising.

    Args:
        raw: at the start. stays: what cannot swell, s, at start and end. lags: k times the time [-].
    """
    first, last = stays
    lag = np.maximum(lags, 1e-9)
    fades = np.exp(-lag)
    trailing = (last - first) * ((1.0 - fades) / lag)
    return np.asarray(np.minimum(raw, last - trailing + (raw - first) * fades))
