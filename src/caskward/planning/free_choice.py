"""The best free choice of jars, by mixed-integer programming, with what is proven about it.

The most alcohol is one linear program with whole-numbered jars. The best mean mark is a ratio of two sums:
Dinkelbach's method solves max sum (score - best so far) LPA until nothing is left to gain. Ties go to more
alcohol (or the better mark), then to the earlier of jars that are alike. Over worlds the sums are means, and
the limits are tightened until they hold in as many worlds as wished: sure enough, but not proven best.
Source: Dinkelbach (1967), Management Science 13, 492, from memory; the solver is HiGHS, through scipy.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from caskward.errors import NoChoiceInTime, NoSuchChoice, NothingToChoose, OutOfRange
from caskward.planning.choice import Choice, best_cut
from caskward.planning.jars import Jars
from caskward.planning.wish import Need, Wish, averaged, needs_of
from caskward.stages.stream import Worlds

TIME_LIMIT_S = 1.0
_MOST_ROUNDS = 12
_TIGHTENINGS = 8
_NOTHING = 1e-8
"""Gain, as part of the largest single one, that counts as none."""

Floats = NDArray[np.float64]


def best_choice(jars: Jars, wish: Wish, time_limit_s: float = TIME_LIMIT_S) -> Choice:
    """The best choice of any jars under a wish's limits; the best found where time runs out, with its gap.

    Args:
        jars: the receivers. wish: limits and aim. time_limit_s: most time to search [s], 0.01 to 600.

    Raises:
        NoSuchChoice: says which limit cannot be met, and what can be reached of it. NoChoiceInTime,
        NothingToChoose, NoTraceFigure: as they say.
    """
    from scipy import optimize  # noqa: F401  (its import takes as long as many searches: not on their clock)

    if not 0.01 <= time_limit_s <= 600.0:
        raise OutOfRange("The time limit", time_limit_s, "s", 0.01, 600.0)
    search = _Search(jars, wish, time_limit_s)
    if wish.volume == "near" and wish.wanted_l > 0.0:
        wish = replace(wish, near_share=max(wish.near_share, search.nearest_share()))
        search = _Search(jars, wish, time_limit_s)
    if jars.ethanol_kg.ndim == 1:
        return search.best(search.start(), np.zeros(len(search.needs)))
    return _sure_choice(search)


def _sure_choice(search: _Search) -> Choice:
    """Tighten limits on the mean until all hold in enough worlds; the unbroken cut if it is better."""
    found = [cut] if (cut := search.start()) is not None else []
    margins, wanted = np.zeros(len(search.needs)), search.wish.confidence
    for _ in range(_TIGHTENINGS):
        try:
            found.append(search.best(None, margins))
        except NoSuchChoice:
            if not found:
                raise
            break
        if found[-1].chance >= wanted:
            break
        margins = margins + search.missing(found[-1].shares)
    best = max(found, key=lambda c: (True, c.value) if c.chance >= wanted else (False, c.chance))
    return replace(best, gap=None)


@dataclass(frozen=True)
class _Solved:
    """One program's answer: shares, or none; what no choice can pass; whether it ended before its time."""

    shares: Floats | None
    bound: float
    settled: bool


