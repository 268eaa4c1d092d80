"""How a mash course is laid out while it is worked out: worlds in one row, fast changes in smaller steps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from caskward.errors import WrongShape
from caskward.stages.enzymes import Dose, Habit
from caskward.stages.mash_starch import Starch, per_material
from caskward.stages.mash_steps import Amounts, Swelling
from caskward.stages.stream import Stream, Worlds

STEP_K = 0.7
"""A step in which the temperature of any world moves further is cut into steps that move no further [K]."""
MOST_PIECES = 60


@dataclass(frozen=True)
class FineGrid:
    """The grid with points put in where temperatures move fast; `given` are the places of the grid's own."""

    hours: Worlds
    given: NDArray[np.intp]
    before: NDArray[np.intp]
    share: Worlds

    @classmethod
    def of(cls, grid: Worlds, temps: Worlds) -> FineGrid:
        """Points put in evenly; between the grid's own all values go in straight lines."""
        moves_k = np.abs(np.diff(temps, axis=0)).max(axis=-1)
        pieces = np.clip(np.ceil(moves_k / STEP_K - 1e-9), 1, MOST_PIECES).astype(int)
        given = np.concatenate([[0], np.cumsum(pieces)])
        before = np.append(np.repeat(np.arange(len(pieces)), pieces), len(pieces) - 1)
        share = np.append((np.arange(given[-1]) - given[before[:-1]]) / pieces[before[:-1]], 1.0)
        hours = grid[before] + share * (grid[before + 1] - grid[before])
        hours[given] = grid
        return cls(hours, given, before, share.reshape(-1, 1))

    def values(self, on_grid: Worlds) -> Worlds:
        """(times, worlds) on the grid, as on this one."""
        if len(self.hours) == len(on_grid):
            return on_grid
        values = on_grid[self.before + 1]
        values -= on_grid[self.before]
        values *= self.share
        values += on_grid[self.before]
        return values


@dataclass(frozen=True)
class Rows:
    """The worlds of a course, in one row while it is worked out; what is the same in all stays one number."""

    shape: tuple[int, ...]

    @classmethod
    def of(
        cls,
        mash: Stream,
        starch: Starch,
        temp_c: float | Worlds,
        ph: float | Worlds,
        doses: Sequence[Dose],
        slowing: float | Worlds,
    ) -> Rows:
        """The worlds that all of a course's figures span together."""
        shapes = [mash.total_kg.shape, np.shape(slowing), np.shape(temp_c)[1:], np.shape(ph)[1:]]
        for field in fields(Starch):
            value = getattr(starch, field.name)
            by_material = field.name in {"raw_kg", "onset_c", "complete_c", "swell_per_h", "whole_kg"}
            shapes.append(np.shape(value)[1:] if by_material else np.shape(value))
        for dose in doses:
            shapes.append(np.shape(dose.strength))
            values = [getattr(dose.enzyme, f.name) for f in fields(dose.enzyme)]
            values += [getattr(dose.enzyme.habit, f.name) for f in fields(Habit)]
            shapes += [np.shape(v) for v in values if not isinstance(v, (str, Habit))]
        return cls(np.broadcast_shapes(*shapes))

    def flat(self, value: float | Worlds) -> Worlds:
        """(1,) or (worlds,)."""
        array = np.asarray(value, dtype=float)
        return array.reshape(1) if array.size == 1 else np.broadcast_to(array, self.shape).reshape(-1)

    def rows(self, value: float | Worlds) -> Worlds:
        """(rows, 1) or (rows, worlds): the first axis is materials or times."""
        array = np.asarray(value, dtype=float)
        count = array.shape[0]
        if array.size == count:
            return array.reshape(count, 1)
        deep = array.reshape(count, *(1,) * (len(self.shape) + 1 - array.ndim), *array.shape[1:])
        return np.broadcast_to(deep, (count, *self.shape)).reshape(count, -1)

    def on_grid(self, value: float | Worlds, times: int) -> Worlds:
        """(times, 1) or (times, worlds)."""
        array = np.asarray(value, dtype=float)
        if array.ndim == 0:
            return np.full((times, 1), float(array))
        if array.shape[0] != times:
            given, allowed = f"{array.shape[0]} values", f"{times} values, one for each hour of the grid"
            raise WrongShape("The temperature or pH", given, allowed)
        return self.rows(array)

    def full(self, value: Worlds) -> Worlds:
        """(times, worlds...) of what is (times, 1) or (times, worlds)."""
        size = int(np.prod(self.shape))
        return np.broadcast_to(value, (len(value), size)).reshape(len(value), *self.shape)

    def dose(self, dose: Dose) -> Dose:
        """The dose with all its figures in one row."""
        habit = Habit(**{f.name: self.flat(getattr(dose.enzyme.habit, f.name)) for f in fields(Habit)})
        figures: dict[str, Any] = {
            f.name: self.flat(getattr(dose.enzyme, f.name))
            for f in fields(dose.enzyme)
            if f.name not in {"does", "habit", "half_life_at_c"}
        }
        enzyme = replace(dose.enzyme, habit=habit, **figures)
        return Dose(enzyme, dose.at_h, self.flat(dose.strength))

    def amounts(self, mash: Stream, starch: Starch) -> Amounts:
        """The start of the course, in one row."""
        size = int(np.prod(self.shape))

        def row(kg: float | Worlds) -> Worlds:
            return np.broadcast_to(self.flat(kg), (size,))

        raw = self.rows(starch.raw_kg)
        opened = row(np.maximum(mash.dextrin_kg - starch.branched_kg, 0.0))
        branched = row(np.minimum(starch.branched_kg, mash.dextrin_kg))
        return Amounts(np.broadcast_to(raw, (len(raw), size)), row(starch.swollen_kg), opened, branched)

    def swelling(self, starch: Starch, temps: Worlds) -> Swelling:
        """What swells where, in rows."""
        whole = starch.raw_kg if starch.whole_kg is None else starch.whole_kg
        figures = (whole, starch.onset_c, starch.complete_c, starch.swell_per_h)
        kg, onset_c, complete_c, per_h = (self.rows(per_material(f, len(whole))) for f in figures)
        return Swelling(kg, onset_c, complete_c, per_h, temps)
