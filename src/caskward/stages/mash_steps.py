"""The mash, step by step: raw starch swells, long starch is thinned, dextrin is sweetened.

Nothing in it depends on how much there is (all first order), so the doses' rates on the whole grid come
first, and then the masses step by step. Every formula is an exponential: no rate is too fast for the grid.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from caskward.pace import breathe
from caskward.properties._arrays import BLOCK
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
    one = np.s_[:1]
    start = loss_per_h(dose.enzyme, temp_c[one]) + speed(dose.enzyme, temp_c[one], ph[one])
    activity = np.zeros((len(hours), start.shape[-1]))
    turns = np.zeros((len(hours) - 1, start.shape[-1]))
    activity[first] = 1.0
    for steps in _blocks(first, len(turns), start.shape[-1]):
        breathe()
        ends = slice(steps.start, steps.stop + 1)
        in_tub_h = np.diff(np.maximum(hours[ends], dose.at_h)).reshape(-1, 1)
        per_h, fast = loss_per_h(dose.enzyme, temp_c[ends]), speed(dose.enzyme, temp_c[ends], ph[ends])
        middle = np.sqrt(per_h[:-1] * per_h[1:])
        dies = _Work.of((per_h[:-1] + 4.0 * middle + per_h[1:]) * (in_tub_h / 6.0))
        for i, share in enumerate(dies.kept, steps.start):
            np.multiply(activity[i], share, out=activity[i + 1])
        # A life that fades by exp(-x) is a source run backward: its early hours weigh as a late source does.
        turns[steps] = (fast[:-1] * dies.late + fast[1:] * dies.early) * activity[steps] * in_tub_h
    activity[hours < dose.at_h] = 0.0
    return activity, turns


def _blocks(first: int, last: int, worlds: int) -> Iterator[slice]:
    """Steps in blocks whose figures stay in the processor's cache: twice as fast as all at once."""
    rows = max(BLOCK // max(worlds, 1), 1)
    return (slice(start, min(start + rows, last)) for start in range(first, last, rows))


def rates(
    doses: Sequence[Dose], turned: Sequence[Worlds], branched: Worlds, thick: Worlds, steps: slice
) -> Rates:
    """All doses together in some steps, from the turns of each (`works`) at its strength.

    Args:
        branched: share of long starch that ends as branched dextrin. thick: speed left by thickness.
    """
    none = np.zeros((steps.stop - steps.start, 1))
    thin, to_open, nibble, on_open, on_branched = none, none, none, none, none
    for dose, all_turns in zip(doses, turned, strict=True):
        turns = all_turns[steps] * (thick * dose.strength * dose.enzyme.rate_per_h)
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
    branched_share = np.broadcast_to(branched, (len(none), branched.shape[-1]))
    return Rates(long, open_share, branched_share, on_open, on_branched)


def course(
    start: Amounts, swelling: Swelling, rate: Callable[[slice], Rates], hours: Worlds, given: Sequence[int]
) -> tuple[Worlds, Worlds, Worlds, Worlds]:
    """Raw (points, materials, worlds), long, open and branched (points, worlds) [kg as starch].

    `rate` gives the rates of a block of steps. `given`: the places in `hours` to note, the first one 0.
    """
    size = start.long.shape[-1]
    shape = (len(given), size)
    out = (np.empty((len(given), *start.raw.shape)), np.empty(shape), np.empty(shape), np.empty(shape))
    rows = {int(place): row for row, place in enumerate(given)}
    steps_h = np.diff(hours)
    parts = np.maximum(np.ceil(steps_h / LONGEST_PART_H - 1e-9), 1.0).astype(int)
    now = start
    _note(out, 0, now)
    for steps in _blocks(0, len(parts), size):
        breathe()
        splits = _Splits.of(rate(steps), parts[steps])
        for i in range(steps.start, steps.stop):
            lags = swelling.per_h * (steps_h[i] / parts[i])
            now = splits.step(i - steps.start, now, _cannot_swell(swelling, i, int(parts[i])), lags)
            if i + 1 in rows:
                _note(out, rows[i + 1], now)
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
        """Some steps of a course, each cut in its parts."""
        count = parts.reshape(-1, 1)
        long, opened, branched = (_Work.of(x / count) for x in (rate.long, rate.open, rate.branched))
        return cls(long, opened, branched, rate.open_share, rate.branched_share)

    def step(self, i: int, now: Amounts, stays: list[list[Worlds]], lags: Worlds) -> Amounts:
        """Step i, part by part: swelling first, which nothing else touches."""
        pace = _pace(now.raw, stays[0][0])
        for ends in stays:
            raw = now.raw
            for first, last in pairwise(ends):
                raw = raw_after(raw, (first, last), lags / (len(ends) - 1))
            later = _pace(raw, ends[-1])
            now, pace = self._part(i, now, raw, (pace, later)), later
        return now

    def _part(self, i: int, now: Amounts, raw: Worlds, swells: tuple[Worlds, Worlds]) -> Amounts:
        fresh = (now.raw - raw).sum(axis=0)
        long = self.long.after(i, now.long, fresh, swells)
        split, ends = now.long + fresh - long, (now.long, long)
        opened = self.open.after(i, now.open, self.open_share[i] * split, ends)
        branched = self.branched.after(i, now.branched, self.branched_share[i] * split, ends)
        return Amounts(raw, long, opened, branched)
