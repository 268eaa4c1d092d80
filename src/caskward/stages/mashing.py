"""Mashing hour by hour: what is raw, long, dextrin and sugar at every point of a grid, over many worlds.

`mash_course` runs logged or planned temperatures and pH over the doses. The course gives the stream at any
point; it can be run again with something changed from an hour on, or carried on with more stirred in.
The equations are in `mash_steps`, the enzymes in `enzymes`, the swelling in `swelling`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from caskward.errors import WrongShape
from caskward.properties._arrays import check_range
from caskward.stages.balance import Loss
from caskward.stages.convert import set_aside, split
from caskward.stages.enzymes import Dose, thickness_share
from caskward.stages.mash_rows import FineGrid, Rows
from caskward.stages.mash_starch import Starch
from caskward.stages.mash_steps import course, rates, works
from caskward.stages.stream import HEXOSE_KG_PER_KG_GLUCAN, Stream, Worlds

THICKNESS_SLOWING = 0.2
"""Speed lost for each kg of water that 1 kg of dry matter lacks; 0.1 to 0.4, *common practice, no source*."""
SHOWS_SHARE = 0.03
"""Share of raw and unreached starch that a drop carries as flour and crumbs; *common practice, no source*:
a sound mash, of which a twelfth is out of reach, tests clear, and one of which a third is raw tests blue."""
_AGREES = 1e-6


@dataclass(frozen=True)
class MashCourse:
    """What a mash does on a grid of hours; masses are (times, worlds...) [kg].

    raw_kg: starch not swollen or out of reach. long_starch_kg: swollen, not yet split. dextrin_kg, sugar_kg:
    the stream's whole dextrin and hexose. branched_kg: of the dextrin, limit dextrin.
    activity: share of each dose still alive, (doses, times, worlds...); 0 before it goes in.
    raw_rows_kg: raw starch in reach by material, (times, materials, worlds...). The rest is what the course
    was made from.
    """

    hours: Worlds
    temp_c: Worlds
    ph: Worlds
    raw_kg: Worlds
    long_starch_kg: Worlds
    dextrin_kg: Worlds
    branched_kg: Worlds
    sugar_kg: Worlds
    activity: Worlds
    mash: Stream
    starch: Starch
    doses: tuple[Dose, ...]
    thickness_slowing: float | Worlds
    raw_rows_kg: Worlds

    @property
    def glucan_kg(self) -> Worlds:
        """All that is, or may have been, starch: starch, dextrin and hexose less its water [kg]."""
        hexose_kg = self.mash.hexose_kg / HEXOSE_KG_PER_KG_GLUCAN
        return np.asarray(self.mash.starch_kg + self.mash.dextrin_kg + hexose_kg)

    @property
    def long_share(self) -> Worlds:
        """Long starch over all that is or was starch [0..1]."""
        return np.asarray(self.long_starch_kg / np.maximum(self.glucan_kg, 1e-12))

    @property
    def showing_share(self) -> Worlds:
        """Starch that a drop shows to iodine [0..1]: long starch, and a little of what is raw or in lumps."""
        showing_kg = self.long_starch_kg + SHOWS_SHARE * self.raw_kg
        return np.asarray(showing_kg / np.maximum(self.glucan_kg, 1e-12))

    @property
    def specific_gravity(self) -> Worlds:
        """Gravity of the liquid at 20 °C, (times, worlds...)."""
        return self._at(slice(None)).specific_gravity

    def stream(self, i: int) -> Stream:
        """The mash at a point of the grid: starch that is left is still starch."""
        return self._at(i).at(self.temp_c[i])

    def _at(self, i: int | slice) -> Stream:
        left_kg = self.raw_kg[i] + self.long_starch_kg[i]
        split_kg = np.maximum(self.mash.starch_kg - left_kg, 0.0)
        return split(self.mash, split_kg, split_kg + self.mash.dextrin_kg - self.dextrin_kg[i])

    @property
    def end(self) -> Stream:
        """The mash at the last point, its unsplit starch with the grain, as `convert` leaves it."""
        return set_aside(self.stream(-1))[0]

    @property
    def losses(self) -> tuple[Loss, ...]:
        """What is never split, by the name that `convert` gives it."""
        return (set_aside(self.stream(-1))[1],)

    def carried_on(self, i: int) -> tuple[Stream, Starch, tuple[Dose, ...]]:
        """Mash, starch and doses as they are at a point of the grid, to be the start of another course.

        Doses that are in start at 0 h with what is alive of them; later ones are that much nearer. Where more
        grain is stirred in (`stream.mixed`, `Starch.and_with`), a dose's strength falls as starch grows:
        that is the caller's to say, for only he knows what the dose was counted on.
        """
        starch = replace(
            self.starch.reached(),
            raw_kg=np.maximum(self.raw_rows_kg[i], 0.0),
            swollen_kg=np.maximum(self.long_starch_kg[i], 0.0),
            branched_kg=np.maximum(self.branched_kg[i], 0.0),
        )
        now_h = self.hours[i]
        doses = (
            replace(dose, at_h=0.0, strength=dose.strength * alive_share[i])
            if dose.at_h <= now_h
            else replace(dose, at_h=dose.at_h - now_h)
            for dose, alive_share in zip(self.doses, self.activity, strict=True)
        )
        return self.stream(i), starch, tuple(doses)

    def changed(
        self,
        at_h: float,
        temp_c: float | Worlds | None = None,
        ph: float | Worlds | None = None,
        more: Sequence[Dose] = (),
    ) -> MashCourse:
        """The same mash with another temperature or pH from an hour on, or with more doses.

        temp_c, ph: [°C], [pH], one value or the whole grid; None: as it was. The change begins at the first
        point of the grid from at_h on.
        """
        after = self.hours >= at_h
        temps = _from_then(after, self.temp_c, temp_c)
        phs = _from_then(after, self.ph, ph)
        doses = (*self.doses, *more)
        return mash_course(self.mash, self.starch, self.hours, temps, phs, doses, self.thickness_slowing)


def mash_course(
    mash: Stream,
    starch: Starch,
    hours: Worlds,
    temp_c: float | Worlds,
    ph: float | Worlds,
    doses: Sequence[Dose],
    thickness_slowing: float | Worlds = THICKNESS_SLOWING,
) -> MashCourse:
    """Starch swollen, thinned and sweetened on a grid of hours.

    Args:
        mash: the whole mash at hour 0. starch: its starch by state, in all the mash's `starch_kg`.
        hours: (times,), from 0 on, rising [h]; steps of a few minutes where temperatures move.
        temp_c: [°C, 0 to 105], ph: [pH, 1 to 12]: one value, (times,) or (times, worlds...).
        doses: enzymes, malt's own among them. thickness_slowing: see `enzymes.thickness_share`.

    Raises:
        OutOfRange, WrongShape: a grid that does not rise, values off the grid, starch that is not the mash's.
    """
    grid = _grid(hours)
    check_range("The mash's temperature", temp_c, "°C", 0.0, 105.0)
    check_range("The mash's pH", ph, "", 1.0, 12.0)
    reached = starch.reached()
    _same_starch(mash, reached)
    worlds = Rows.of(mash, reached, temp_c, ph, doses, thickness_slowing)
    temps, phs = worlds.on_grid(temp_c, len(grid)), worlds.on_grid(ph, len(grid))
    fine = FineGrid.of(grid, temps)
    fine_c, fine_ph = fine.values(temps), fine.values(phs)
    thick = worlds.flat(thickness_share(_water_kg_per_kg(mash), thickness_slowing))
    flat = [worlds.dose(dose) for dose in doses]
    lives = [works(dose, fine.hours, fine_c, fine_ph) for dose in flat]
    rate = partial(rates, flat, [life[1] for life in lives], worlds.flat(reached.branched_share), thick)
    amounts, swelling = worlds.amounts(mash, reached), worlds.swelling(reached, fine_c)
    raw, long, opened, branched = course(amounts, swelling, rate, fine.hours, fine.given.tolist())
    full = worlds.full
    raw_kg, long_kg, dextrin_kg = full(raw.sum(axis=1)) + reached.shut_kg, full(long), full(opened + branched)
    used_kg = mash.starch_kg + mash.dextrin_kg - raw_kg - long_kg - dextrin_kg
    activity = np.empty((len(lives), len(grid), *worlds.shape))
    for row, (alive, _) in zip(activity, lives, strict=True):
        row[...] = full(alive[fine.given])
    return MashCourse(
        hours=grid,
        temp_c=full(temps),
        ph=full(phs),
        raw_kg=raw_kg,
        long_starch_kg=long_kg,
        dextrin_kg=dextrin_kg,
        branched_kg=full(branched),
        sugar_kg=mash.hexose_kg + HEXOSE_KG_PER_KG_GLUCAN * used_kg,
        activity=activity,
        mash=mash,
        starch=starch,
        doses=tuple(doses),
        thickness_slowing=thickness_slowing,
        raw_rows_kg=raw.reshape(len(grid), -1, *worlds.shape),
    )


def _grid(hours: Worlds) -> Worlds:
    grid = np.asarray(hours, dtype=float)
    if grid.ndim != 1 or len(grid) < 2 or grid[0] != 0.0 or not np.all(np.diff(grid) > 0.0):
        raise WrongShape("The grid of hours", hours, "two or more hours, from 0 on, each later than the last")
    return grid


def _same_starch(mash: Stream, starch: Starch) -> None:
    apart_kg = np.max(np.abs(starch.total_kg - mash.starch_kg))
    if apart_kg > _AGREES * max(float(np.max(mash.starch_kg)), 1e-6):
        given = f"{float(np.mean(starch.total_kg)):.4g} kg"
        raise WrongShape("The starch by state", given, f"the mash's, {float(np.mean(mash.starch_kg)):.4g} kg")


def _water_kg_per_kg(mash: Stream) -> Worlds:
    dry_kg = mash.dissolved_kg + mash.solids_kg
    return np.asarray(mash.water_kg / np.maximum(dry_kg, 1e-9))


def _from_then(after: NDArray[np.bool_], was: Worlds, new: float | Worlds | None) -> Worlds:
    if new is None:
        return was
    values = np.asarray(new, dtype=float)
    deep = values.reshape(values.shape + (1,) * (was.ndim - values.ndim)) if values.ndim else values
    return np.where(after.reshape(-1, *(1,) * (was.ndim - 1)), deep, was)
