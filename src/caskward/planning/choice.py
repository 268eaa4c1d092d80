"""Which receivers go into the cask: what any choice gives, and the best unbroken cut, exactly.

Every limit is a sum of masses over jars (`wish`), so a cut is a difference of cumulative sums, and all pairs
of a first and a last jar are looked at. `free_choice` lets jars be picked in any order.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from caskward.errors import NoSuchChoice, NothingToChoose
from caskward.planning.jars import Jars, Mark
from caskward.planning.wish import Cap, Need, Wish, averaged, needs_of
from caskward.properties.congeners import CONGENERS
from caskward.stages.reduce import reduce
from caskward.stages.stream import Stream, Worlds


@dataclass(frozen=True)
class Choice:
    """So much of each jar (0..1), how good it is, and how sure that nothing better exists.

    `value` is the mean mark or the litres of pure alcohol, as aimed; `gap` is how much better another choice
    might be at most: 0 where this one is proven best, None where nobody knows. `chance` is the share of
    worlds in which every limit holds (1 or 0 for one world).
    """

    shares: NDArray[np.float64]
    value: float
    gap: float | None
    chance: float

    @property
    def proven(self) -> bool:
        """True where no other choice can be better."""
        return self.gap == 0.0


def best_cut(jars: Jars, wish: Wish) -> Choice:
    """The best unbroken run of jars, exactly; jars marked out or discard do not break it.

    All pairs of a first and a last jar are compared by cumulative sums. Ties: more alcohol (or the better
    mark), then the earlier first jar, then the shorter run.

    Raises:
        NoSuchChoice: no cut meets every limit. NothingToChoose, NoTraceFigure: as they say.
    """
    runs, needs = _Runs(jars), needs_of(jars, wish)
    chance = _chance(runs, needs)
    possible = runs.holds_all_that_must_be_in & (chance >= wish.confidence - 1e-12)
    if not possible.any():
        if wish.volume == "near" and wish.wanted_l > 0.0 and wish.near_share < 1.0:
            return best_cut(jars, replace(wish, near_share=_nearest_share(runs, needs, wish)))
        raise NoSuchChoice(*_nearest_cut(runs, needs, wish))
    alcohol_l = averaged(runs.sum(jars.lpa))
    marks = averaged(runs.sum(_marked(jars))) / np.maximum(alcohol_l, 1e-300)
    first, second = (marks, alcohol_l) if wish.aim == "mark" else (alcohol_l, marks)
    at = _best(first, second, possible)
    return Choice(runs.shares(at), float(first[at]), 0.0, float(chance[at]))


def _chance(runs: _Runs, needs: Sequence[Need]) -> NDArray[np.float64]:
    """Share of worlds in which a run meets every limit."""
    met = np.ones((len(runs.first), *runs.worlds), dtype=bool)
    for need in needs:
        met &= runs.sum(need.spare) + need.offset >= -need.slack
    return np.asarray(met.reshape(len(met), -1).mean(axis=1))


def _nearest_share(runs: _Runs, needs: Sequence[Need], wish: Wish) -> float:
    """How far from the wanted volume, as a share of it, the nearest cut lies; 1 where none can be had."""
    others = [need for need in needs if need.whole is not None]
    possible = runs.holds_all_that_must_be_in & (_chance(runs, others) >= wish.confidence - 1e-12)
    if not possible.any():
        return 1.0
    volume_l = averaged(runs.sum(needs[0].part))
    return float(np.abs(volume_l / wish.wanted_l - 1.0)[possible].min()) + 1e-9


def _marked(jars: Jars) -> Worlds:
    """Score times pure alcohol of each jar."""
    return (jars.scores * jars.lpa.T).T


def _best(first: Worlds, second: Worlds, possible: NDArray[np.bool_]) -> int:
    """Place of the highest `first`, then of the highest `second`, then the earliest."""
    for values in (first, second):
        masked = np.where(possible, values, -np.inf)
        top = float(masked.max())
        possible = masked >= top - 1e-12 * max(abs(top), 1.0)
    return int(np.argmax(possible))


class _Runs:
    """Every unbroken run of the jars that may be chosen."""

    def __init__(self, jars: Jars) -> None:
        self._open = np.flatnonzero(~jars.placed("out", "discard"))
        self._count, self.worlds = len(jars), jars.ethanol_kg.shape[1:]
        if self._open.size == 0:
            raise NothingToChoose
        self.first, self.after = _pairs(self._open.size)
        must = jars.placed("in")
        self.holds_all_that_must_be_in = self.sum(must.astype(float)) > must.sum() - 0.5

    def sum(self, per_jar: Worlds) -> Worlds:
        """Sum over each run: (runs, worlds...)."""
        total = np.zeros((self._open.size + 1, *per_jar.shape[1:]))
        np.cumsum(per_jar[self._open], axis=0, out=total[1:])
        return np.asarray(total[self.after] - total[self.first])

    def shares(self, at: int) -> NDArray[np.float64]:
        """One run as shares of all jars."""
        out = np.zeros(self._count)
        out[self._open[self.first[at] : self.after[at]]] = 1.0
        return out


@lru_cache(maxsize=64)
def _pairs(count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """First jar and the one after the last, for every run; by first jar, then by length."""
    first, after = np.triu_indices(count + 1, k=1)
    return first, after


def _nearest_cut(runs: _Runs, needs: tuple[Need, ...], wish: Wish) -> tuple[tuple[str, ...], bool]:
    """What the cuts reach of each limit with the others kept; of each alone where that leaves none."""
    for together in (True, False):
        nearest = []
        for k, need in enumerate(needs):
            others = needs[:k] + needs[k + 1 :] if together else ()
            possible = runs.holds_all_that_must_be_in & (_chance(runs, others) >= wish.confidence - 1e-12)
            if possible.any():
                reached = _in_most_worlds(need, runs, wish)[possible]
                best = float(reached[np.argmax(need.sign * reached)])
                if need.sign * (best - need.bound) < 0.0:
                    nearest.append(need.said(best))
        if nearest:
            return tuple(nearest), together
    return ("the jars that must be in and the limits do not go together",), True


def _in_most_worlds(need: Need, runs: _Runs, wish: Wish) -> NDArray[np.float64]:
    """What each run reaches or passes of a limit's figure in the wanted share of worlds."""
    whole = 1.0 if need.whole is None else np.maximum(runs.sum(need.whole), 1e-300)
    figure = (runs.sum(need.part) / whole).reshape(len(runs.first), -1)
    share = 1.0 - wish.confidence if need.sign > 0 else wish.confidence
    return np.asarray(np.quantile(figure, share, axis=1))


