"""The course of a ferment, step by step: rates, and how one step is taken for all worlds at once.

All amounts are g in a litre of the starting wash. Growth after oliveira-2016 (substrate and product
inhibition), the rate of cells that do not grow from rivera-2006 with warren-1990's product inhibition, both
scaled to the yeast's own tolerance. One set of constants for every wash; none is fitted.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from caskward.pace import breathe
from caskward.stages.stream import Worlds
from caskward.stages.yeast import PH_FREE, acid_factor, dies_per_h, warm_factor

GROWTH_PER_H: Final = 0.5
"""Growth at the best temperature in thin sugar [1/h]; oliveira-2016, its temperature taken as the best."""
SUGAR_CROWDS_G_L: Final = 139.7
"""Sugar that halves growth [g/L]; oliveira-2016."""
ETHANOL_POWER: Final = 4.12
"""Growth falls as (1 - P/Pmax)^4.12; oliveira-2016, whose Pmax of 94.2 g/L is 11.9 %vol."""
ETHANOL_PER_CELLS: Final = 4.87
"""Ethanol made as cells grow [g/g]; oliveira-2016."""
HALF_SPEED_G_L: Final = 0.245
"""Sugar at which rates are half [g/L]; warren-1990 (oliveira-2016 has 0.006: too little to matter)."""
RESTING_PER_H: Final = 0.1
"""Ethanol made by cells that do not grow [g/g/h]; rivera-2006, from memory."""
RESTING_POWER: Final = 1.95
"""Their rate falls as 1 - (P/Pmax)^1.95; warren-1990."""
HALF_FED_MG_L: Final = 10.0
"""Nitrogen at which growth is half [mg/L]; yeast-starved, from memory."""
STARVED_PER_H: Final = 0.02
"""Power that starved cells lose [1/h]: half in 35 h; yeast-starved, from memory."""
SOUR_MOST_G_L: Final = 15.0
"""Acid at which bacteria stop themselves [g/L]; *common practice, no source*."""
SOUR_STOPS_PH, SOUR_SLOWS_PH = 3.1, 3.7
"""pH at which lactic bacteria stop, and from which down they slow; from memory."""
SOUR_RISE_H: Final = 3.0
"""How steeply bacteria come up [h]; *common practice, no source*."""
PH_PER_ACID: Final = 0.1
"""How far one g/L of their acid moves a wash [pH]; *common practice, no source*; measure your own."""
PH_FALLEN_AT: Final = 0.5
"""Share of the sugar by which yeast has brought the pH down; *common practice, no source*."""
_PIECE_H, _CLOSE, _MOST_STEPS = 1.0, 0.2, 256
"""Longest piece [h]; how much of anything may change in a step; most steps in a piece."""
_BUSY_PER_H, _BUSY_STEPS = 0.003, 2.0
"""A wash that uses this share of its sugar in an hour takes so many steps in it at least."""
_DEAD_G_L = 1e-13
"""Less than a cell in 100 litres: how fast it dies asks for no steps."""
_NEAR_PH, _SHARP = 0.3, 30.0
"""Where acid begins to stall a wash, steps are so many times as fine as the acid alone would ask."""


class Fixed(NamedTuple):
    """What does not change in a world (worlds each): see `fermenting`, where they are set."""

    cap: Worlds
    shrink: Worlds
    ethanol_start: Worlds
    ethanol_per: Worlds
    ethanol_most: Worlds
    pure_per: Worlds
    speed: Worlds
    min_c: Worlds
    best_c: Worlds
    max_c: Worlds
    wake: Worlds
    need: Worlds
    heat_k: Worlds
    cools_per_h: Worlds
    ph_start: Worlds
    ph_fall: Worlds
    sours_per_h: Worlds
    sours_from_h: Worlds


class State(NamedTuple):
    """Where a world stands: usable sugar left, used, soured, cells [g/L]; nitrogen [mg/L]; warmth so far.

    `work` counts hours at the best temperature.
    """

    left: Worlds
    used: Worlds
    soured: Worlds
    cells: Worlds
    nitrogen: Worlds
    work: Worlds
    temp_c: Worlds


class Drive(NamedTuple):
    """What comes from outside, on the fine hours: room, set point, sugar; (hours, 1) or (hours, worlds)."""

    room_c: Worlds
    held_c: Worlds | None
    offered: Worlds


class _Now(NamedTuple):
    hour: float
    room_c: Worlds
    held_c: Worlds | None
    supply: Worlds


class _Rates(NamedTuple):
    growth: Worlds
    growing: Worlds
    resting: Worlds
    dies: Worlds
    sours: Worlds
    hungry: Worlds
    warm: Worlds


def fine_hours(hours: Worlds) -> tuple[Worlds, NDArray[np.intp]]:
    """The grid with pieces of an hour at most, and where the grid's own points are in it."""
    pieces = np.maximum(np.ceil(np.diff(hours) / _PIECE_H - 1e-9), 1.0).astype(int)
    parts = [np.linspace(a, b, n, endpoint=False) for a, b, n in zip(hours, hours[1:], pieces, strict=False)]
    return np.concatenate([*parts, hours[-1:]]), np.concatenate([[0], np.cumsum(pieces)])


