"""Fermenting, hour by hour: sugar, alcohol, warmth, cells and gas over worlds and hours.

The masses follow from how far each world has gone by the balance of `ferment`, so every moment closes and a
healthy course ends where the end-point model does. Rates and steps are in `ferment_steps`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from caskward.properties._arrays import check_range
from caskward.properties.alcohol import ETHANOL_DENSITY_20C
from caskward.stages.ferment import HEAT_MJ_PER_KG_HEXOSE, Extent, FermentUnknowns, furthest, part_way
from caskward.stages.ferment_record import FermentCourse
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

PLENTY_MG_L = 1e9
"""Nitrogen where none is asked for: the yeast never wants."""


@dataclass(frozen=True)
class FermentSettings:
    """Where a wash ferments. Grids are (hours, 1) or (hours, worlds); plain numbers and worlds serve too.

    `set_point_c`: a controller's temperature, or the temperatures as logged; None lets the wash warm itself
    against a wall that loses `heat_loss_w_k` to the room. `dextrin_per_h`: share of the dextrin within reach
    (`dextrin_reach` of all) that living enzymes split in an hour; none off the grain and after a boil.
    `nitrogen_mg_l` None: enough. `sours_per_h`: share of the sugar that bacteria take in an hour once they
    have come up, about `sours_from_h`.
    """

    heat_loss_w_k: float | Worlds = 5.0
    room_c: float | Worlds = 20.0
    set_point_c: float | Worlds | None = None
    dextrin_per_h: float | Worlds = 0.0
    dextrin_reach: float | Worlds = 1.0
    nitrogen_mg_l: float | Worlds | None = None
    ph_start: float | Worlds = 5.2
    ph_end: float | Worlds = 4.0
    sours_per_h: float | Worlds = 0.0
    sours_from_h: float | Worlds = 24.0
    carried_off_share: float | Worlds = 0.006


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
    hours = _checked(hours, yeast, settings)
    shape = np.broadcast_shapes(wash.total_kg.shape, *_shapes(yeast), *_shapes(settings, of_grid=len(hours)))
    spread = wash.spread(shape)
    fine, keep = fine_hours(hours)
    told = {name: _flat(value, shape) for name, value in _numbers(yeast, settings).items()}
    per_l = 1000.0 / np.maximum(spread.liquid_l, 1e-12).ravel()
    per_h = _driven(settings.dextrin_per_h, hours, fine, shape)
    told["dextrin_reach"] = told["dextrin_reach"] * np.any(per_h > 0.0, axis=0)
    split_kg = _split(spread, fine, per_h, told["dextrin_reach"])
    offered_kg = told["attenuation"] * (spread.fermentable_kg.ravel() + split_kg)
    fixed = _fixed(spread, told, per_l)
    drive = Drive(
        _driven(settings.room_c, hours, fine, shape),
        None if settings.set_point_c is None else _driven(settings.set_point_c, hours, fine, shape),
        offered_kg * per_l,
    )
    start = _start(spread, told, drive)
    states = march(start, np.array(fixed), fine, drive, finer)[keep]
    return _course(spread, hours, states, fixed, told, (split_kg[keep], offered_kg[keep], per_l))


def _checked(hours: Worlds, yeast: Yeast, settings: FermentSettings) -> Worlds:
    grid = np.atleast_1d(np.asarray(hours, dtype=float))
    check_range("first hour", float(grid[0]), "h", 0.0, 0.0, "A course starts when the yeast is pitched.")
    check_range("step from one hour to the next", np.diff(grid), "h", 1e-6, np.inf)
    for name, value in (("attenuation", yeast.attenuation), ("yield", yeast.yield_of_theory)):
        check_range(name, value, "", 0.01, 1.0)
    check_range("cells", yeast.cells_g_l, "g/L", 0.0, 200.0)
    check_range("lag", yeast.lag_h, "h", 0.0, 500.0)
    check_range("strength the yeast can stand", yeast.tolerance_pct_vol, "%vol", 1.0, 25.0)
    check_range("heat lost by the wall", settings.heat_loss_w_k, "W/K", 0.0, np.inf)
    if settings.set_point_c is not None:
        check_range("set point", settings.set_point_c, "°C", 0.0, 100.0)
    check_range("dextrin split in an hour", settings.dextrin_per_h, "1/h", 0.0, np.inf)
    check_range("dextrin within reach", settings.dextrin_reach, "", 0.0, 1.0)
    return grid


_GRIDS = ("room_c", "set_point_c", "dextrin_per_h")


def _numbers(yeast: Yeast, settings: FermentSettings) -> Mapping[str, float | Worlds]:
    """Everything that is told once for a world, by name."""
    told = {**vars(yeast), **{k: v for k, v in vars(settings).items() if k not in _GRIDS}}
    if told["nitrogen_mg_l"] is None:
        told["nitrogen_mg_l"] = PLENTY_MG_L
    return told


def _shapes(facts: Yeast | FermentSettings, of_grid: int = 0) -> list[tuple[int, ...]]:
    """Shapes over worlds; a grid's first axis is hours."""
    shapes = []
    for name, value in vars(facts).items():
        shape: tuple[int, ...] = np.asarray(value).shape if value is not None else ()
        on_grid = name in _GRIDS and len(shape) > 1 and shape[0] == of_grid
        shapes.append(shape[1:] if on_grid else shape)
    return shapes


