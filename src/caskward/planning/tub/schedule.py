"""One tub's mash as planned, in time: how warm, how sour, and what goes in when.

Hour 0 is when all of it is together in the tub. A thinning product whose window holds the cook works in the
pot before that. Every figure is the same in all worlds; readings and doubts move it in `mash`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.intent import EnzymeLabel, Intent
from caskward.planning.method import Method
from caskward.properties import heat
from caskward.stages.stream import Worlds
from caskward.stages.tub_heat import TubWall

COOLS_K_PER_H: Final = 20.0
"""How fast a coil takes a tub down between two rests; *common practice, no source*."""
MALT_REST_H: Final = 1.0
"""Rest that malt's own enzymes are given; *common practice, no source*."""
MASH_PH: Final = 5.5
"""A mash's own pH, where no label asks for another; *common practice, no source*."""
_POT_NEAR_K = 4.0
LEAST_COOLED_K: Final = 0.5
"""Nobody cools a tub by less; *common practice, no source*."""
_SLACK_H, _SLACK_SHARE, _LOOKS = 0.25, 0.15, 9
"""A step is early or late by a quarter of an hour, or by a seventh of the time so far; *common practice*."""
_LEAST_STEP_H = 1e-6


@dataclass(frozen=True)
class Rest:
    """A time at one temperature: words, from and to [h], at its start [°C], the pH it should have."""

    words: str
    from_h: float
    to_h: float
    temp_c: float
    ph: float


@dataclass(frozen=True)
class PlannedDose:
    """A product and the hour it goes in; in the pot where it works while the grain cooks."""

    label: EnzymeLabel
    at_h: float
    in_pot: bool = False


@dataclass(frozen=True)
class StepDown:
    """What is to be cooled before a rest: its words, from when [h], from and to [°C]."""

    words: str
    at_h: float
    from_c: float
    to_c: float


@dataclass(frozen=True)
class MashSchedule:
    """Rests in turn and doses; temperature between rests by a coil, within them by the tub's wall."""

    starts_c: float
    rests: tuple[Rest, ...]
    doses: tuple[PlannedDose, ...]
    room_c: float
    cools_per_h: float
    """Share of the difference to the room that the tub loses each hour."""

    @property
    def end_h(self) -> float:
        """When the last hold is over [h]."""
        return self.rests[-1].to_h

    @property
    def steps_down(self) -> tuple[StepDown, ...]:
        """Where the tub is to be cooled, in the order of time: all together first, then from rest to rest."""
        found = []
        now_h, now_c = 0.0, self.starts_c
        for rest in self.rests:
            if now_c - rest.temp_c > LEAST_COOLED_K:
                found.append(StepDown(rest.words, now_h, now_c, rest.temp_c))
            now_h, now_c = rest.to_h, float(self._standing(rest.temp_c, np.array(rest.to_h - rest.from_h)))
        return tuple(found)

    def rest_of(self, dose: PlannedDose) -> Rest:
        """The rest in which a product of the tub works: the one that begins as it goes in."""
        return min(self.rests, key=lambda rest: abs(rest.from_h - dose.at_h))

    def grid(self, step_h: float, until_h: float | None = None, also_h: Sequence[float] = ()) -> Worlds:
        """Hours at an even step, with every rest's ends and some more, to the end or longer."""
        last_h = max(self.end_h, until_h or 0.0, 2.0 * step_h)
        even = np.arange(0.0, last_h + 0.5 * step_h, step_h)
        marks = [t for r in self.rests for t in (r.from_h, r.to_h)] + [d.at_h for d in self.doses]
        every = np.unique(np.round([*even, *marks, *also_h, last_h], 9))
        every = every[(every >= 0.0) & (every <= last_h + 1e-9)]
        apart = np.concatenate([[True], np.diff(every) > _LEAST_STEP_H])
        return np.asarray(every[apart])

    def temp_c(self, hours: Worlds) -> Worlds:
        """Planned temperature at some hours [°C]: standing in a rest, a straight line down to the next."""
        out = np.full(hours.shape, self.starts_c)
        now_h, now_c = 0.0, self.starts_c
        for rest in self.rests:
            part = np.clip((hours - now_h) / max(rest.from_h - now_h, _LEAST_STEP_H), 0.0, 1.0)
            going = (hours >= now_h) & (hours < rest.from_h)
            out = np.where(going, now_c + part * (rest.temp_c - now_c), out)
            stays = self._standing(rest.temp_c, np.maximum(hours - rest.from_h, 0.0))
            out = np.where(hours >= rest.from_h, stays, out)
            now_h, now_c = rest.to_h, float(self._standing(rest.temp_c, np.array(rest.to_h - rest.from_h)))
        return out

    def allowed_c(self, hours: Worlds) -> tuple[Worlds, Worlds]:
        """Least and most that lies on the plan [°C]: a step may come early or late, a rest be kept warm."""
        least_c, most_c = _over_slack(self.temp_c, hours)
        started = [np.where(hours >= rest.from_h, rest.temp_c, -np.inf) for rest in self.rests]
        after = [*(rest.from_h for rest in self.rests[1:]), np.inf]
        kept = [np.where(hours < end_h, c, -np.inf) for c, end_h in zip(started, after, strict=True)]
        return least_c, np.maximum(most_c, np.max(kept, axis=0))

    def allowed_ph(self, hours: Worlds) -> tuple[Worlds, Worlds]:
        """Least and most that lies on the plan, with the same slack in time."""
        return _over_slack(self.ph, hours)

    def ph(self, hours: Worlds) -> Worlds:
        """Planned pH at some hours: each rest's own, from its start."""
        starts = np.array([rest.from_h for rest in self.rests])
        at = np.clip(np.searchsorted(starts, hours + 1e-9, side="right") - 1, 0, len(starts) - 1)
        return np.array([rest.ph for rest in self.rests])[at]

    def _standing(self, from_c: float, hours: Worlds) -> Worlds:
        return np.asarray(self.room_c + (from_c - self.room_c) * np.exp(-self.cools_per_h * hours))


