"""The course of a run against litres collected, as bands over worlds."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caskward.planning.plan import Band
from caskward.services.still_congeners import GROUPS, group_rows
from caskward.stages.distil import Profile, Stop, collected_at, hours_at, left_at, moment_of, spout_at
from caskward.stages.profile import boiling_kwh_at
from caskward.stages.stream import Worlds
from caskward.stages.vapour import strength_pct_vol
from caskward.units import convert
from caskward.units.types import UnitSystem

POINTS = 40
_ROWS = 18
_LEAST_RUNNING = 0.5
_AS_GOOD_AS = 1.0 - 1e-4
"""A run that stops at a volume stops there to the search's last digit: it still counts as running there."""
_RATE_PART = 1.0 / 60.0
"""Part of the run, before and after a moment, over which its rate is taken."""
_NICE = (1.0, 2.0, 5.0, 10.0)


@dataclass(frozen=True)
class Moment:
    """A run when so many litres have been collected; bands over the worlds that still run then.

    hours: since the first drop. energy_kwh: from cold, as the burner or element takes it. running: share of
    worlds that still run. rate_l_h: how fast it runs.
    """

    volume_l: float
    spout_pct_vol: Band
    pot_pct_vol: Band
    pot_c: Band
    vapour_c: Band
    rate_l_h: Band
    hours: Band
    energy_kwh: Band
    running: float


@dataclass(frozen=True)
class GroupCourse:
    """Congeners that come together: milligrams in each litre that runs, from one point to the next."""

    group: str
    mg_per_l: tuple[Band, ...]


@dataclass(frozen=True)
class Course:
    """A run drawn finely: moments, and between each two of them what congeners run."""

    moments: tuple[Moment, ...]
    groups: tuple[GroupCourse, ...]


def moments_of(profile: Profile, system: UnitSystem = "metric") -> tuple[Moment, ...]:
    """About a dozen moments at even litres or gallons, and the last, where half of the worlds still run."""
    end_l = _end_l(profile)
    if end_l <= 0.0:
        return ()
    unit_l = 1.0 if system == "metric" else convert.litres_from_us_gallons(1.0)
    step_l = nice_step(end_l / unit_l / _ROWS) * unit_l
    litres = [k * step_l for k in range(int(end_l / step_l) + 1)]
    if end_l - litres[-1] > 0.2 * step_l:
        litres.append(end_l)
    return tuple(_moment(profile, volume_l) for volume_l in litres)


def course_of(profile: Profile) -> Course:
    """The run at evenly spaced litres, with congeners between them."""
    end_l = _end_l(profile)
    if end_l <= 0.0:
        return Course((), ())
    litres = np.linspace(0.0, end_l, POINTS + 1)
    moments = tuple(_moment(profile, float(volume_l)) for volume_l in litres)
    return Course(moments, _groups(profile, litres) if profile.traces is not None else ())


def _end_l(profile: Profile) -> float:
    return float(np.quantile(profile.volume_l[-1], 1.0 - _LEAST_RUNNING)) * (1.0 - 1e-9)


def _moment(profile: Profile, volume_l: float) -> Moment:
    u = moment_of(profile, Stop("volume_l", volume_l))
    here = profile.volume_l[-1] >= volume_l * _AS_GOOD_AS
    curve, from_socket = profile.path.curve, profile.still.power_kw / profile.useful_kw

    def over(values: Worlds) -> Band:
        low, mid, high = np.quantile(np.broadcast_to(values, here.shape)[here], (0.1, 0.5, 0.9))
        return Band(float(low), float(mid), float(high))

    top = profile.path.spout_over(u)
    return Moment(
        volume_l=volume_l,
        spout_pct_vol=over(spout_at(profile, u)),
        pot_pct_vol=over(strength_pct_vol(left_at(profile, u).u)),
        pot_c=over(curve.boiling_c(u)),
        vapour_c=over(curve.boiling_c(curve.liquid_under(top))),
        rate_l_h=over(_rate_l_h(profile, volume_l)),
        hours=over(np.maximum(hours_at(profile, u), 0.0)),
        energy_kwh=over((profile.heat_up_kwh + boiling_kwh_at(profile, u)) * from_socket),
        running=float(np.mean(here)),
    )


def _rate_l_h(profile: Profile, volume_l: float) -> Worlds:
    """Litres an hour about a moment; on one side of it at the ends of the run."""
    part_l = _RATE_PART * float(np.max(profile.volume_l[-1]))
    ends = [
        moment_of(profile, Stop("volume_l", max(v, 1e-6))) for v in (volume_l - part_l, volume_l + part_l)
    ]
    litres = np.diff([collected_at(profile, u, traced=False).volume_l for u in ends], axis=0)[0]
    hours = np.diff([hours_at(profile, u) for u in ends], axis=0)[0]
    return np.where(hours > 0.0, litres / np.where(hours > 0.0, hours, 1.0), 0.0)


def _groups(profile: Profile, litres: NDArray[np.float64]) -> tuple[GroupCourse, ...]:
    taken = [
        collected_at(profile, moment_of(profile, Stop("volume_l", float(volume_l)))) for volume_l in litres
    ]
    step_l = float(litres[1])
    per_l = [
        (after.traces_mg - before.traces_mg) / step_l
        for before, after in itertools.pairwise(taken)
        if after.traces_mg is not None and before.traces_mg is not None
    ]
    here = [profile.volume_l[-1] >= volume_l * _AS_GOOD_AS for volume_l in litres[1:]]
    return tuple(GroupCourse(group, _bands(per_l, here, group_rows(group))) for group in GROUPS)


def _bands(per_l: list[Worlds], here: list[NDArray[np.bool_]], rows: list[int]) -> tuple[Band, ...]:
    found = []
    for each, running in zip(per_l, here, strict=True):
        low, mid, high = np.quantile(np.maximum(each[rows].sum(axis=0), 0.0)[running], (0.1, 0.5, 0.9))
        found.append(Band(float(low), float(mid), float(high)))
    return tuple(found)


def nice_step(step: float) -> float:
    """The least handsome step that is no smaller: 1, 2 or 5 times a power of ten."""
    ten = 10.0 ** np.floor(np.log10(step))
    return float(next(n * ten for n in _NICE if n * ten >= step * (1.0 - 1e-9)))


def ticks_to(most: float, parts: int = 8) -> tuple[float, ...]:
    """Even handsome values from 0 up to a figure, about so many of them."""
    step = nice_step(most / parts)
    return tuple(k * step for k in range(int(most / step * (1.0 + 1e-9)) + 1))


def nice_top(most: float) -> float:
    """The end of a scale that holds a figure: two or more even steps of 1, 2 or 5."""
    step = nice_step(most / 4.0)
    return float(np.ceil(most / step - 1e-9) * step)