def wake(lag_h: Worlds) -> Worlds:
    """Cells asleep for each that is awake at pitching, by their lag [h at the best temperature]."""
    return np.expm1(GROWTH_PER_H * lag_h)


def awake(asleep: Worlds, work: Worlds) -> Worlds:
    """Share of the cells that are over their lag after so many hours of best warmth; baranyi-roberts-1994."""
    return np.asarray(1.0 / (1.0 + asleep * np.exp(-GROWTH_PER_H * work)))


def acidity(fixed: Fixed, used: Worlds, soured: Worlds) -> Worlds:
    """pH of the wash as it ferments: at its end by half of the sugar; bacteria's acid lowers it further."""
    gone = np.minimum(used / (PH_FALLEN_AT * np.maximum(fixed.cap, 1e-9)), 1.0)
    return np.asarray(fixed.ph_start - fixed.ph_fall * gone - PH_PER_ACID * soured)


def march(start: Worlds, fixed: Worlds, hours: Worlds, drive: Drive, finer: int = 1) -> Worlds:
    """States (hours, rows of `State`, worlds) at all fine hours from a start (rows, worlds).

    Every world takes as many steps in a piece as its own rates ask, so that it fares alike alone and among
    others. `finer` multiplies the steps: a reference to measure the error by.
    """
    states = np.empty((len(hours), *start.shape))
    states[0] = start
    for i, piece_h in enumerate(np.diff(hours)):
        now = _Now(
            float(hours[i]),
            0.5 * (drive.room_c[i] + drive.room_c[i + 1]),
            None if drive.held_c is None else 0.5 * (drive.held_c[i] + drive.held_c[i + 1]),
            (drive.offered[i + 1] - drive.offered[i]) / piece_h,
        )
        _onward(states[i], fixed, now, float(piece_h), states[i + 1], finer)
        if drive.held_c is not None:
            states[i + 1][State._fields.index("temp_c")] = drive.held_c[i + 1]
    return states


def _onward(start: Worlds, fixed: Worlds, now: _Now, piece_h: float, end: Worlds, finer: int) -> None:
    """All worlds over one piece into `end`, those of a like number of steps together."""
    first = _rates(State(*start), Fixed(*fixed), now)
    counts = _counts(State(*start), first, Fixed(*fixed), piece_h) * finer
    for count in np.unique(counts):
        of = np.flatnonzero(counts == count)
        if len(of) == len(counts):
            end[...] = _piece(start, first, Fixed(*fixed), now, piece_h / count, int(count))
        else:
            part, kept = np.take(start, of, axis=1), Fixed(*np.take(fixed, of, axis=1))
            rates = _Rates(*(rate[of] for rate in first))
            end[:, of] = _piece(part, rates, kept, _only(now, of), piece_h / count, int(count))


def _only(now: _Now, of: NDArray[np.intp]) -> _Now:
    def only(value: Worlds) -> Worlds:
        return value if value.size == 1 else value[of]

    held_c = None if now.held_c is None else only(now.held_c)
    return _Now(now.hour, only(now.room_c), held_c, only(now.supply))


def _counts(state: State, rates: _Rates, fixed: Fixed, piece_h: float) -> NDArray[np.int64]:
    """Steps for each world, a power of two: so many that little changes in one."""
    # One that has given out uses nothing more, whatever its cells could do: no steps for that.
    share = np.where(state.used < fixed.cap, state.left / (HALF_SPEED_G_L + state.left), 0.0)
    uses = (rates.growing + rates.resting) * share
    dies = np.where(state.cells > _DEAD_G_L, rates.dies, 0.0)
    quick = rates.growth * share + 2.0 * uses / np.maximum(fixed.cap, 1.0) + dies + rates.sours
    starves = rates.hungry * share * HALF_FED_MG_L / (HALF_FED_MG_L + state.nitrogen)
    quick = quick + fixed.heat_k * uses / 10.0 + 2.0 * starves
    if np.any(rates.sours):
        close = acidity(fixed, state.used, state.soured) < PH_FREE + _NEAR_PH
        quick = quick + np.where(close, _SHARP * PH_PER_ACID * rates.sours * state.left, 0.0)
    least = np.where(uses > _BUSY_PER_H * fixed.cap, _BUSY_STEPS, 1.0)
    wanted = np.clip(piece_h * quick / _CLOSE, least, _MOST_STEPS)
    return np.asarray(2 ** np.ceil(np.log2(wanted)), dtype=np.int64)


def _piece(start: Worlds, rates: _Rates, fixed: Fixed, now: _Now, step_h: float, count: int) -> Worlds:
    """So many steps by the midpoint rule; the first of them has its rates already."""
    state = State(*start)
    for k in range(count):
        breathe()
        at = now._replace(hour=now.hour + k * step_h)
        half = _advance(state, rates if k == 0 else _rates(state, fixed, at), fixed, at, 0.5 * step_h)
        mid = at._replace(hour=at.hour + 0.5 * step_h)
        state = _advance(state, _rates(half, fixed, mid), fixed, mid, step_h)
    return np.array(state)