def _flat(value: float | Worlds, shape: tuple[int, ...]) -> Worlds:
    return np.array(np.broadcast_to(np.asarray(value, dtype=float), shape)).ravel()


def _driven(value: float | Worlds, hours: Worlds, fine: Worlds, shape: tuple[int, ...]) -> Worlds:
    """What is given for worlds or on the grid, on the fine hours: (hours, 1) or (hours, worlds)."""
    given = np.asarray(value, dtype=float)
    if given.ndim < 2 or given.shape[0] != len(hours):
        wide = given.reshape(1, 1) if given.size == 1 else _flat(given, shape)[None]
        return np.broadcast_to(wide, (len(fine), wide.shape[1]))
    given = given.reshape(len(hours), -1)
    at = np.clip(np.searchsorted(hours, fine, side="right") - 1, 0, max(len(hours) - 2, 0))
    part = ((fine - hours[at]) / np.diff(hours)[at])[:, None] if len(hours) > 1 else 0.0
    return np.asarray(given[at] + part * (given[np.minimum(at + 1, len(hours) - 1)] - given[at]))


def _split(wash: Stream, fine: Worlds, per_h: Worlds, reach: Worlds) -> Worlds:
    """Hexose that living enzymes have split from dextrin by each fine hour [kg], (hours, worlds)."""
    steps = 0.5 * (per_h[1:] + per_h[:-1]) * np.diff(fine)[:, None]
    passed = np.concatenate([np.zeros((1, per_h.shape[1])), np.cumsum(steps, axis=0)])
    return np.asarray(-np.expm1(-passed) * (HEXOSE_KG_PER_KG_GLUCAN * reach * wash.dextrin_kg.ravel()))


def _fixed(wash: Stream, told: Mapping[str, Worlds], per_l: Worlds) -> Fixed:
    """Constants of each world."""
    cap, shrink = _furthest(wash, told, per_l)
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


def _furthest(wash: Stream, told: Mapping[str, Worlds], per_l: Worlds) -> tuple[Worlds, Worlds]:
    """Sugar used at the very end [g/L], and how much the liquid's volume changes for each g/L of it.

    The volume runs straight between the two, so that the strength at the end is exactly the end-point's.
    """
    names = ("attenuation", "dextrin_reach", "yield_of_theory", "tolerance_pct_vol", "carried_off_share")
    unknowns = FermentUnknowns(*(told[name].reshape(wash.total_kg.shape) for name in names))
    used_kg, split_kg = furthest(wash, unknowns)
    plain = replace(wash, traces_mg=None)
    end, _ = part_way(plain, Extent(used_kg, split_kg), unknowns.yield_of_theory, unknowns.carried_off_share)
    cap = used_kg.ravel() * per_l
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
    wash: Stream,
    hours: Worlds,
    states: Worlds,
    fixed: Fixed,
    told: Mapping[str, Worlds],
    amounts: tuple[Worlds, Worlds, Worlds],
) -> FermentCourse:
    split_kg, offered_kg, per_l = amounts
    shape = wash.total_kg.shape
    rows = State(*np.moveaxis(states, 1, 0))
    reach_kg = told["dextrin_reach"] * wash.dextrin_kg.ravel()
    usable_kg = told["attenuation"] * (wash.fermentable_kg.ravel() + HEXOSE_KG_PER_KG_GLUCAN * reach_kg)
    soured_kg = rows.soured / per_l
    used_kg = np.minimum(rows.used / per_l, np.maximum(offered_kg - soured_kg, 0.0))
    flat = {
        "used_hexose_kg": used_kg,
        "soured_kg": soured_kg,
        "from_dextrin_kg": split_kg,
        "offered_kg": offered_kg,
        "usable_kg": usable_kg,
        "reach_kg": reach_kg,
        "temp_c": rows.temp_c,
        "cells_g_l": rows.cells,
        "awake": awake(fixed.wake, rows.work),
        "nitrogen_mg_l": rows.nitrogen,
        "ph": acidity(fixed, rows.used, rows.soured),
        "yield_of_theory": told["yield_of_theory"],
        "carried_off_share": told["carried_off_share"],
    }
    shaped = {name: values.reshape((*values.shape[:-1], *shape)) for name, values in flat.items()}
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
    left_kg = course.usable_kg - course.used_hexose_kg[i] - course.soured_kg[i]
    all_kg = np.maximum(wash.fermentable_kg + HEXOSE_KG_PER_KG_GLUCAN * reach_kg, 1e-12)
    thinner = course.wash.liquid_l / np.maximum(wash.liquid_l, 1e-12)
    again = replace(
        yeast,
        cells_g_l=course.cells_g_l[i] * thinner,
        lag_h=-np.log(np.maximum(course.awake[i], 1e-9)) / GROWTH_PER_H,
        attenuation=np.clip(left_kg / all_kg, 0.01, 1.0),
    )
    now = replace(
        settings,
        room_c=_rest(settings.room_c, i, len(hours)),
        set_point_c=None if settings.set_point_c is None else _rest(settings.set_point_c, i, len(hours)),
        dextrin_per_h=_rest(settings.dextrin_per_h, i, len(hours)),
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
