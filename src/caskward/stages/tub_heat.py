"""A tub that stands: how fast it cools, and what cools it faster: cold water, ice, a coil.

A tub is one temperature throughout (stirred) and loses heat to its room in proportion to the difference;
with its lid off steam takes more. What the tub itself weighs (steel, wood) is left out of its heat.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from caskward.errors import NothingCooled
from caskward.properties import heat, water
from caskward.stages.stream import Stream, Worlds, mixed

_LONGEST_STEP_H = 0.5
_NODES, _NODE_WEIGHTS = np.polynomial.legendre.leggauss(16)
_ENDS_SHARE = 0.5
"""Floor and surface of a tub as high as it is wide, over its side: pi/4 D2 each, against pi D2."""
WATER_LEAVES_UNDER_K = 5.0
"""How much cooler than the mash the water of a coil runs off; *common practice, no source*."""


@dataclass(frozen=True)
class TubWall:
    """How a tub loses heat: W for each kelvin above its room and, lid off, from so many m² of surface.

    The range of `heat_loss_w_k` by kind of tub is in the catalogue; two logged temperatures teach your own.
    It is that of a tub filled to `full_l` [L], and `holding` says what is lost with less in it; where that
    is not known (0), it is lost whatever there is.
    """

    heat_loss_w_k: Worlds
    room_c: float
    lid: bool = True
    surface_m2: float = 0.0
    humidity_frac: float = 0.6
    full_l: float = 0.0

    def holding(self, volume_l: float | Worlds) -> TubWall:
        """The wall as it loses heat with so much in it [L]: by floor, surface, and side as far as it is wet.

        (1/2 + V/full)/(1/2 + 1) of its whole loss, for a tub as high as it is wide when it is full. The dry
        wall above is left out: it is warm too, a little.
        """
        if self.full_l <= 0.0:
            return self
        wet = np.clip(np.asarray(volume_l) / self.full_l, 0.0, 1.5)
        share = (_ENDS_SHARE + wet) / (_ENDS_SHARE + 1.0)
        return replace(self, heat_loss_w_k=np.asarray(self.heat_loss_w_k * share))


class Stood(NamedTuple):
    """A standing tub on a grid: temperature [°C] and water gone as steam [kg], (times, worlds...)."""

    temp_c: Worlds
    steam_kg: Worlds


def loss_kw(temp_c: float | Worlds, wall: TubWall) -> Worlds:
    """Heat that leaves a tub at a temperature [kW]: below zero where the room is warmer."""
    through_walls = wall.heat_loss_w_k * (np.asarray(temp_c) - wall.room_c) / 1000.0
    return np.asarray(through_walls + _steam_kw(temp_c, wall))


def _steam_kw(temp_c: float | Worlds, wall: TubWall) -> Worlds:
    if wall.lid or wall.surface_m2 <= 0.0:
        return np.zeros(np.shape(temp_c))
    per_m2 = heat.open_surface_kw_m2(np.asarray(temp_c), wall.room_c, wall.humidity_frac)
    return np.asarray(wall.surface_m2 * per_m2)


def standing(temp_c: float | Worlds, capacity_kj_k: float | Worlds, wall: TubWall, hours: Worlds) -> Worlds:
    """Temperatures of a standing tub on a grid of hours [°C], (times, worlds...); see `stood`."""
    return stood(temp_c, capacity_kj_k, wall, hours).temp_c


def stood(temp_c: float | Worlds, capacity_kj_k: float | Worlds, wall: TubWall, hours: Worlds) -> Stood:
    """Temperature and steam of a standing tub on a grid of hours.

    C dT/dt = -UA (T - Ta) - A q(T): exact with the lid on, by Runge-Kutta steps of half an hour at most
    with it off. The heat capacity stays as it was at the start (steam takes about 1 % of it in a night).

    Args:
        temp_c: at the start [°C]. capacity_kj_k: of what is in the tub [kJ/K].
        hours: (times,) from 0 up, or (times, worlds...) [h].
    """
    start_c = np.broadcast_to(np.asarray(temp_c, dtype=float), _shape(temp_c, capacity_kj_k, wall, hours))
    grid = hours if hours.ndim > 1 else hours.reshape(-1, *[1] * start_c.ndim)
    if wall.lid or wall.surface_m2 <= 0.0:
        temps = heat.tub_temperature_c(start_c, wall.room_c, wall.heat_loss_w_k, capacity_kj_k, grid)
        return Stood(np.asarray(temps), np.zeros_like(temps))
    return _stood_open(start_c, np.asarray(capacity_kj_k), wall, grid)


def _shape(
    temp_c: float | Worlds, capacity_kj_k: float | Worlds, wall: TubWall, hours: Worlds
) -> tuple[int, ...]:
    own = hours.shape[1:] if hours.ndim > 1 else ()
    return np.broadcast_shapes(np.shape(temp_c), np.shape(capacity_kj_k), np.shape(wall.heat_loss_w_k), own)


def _stood_open(start_c: Worlds, capacity_kj_k: Worlds, wall: TubWall, grid: Worlds) -> Stood:
    temps, steam = [start_c], [np.zeros_like(start_c)]
    for step_h in np.diff(grid, axis=0):
        rounds = max(1, int(np.ceil(np.max(step_h) / _LONGEST_STEP_H)))
        now_c, gone_kg = temps[-1], steam[-1]
        for _ in range(rounds):
            next_c = _runge_kutta(now_c, capacity_kj_k, wall, step_h / rounds)
            middle_c = 0.5 * (now_c + next_c)
            kw = (_steam_kw(now_c, wall) + 4.0 * _steam_kw(middle_c, wall) + _steam_kw(next_c, wall)) / 6.0
            gone_kg = gone_kg + 3600.0 * kw * step_h / rounds / heat.latent_water_kj_kg(middle_c)
            now_c = next_c
        temps.append(now_c)
        steam.append(gone_kg)
    return Stood(np.stack(temps), np.stack(steam))


def _runge_kutta(temp_c: Worlds, capacity_kj_k: Worlds, wall: TubWall, step_h: Worlds) -> Worlds:
    def slope(at_c: Worlds) -> Worlds:
        return np.asarray(-3600.0 * loss_kw(at_c, wall) / capacity_kj_k)

    first = slope(temp_c)
    second = slope(temp_c + 0.5 * step_h * first)
    third = slope(temp_c + 0.5 * step_h * second)
    fourth = slope(temp_c + step_h * third)
    return np.asarray(temp_c + step_h * (first + 2.0 * second + 2.0 * third + fourth) / 6.0)


def hours_to(
    temp_c: float | Worlds, to_c: float | Worlds, capacity_kj_k: float | Worlds, wall: TubWall
) -> Worlds:
    """Hours until a standing tub has cooled to a temperature [h]: 0 if it is there, inf if it never will.

    A tub steaming into dry air ends a little under its room; no such target is reckoned with.
    Lid on: C/UA ln((T - Ta)/(T1 - Ta)). Lid off: C times the integral of dT over the loss, over ln(T - Ta).
    """
    from_k, to_k = np.broadcast_arrays(np.asarray(temp_c) - wall.room_c, np.asarray(to_c) - wall.room_c)
    cools = (to_k < from_k) & (to_k > 0.0)
    high, low = np.log(np.where(cools, from_k, 2.0)), np.log(np.where(cools, to_k, 1.0))
    half = 0.5 * (high - low)
    total = np.zeros(np.broadcast_shapes(half.shape, np.shape(capacity_kj_k), np.shape(wall.heat_loss_w_k)))
    with np.errstate(divide="ignore"):
        for node, weight in zip(_NODES, _NODE_WEIGHTS, strict=True):
            above_k = np.exp(0.5 * (high + low) + half * node)
            total = total + weight * half * above_k / loss_kw(wall.room_c + above_k, wall)
    hours = np.asarray(capacity_kj_k) * total / 3600.0
    return np.where(to_k >= from_k, 0.0, np.where(to_k <= 0.0, np.inf, hours))


@dataclass(frozen=True)
class LearnedWall:
    """The heat a tub was seen to lose [W/K], with its standard uncertainty."""

    heat_loss_w_k: float
    standard_w_k: float

    @property
    def tells_little(self) -> bool:
        """Whether the doubt is over a third of the figure: wait longer between the readings."""
        return self.standard_w_k > self.heat_loss_w_k / 3.0


def learned_wall(
    start_c: float,
    end_c: float,
    room_c: float,
    capacity_kj_k: float,
    hours: float,
    thermometer_c: float = 0.3,
    room_doubt_c: float = 1.0,
    capacity_share: float = 0.03,
) -> LearnedWall:
    """Heat a tub loses, lid on, from two of its logged temperatures: UA = C ln((T0-Ta)/(T1-Ta)) / t.

    The doubt follows in closed form: dUA = C/t (dT0/(T0-Ta), dT1/(T1-Ta), dTa (1/(T1-Ta) - 1/(T0-Ta))) and
    the share by which C is in doubt, squares added (GUM, from memory).

    Args:
        start_c, end_c, room_c: [°C]. capacity_kj_k: [kJ/K]. hours: between the readings [h], above 0.
        thermometer_c, room_doubt_c, capacity_share: standard uncertainties; *common practice, no source*.

    Raises:
        NothingCooled: no fall toward the room between the readings. OutOfRange: hours not above 0.
    """
    above, left = start_c - room_c, end_c - room_c
    if above * left <= 0.0 or abs(left) >= abs(above):
        raise NothingCooled(start_c, end_c, room_c)
    loss = float(heat.tub_ua_w_k(start_c, end_c, room_c, capacity_kj_k, hours))
    per_k = capacity_kj_k / (3.6 * hours)
    parts = (
        per_k * thermometer_c / above,
        per_k * thermometer_c / left,
        per_k * room_doubt_c * (1.0 / left - 1.0 / above),
        capacity_share * loss,
    )
    return LearnedWall(loss, float(np.sqrt(sum(part * part for part in parts))))


def cold_water_l(stream: Stream, water_c: float, to_c: float) -> Worlds:
    """Cold water that brings a tub to a temperature [L]; inf where the water is not cold enough.

    m = C (T - T1) / (4.18 (T1 - Tw)). It thins the mash by as much: see `with_water`.
    """
    heat_kj = stream.heat_capacity_kj_k * np.maximum(stream.temp_c - to_c, 0.0)
    if to_c <= water_c:
        return np.where(heat_kj > 0.0, np.inf, 0.0)
    kg = heat_kj / (heat.CP_WATER_KJ_KG_K * (to_c - water_c))
    return np.asarray(1000.0 * kg / water.density(water_c))


def hot_water_l(stream: Stream, water_c: float, to_c: float) -> Worlds:
    """Hot water that brings a tub up to a temperature [L]; inf where the water is not hot enough."""
    heat_kj = stream.heat_capacity_kj_k * np.maximum(to_c - stream.temp_c, 0.0)
    if water_c <= to_c:
        return np.where(heat_kj > 0.0, np.inf, 0.0)
    return np.asarray(1000.0 * heat_kj / (heat.CP_WATER_KJ_KG_K * (water_c - to_c)) / water.density(water_c))


def with_water(stream: Stream, litres: float | Worlds, water_c: float) -> Stream:
    """The tub with so many litres of water stirred in."""
    kg = np.asarray(litres) * water.density(water_c) / 1000.0
    return mixed(stream, Stream.of(temp_c=water_c, water_kg=kg))


def ice_kg(stream: Stream, to_c: float, ice_c: float = 0.0) -> Worlds:
    """Ice that brings a tub to a temperature [kg]: C (T - T1) / (2.1 (0 - Ti) + 334 + 4.18 T1).

    to_c: above 0 [°C]. ice_c: 0 for melting ice, below for ice from the freezer [°C].
    """
    per_kg = _ice_takes_kj_kg(ice_c) + heat.CP_WATER_KJ_KG_K * to_c
    return np.asarray(stream.heat_capacity_kj_k * np.maximum(stream.temp_c - to_c, 0.0) / per_kg)


def with_ice(stream: Stream, kg: float | Worlds, ice_c: float = 0.0) -> Stream:
    """The tub with so much ice melted in it; more ice than it can melt ends at 0 °C as if all had."""
    melted = mixed(stream, Stream.of(temp_c=0.0, water_kg=np.asarray(kg, dtype=float)))
    capacity_kj_k = stream.heat_capacity_kj_k + heat.CP_WATER_KJ_KG_K * np.asarray(kg)
    taken_k = np.asarray(kg) * _ice_takes_kj_kg(ice_c) / capacity_kj_k
    return melted.at(np.maximum(melted.temp_c - taken_k, 0.0))


def _ice_takes_kj_kg(ice_c: float) -> float:
    return heat.MELTING_ICE_KJ_KG + heat.CP_ICE_KJ_KG_K * max(-ice_c, 0.0)


@dataclass(frozen=True)
class Coil:
    """What a cooling coil takes: litres of cold water, hours, and how warm the water leaves at the end."""

    water_l: Worlds
    hours: Worlds
    leaves_c: Worlds


def coil(
    temp_c: float | Worlds,
    to_c: float,
    capacity_kj_k: float | Worlds,
    water_c: float,
    flow_l_min: float,
    ua_w_k: float | Worlds,
) -> Coil:
    """Cooling by a coil in a stirred tub: C dT/dt = -e m c (T - Tw), e = 1 - exp(-UA/(m c)).

    What the tub loses by itself is left out: the true time is shorter. Thick mash that is not stirred
    cools far slower than this.

    Args:
        temp_c, to_c: [°C]. capacity_kj_k: [kJ/K]. water_c: cold water [°C]. flow_l_min: [L/min], above 0.
        ua_w_k: of the coil in this mash [W/K]; about 300-600 per m² of copper in stirred mash, *from memory*.
    """
    flow_kw_k = flow_l_min / 60.0 * heat.CP_WATER_KJ_KG_K
    share = -np.expm1(-np.asarray(ua_w_k) / (1000.0 * flow_kw_k))
    above, left = np.asarray(temp_c) - water_c, to_c - water_c
    if left <= 0.0:
        endless = np.where(above > left, np.inf, 0.0) * np.ones(np.shape(capacity_kj_k))
        return Coil(endless, endless, np.full(endless.shape, np.nan))
    ratio = np.log(np.maximum(above, left) / left)
    hours = np.asarray(capacity_kj_k) / (3600.0 * share * flow_kw_k) * ratio
    return Coil(60.0 * flow_l_min * hours, np.asarray(hours), water_c + share * left)


def coil_water_l(
    from_c: float | Worlds,
    to_c: float | Worlds,
    capacity_kj_k: float | Worlds,
    water_c: float,
    leaves_under_k: float = WATER_LEAVES_UNDER_K,
) -> Worlds:
    """Cold water for a coil whose flow is kept so low that it leaves a few kelvin under the mash [L].

    V = C (T - T1) / (4.18 times the mean warming of the water), never less warming than 3 K.
    """
    kwh = np.asarray(capacity_kj_k) * np.maximum(np.asarray(from_c) - to_c, 0.0) / 3600.0
    rise_k = np.maximum(0.5 * (np.asarray(from_c) + to_c) - leaves_under_k - water_c, 3.0)
    return np.asarray(heat.cooling_water_l(kwh, rise_k))
