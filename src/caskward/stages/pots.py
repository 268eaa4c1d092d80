"""Cooking hour by hour: one pot's heat, and pots in turn into one tub that cools while the next pot heats.

Grain that swells takes up liquid that is there already: it goes stiff, but the volume of the whole stays
(measured changes are under 1 %, from memory). What fills a pot is warmth and foam, so the check is the hot
volume against what the pot may hold.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from caskward.errors import NotHotEnough, OutOfRange
from caskward.properties import heat, water
from caskward.stages.balance import Loss
from caskward.stages.stirring import stirred_in, swelling_kj
from caskward.stages.stream import Stream, Worlds, mixed
from caskward.stages.swelling import swollen
from caskward.stages.tub_heat import TubWall, stood

GIVES_UP_H = 24.0
"""Hours after which a maker stops heating a pot that does not get there; *common practice, no source*."""
_HOLD_POINTS = 13


@dataclass(frozen=True)
class Pot:
    """A pot: what it may hold hot, foam and paddle allowed for [L], its heat [kW], and what the heat does."""

    working_l: float
    power_kw: float
    efficiency: Worlds
    heat_loss_w_k: Worlds


@dataclass(frozen=True)
class Portion:
    """What goes into one pot: weighed grain (one stream each), water, and water topped up after the hold.

    `warmed_from_c`: the water is first warmed in this pot, from this temperature; None: it comes as it is.
    `thinning` is what was said of the enzyme at the start: it is recorded, and changes nothing here.
    """

    grains: tuple[Stream, ...]
    water_l: float
    water_c: float
    warmed_from_c: float | None = None
    top_up_l: float = 0.0
    top_up_c: float = 15.0
    thinning: str = ""


@dataclass(frozen=True)
class Cook:
    """How hot and how long, the room, each grain's swelling range, and the steam that leaves.

    `onset_c`, `complete_c` are in the order of a portion's grains: (materials,) or (materials, worlds...);
    grain that is swollen already has both below its water. `steam_share_per_h` is the share of the water
    that leaves as steam each hour of the hold (never more than the heat can make). `turn_h` is what it
    takes to empty and fill the pot again.
    """

    cook_c: float
    hold_h: float
    room_c: float
    onset_c: Worlds
    complete_c: Worlds
    steam_share_per_h: Worlds
    turn_h: float = 0.0


@dataclass(frozen=True)
class PotRecord:
    """One pot, per world: temperatures [°C], hours, heat paid for [kWh], volumes [L] and steam [kg]."""

    stirred_c: Worlds
    warming_h: Worlds
    heat_up_h: Worlds
    hold_h: float
    reached_c: Worlds
    boil_off_kg: Worlds
    energy_kwh: Worlds
    hot_l: Worlds
    top_up_l: float
    topped_c: Worlds
    topped_l: Worlds
    working_l: float
    swollen_share: Worlds
    thinning: str
    losses: tuple[Loss, ...]

    @property
    def busy_h(self) -> Worlds:
        """Hours from water in to pouring out."""
        return np.asarray(self.warming_h + self.heat_up_h + self.hold_h)

    @property
    def fits(self) -> NDArray[np.bool_]:
        """Whether it stays, hot and topped up, within what the pot may hold."""
        return np.asarray(np.maximum(self.hot_l, self.topped_l) <= self.working_l)


@dataclass(frozen=True)
class PotsRecord:
    """Pots in turn: each pot's record, and the tub before and after each is poured in, (pots, worlds...)."""

    pots: tuple[PotRecord, ...]
    before_c: Worlds
    after_c: Worlds
    after_l: Worlds
    at_h: Worlds
    losses: tuple[Loss, ...]

    @property
    def energy_kwh(self) -> Worlds:
        """Heat paid for, all pots [kWh]."""
        return np.asarray(sum(pot.energy_kwh for pot in self.pots))


def heat_hours(from_c: Worlds, to_c: Worlds, capacity_kj_k: Worlds, pot: Pot, room_c: float) -> Worlds:
    """Hours to heat a pot from one temperature to another; inf where its walls lose all the heat before.

    C dT/dt = P e - UA (T - Ta), exactly: C (T1 - T0)/net ln(1/(1 - y))/y, y = UA (T1 - T0)/net, net at T0.
    """
    net_kw = pot.power_kw * pot.efficiency - pot.heat_loss_w_k * (from_c - room_c) / 1000.0
    rise_k = np.maximum(to_c - from_c, 0.0)
    some_kw = np.where(net_kw > 0.0, net_kw, 1.0)
    y = pot.heat_loss_w_k * rise_k / 1000.0 / some_kw
    within = np.clip(y, 1e-9, 1.0 - 1e-12)
    slower = -np.log1p(-within) / within
    hours = capacity_kj_k * rise_k / 3600.0 / some_kw * slower
    return np.where(rise_k <= 0.0, 0.0, np.where((net_kw <= 0.0) | (y >= 1.0), np.inf, hours))