@dataclass(frozen=True)
class Outcome:
    """What a choice gives, over worlds.

    heart: what is chosen, as it stands. reduced: after water to entry strength, untouched where weaker.
    in_cask_l, surplus_l: of it, what fills the cask and what is over. strong_enough: as strong as asked.
    feints: heads, tails and rests for the next batch. discarded: foreshots, never to be drunk.
    """

    heart: Stream
    reduced: Stream
    water_kg: Worlds
    in_cask_l: Worlds
    surplus_l: Worlds
    strong_enough: NDArray[np.bool_]
    feints: Stream
    discarded: Stream
    mean_mark: float
    chance_of_fill: float

    def level_mg_per_l(self, limit: Cap) -> Worlds:
        """Some congeners in the heart [mg per litre of pure alcohol]; not a number where not known."""
        if self.heart.traces_mg is None:
            return np.full_like(self.heart.ethanol_kg, np.nan)
        rows = [CONGENERS.index(name) for name in limit.congeners]
        return np.asarray(self.heart.traces_mg[rows].sum(axis=0) / np.maximum(self.heart.lpa, 1e-300))


def outcome(jars: Jars, shares: NDArray[np.float64], wish: Wish) -> Outcome:
    """What any choice gives at the wish's entry strength, contraction included; to a millilitre of fill."""
    heart = jars.together(shares)
    rest = 1.0 - shares
    thrown = jars.placed("discard")
    reduced, record = reduce(heart, wish.entry_pct_vol)
    strong_enough = heart.strength_pct_vol >= wish.entry_pct_vol - 1e-6
    usable_l = np.where(strong_enough, reduced.volume_l, 0.0)
    wanted_l = wish.wanted_l if wish.wanted_l > 0.0 else np.inf
    alcohol_l = averaged(jars.lpa) * shares
    total_l = float(alcohol_l.sum())
    return Outcome(
        heart=heart,
        reduced=reduced,
        water_kg=record.water_kg,
        in_cask_l=np.minimum(reduced.volume_l, wanted_l),
        surplus_l=np.maximum(reduced.volume_l - wanted_l, 0.0),
        strong_enough=strong_enough,
        feints=jars.together(np.where(thrown, 0.0, rest)),
        discarded=jars.together(np.where(thrown, rest, 0.0)),
        mean_mark=float(alcohol_l @ jars.scores) / total_l if total_l > 0.0 else 0.0,
        chance_of_fill=float(np.mean(usable_l >= wish.wanted_l - 1e-3)),
    )


@dataclass(frozen=True)
class JarWorth:
    """What one jar does to the cask: alone, and the whole choice if this jar changed sides (averages).

    alone_l: what it makes at entry strength by itself, 0 where it is weaker. moved_*: the choice with it if
    it is out, without it if it is in: litres at entry strength, strength as it stands, mean mark, chance of
    fill. moved_breaks: the first limit that it would break on average, empty where it breaks none.
    """

    name: str
    alone_l: float
    moved_l: float
    moved_pct_vol: float
    moved_mark: float
    moved_chance: float
    moved_breaks: str


def jar_worths(jars: Jars, shares: NDArray[np.float64], wish: Wish) -> tuple[JarWorth, ...]:
    """What each jar is worth to a choice: every jar is moved once to the other side, the rest left alone."""
    by = np.where(shares > 0.0, -shares, 1.0)
    found = []
    for k, name in enumerate(jars.names):
        only, moved = np.zeros(len(jars)), shares.copy()
        only[k] = 1.0
        moved[k] += by[k]
        alone, changed = outcome(jars, only, wish), outcome(jars, moved, wish)
        found.append(
            JarWorth(
                name=name,
                alone_l=float(np.mean(np.where(alone.strong_enough, alone.reduced.volume_l, 0.0))),
                moved_l=float(np.mean(np.where(changed.strong_enough, changed.reduced.volume_l, 0.0))),
                moved_pct_vol=float(np.mean(changed.heart.strength_pct_vol)),
                moved_mark=changed.mean_mark,
                moved_chance=changed.chance_of_fill,
                moved_breaks=_broken(jars.marks[k], bool(shares[k] > 0.0), changed, wish),
            )
        )
    return tuple(found)


def _broken(mark: Mark, taken: bool, changed: Outcome, wish: Wish) -> str:
    if mark.place in (("in",) if taken else ("out", "discard")):
        return "mark"
    if not np.mean(changed.strong_enough) >= 1.0 - wish.confidence:
        return "strength"
    return next((c.words for c in wish.caps if float(changed.level_mg_per_l(c).mean()) > c.most_mg_per_l), "")