Planned = Callable[[Worlds], Worlds]
Allowed = Callable[[Worlds], tuple[Worlds, Worlds]]


def off_as_logged(at_h: Worlds, read: Worlds, planned: Planned, allowed: Allowed, hours: Worlds) -> Worlds:
    """How far a mash runs from the plan on a grid of hours, by what was read of it.

    At every reading it is as it was read, between them in proportion; after the last it stays as far off.
    Before the first it was off by as much as that reading lies outside of what the plan allows, so that a
    mash kept warm beyond its plan was not too hot from the start.

    Args:
        at_h, read: moments [h] and what was read, one or more. planned, allowed: `MashSchedule`'s, of the
            same quantity. hours: the grid [h].
    """
    off = read - planned(at_h)
    first = slice(int(np.argmin(at_h)), int(np.argmin(at_h)) + 1)
    if at_h[first][0] > 0.0:
        outside = read[first] - np.clip(read[first], *allowed(at_h[first]))
        at_h, off = np.concatenate([[0.0], at_h]), np.concatenate([outside, off])
    order = np.argsort(at_h, kind="stable")
    return np.interp(hours, at_h[order], off[order])


def _over_slack(planned: Callable[[Worlds], Worlds], hours: Worlds) -> tuple[Worlds, Worlds]:
    """Least and most of a planned course within the slack around some hours."""
    slack_h = np.maximum(_SLACK_H, _SLACK_SHARE * hours)
    looks = [np.maximum(hours + part * slack_h, 0.0) for part in np.linspace(-1.0, 1.0, _LOOKS)]
    found = np.array([planned(h) for h in looks])
    return found.min(axis=0), found.max(axis=0)


def likely_wall(intent: Intent, room_c: float | None = None) -> TubWall:
    """One tub's wall at its likely loss, its lid on: the catalogue's figure is that of a full tub."""
    tub = intent.gear.tub
    room_c = intent.site.room_c if room_c is None else room_c
    return TubWall(np.asarray(tub.heat_loss_w_k.likely), room_c, full_l=tub.working_l)


def mash_schedule(
    intent: Intent, method: Method, stirred_c: float, capacity_kj_k: float, mash_l: float | None = None
) -> MashSchedule:
    """The rests that labels and malt ask for, from the temperature the tub comes to.

    Args:
        stirred_c: all together [°C]. capacity_kj_k: heat capacity of one tub's mash [kJ/K].
        mash_l: how much of it there is [L]; a full tub where it is not said.
    """
    wall = likely_wall(intent)
    loss_w_k = (wall if mash_l is None else wall.holding(mash_l)).heat_loss_w_k
    one_hour_c = float(np.asarray(heat.tub_temperature_c(100.0, 0.0, loss_w_k, capacity_kj_k, 1.0)))
    thin = [e for e in intent.enzymes if e.does == "thin"]
    in_pot = [e for e in thin if _works_in_pot(e, method)]
    in_tub = [e for e in thin if e not in in_pot]
    sweeten = [e for e in intent.enzymes if e.does == "sweeten"]
    cools_per_h = float(-np.log(one_hour_c / 100.0))
    room_c = intent.site.room_c
    rests: list[Rest] = []

    def rest(words: str, most_c: float, hold_h: float, ph: float) -> None:
        """The next rest: as warm as the tub then is, or cooled to what is best."""
        now_h, now_c = 0.0, stirred_c
        if rests:
            last = rests[-1]
            kept = np.exp(-cools_per_h * (last.to_h - last.from_h))
            now_h, now_c = last.to_h, float(room_c + (last.temp_c - room_c) * kept)
        temp_c = min(now_c, most_c)
        from_h = now_h + (now_c - temp_c) / COOLS_K_PER_H
        rests.append(Rest(words, from_h, from_h + hold_h, temp_c, ph))

    doses = [PlannedDose(e, 0.0, in_pot=True) for e in in_pot]
    for label in in_tub:
        rest("thinning", _best_c(label), label.hold_h, _ph(label))
        doses.append(PlannedDose(label, rests[-1].from_h))
    hold_h = max((e.hold_h for e in sweeten), default=MALT_REST_H) + method.late.hold_h
    sour = min((_ph(e) for e in sweeten), default=MASH_PH)
    rest("sweetening", method.rest_c, hold_h, sour)
    doses.extend(PlannedDose(e, rests[-1].from_h) for e in sweeten)
    return MashSchedule(stirred_c, tuple(rests), tuple(doses), room_c, cools_per_h)


def _works_in_pot(label: EnzymeLabel, method: Method) -> bool:
    low_c, high_c = label.window_c
    return method.cook_c > 0.0 and low_c - _POT_NEAR_K <= method.cook_c <= high_c + _POT_NEAR_K


def _ph(label: EnzymeLabel) -> float:
    """The mash's own pH, or as near to it as the label allows, a little inside."""
    low, high = label.window_ph
    inside = min(0.1, 0.25 * (high - low))
    return min(max(MASH_PH, low + inside), high - inside)


def _best_c(label: EnzymeLabel) -> float:
    """Where a label's product works best; at the very top of its window it would die before it is done.

    Its kind's best if that lies in the window's upper half, else two thirds of the way up.
    """
    low_c, high_c = label.window_c
    kind_c = label.kind.window_c.likely
    return kind_c if 0.5 * (low_c + high_c) <= kind_c <= high_c else low_c + (high_c - low_c) * 2.0 / 3.0