def after_a_day_c(mash: Stream, pot: Pot, room_c: float) -> Worlds:
    """How hot a pot gets in a day's heating [°C], swelling left out: there a maker gives up.

    T0 + net t / C (1 - exp(-x)) / x, x = UA t / C, net the heat that stays in it at the start.
    """
    capacity = mash.heat_capacity_kj_k
    net_kw = pot.power_kw * pot.efficiency - pot.heat_loss_w_k * (mash.temp_c - room_c) / 1000.0
    x = np.maximum(3.6 * pot.heat_loss_w_k * GIVES_UP_H / capacity, 1e-9)
    return np.asarray(mash.temp_c + 3600.0 * net_kw * GIVES_UP_H / capacity * -np.expm1(-x) / x)


def _reachable(mash: Stream, pot: Pot, cook: Cook) -> Worlds:
    """The cook's temperature, or as far as each world's pot gets in a day."""
    most_c = after_a_day_c(mash, pot, cook.room_c)
    likely_c = float(np.median(most_c))
    if likely_c < cook.cook_c:
        efficiency = float(np.median(pot.efficiency))
        loss_kw = float(np.median(pot.heat_loss_w_k)) * (cook.cook_c - cook.room_c) / 1000.0
        raise NotHotEnough(cook.cook_c, likely_c, pot.power_kw, loss_kw / efficiency)
    return np.minimum(cook.cook_c, np.maximum(most_c, mash.temp_c))


def _heat_up(mash: Stream, grains: tuple[Stream, ...], pot: Pot, cook: Cook) -> tuple[Worlds, Worlds]:
    """Temperatures at which the swelling changes, and the hours when they are passed, (knots, worlds...).

    Starch takes its heat evenly over its range, so between two knots the heat capacity is constant.
    """
    to_c = _reachable(mash, pot, cook)
    shape = np.broadcast_shapes(mash.temp_c.shape, np.shape(to_c))
    ends = [mash.temp_c, to_c, *cook.onset_c, *cook.complete_c]
    at_c = np.stack([np.broadcast_to(np.clip(end, mash.temp_c, to_c), shape) for end in ends])
    knots = np.sort(at_c, axis=0)
    hours = [np.zeros(shape)]
    for below, above in pairwise(knots):
        cold = swelling_kj(grains, above, cook.onset_c, cook.complete_c) - swelling_kj(
            grains, below, cook.onset_c, cook.complete_c
        )
        rise_k = above - below
        extra = np.where(rise_k > 0.0, cold / np.where(rise_k > 0.0, rise_k, 1.0), 0.0)
        more_h = heat_hours(below, above, mash.heat_capacity_kj_k + extra, pot, cook.room_c)
        hours.append(np.minimum(hours[-1] + more_h, GIVES_UP_H))
    return knots, np.stack(hours)


def cook_pot(portion: Portion, pot: Pot, cook: Cook) -> tuple[Stream, PotRecord]:
    """One pot from water in to pouring out: warmed, grain stirred in, heated, held, topped up.

    Raises:
        OutOfRange: a cook over 100 °C. NotHotEnough: the likely pot's walls lose all its heat before the
            cook's temperature. Worlds in which they do stop where they get to, after a day at most.
    """
    if not cook.cook_c <= 100.0:
        raise OutOfRange("cook's temperature", cook.cook_c, "°C", 0.0, 100.0, "An open pot boils there.")
    kg = portion.water_l * water.density(20.0) / 1000.0
    cold = Stream.of(temp_c=portion.water_c, water_kg=kg)
    warming_h = _warming_h(cold, portion, pot, cook)
    mash = stirred_in(cold, portion.grains)
    knots_c, knots_h = _heat_up(mash, portion.grains, pot, cook)
    reached_c, heat_up_h = knots_c[-1], knots_h[-1]
    steam_kg, hold_kwh = _hold(mash, reached_c, pot, cook)
    cooked = mash.with_masses(water_kg=mash.water_kg - steam_kg).at(reached_c)
    top_up = portion.top_up_l * water.density(20.0) / 1000.0
    topped = mixed(cooked, Stream.of(temp_c=portion.top_up_c, water_kg=top_up)) if top_up else cooked
    record = PotRecord(
        stirred_c=mash.temp_c,
        warming_h=warming_h,
        heat_up_h=heat_up_h,
        hold_h=cook.hold_h,
        reached_c=reached_c,
        boil_off_kg=steam_kg,
        energy_kwh=pot.power_kw * (warming_h + heat_up_h) + hold_kwh,
        hot_l=mash.volume_at(np.minimum(reached_c, 100.0)),
        top_up_l=portion.top_up_l,
        topped_c=topped.temp_c,
        topped_l=topped.volume_at(np.minimum(topped.temp_c, 100.0)),
        working_l=pot.working_l,
        swollen_share=_swollen(portion.grains, knots_c, knots_h, cook),
        thinning=portion.thinning,
        losses=(Loss("steam from the cook", steam_kg, np.zeros_like(steam_kg)),),
    )
    return topped, record


