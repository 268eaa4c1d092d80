"""The mash, step by step: raw starch swells, long starch is thinned, dextrin is sweetened.

Nothing in it depends on how much there is (all first order), so the doses' rates on the whole grid come
first, and then the masses step by step. Every formula is an exponential: no rate is too fast for the grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from caskward.stages.cook import gelatinised_share
from caskward.stages.enzymes import Dose, loss_per_h, speed
from caskward.stages.stream import Worlds
from caskward.stages.swelling import raw_after

LONGEST_PART_H = 0.6 / 60.0
"""A step is cut in equal parts no longer than this [h]: courses keep within 1e-3 of a far finer grid."""


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


def alive(dose: Dose, hours: Worlds, temp_c: Worlds) -> tuple[Worlds, Worlds]:
    """Share of a dose still alive at every point (0 before it goes in), and hours of full life in each step.

    The loss of a step is the integral of k over a straight line of temperature, by Simpson's rule with the
    middle from the geometric mean (k is all but exponential in temperature).
    """
    per_h = loss_per_h(dose.enzyme, temp_c)
    middle = np.sqrt(per_h[:-1] * per_h[1:])
    in_tub_h = _hours_in_tub(dose, hours)
    lost = (per_h[:-1] + 4.0 * middle + per_h[1:]) / 6.0 * in_tub_h
    left = np.exp(-np.concatenate([np.zeros_like(lost[:1]), np.cumsum(lost, axis=0)]))
    some = np.maximum(lost, 1e-9)
    full_h = left[:-1] * (-np.expm1(-some) / some) * in_tub_h
    before = (hours < dose.at_h).reshape(-1, 1)
    return np.where(before, 0.0, left), full_h


def _hours_in_tub(dose: Dose, hours: Worlds) -> Worlds:
    steps = np.diff(hours)
    return np.clip(hours[1:] - dose.at_h, 0.0, steps).reshape(-1, 1)


def rates(
    doses: Sequence[Dose], full_h: Sequence[Worlds], temp_c: Worlds, ph: Worlds, branched: Worlds
) -> Rates:
    """All doses together, from the hours of full life of each in every step.

    Args:
        temp_c, ph: on the grid, (times, worlds). branched: share of long starch that ends so.
    """
    none = np.zeros((temp_c.shape[0] - 1, 1))
    thin, to_open, nibble, on_open, on_branched = none, none, none, none, none
    for dose, lived_h in zip(doses, full_h, strict=True):
        fast = speed(dose.enzyme, temp_c, ph)
        turns = 0.5 * (fast[:-1] + fast[1:]) * lived_h * (dose.strength * np.asarray(dose.enzyme.rate_per_h))
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
    return Rates(long, open_share, np.broadcast_to(branched, (1, np.size(branched))), on_open, on_branched)


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
        stays = _cannot_swell(swelling, i, int(count))
        lags = swelling.per_h * (hours[i + 1] - hours[i]) / count
        for part in range(count):
            now = splits.part(i, now, raw_after(now.raw, (stays[part], stays[part + 1]), lags))
        _note(out, i + 1, now)
    return out


def _note(out: tuple[Worlds, ...], i: int, now: Amounts) -> None:
    for row, value in zip(out, (now.raw, now.long, now.open, now.branched), strict=True):
        row[i] = value


def _cannot_swell(swelling: Swelling, i: int, parts: int) -> list[Worlds]:
    """Raw starch that no time would swell, at the ends of every part of a step."""
    first, last = swelling.temp_c[i], swelling.temp_c[i + 1]
    if np.array_equal(first, last):
        share = gelatinised_share(first, swelling.onset_c, swelling.complete_c)
        return [swelling.whole * (1.0 - share)] * (parts + 1)
    temps = (first + (last - first) * (part / parts) for part in range(parts + 1))
    shares = (gelatinised_share(temp_c, swelling.onset_c, swelling.complete_c) for temp_c in temps)
    return [swelling.whole * (1.0 - share) for share in shares]


@dataclass(frozen=True)
class _Splits:
    """What one part of a step does, ready for every step: all (steps, worlds).

    A source that goes in a straight line from one end of a part to the other leaves `early` of its first end
    and `late` of its last end where a rate x works on it: phi1 - phi2 and phi2 of x.
    """

    long: Worlds
    evenly: Worlds
    open_share: Worlds
    branched_share: Worlds
    open: tuple[Worlds, Worlds, Worlds]
    branched: tuple[Worlds, Worlds, Worlds]

    @classmethod
    def of(cls, rate: Rates, parts: Worlds) -> _Splits:
        count = parts.reshape(-1, 1)
        long = rate.long / count
        evenly, _ = _phis(long)
        branched_share = np.broadcast_to(rate.branched_share, (len(parts), rate.branched_share.shape[-1]))
        ends = (_ends(rate.open / count), _ends(rate.branched / count))
        return cls(np.exp(-long), evenly, rate.open_share, branched_share, *ends)

    def part(self, i: int, now: Amounts, raw: Worlds) -> Amounts:
        """One part of step i; the raw starch left after it is known."""
        fresh = (now.raw - raw).sum(axis=0)
        long = now.long * self.long[i] + fresh * self.evenly[i]
        split = now.long + fresh - long
        both = now.long + long
        pace = 2.0 * split / np.where(both > 0.0, both, 1.0)
        grown = []
        for held, share, (kept, early, late) in (
            (now.open, self.open_share, self.open),
            (now.branched, self.branched_share, self.branched),
        ):
            grown.append(held * kept[i] + share[i] * pace * (now.long * early[i] + long * late[i]))
        return Amounts(raw, long, *grown)


def _ends(x: Worlds) -> tuple[Worlds, Worlds, Worlds]:
    first, second = _phis(x)
    return np.exp(-x), first - second, second


def _phis(x: Worlds) -> tuple[Worlds, Worlds]:
    """(1 - exp(-x))/x and (1 - that)/x, with their series near nothing."""
    some = np.maximum(x, 1e-4)
    first = -np.expm1(-some) / some
    small = x < 1e-4
    return np.where(small, 1.0 - x / 2.0, first), np.where(small, 0.5 - x / 6.0, (1.0 - first) / some)
