"""Where a tub lands: in the next window, or how to bring it there."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from caskward.stages.stream import Stream, Worlds
from caskward.stages.tub_heat import TubWall, coil_water_l, cold_water_l, hot_water_l, hours_to, ice_kg


@dataclass(frozen=True)
class WaysToCool:
    """Each way, taken alone, from where the tub is to a temperature; zeros where it is cool enough."""

    to_c: float
    heat_kwh: Worlds
    lid_on_h: Worlds
    lid_off_h: Worlds
    cold_water_l: Worlds
    ice_kg: Worlds
    coil_water_l: Worlds


def ways_to_cool(stream: Stream, to_c: float, wall: TubWall, water_c: float) -> WaysToCool:
    """How long the tub cools by itself, or how much water, ice or coil water it would take."""
    capacity, wall = stream.heat_capacity_kj_k, wall.holding(stream.volume_l)
    on = replace(wall, lid=True)
    off = replace(wall, lid=False)
    return WaysToCool(
        to_c=to_c,
        heat_kwh=capacity * np.maximum(stream.temp_c - to_c, 0.0) / 3600.0,
        lid_on_h=hours_to(stream.temp_c, to_c, capacity, on),
        lid_off_h=hours_to(stream.temp_c, to_c, capacity, off),
        cold_water_l=cold_water_l(stream, water_c, to_c),
        ice_kg=ice_kg(stream, to_c),
        coil_water_l=coil_water_l(stream.temp_c, to_c, capacity, water_c),
    )


@dataclass(frozen=True)
class Landing:
    """Whether the tub lies in a window, per world, and what brings it in from above or from below.

    `cool` and `hot_water_l` (of the hot water there is) are to where it is to rest in the window, or where
    that was not said to the window's nearer end; zeros where nothing is to do.
    """

    in_window: NDArray[np.bool_]
    cool: WaysToCool
    hot_water_l: Worlds

    @property
    def share(self) -> float:
        """Share of worlds that land in the window [0..1]."""
        return float(np.mean(self.in_window))


def landing(
    stream: Stream,
    window_c: tuple[float, float],
    wall: TubWall,
    water_c: float,
    hot_water_c: float = 95.0,
    rest_c: float | None = None,
) -> Landing:
    """Whether a tub lands in the window of what comes next (an enzyme, malt, yeast).

    window_c: lower and upper end [°C]. water_c, hot_water_c: cold and hot water that there is [°C].
    rest_c: where in the window it is to rest [°C]; at its upper end an enzyme lasts least.
    """
    low_c, high_c = window_c
    return Landing(
        in_window=np.asarray((stream.temp_c >= low_c) & (stream.temp_c <= high_c)),
        cool=ways_to_cool(stream, high_c if rest_c is None else rest_c, wall, water_c),
        hot_water_l=hot_water_l(stream, hot_water_c, low_c if rest_c is None else rest_c),
    )
