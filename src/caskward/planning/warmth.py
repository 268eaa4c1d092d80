"""Warm and cold: how hot the water must be, how much heat must come out, and how long that takes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from caskward.planning.intent import Intent
from caskward.planning.mash_forecast import brought_together
from caskward.planning.method import Method
from caskward.planning.tub.schedule import LEAST_COOLED_K, likely_wall
from caskward.planning.unknowns import Draw
from caskward.stages.stream import Stream, mixed
from caskward.stages.tub_heat import coil_water_l, hours_to

HOTTEST_WATER_C = 95.0


def with_water_temperatures(intent: Intent, method: Method, likely: Draw) -> Method:
    """The method with water just so warm that malt comes to its rest, and sugar or fruit to the yeast.

    Heat balances in the likely world; never cooler than it comes from the tap, never over 95 °C.
    """
    prepared = {item.material.prepare for item in intent.bill}
    if "mash" in prepared:
        cold_c, hot_c = (
            float(brought_together(intent, replace(method, mash_water_c=c), likely).mash.temp_c[0])
            for c in (intent.site.water_c, HOTTEST_WATER_C)
        )
        method = replace(method, mash_water_c=_between(intent, cold_c, hot_c, method.rest_c))
    if not prepared & {"mash", "cook"}:
        cold_c, hot_c = (
            float(_added(intent, replace(method, addition_water_c=c), likely).temp_c[0])
            for c in (intent.site.water_c, HOTTEST_WATER_C)
        )
        method = replace(
            method, addition_water_c=_between(intent, cold_c, hot_c, intent.yeast.window_c.likely)
        )
    return method


def _added(intent: Intent, method: Method, likely: Draw) -> Stream:
    """Sugar or fruit in its water, where there is no mash."""
    return mixed(*brought_together(intent, method, likely).additions)


def _between(intent: Intent, cold_c: float, hot_c: float, target_c: float) -> float:
    """Water temperature at which the mixture meets a target: mixtures lie on a straight line."""
    tap_c = intent.site.water_c
    if hot_c - cold_c < 1e-6:
        return tap_c
    wanted_c = tap_c + (target_c - cold_c) / (hot_c - cold_c) * (HOTTEST_WATER_C - tap_c)
    return round(min(max(wanted_c, tap_c), HOTTEST_WATER_C), 1)


@dataclass(frozen=True)
class Cooling:
    """From one temperature to another: heat that must leave, hours it takes by itself, water for a coil."""

    kwh: float
    standing_h: float
    coil_water_l: float


def cooling(intent: Intent, tub: Stream, from_c: float, to_c: float) -> Cooling | None:
    """What one tub's cooling takes; None where nothing is to cool, endless hours where the room is warmer.

    tub: what is in one tub then.
    """
    if from_c <= to_c + LEAST_COOLED_K:
        return None
    capacity_kj_k = float(np.median(tub.heat_capacity_kj_k))
    room_c = intent.site.room_c
    wall = likely_wall(intent).holding(float(np.median(tub.volume_l)))
    # The last half kelvin over the room takes days: nobody waits for it.
    standing_h = float("inf") if to_c <= room_c + 0.5 else float(hours_to(from_c, to_c, capacity_kj_k, wall))
    return Cooling(
        kwh=capacity_kj_k * (from_c - to_c) / 3600.0,
        standing_h=standing_h,
        coil_water_l=float(coil_water_l(from_c, to_c, capacity_kj_k, intent.site.water_c)),
    )
