"""Fermenting, hour by hour: sugar, alcohol, warmth, cells and gas over worlds and hours.

The masses follow from how far each world has gone by the balance of `ferment`, so every moment closes and a
healthy course ends where the end-point model does. Rates and steps are in `ferment_steps`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from caskward.properties.alcohol import ETHANOL_DENSITY_20C
from caskward.stages.ferment import HEAT_MJ_PER_KG_HEXOSE, Extent, FermentUnknowns, furthest, part_way
from caskward.stages.ferment_record import FermentCourse
from caskward.stages.ferment_settings import FermentSettings, checked, driven, flat, numbers, shapes
from caskward.stages.ferment_steps import (
    GROWTH_PER_H,
    Drive,
    Fixed,
    State,
    acidity,
    awake,
    fine_hours,
    march,
    wake,
)
from caskward.stages.stream import ETHANOL_KG_PER_KG_HEXOSE, HEXOSE_KG_PER_KG_GLUCAN, Stream, Worlds
from caskward.stages.yeast import Yeast, lag_in

__all__ = ["FermentCourse", "FermentSettings", "ferment_course", "resumed"]


def ferment_course(
    wash: Stream, hours: Worlds, yeast: Yeast, settings: FermentSettings, finer: int = 1
) -> FermentCourse:
    """Ferment a wash over hours, all worlds at once.

    Args:
        wash: what the yeast is pitched into, at its temperature; worlds of any shape.
        hours: [h], 1-d, rising from 0. finer: multiplies the steps, to measure what they leave out.

    Raises:
        OutOfRange: hours that do not rise from 0; shares, cells or losses that cannot be.
    """
    hours = checked(hours, yeast, settings)
    shape = np.broadcast_shapes(wash.total_kg.shape, *shapes(yeast), *shapes(settings, of_grid=len(hours)))
    spread = wash.spread(shape)
    fine, keep = fine_hours(hours)
    told = {name: flat(value, shape) for name, value in numbers(yeast, settings).items()}
    offer = _offer(spread, told, fine, driven(settings.dextrin_per_h, hours, fine, shape))
    held = settings.set_point_c
    drive = Drive(
        driven(settings.room_c, hours, fine, shape),
        None if held is None else driven(held, hours, fine, shape),
        offer.offered_kg * _per_l(spread),
    )
    fixed = _fixed(spread, told, offer)
    states = march(_start(spread, told, drive), np.array(fixed), fine, drive, finer)
    return _course(spread, hours, states[keep], fixed, told, offer.at(keep))


_ENDS = ("yield_of_theory", "tolerance_pct_vol", "carried_off_share", "gives_out_at")


class _Offer(NamedTuple):
    """Sugar that comes before the yeast [kg]: split and offered by each hour, (hours, worlds), and in all."""

    split_kg: Worlds
    offered_kg: Worlds
    usable_kg: Worlds
    reach_kg: Worlds

    def at(self, keep: NDArray[np.intp]) -> _Offer:
        return self._replace(split_kg=self.split_kg[keep], offered_kg=self.offered_kg[keep])


def _offer(wash: Stream, told: Mapping[str, Worlds], fine: Worlds, per_h: Worlds) -> _Offer:
    """By living enzymes that split `per_h` of the dextrin within reach; none is, where they do nothing."""
    steps = 0.5 * (per_h[1:] + per_h[:-1]) * np.diff(fine)[:, None]
    passed = np.concatenate([np.zeros((1, per_h.shape[1])), np.cumsum(steps, axis=0)])
    reach_kg = told["dextrin_reach"] * np.any(per_h > 0.0, axis=0) * wash.dextrin_kg.ravel()
    split_kg = -np.expm1(-passed) * (HEXOSE_KG_PER_KG_GLUCAN * reach_kg)
    sugar_kg = np.maximum(wash.fermentable_kg.ravel() - told["passed_over_kg"], 0.0)
    usable_kg = told["attenuation"] * (sugar_kg + HEXOSE_KG_PER_KG_GLUCAN * reach_kg)
    return _Offer(split_kg, told["attenuation"] * (sugar_kg + split_kg), usable_kg, reach_kg)


def _per_l(wash: Stream) -> Worlds:
    """g in a litre of the starting liquid for each kg."""
    return np.asarray(1000.0 / np.maximum(wash.liquid_l, 1e-12).ravel())


def _fixed(wash: Stream, told: Mapping[str, Worlds], offer: _Offer) -> Fixed:
    """Constants of each world."""
    per_l = _per_l(wash)
    cap, shrink = _furthest(wash, told, offer)
    pure = ETHANOL_KG_PER_KG_HEXOSE * told["yield_of_theory"]
    capacity_kj_k = np.maximum(wash.heat_capacity_kj_k.ravel(), 1e-9)
    same = ("speed", "min_c", "best_c", "max_c", "ph_start", "sours_per_h", "sours_from_h")
    return Fixed(
        cap=cap,
        shrink=shrink,
        ethanol_start=wash.ethanol_kg.ravel() * per_l,
        ethanol_per=pure * (1.0 - told["carried_off_share"]),
        ethanol_most=told["tolerance_pct_vol"] * (ETHANOL_DENSITY_20C / 100.0),
        pure_per=pure,
        wake=wake(lag_in(told["lag_h"], wash.fermentable_kg.ravel() * per_l)),
        need=told["nitrogen_mg_per_g"],
        heat_k=1000.0 * HEAT_MJ_PER_KG_HEXOSE / (per_l * capacity_kj_k),
        cools_per_h=np.maximum(3.6 * told["heat_loss_w_k"] / capacity_kj_k, 1e-12),
        ph_fall=np.maximum(told["ph_start"] - told["ph_end"], 0.0),
        **{name: told[name] for name in same},
    )


def _furthest(wash: Stream, told: Mapping[str, Worlds], offer: _Offer) -> tuple[Worlds, Worlds]:
    """Sugar used at the very end [g/L], and how much the liquid's volume changes for each g/L of it.

    The volume runs straight between the two, so that the strength at the end is exactly the end-point's.
    """
    shape = wash.total_kg.shape
    all_kg = wash.fermentable_kg.ravel() + HEXOSE_KG_PER_KG_GLUCAN * offer.reach_kg
    ends = {
        "attenuation": offer.usable_kg / np.maximum(all_kg, 1e-12),
        "dextrin_used": offer.reach_kg / np.maximum(wash.dextrin_kg.ravel(), 1e-12),
        **{name: told[name] for name in _ENDS},
    }
    unknowns = FermentUnknowns(**{name: value.reshape(shape) for name, value in ends.items()})
    used_kg, split_kg = furthest(wash, unknowns)
    plain = replace(wash, traces_mg=None)
    end, _ = part_way(plain, Extent(used_kg, split_kg), unknowns.yield_of_theory, unknowns.carried_off_share)
    cap = used_kg.ravel() * _per_l(wash)
    change = (end.liquid_l / np.maximum(wash.liquid_l, 1e-12) - 1.0).ravel()
    return cap, change / np.maximum(cap, 1e-9)


def _start(wash: Stream, told: Mapping[str, Worlds], drive: Drive) -> Worlds:
    nothing = np.zeros(wash.total_kg.size)
    temp_c = np.broadcast_to(wash.temp_c, wash.total_kg.shape).ravel()
    return np.array(
        State(
            left=drive.offered[0] + nothing,
            used=nothing,
            soured=nothing,
            cells=told["cells_g_l"],
            nitrogen=told["nitrogen_mg_l"],
            work=nothing,
            temp_c=temp_c if drive.held_c is None else drive.held_c[0] + nothing,
        )
    )


def _course(
    wash: Stream, hours: Worlds, states: Worlds, fixed: Fixed, told: Mapping[str, Worlds], offer: _Offer
) -> FermentCourse:
    shape, per_l = wash.total_kg.shape, _per_l(wash)
    rows = State(*np.moveaxis(states, 1, 0))
    soured_kg = rows.soured / per_l
    flat_parts = {
        "used_hexose_kg": np.minimum(rows.used / per_l, np.maximum(offer.offered_kg - soured_kg, 0.0)),
        "soured_kg": soured_kg,
        "from_dextrin_kg": offer.split_kg,
        "offered_kg": offer.offered_kg,
        "usable_kg": offer.usable_kg,
        "reach_kg": offer.reach_kg,
        "temp_c": rows.temp_c,
        "cells_g_l": rows.cells,
        "awake": awake(fixed.wake, rows.work),
        "nitrogen_mg_l": rows.nitrogen,
        "ph": acidity(fixed, rows.used, rows.soured),
        "yield_of_theory": told["yield_of_theory"],
        "carried_off_share": told["carried_off_share"],
    }
    shaped = {name: values.reshape((*values.shape[:-1], *shape)) for name, values in flat_parts.items()}
    return FermentCourse(wash=wash, hours=hours, **shaped)


def resumed(
    course: FermentCourse, i: int, yeast: Yeast, settings: FermentSettings
) -> tuple[Stream, Yeast, FermentSettings]:
    """What to ferment on with from a grid point: the wash, its yeast and its settings as they are by then.

    Change any of the three (more cells, nitrogen, warmth) and give them to `ferment_course` with hours that
    start from 0 again. What was given on the grid is cut to the rest of it.
    """
    wash, hours = course.stream(i), course.hours
    dextrin_kg = np.maximum(wash.dextrin_kg, 1e-12)
    reach_kg = course.reach_kg - course.from_dextrin_kg[i] / HEXOSE_KG_PER_KG_GLUCAN
    gone_kg = course.used_hexose_kg[i] + course.soured_kg[i]
    passed_over_kg = settings.passed_over_kg + gone_kg * (1.0 / np.asarray(yeast.attenuation) - 1.0)
    # Of what is left it gives out at what it has not yet used of its own share.
    left_kg = np.maximum(course.usable_kg - gone_kg, 1e-12)
    held_back_kg = (1.0 - np.asarray(yeast.gives_out_at)) * course.usable_kg
    thinner = course.wash.liquid_l / np.maximum(wash.liquid_l, 1e-12)
    again = replace(
        yeast,
        cells_g_l=course.cells_g_l[i] * thinner,
        lag_h=-np.log(np.maximum(course.awake[i], 1e-9)) / GROWTH_PER_H,
        gives_out_at=1.0 - np.clip(held_back_kg / left_kg, 0.0, 1.0),
    )
    now = replace(
        settings,
        room_c=_rest(settings.room_c, i, len(hours)),
        set_point_c=None if settings.set_point_c is None else _rest(settings.set_point_c, i, len(hours)),
        dextrin_per_h=_rest(settings.dextrin_per_h, i, len(hours)),
        passed_over_kg=passed_over_kg,
        dextrin_reach=np.clip(reach_kg / dextrin_kg, 0.0, 1.0),
        nitrogen_mg_l=None if settings.nitrogen_mg_l is None else course.nitrogen_mg_l[i] * thinner,
        ph_start=course.ph[i],
        ph_end=np.minimum(settings.ph_end, course.ph[i]),
        sours_from_h=np.asarray(settings.sours_from_h) - hours[i],
    )
    return wash, again, now


def _rest(value: float | Worlds, i: int, of_grid: int) -> float | Worlds:
    given = np.asarray(value)
    return given[i:] if given.ndim > 1 and given.shape[0] == of_grid else value
