"""Trying a move by how far it goes: the amount that brings the wanted chance and breaks no limit."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from caskward.pace import once
from caskward.planning.forecast import Chain
from caskward.planning.intent import Intent
from caskward.planning.limits import Limit, limits
from caskward.planning.method import Method
from caskward.planning.observing import driven, unknowns_of
from caskward.planning.remedy_kinds import Move, begun
from caskward.planning.sizing import Sized, times_needed
from caskward.planning.solve import rising_root
from caskward.planning.unknowns import Draw, Unknown, draw, draw_of
from caskward.planning.update import Belief
from caskward.stages.stream import Worlds

_MOST_CORRECTIONS = 5
_PARTS = (0.1, 0.25, 0.5, 0.75, 1.0)
"""How far a move is tried at first: a few help less when they go too far."""
_SHRINKINGS = 7
_REFINEMENTS = 2
_FELT_BEFORE_STRIPS = ("converted", "mash", "rinsed")
_FELT_BEFORE_RUNS = (*_FELT_BEFORE_STRIPS, "low_wines", "feints_in")
_SAME = 1e-9


def deviates_under(belief: Belief, intent: Intent) -> tuple[tuple[Unknown, ...], tuple[str, ...], Worlds]:
    """Unknowns, names and deviates of what is believed, where the intent changes.

    What both have keeps its deviates; what is new in it is as likely as ever.
    """
    unknowns = unknowns_of(replace(belief.sized, intent=intent), belief.readings)
    names = tuple(sorted(draw(unknowns, 1, intent.seed).deviates))
    if names == belief.names:
        return unknowns, names, belief.z
    fresh = draw(unknowns, len(belief.z), intent.seed).deviates
    own = {name: belief.z[:, k] for k, name in enumerate(belief.names)}
    return unknowns, names, np.column_stack([own.get(name, fresh[name]) for name in names])


def worlds_under(belief: Belief, intent: Intent, every: int) -> Draw:
    """One in every so many of the worlds believed, where the intent may have changed."""
    unknowns, names, z = belief.unknowns, belief.names, belief.z
    if intent.cask != belief.sized.intent.cask:
        unknowns, names, z = deviates_under(belief, intent)
    some = z[::every]
    return draw_of(unknowns, {name: some[:, k] for k, name in enumerate(names)}, len(some), intent.seed)


def base_chain(belief: Belief, every: int = 1) -> Chain:
    """The forecast as it stands, in one of every so many worlds."""
    intent = belief.sized.intent
    method = driven(belief.sized, belief.readings)
    return Chain(intent, method, worlds_under(belief, intent, every))


@dataclass(frozen=True)
class Tried:
    """A move at an amount, forecast."""

    amount: float
    chain: Chain

    @property
    def intent(self) -> Intent:
        """What is then wished."""
        return self.chain.intent

    @property
    def method(self) -> Method:
        """What is then done."""
        return self.chain.method

    @once
    def sized(self) -> Sized:
        """The batch it makes."""
        return Sized(self.intent, self.method, self.chain.course, self.chain.worlds)

    @property
    def chance(self) -> float:
        """Chance that the cask fills."""
        return float(np.mean(self.chain.filled.reduced.volume_l >= self.method.fill_l - 1e-3))

    def beyond_l(self, aim: float) -> float:
        """By how much the fill that is reached with a chance passes what is wanted [L]."""
        available_l = self.chain.filled.reduced.volume_l
        reached_l = np.quantile(available_l, max(1.0 - aim, 0.0), method="inverted_cdf")
        return float(reached_l) - (self.method.fill_l - 1e-3)


def strips_counted(chain: Chain, *, wash_was_read: bool) -> Chain:
    """As many strips as the wash needs; each is one more move, which leaves a little in the hoses."""
    limit_l = chain.intent.gear.strip_still.charge_limit_l
    strips = times_needed(chain.rinsed[0].volume_l, limit_l)
    if strips <= chain.method.strips:
        return chain
    method = replace(chain.method, counts=replace(chain.method.counts, strips=strips))
    if not wash_was_read:
        return chain.changed("strained", chain.intent, method)
    late = replace(method.late, more_strips=method.late.more_strips + strips - chain.method.strips)
    return chain.changed("low_wines", chain.intent, replace(method, late=late))


def runs_counted(chain: Chain) -> Chain:
    """As many spirit runs as the charge needs."""
    limit_l = chain.intent.gear.spirit_still.charge_limit_l
    runs = times_needed(chain.run[1].unfilled_l, limit_l)
    if runs <= chain.method.spirit_runs:
        return chain
    counts = replace(chain.method.counts, spirit_runs=runs)
    return chain.changed("run", chain.intent, replace(chain.method, counts=counts))


class Trial:
    """One move, to be tried at any amount; strips and runs are counted again where they are still to come."""

    def __init__(self, belief: Belief, move: Move, every: int = 1, base: Chain | None = None) -> None:
        self.belief, self.move, self.every = belief, move, every
        self.base = base or base_chain(belief, every)

    def at(self, amount: float) -> Tried:
        """The move at an amount."""
        first = self.move.first
        intent, method = self.move.make(amount)
        worlds = (
            worlds_under(self.belief, intent, self.every) if intent.cask != self.base.intent.cask else None
        )
        chain = self.base.changed(first, intent, method, worlds)
        if first in _FELT_BEFORE_STRIPS:
            chain = strips_counted(chain, wash_was_read=begun(self.belief.readings, "wash"))
        if first in _FELT_BEFORE_RUNS:
            chain = runs_counted(chain)
        return Tried(amount, chain)

    def fits(self, tried: Tried) -> bool:
        """True where no limit is broken that the plan keeps, nor one made worse, and what was read stays."""
        now = {limit.kind: limit.share for limit in self._limits}
        for limit in limits(tried.sized):
            if limit.broken and limit.share > now.get(limit.kind, 0.0) + _SAME:
                return False
        return not self._charge_differs(tried)

    @once
    def _limits(self) -> tuple[Limit, ...]:
        return limits(Sized(self.base.intent, self.base.method, self.base.course, self.base.worlds))

    def _charge_differs(self, tried: Tried) -> bool:
        """True where a still that is charged already would need more water to stay covered."""
        if not begun(self.belief.readings, "charge"):
            return False
        return bool(np.any(np.abs(tried.chain.run[0].volume_l - self.base.run[0].volume_l) > 1e-6))


def solved(trial: Trial, few: Trial, aim: float) -> Tried | None:
    """The least amount, in whole steps, that brings the chance; else as far as the move may go.

    Looked for in a few worlds, then set right in all. None where no amount fits.
    """
    near, far = _bracket(few, aim)
    if far <= 0.0:
        return None
    found = trial.at(_first_look(few, near, far, aim))
    # A few worlds may think enough what is not enough in all.
    enough_in_few = few.at(far).beyond_l(aim) >= 0.0
    found = _set_right(trial, found, _whole_under(few.move, few.move.most) if enough_in_few else far, aim)
    return found if trial.fits(found) else _shrunk(trial, found)


def _whole(move: Move, amount: float) -> float:
    """An amount in whole steps, rounded up; a hair of rounding does not make a step more."""
    return round(math.ceil(amount / move.step - 1e-9) * move.step, 9)


def _whole_under(move: Move, amount: float) -> float:
    """An amount in whole steps, rounded down."""
    return round(math.floor(amount / move.step + 1e-9) * move.step, 9)


def _bracket(few: Trial, aim: float) -> tuple[float, float]:
    """Two amounts with what is wanted between them; or 0 and the one that helps most, 0 if none does."""
    near, seen = 0.0, {0.0: Tried(0.0, few.base)}
    for x in _steps_of(few.move):
        seen[x] = few.at(x)
        if seen[x].beyond_l(aim) >= 0.0:
            return near, x
        near = x
    return 0.0, _best(few, aim, seen)


def _best(few: Trial, aim: float, seen: dict[float, Tried]) -> float:
    """The amount that helps most: between its neighbours the middles are tried too, twice.

    By the chance first: where nothing gets there, the worst batches, which nothing mends, must not decide.
    """

    def good(x: float) -> tuple[float, float]:
        return seen[x].chance, seen[x].beyond_l(aim)

    for _ in range(_REFINEMENTS):
        known = sorted(seen)
        place = known.index(max(seen, key=good))
        for other in known[max(place - 1, 0) : place + 2]:
            middle = _whole_under(few.move, 0.5 * (known[place] + other))
            if middle >= few.move.step and middle not in seen:
                seen[middle] = few.at(middle)
    return max(seen, key=good)


def _steps_of(move: Move) -> list[float]:
    whole = {_whole_under(move, part * move.most) for part in _PARTS}
    return sorted(x for x in whole if x >= move.step)


def _first_look(few: Trial, near: float, far: float, aim: float) -> float:
    move = few.move
    near = max(near, move.step)
    if near >= far or few.at(far).beyond_l(aim) < 0.0:
        return far
    if few.at(near).beyond_l(aim) >= 0.0:
        return near
    within = 0.5 * move.step / far
    return min(_whole(move, rising_root(lambda x: few.at(x).beyond_l(aim), far, near, far, within)), far)


def _set_right(trial: Trial, found: Tried, far: float, aim: float) -> Tried:
    """From what a few worlds say to what all of them say: up until it is enough, down once if it is much."""
    start_l = Tried(0.0, trial.base).beyond_l(aim)
    for _ in range(_MOST_CORRECTIONS):
        beyond_l = found.beyond_l(aim)
        if beyond_l >= 0.0 or found.amount >= far:
            break
        found = trial.at(
            min(max(_crossing(trial.move, found, start_l, aim), found.amount + trial.move.step), far)
        )
    beyond_l = found.beyond_l(aim)
    lower = _crossing(trial.move, found, start_l, aim) if beyond_l > 0.0 else found.amount
    if trial.move.step <= lower < found.amount:
        less = trial.at(lower)
        return less if less.beyond_l(aim) >= 0.0 else found
    return found


def _crossing(move: Move, found: Tried, start_l: float, aim: float) -> float:
    """Where a straight line from nothing through what was found meets what is wanted, in whole steps."""
    rise_l = found.beyond_l(aim) - start_l
    if rise_l <= 0.0:
        return math.inf
    return _whole(move, -start_l * found.amount / rise_l)


def _shrunk(trial: Trial, found: Tried) -> Tried | None:
    """The most that fits under an amount that does not."""
    low, high, best = 0.0, found.amount, None
    for _ in range(_SHRINKINGS):
        middle = _whole_under(trial.move, 0.5 * (low + high))
        if middle <= low:
            break
        tried = trial.at(middle)
        if trial.fits(tried):
            low, best = middle, tried
        else:
            high = middle
    return best
