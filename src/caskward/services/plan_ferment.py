"""A ferment as its readings leave it: when it is dry, how often it is not, and whether it stands still."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.belief.weighing import quantiles
from caskward.planning.observing import Watched
from caskward.planning.plan import Band
from caskward.planning.readings import Reading, of_quantity, reading_of
from caskward.planning.update import Belief
from caskward.stages.stream import Worlds

_WORLDS: Final = 512
_DAYS_OVER: Final = 2.5
"""Over the longest usual ferment: what is not dry by then is not called so."""
_STILL_H, _STILL_SG = 24.0, 5e-4
"""Standing still: less than this in so many hours."""
_SAID, _LIKELY, _DRY = 0.1, 0.5, 0.5
"""Chance from which a standstill is said, from which it is taken to stand, and from which one is over."""
_SAME: Final = 2.0
"""Errors within which two gravities are the same."""


@dataclass(frozen=True)
class StandsStill:
    """A ferment that has stopped with sugar left: its gravity, and since when it was read so.

    since_h: the first reading of that gravity [h]; seen_still: whether a later one shows the same. chance:
    that it stands. said: the last row; rows: all that show that gravity, as typed, in order of time;
    all_rows: every row of the ferment.
    """

    gravity: float
    since_h: float
    last_h: float
    seen_still: bool
    chance: float
    said: str
    rows: tuple[str, ...] = ()
    all_rows: tuple[str, ...] = ()

    @property
    def likely(self) -> bool:
        """True where it rather stands than not; else it only may."""
        return self.chance >= _LIKELY


@dataclass(frozen=True)
class FermentOutlook:
    """When it is dry [days] where it is by `followed_d`, and the share of batches in which it is not.

    ends_before_sg, ends_now_sg: its gravity then, by a hydrometer, of those that are dry.
    """

    followed_d: float
    dry_before_d: Band | None
    dry_now_d: Band | None
    not_dry_before: float
    not_dry_now: float
    stands: StandsStill | None
    ends_before_sg: Band | None = None
    ends_now_sg: Band | None = None


def outlook(before: Belief, now: Belief) -> FermentOutlook | None:
    """Of a batch whose ferment was read last; None of any other.

    before: what the plan alone says. now: what is believed with its readings.
    """
    readings = now.readings
    if not readings or readings[-1].stage != "ferment":
        return None
    last_h = max(r.at_h for r in readings if r.stage == "ferment")
    usual_d = now.sized.intent.yeast.ferment_days
    until_h = 24.0 * float(np.ceil(max(_DAYS_OVER * usual_d.high, last_h / 24.0 + usual_d.high)))
    plan = _Followed(before, (), until_h, last_h)
    read = _Followed(now, readings, until_h, last_h)
    return FermentOutlook(
        until_h / 24.0,
        plan.dry_d,
        read.dry_d,
        plan.not_dry,
        read.not_dry,
        _stands(readings, float(np.mean(read.stands)), last_h),
        plan.ends_sg,
        read.ends_sg,
    )


def standing(now: Belief) -> StandsStill | None:
    """Whether the ferment of a batch, read last, stands still, or may; None of any other."""
    readings = now.readings
    if not readings or readings[-1].stage != "ferment":
        return None
    last_h = max(r.at_h for r in readings if r.stage == "ferment")
    read = _Followed(now, readings, last_h + _STILL_H, last_h)
    return _stands(readings, float(np.mean(read.stands)), last_h)


def is_dry(now: Belief) -> bool:
    """True where most worlds of a batch are dry by the last reading of their ferment."""
    readings = now.readings
    last_h = max((r.at_h for r in readings if r.stage == "ferment"), default=0.0)
    return _Followed(now, readings, last_h + _STILL_H, last_h).dry_by(last_h) > _DRY


class _Followed:
    """A ferment carried on past its readings, in some of a belief's worlds."""

    def __init__(self, belief: Belief, readings: Sequence[Reading], until_h: float, last_h: float) -> None:
        # Particles lie in the order of a direction that matters: evenly from all of them, never the first.
        few = belief.z[:: max(len(belief.z) // _WORLDS, 1)]
        moments = [reading_of("ferment", "gravity", 1.0, h) for h in (max(last_h - _STILL_H, 0.0), until_h)]
        at_last = reading_of("ferment", "gravity", 1.0, last_h)
        probes = (*moments, at_last)
        watched = Watched(belief.sized, belief.draw(few), readings, belief.settings, probes)
        self._dry_h = watched.brew.dry_h
        fell = watched.expected(moments[0]) - watched.expected(at_last)
        self.stands = (fell < _STILL_SG) & (self._dry_h > last_h) & (last_h >= _STILL_H)
        self._ends_sg = watched.expected(moments[1])

    @property
    def not_dry(self) -> float:
        """Share of the worlds that are not dry by the last hour."""
        return float(np.mean(~np.isfinite(self._dry_h)))

    def dry_by(self, at_h: float) -> float:
        """Share of the worlds that are dry by an hour."""
        return float(np.mean(self._dry_h <= at_h))

    @property
    def dry_d(self) -> Band | None:
        """When the others are [days]."""
        return self._of_dry(self._dry_h / 24.0)

    @property
    def ends_sg(self) -> Band | None:
        """The gravity that those end at."""
        return self._of_dry(self._ends_sg)

    def _of_dry(self, values: Worlds) -> Band | None:
        some: Worlds = values[np.isfinite(self._dry_h)]
        if not some.size:
            return None
        low, mid, high = quantiles(some, (0.1, 0.5, 0.9))
        return Band(float(low), float(mid), float(high))


def _stands(readings: Sequence[Reading], chance: float, last_h: float) -> StandsStill | None:
    """What the readings say of a standstill; None where it can hardly be, or no gravity was read."""
    own = of_quantity((r for r in readings if r.stage == "ferment"), "gravity", "gravity_checked")
    plain = [r for r in own if not r.bound]
    if chance < _SAID or not plain:
        return None
    last, alike = plain[-1], plain[-1:]
    for reading in reversed(plain[:-1]):
        if abs(reading.value - last.value) > _SAME * float(np.hypot(reading.sd, last.sd)):
            break
        alike = [reading, *alike]
    rows, every = (
        tuple(dict.fromkeys(r.said for r in some))
        for some in (alike, (r for r in readings if r.stage == "ferment"))
    )
    return StandsStill(
        last.value, alike[0].at_h, last_h, alike[0].at_h < last.at_h, chance, last.said, rows, every
    )
