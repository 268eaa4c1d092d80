"""One tub's mash as planned, in time: how warm, how sour, and what goes in when.

Hour 0 is when all of it is together in the tub. A thinning product whose window holds the cook works in the
pot before that. Every figure is the same in all worlds; readings and doubts move it in `mash`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.intent import EnzymeLabel, Intent
from caskward.planning.method import Method
from caskward.properties import heat
from caskward.stages.stream import Worlds

COOLS_K_PER_H: Final = 20.0
"""How fast a coil takes a tub down between two rests; *common practice, no source*."""
MALT_REST_H: Final = 1.0
"""Rest that malt's own enzymes are given; *common practice, no source*."""
MASH_PH: Final = 5.5
"""A mash's own pH, where no label asks for another; *common practice, no source*."""
_POT_NEAR_K = 4.0
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

    def ph(self, hours: Worlds) -> Worlds:
        """Planned pH at some hours: each rest's own, from its start."""
        starts = np.array([rest.from_h for rest in self.rests])
        at = np.clip(np.searchsorted(starts, hours + 1e-9, side="right") - 1, 0, len(starts) - 1)
        return np.array([rest.ph for rest in self.rests])[at]

    def _standing(self, from_c: float, hours: Worlds) -> Worlds:
        return np.asarray(self.room_c + (from_c - self.room_c) * np.exp(-self.cools_per_h * hours))


def mash_schedule(intent: Intent, method: Method, stirred_c: float, capacity_kj_k: float) -> MashSchedule:
    """The rests that labels and malt ask for, from the temperature the tub comes to.

    Args:
        stirred_c: all together [°C]. capacity_kj_k: heat capacity of one tub's mash [kJ/K].
    """
    loss_w_k = intent.gear.tub.heat_loss_w_k.likely
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