class _Search:
    """The programs of one wish: their rows, their columns, and the time that is left."""

    def __init__(self, jars: Jars, wish: Wish, time_limit_s: float) -> None:
        self.wish, self.needs = wish, needs_of(jars, wish)
        self._jars, self._time_limit_s = jars, time_limit_s
        self._deadline = time.monotonic() + time_limit_s
        self.lpa = averaged(jars.lpa)
        self.marked = jars.scores * self.lpa
        shut = jars.placed("out", "discard")
        if shut.all() or not np.any(self.lpa[~shut] > 0.0):
            raise NothingToChoose
        self._least = jars.placed("in").astype(float)
        self._most = 1.0 - shut.astype(float)
        figures = np.vstack([self.lpa, self.marked, *(need.spare.T for need in self.needs)]).T
        self._alike = _alike(figures, np.flatnonzero(self._least < self._most))

    def start(self) -> Choice | None:
        """The best unbroken cut, where there is one: a free choice can only be better."""
        try:
            return best_cut(self._jars, self.wish)
        except NoSuchChoice:
            return None

    def best(self, start: Choice | None, margins: Floats) -> Choice:
        """The best choice with limits tightened by margins, and what is proven."""
        rows = [_row(need, margin) for need, margin in zip(self.needs, margins, strict=True)]
        if self.wish.aim == "alcohol":
            return self._most_alcohol(start, rows, margins)
        return self._best_mark(start, rows, margins)

    def _most_alcohol(self, start: Choice | None, rows: list[_Row], margins: Floats) -> Choice:
        first = self._solve(self.lpa, rows)
        shares = self._or_start(first, start, margins)
        if first.settled:
            least = float(self.lpa @ shares)
            tie = self._solve(self.marked, [*rows, _Row(self.lpa, least - _NOTHING * self.lpa.max())])
            shares = tie.shares if tie.shares is not None else shares
        value = float(self.lpa @ shares)
        return self._choice(shares, value, 0.0 if first.settled else first.bound - value)

    def _best_mark(self, start: Choice | None, rows: list[_Row], margins: Floats) -> Choice:
        shares = (
            start.shares if start is not None else self._or_start(self._solve(self.lpa, rows), None, margins)
        )
        mark, bound, nothing_left = self._mark(shares), np.inf, False
        for _ in range(_MOST_ROUNDS):
            worth = self.marked - mark * self.lpa
            found = self._solve(worth, rows)
            bound = mark + max(found.bound, 0.0) / self._least_alcohol_l()
            if found.shares is None or worth @ found.shares <= _NOTHING * np.abs(worth).max():
                nothing_left = found.settled
                break
            shares, mark = found.shares, self._mark(found.shares)
            if not found.settled:
                break
        if not nothing_left:
            return self._choice(shares, mark, bound - mark)
        worth = self.marked - mark * self.lpa
        tie = self._solve(self.lpa, [*rows, _Row(worth, -_NOTHING * np.abs(worth).max())])
        shares = tie.shares if tie.shares is not None else shares
        return self._choice(shares, self._mark(shares), 0.0)

    def _least_alcohol_l(self) -> float:
        """Pure alcohol that any choice holds at least."""
        asked = [n for n in self.needs if n.whole is None and n.sign > 0.0]
        per_l = self.wish.entry_pct_vol / 100.0
        return max(asked[0].bound * per_l if asked else 0.0, float(self.lpa[self.lpa > 0.0].min()))

    def _mark(self, shares: Floats) -> float:
        return float(self.marked @ shares) / float(self.lpa @ shares)

    def _or_start(self, found: _Solved, start: Choice | None, margins: Floats) -> Floats:
        if found.shares is not None:
            return found.shares
        if start is not None:
            return start.shares
        if not found.settled:
            raise NoChoiceInTime(self._time_limit_s)
        raise NoSuchChoice(*self._nearest(margins))

    def _choice(self, shares: Floats, value: float, gap: float) -> Choice:
        met = np.asarray(np.logical_and.reduce([spare >= -n.slack for n, spare in self._spares(shares)]))
        return Choice(shares, value, gap if gap > _NOTHING else 0.0, float(met.mean()))

    def _spares(self, shares: Floats) -> list[tuple[Need, Worlds]]:
        return [(n, np.asarray(np.tensordot(shares, n.spare, axes=1) + n.offset)) for n in self.needs]

    def nearest_share(self) -> float:
        """How far from the wanted volume, as a share of it, the nearest choice is; 0 where there is none."""
        volume = self.needs[0].part
        others = [_row(need, 0.0) for need in self.needs if need.whole is not None]
        off = []
        for sign in (1.0, -1.0):
            side = _Row(sign * averaged(volume), sign * self.wish.wanted_l)
            found = self._solve(-sign * averaged(volume), [*others, side])
            if found.shares is not None:
                off.append(abs(float(averaged(volume) @ found.shares) / self.wish.wanted_l - 1.0))
        return min(off) + 1e-9 if off else 0.0

    def missing(self, shares: Floats) -> Floats:
        """By how much each limit falls short in the worlds that are to hold it."""
        share = 1.0 - self.wish.confidence
        short = np.array([-float(np.quantile(spare, share)) for _, spare in self._spares(shares)])
        if np.all(short <= 0.0):  # each holds often enough, all together do not
            short = np.array([-float(np.quantile(spare, 0.5 * share)) for _, spare in self._spares(shares)])
        return np.asarray(np.maximum(short, 0.0))

    def _solve(self, gain: Floats, rows: Sequence[_Row]) -> _Solved:
        """Most of a gain under rows and bounds. An empty choice is none."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        some = _Row(self.lpa, 0.999 * float(self.lpa[self.lpa > 0.0].min()))
        lines = [row.scaled() for row in (*rows, some, *self._alike)]
        scale = 1e3 / max(float(np.abs(gain).max()), 1e-300)
        result = milp(
            -scale * gain,
            constraints=LinearConstraint(np.array([r.part for r in lines]), [r.least for r in lines], np.inf),
            integrality=np.full(len(gain), 0 if self.wish.part_jars else 1),
            bounds=Bounds(self._least, self._most),
            options={"mip_rel_gap": 0.0, "time_limit": max(self._deadline - time.monotonic(), 1e-3)},
        )
        bound = result.mip_dual_bound if result.mip_dual_bound is not None else result.fun
        best = np.inf if bound is None else -float(bound) / scale
        shares = None if result.x is None else self._clean(result.x)
        return _Solved(shares, best, result.status in (0, 2))

    def _clean(self, x: Floats) -> Floats:
        return np.asarray(np.clip(x if self.wish.part_jars else np.round(x), self._least, self._most))

    def _nearest(self, margins: Floats) -> tuple[tuple[str, ...], bool]:
        """What can be reached of each limit with the others kept; of each alone where that leaves none."""
        self._deadline = time.monotonic() + self._time_limit_s
        rows = [_row(need, margin) for need, margin in zip(self.needs, margins, strict=True)]
        for together in (True, False):
            nearest = []
            for k, need in enumerate(self.needs):
                others = [row for j, row in enumerate(rows) if j != k] if together else []
                reached = self._reach(need, others)
                if reached is not None and need.sign * (reached - need.bound) < 0.0:
                    nearest.append(need.said(reached))
            if nearest:
                return tuple(nearest), together
        return ("the jars that must be in and the limits do not go together",), True

    def _reach(self, need: Need, others: list[_Row]) -> float | None:
        """Most (or least) of a limit's figure under the others; None where those cannot be met."""
        part = need.sign * averaged(need.part)
        whole = np.zeros_like(part) if need.whole is None else averaged(need.whole)
        found = self._solve(part if need.whole is None else self.lpa, others)
        if found.shares is None:
            return None
        if need.whole is None:
            return need.sign * float(part @ found.shares)
        shares = found.shares
        for _ in range(_MOST_ROUNDS):
            at = float(part @ shares) / float(whole @ shares)
            found = self._solve(part - at * whole, others)
            if found.shares is None or float((part - at * whole) @ found.shares) <= _NOTHING * whole.max():
                break
            shares = found.shares
        return need.sign * float(part @ shares) / float(whole @ shares)


@dataclass(frozen=True)
class _Row:
    """A line of the program: sum part x >= least."""

    part: Floats
    least: float

    def scaled(self) -> _Row:
        """The same line with its largest coefficient at one, as the solver's tolerances suppose."""
        size = max(float(np.abs(self.part).max()), 1e-300)
        return _Row(self.part / size, self.least / size)


def _row(need: Need, margin: float) -> _Row:
    return _Row(averaged(need.spare), margin - need.offset)


def _alike(figures: Floats, free: NDArray[np.intp]) -> list[_Row]:
    """Of jars that are alike in everything that counts, the earlier is taken first."""
    rows: list[_Row] = []
    last: dict[bytes, int] = {}
    for jar in free.tolist():
        key = figures[jar].tobytes()
        if key in last:
            line = np.zeros(len(figures))
            line[last[key]], line[jar] = 1.0, -1.0
            rows.append(_Row(line, 0.0))
        last[key] = jar
    return rows
