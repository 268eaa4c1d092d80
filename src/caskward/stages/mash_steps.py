"""The mash, step by step: raw starch swells, long starch is thinned, dextrin is sweetened.

Nothing in it depends on how much there is (all first order), so the doses' rates on the whole grid come
first, and then the masses step by step. Every formula is an exponential: no rate is too fast for the grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from caskward.stages.cook import gelatinised_share
from caskward.stages.enzymes import Dose, loss_per_h, speed
from caskward.stages.stream import Worlds
from caskward.stages.swelling import raw_after

LONGEST_PART_H = 1.0 / 60.0
"""A step is cut in equal parts no longer than this [h]: courses keep within 1e-3 of a far finer grid."""
_TINY = 1e-30


@dataclass(frozen=True)
class Rates:
    """What every step does, (steps, worlds), as rate times hours of the step [-].

    long: what acts on long starch. open_share, branched_share: of what it splits, what becomes open and
    branched dextrin; the rest is sugar at once. open, branched: what acts on either dextrin.
    """

    long: Worlds
    open_share: Worlds
    branched_share: Worlds
    open: Worlds
    branched: Worlds


@dataclass(frozen=True)
class Amounts:
    """Starch in its forms, as starch [kg]: raw (materials, worlds), the others (worlds)."""

    raw: Worlds
    long: Worlds
    open: Worlds
    branched: Worlds


@dataclass(frozen=True)
class Swelling:
    """What swells where: starch of each material in reach [kg], its range [°C], its rate [1/h].

    These broadcast to (materials, worlds). temp_c: the temperature on the grid, (times, worlds) [°C].
    """

    whole: Worlds
    onset_c: Worlds
    complete_c: Worlds
    per_h: Worlds
    temp_c: Worlds


def works(dose: Dose, hours: Worlds, temp_c: Worlds, ph: Worlds) -> tuple[Worlds, Worlds]:
    """Share of a dose still alive at every point, and its speed times hours of life in every step.

    (times, worlds) and (steps, worlds); nothing before it goes in. The loss of a step is the integral of k
    over a straight line of temperature: Simpson's rule, its middle the geometric mean of the ends, for k is
    all but exponential in temperature. The speed goes in a straight line over the step while the dose dies.

    Args:
        temp_c, ph: on the grid, (times, worlds).
    """
    first = max(int(np.searchsorted(hours, dose.at_h, side="right")) - 1, 0)
    in_tub_h = (hours[first + 1 :] - np.maximum(hours[first:-1], dose.at_h)).reshape(-1, 1)
    per_h, fast = loss_per_h(dose.enzyme, temp_c[first:]), speed(dose.enzyme, temp_c[first:], ph[first:])
    middle = np.sqrt(per_h[:-1] * per_h[1:])
    dies = _Work.of((per_h[:-1] + 4.0 * middle + per_h[1:]) * (in_tub_h / 6.0))
    left = np.ones((len(dies.kept) + 1, dies.kept.shape[-1]))
    for i, share in enumerate(dies.kept):
        np.multiply(left[i], share, out=left[i + 1])
    # A life that fades by exp(-x) is a source run backward: its early hours weigh as a late source does.
    turns = (fast[:-1] * dies.late + fast[1:] * dies.early) * left[:-1] * in_tub_h
    activity = np.zeros((len(hours), left.shape[-1]))
    activity[first:] = left
    activity[hours < dose.at_h] = 0.0
    whole = np.zeros((len(hours) - 1, turns.shape[-1]))
    whole[first:] = turns
    return activity, whole


def rates(doses: Sequence[Dose], turned: Sequence[Worlds], branched: Worlds, thick: Worlds) -> Rates:
    """All doses together, from the turns of each (`works`) at its strength.

    Args:
        branched: share of long starch that ends as branched dextrin. thick: speed left by thickness.
    """
    none = np.zeros((1, 1))
    thin, to_open, nibble, on_open, on_branched = none, none, none, none, none
    for dose, turn in zip(doses, turned, strict=True):
        turns = turn * (thick * dose.strength * dose.enzyme.rate_per_h)
        habit = dose.enzyme.habit
        if dose.enzyme.does == "thin":
            thin = thin + turns
            to_open = to_open + turns * np.maximum(1.0 - branched - habit.sugar_share, 0.0)
        else:
            nibble = nibble + turns * habit.on_long
            on_open = on_open + turns
            on_branched = on_branched + turns * habit.on_branched
    long = thin + nibble
    open_share = to_open / np.maximum(long, 1e-300)
    return Rates(long, open_share, branched.reshape(1, -1), on_open, on_branched)


def course(
    start: Amounts, swelling: Swelling, rate: Rates, hours: Worlds
) -> tuple[Worlds, Worlds, Worlds, Worlds]:
    """Raw (times, materials, worlds), long, open and branched (times, worlds) on the grid [kg as starch]."""
    shape = (len(hours), start.long.shape[-1])
    raw = np.empty((len(hours), *start.raw.shape))
    out = (raw, np.empty(shape), np.empty(shape), np.empty(shape))
    parts = np.maximum(np.ceil(np.diff(hours) / LONGEST_PART_H - 1e-9), 1.0).astype(int)
    splits = _Splits.of(rate, parts)
    now = start
    _note(out, 0, now)
    for i, count in enumerate(parts):
        stays, lags = (
            _cannot_swell(swelling, i, int(count)),
            (hours[i + 1] - hours[i]) / count * swelling.per_h,
        )
        pace = _pace(now.raw, stays[0][0])
        for ends in stays:
            left = now.raw
            for first, last in pairwise(ends):
                left = raw_after(left, (first, last), lags / (len(ends) - 1))
            later = _pace(left, ends[-1])
            now, pace = splits.part(i, now, left, (pace, later)), later
        _note(out, i + 1, now)
    return out


def _pace(raw: Worlds, stays: Worlds) -> Worlds:
    """What drives the swelling of all materials, but for its rate."""
    return np.asarray(np.maximum(raw - stays, 0.0).sum(axis=0))


def _note(out: tuple[Worlds, ...], i: int, now: Amounts) -> None:
    for row, value in zip(out, (now.raw, now.long, now.open, now.branched), strict=True):
        row[i] = value


def _cannot_swell(swelling: Swelling, i: int, parts: int) -> list[list[Worlds]]:
    """Raw starch that no time would swell, at the ends of every part of a step.

    Where the temperature moves, in the middle of a part too: the line has a corner at onset and complete.
    """
    first, last = swelling.temp_c[i], swelling.temp_c[i + 1]
    if np.array_equal(first, last):
        share = gelatinised_share(first, swelling.onset_c, swelling.complete_c)
        return [[swelling.whole * (1.0 - share)] * 2] * parts
    temps = (first + (last - first) * (k / (2 * parts)) for k in range(2 * parts + 1))
    shares = (gelatinised_share(temp_c, swelling.onset_c, swelling.complete_c) for temp_c in temps)
    stays = [swelling.whole * (1.0 - share) for share in shares]
    return [stays[2 * part : 2 * part + 3] for part in range(parts)]


@dataclass(frozen=True)
class _Work:
    """What one part of a step leaves, for every step: rows (steps, worlds).

    `kept` of what was there, exp(-x); of a source in a straight line from one end of the part to the other,
    `early` of its first end and `late` of its last, phi1 - phi2 and phi2 of x.
    """

    kept: Worlds
    early: Worlds
    late: Worlds

    @classmethod
    def of(cls, x: Worlds) -> _Work:
        """The work of a rate times hours."""
        kept = np.exp(-x)
        some = np.maximum(x, 0.01)
        late = (x - (1.0 - kept)) / (some * some)
        late = np.where(x < 0.01, 0.5 - x * (1.0 / 6.0 - x / 24.0), late)
        return cls(kept, 1.0 - x * late - late, late)

    def after(self, i: int, held: Worlds, mass: Worlds, ends: tuple[Worlds, Worlds]) -> Worlds:
        """What is left after a part of step i of what was held, and of a mass that came as `ends` tell."""
        first, last = ends[0] + _TINY, ends[1] + _TINY
        return np.asarray(
            held * self.kept[i]
            + (mass + mass) * (first * self.early[i] + last * self.late[i]) / (first + last)
        )


@dataclass(frozen=True)
class _Splits:
    """What one part of a step does, ready for every step."""

    long: _Work
    open: _Work
    branched: _Work
    open_share: Worlds
    branched_share: Worlds

    @classmethod
    def of(cls, rate: Rates, parts: Worlds) -> _Splits:
        """All steps of a course, each cut in its parts."""
        count = parts.reshape(-1, 1)
        work = (_Work.of(turns / count) for turns in (rate.long, rate.open, rate.branched))
        shares = (rate.open_share, rate.branched_share)
        return cls(*work, *(np.broadcast_to(s, (len(parts), s.shape[-1])) for s in shares))

    def part(self, i: int, now: Amounts, raw: Worlds, swells: tuple[Worlds, Worlds]) -> Amounts:
        """One part of step i; raw starch after it, and its pace of swelling at both ends, are known."""
        fresh = (now.raw - raw).sum(axis=0)
        long = self.long.after(i, now.long, fresh, swells)
        split, ends = now.long + fresh - long, (now.long, long)
        opened = self.open.after(i, now.open, self.open_share[i] * split, ends)
        branched = self.branched.after(i, now.branched, self.branched_share[i] * split, ends)
        return Amounts(raw, long, opened, branched)