def _rates(state: State, fixed: Fixed, now: _Now) -> _Rates:
    """How fast things go where sugar is not yet short; `_advance` counts its shortage in."""
    temp_c = state.temp_c if now.held_c is None else now.held_c
    warm = warm_factor(temp_c, fixed.min_c, fixed.best_c, fixed.max_c)
    able = fixed.speed * warm * awake(fixed.wake, state.work)
    souring = bool(np.any(fixed.sours_per_h))
    ph = acidity(fixed, state.used, state.soured)
    if souring or np.any(fixed.ph_start - fixed.ph_fall < PH_FREE):
        able = able * acid_factor(ph)
    volume = 1.0 + fixed.shrink * state.used
    ethanol = (fixed.ethanol_start + fixed.ethanol_per * state.used) / volume
    reached = np.minimum(ethanol / fixed.ethanol_most, 1.0)
    fed = state.nitrogen / (HALF_FED_MG_L + state.nitrogen)
    crowded = 1.0 / (1.0 + state.left / (volume * SUGAR_CROWDS_G_L))
    growth = GROWTH_PER_H * able * crowded * fed * (1.0 - reached) ** ETHANOL_POWER
    growing = ETHANOL_PER_CELLS / fixed.pure_per * growth * state.cells
    resting = RESTING_PER_H / fixed.pure_per * able * (1.0 - reached**RESTING_POWER) * state.cells
    dies = dies_per_h(temp_c) + STARVED_PER_H * (1.0 - fed)
    sours = np.zeros_like(growth)
    if souring:
        risen = 1.0 / (1.0 + np.exp((fixed.sours_from_h - now.hour) / SOUR_RISE_H))
        bears = np.clip((ph - SOUR_STOPS_PH) / (SOUR_SLOWS_PH - SOUR_STOPS_PH), 0.0, 1.0)
        sours = fixed.sours_per_h * risen * bears * np.clip(1.0 - state.soured / SOUR_MOST_G_L, 0.0, 1.0)
    hungry = fixed.need * growing / np.maximum(state.nitrogen, 1e-9)
    return _Rates(growth, growing, resting, dies, sours, hungry, warm)


def _advance(state: State, rates: _Rates, fixed: Fixed, now: _Now, step_h: float) -> State:
    """One step with rates held: each part exactly, one after the other; sugar may run out within.

    What enzymes set free is there from the step's start; bacteria take half of theirs before the yeast and
    half after.
    """
    most = step_h * (rates.growing + rates.resting)
    sours = -np.expm1(-0.5 * step_h * rates.sours)
    offered = state.left + step_h * now.supply
    before = sours * offered
    used = np.minimum(_drained(offered - before, most), np.maximum(fixed.cap - state.used, 0.0))
    after = sours * (offered - before - used)
    share = used / np.maximum(most, 1e-300)
    return State(
        np.maximum(offered - before - used - after, 0.0),
        state.used + used,
        state.soured + before + after,
        state.cells * np.exp(step_h * (rates.growth * share - rates.dies)),
        state.nitrogen * np.exp(-step_h * rates.hungry * share),
        state.work + step_h * rates.warm,
        _warmed(state, used, fixed, now, step_h),
    )


def _drained(start: Worlds, most: Worlds) -> Worlds:
    """Sugar used in a step where yeast with its fill would use `most`.

    x + ln x = x0 + ln x0 - most/K with x = left/K; K half-saturates the yeast.
    From a guess by one step of Fritsch, Shafer and Crowley (1973, from memory), good to 1e-6 of K here.
    """
    x_start = np.maximum(start / HALF_SPEED_G_L, 1e-30)
    goal = np.maximum(x_start + np.log(x_start) - most / HALF_SPEED_G_L, -60.0)
    grown = np.exp(np.minimum(goal, 1.0))
    x = np.where(goal > 1.0, goal - np.log(np.maximum(goal, 1.0)), grown / (1.0 + 0.632 * grown))
    off, wide = goal - x - np.log(x), 1.0 + x
    bend = 2.0 * wide * (wide + off * (2.0 / 3.0))
    x = x * (1.0 + off / wide * (bend - off) / (bend - 2.0 * off))
    used = np.minimum(np.minimum(most, start), start - HALF_SPEED_G_L * x)
    return np.asarray(np.maximum(used, 0.0))


def _warmed(state: State, used: Worlds, fixed: Fixed, now: _Now, step_h: float) -> Worlds:
    if now.held_c is not None:
        return now.held_c + np.zeros_like(used)
    kept_h = -np.expm1(-fixed.cools_per_h * step_h) / fixed.cools_per_h
    gains = fixed.heat_k * used / step_h - fixed.cools_per_h * (state.temp_c - now.room_c)
    return np.asarray(state.temp_c + kept_h * gains)