def _warming_h(cold: Stream, portion: Portion, pot: Pot, cook: Cook) -> Worlds:
    if portion.warmed_from_c is None:
        return np.zeros(np.shape(pot.efficiency))
    from_c = np.asarray(portion.warmed_from_c)
    hours = heat_hours(from_c, np.asarray(portion.water_c), cold.heat_capacity_kj_k, pot, cook.room_c)
    return np.minimum(hours, GIVES_UP_H)


def _hold(mash: Stream, reached_c: Worlds, pot: Pot, cook: Cook) -> tuple[Worlds, Worlds]:
    """Steam of the hold [kg], as far as the heat makes it, and the heat paid for [kWh]."""
    wall_kw = np.maximum(pot.heat_loss_w_k * (reached_c - cook.room_c) / 1000.0, 0.0)
    spare_kw = np.maximum(pot.power_kw * pot.efficiency - wall_kw, 0.0)
    latent = np.asarray(heat.latent_water_kj_kg(reached_c))
    wanted_kg = np.minimum(cook.steam_share_per_h * cook.hold_h, 0.5) * mash.water_kg
    steam_kg = np.minimum(wanted_kg, 3600.0 * spare_kw * cook.hold_h / latent)
    kwh = (wall_kw * cook.hold_h + steam_kg * latent / 3600.0) / pot.efficiency
    return np.asarray(steam_kg), np.asarray(kwh)


def _swollen(grains: tuple[Stream, ...], knots_c: Worlds, knots_h: Worlds, cook: Cook) -> Worlds:
    """Share of all starch that has swollen at the end of the hold."""
    hold = np.linspace(0.0, cook.hold_h, _HOLD_POINTS)[1:].reshape(-1, *[1] * (knots_h.ndim - 1))
    hours = np.concatenate([knots_h, knots_h[-1:] + hold])
    temps = np.concatenate([knots_c, np.broadcast_to(knots_c[-1:], (len(hold), *knots_c.shape[1:]))])
    done = [
        swollen(1.0, temps, hours, low, high)[-1]
        for low, high in zip(cook.onset_c, cook.complete_c, strict=True)
    ]
    starch_kg = np.asarray(sum(grain.starch_kg for grain in grains))
    part = np.asarray(sum(g.starch_kg * share for g, share in zip(grains, done, strict=True)))
    return np.where(starch_kg > 0.0, part / np.where(starch_kg > 0.0, starch_kg, 1.0), 1.0)


def cook_in_turn(
    portions: tuple[Portion, ...], pot: Pot, cook: Cook, tub: TubWall, in_tub: Stream | None = None
) -> tuple[Stream, PotsRecord]:
    """Portion after portion through one pot into one tub, which cools while the next pot heats.

    The hours count from the first pot's start; what is in the tub by then (`in_tub`) stands from there on.
    What pouring itself loses is left out (a kelvin or two through air, *common practice, no source*).
    """
    pots: list[PotRecord] = []
    before: list[Worlds] = []
    after: list[Stream] = []
    at_h: list[Worlds] = []
    losses: list[Loss] = []
    held = in_tub
    for portion in portions:
        cooked, record = cook_pot(portion, pot, cook)
        waited_h = record.busy_h + (cook.turn_h if pots else 0.0)
        if held is None:
            before.append(np.full(cooked.temp_c.shape, np.nan))
        else:
            held, steam = _stands(held, tub, waited_h)
            before.append(held.temp_c)
            losses.append(steam)
        held = cooked if held is None else mixed(held, cooked)
        pots.append(record)
        after.append(held)
        at_h.append(np.asarray(waited_h + (at_h[-1] if at_h else 0.0)))
        losses.extend(record.losses)
    if held is None:
        raise ValueError("no portion to cook")
    whole = PotsRecord(
        pots=tuple(pots),
        before_c=_stacked(before),
        after_c=_stacked([stream.temp_c for stream in after]),
        after_l=_stacked([stream.volume_at(np.minimum(stream.temp_c, 100.0)) for stream in after]),
        at_h=_stacked(at_h),
        losses=tuple(losses),
    )
    return held, whole


def _stands(held: Stream, tub: TubWall, hours: Worlds) -> tuple[Stream, Loss]:
    grid = np.stack([np.zeros_like(hours), hours])
    left = stood(held.temp_c, held.heat_capacity_kj_k, tub.holding(held.volume_l), grid)
    steam_kg = np.minimum(left.steam_kg[-1], 0.5 * held.water_kg)
    cooled = held.with_masses(water_kg=held.water_kg - steam_kg).at(left.temp_c[-1])
    return cooled, Loss("steam from the open tub", steam_kg, np.zeros_like(steam_kg))


def _stacked(rows: list[Worlds]) -> Worlds:
    return np.stack(np.broadcast_arrays(*rows))
