"""Worlds carried from the prior, or from an earlier belief, to what all readings leave: exact, in few runs.

Tempered sequential Monte Carlo. Between where the particles are and where they should be lies a ladder of
distributions; each rung is as far as half of the particles still count for. On a rung the particles are
resampled, then moved by Metropolis-Hastings: independent proposals from a Gaussian fitted to them, and
preconditioned Crank-Nicolson steps about it. Every sweep of moves is one run of the target over all worlds,
and runs are what costs.
Sources: Del Moral, Doucet and Jasra (2006), Journal of the Royal Statistical Society B 68; Cotter, Roberts,
Stuart and White (2013), Statistical Science 28; both from memory, the tests hold the outcome.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from caskward.pace import breathe
from caskward.planning.belief.payloads import gathered
from caskward.planning.belief.proposals import (
    Bell,
    Deviates,
    Gaussian,
    bell_of,
    gaussian_of,
    normals,
    prior_log_density,
)
from caskward.planning.belief.weighing import effective, equal, normalised
from caskward.stages.stream import Worlds

_HALVINGS: Final = 30
_ON_THE_WAY: Final = 0.5
"""Share of the particles that must have moved on a rung below the top."""
_LEAST_STEP, _MOST_STEP = 0.05, 0.95


@dataclass(frozen=True)
class Evaluated:
    """A run of the target: log likelihood of all readings in each world, and what else came of it.

    log_like: (worlds,); -inf or NaN where a world cannot be. payload: arrays whose last axis is the worlds,
    in mappings, tuples or frozen dataclasses; it is kept in step with the particles. expected: (readings,
    worlds), what each reading should show, for `temper_by_surface`.
    """

    log_like: Worlds
    payload: Any = None
    expected: Worlds | None = None


class Target(Protocol):
    """What the readings say of worlds."""

    def __call__(self, z: Deviates) -> Evaluated:
        """Log likelihood of all readings, (worlds,), at deviates (worlds, unknowns)."""


@dataclass(frozen=True)
class Care:
    """How careful to be.

    half: share of the particles that must count for the same on the next rung. moved, unique: shares of them
    that must have left where resampling put them, and be like no other, before it ends. most_runs: of the
    target, whatever is reached. farthest: no world has a deviate beyond this (one in 150,000 has), and the
    target is never asked about one: a model may refuse what no maker ever meets.
    """

    half: float = 0.5
    moved: float = 0.6
    unique: float = 0.9
    most_runs: int = 16
    farthest: float = 4.5


@dataclass(frozen=True)
class Particles:
    """Worlds as they are believed, all of equal weight, and how they came about.

    evaluations: runs of the target that were needed. ladder, ess: for each rung its temperature, and how many
    particles counted for it before they were resampled. acceptance: of each sweep. unique: share of the
    particles that no other equals. moved: share that left where the last resampling put them.
    whole: false where the runs were used up before enough had moved, or the last rung was forced.
    log_evidence: log of the mean likelihood, over where the particles began, of what they did not follow yet.
    """

    z: Deviates
    log_like: Worlds
    payload: Any
    evaluations: int
    ladder: tuple[float, ...]
    ess: tuple[float, ...]
    acceptance: tuple[float, ...]
    unique: float
    moved: float
    whole: bool
    log_evidence: float = 0.0


def temper(
    target: Target,
    z: Deviates,
    log_like_now: Worlds | None = None,
    seed: int = 1,
    *,
    evaluated: Evaluated | None = None,
    care: Care | None = None,
) -> Particles:
    """Carry particles to the prior times the likelihood of all readings.

    Args:
        target: all readings, those already in among them.
        z: (worlds, unknowns) of equal weight: draws of the prior, or particles of an earlier belief.
        log_like_now: log likelihood at z of the readings that they already follow; None for the prior.
        seed: the same seed gives the same particles.
        evaluated: the target at z, where it was run before; saves a run.
        care: how careful to be.

    Raises:
        ValueError: no world has any likelihood.
    """
    if log_like_now is None:
        path = Path(prior_log_density, prior_log_density(z))
    else:
        bell = bell_of(gaussian_of(z, equal(len(z))), len(z))
        path = Path(lambda at: bell.log_density(bell.along(at)), prior_log_density(z) + log_like_now)
    return Climb(target, path, np.random.default_rng(seed), care or Care()).up(z, evaluated)


def temper_from(
    target: Target, guess: Gaussian, worlds: int, seed: int = 1, *, care: Care | None = None
) -> Particles:
    """The same from a Gaussian thought to be near, such as a preview's: a good one saves rungs.

    The guess decides only how many runs it takes. Its wide part and its part from the prior see to it that
    nothing is out of reach.
    """
    rng = np.random.default_rng(seed)
    bell = bell_of(guess, worlds)
    along = bell.mixture(normals(rng, worlds, guess.mean.size), rng)
    path = Path(lambda at: bell.mixture_log_density(bell.along(at)), bell.mixture_log_density(along))
    return Climb(target, path, rng, care or Care()).up(bell.at(along), None)


@dataclass(frozen=True)
class Path:
    """The foot of the ladder: a log density known everywhere, and that which the particles follow.

    steps: of moves that leave the foot as it is, before each run of the target; nought where the foot is
    nothing like the top.
    """

    foot: Callable[[Deviates], Worlds]
    follows: Worlds
    steps: int = 0


@dataclass
class _State:
    """Particles on the way: log densities at the foot and the top, and which run each came from."""

    z: Deviates
    foot: Worlds
    top: Worlds
    log_like: Worlds
    run: NDArray[np.intp]
    world: NDArray[np.intp]

    def picked(self, index: NDArray[np.intp]) -> _State:
        return _State(*(getattr(self, name)[index] for name in _State.__dataclass_fields__))

    def take(self, other: _State, accepted: NDArray[np.bool_]) -> None:
        for name in _State.__dataclass_fields__:
            getattr(self, name)[accepted] = getattr(other, name)[accepted]

    def on(self, rung: float) -> Worlds:
        """Log density on a rung; the top has a say only above the foot, where it may be -inf."""
        return self.foot if rung == 0.0 else (1.0 - rung) * self.foot + rung * self.top


@dataclass
class Climb:
    """The way up one ladder, and what it took."""

    target: Target
    path: Path
    rng: np.random.Generator
    care: Care
    runs: int = 0
    payloads: list[Any] = field(default_factory=list)
    ladder: list[float] = field(default_factory=list)
    ess: list[float] = field(default_factory=list)
    acceptance: list[float] = field(default_factory=list)
    independent: float = 0.75
    step: float = 0.5
    forced: bool = False
    log_evidence: float = 0.0

    def up(self, z: Deviates, evaluated: Evaluated | None) -> Particles:
        """Carry particles that follow `path.follows` to the top."""
        state = self._state(z, evaluated)
        follows, rung, moved = self.path.follows, 0.0, np.zeros(len(z), dtype=bool)
        while rung < 1.0:
            rung, weights = self._next(state, follows, rung)
            bell = bell_of(gaussian_of(state.z, weights), effective(weights))
            state = state.picked(_resampled(weights, state.z @ bell.axes[:, 0], self.rng))
            moved = self._move(state, bell, rung)
            follows = state.on(rung)
        enough = self._enough(state, moved, 1.0)
        return Particles(
            state.z,
            state.log_like,
            gathered(self.payloads, state.run, state.world, len(z)),
            self.runs,
            tuple(self.ladder),
            tuple(self.ess),
            tuple(self.acceptance),
            _unique(state),
            float(moved.mean()),
            enough and not self.forced,
            self.log_evidence,
        )

    def _state(self, z: Deviates, evaluated: Evaluated | None = None) -> _State:
        """Particles with all that must be known of them: a run of the target, unless it is handed in."""
        far = self.care.farthest
        breathe()
        if evaluated is None:
            evaluated = self.target(np.clip(z, -far, far))
            self.runs += 1
        none = np.isnan(evaluated.log_like) | (np.abs(z).max(axis=1) > far)
        log_like = np.where(none, -np.inf, evaluated.log_like)
        self.payloads.append(evaluated.payload)
        run = np.full(len(z), len(self.payloads) - 1)
        top = prior_log_density(z) + log_like
        return _State(np.array(z, dtype=float), self.path.foot(z), top, log_like, run, np.arange(len(z)))

    def _next(self, state: _State, follows: Worlds, rung: float) -> tuple[float, Worlds]:
        """The highest rung on which enough particles count; the top, where runs are used up."""
        enough = self.care.half * len(follows)

        def weights(at: float) -> Worlds:
            return normalised(state.on(at) - follows)

        chosen = 1.0
        if effective(weights(1.0)) < enough:
            if self.runs >= self.care.most_runs - 1:
                self.forced = True
            else:
                chosen = _highest(lambda at: effective(weights(at)), enough, rung)
        found = weights(chosen)
        self.log_evidence += _log_mean(state.on(chosen) - follows)
        self.ladder.append(chosen)
        self.ess.append(effective(found))
        return chosen, found

    def _move(self, state: _State, bell: Bell, rung: float) -> NDArray[np.bool_]:
        """Sweeps of moves; below the top one or two will do, for the next rung resamples anyway."""
        moved = np.zeros(len(state.z), dtype=bool)
        along = bell.along(state.z)
        while self.runs < self.care.most_runs and not self._enough(state, moved, rung):
            moved |= self._sweep(state, along, bell, rung)
        return moved

    def _enough(self, state: _State, moved: NDArray[np.bool_], rung: float) -> bool:
        if rung < 1.0:
            return bool(moved.mean() >= _ON_THE_WAY)
        return bool(moved.mean() >= self.care.moved) and _unique(state) >= self.care.unique

    def _sweep(self, state: _State, along: Deviates, bell: Bell, rung: float) -> NDArray[np.bool_]:
        """One run: each particle tries an independent place or a step from where it is; who moved."""
        by_foot = self.path.steps > 0
        to, afar = self._stepped(along, bell) if by_foot else self._tried(along, bell)
        tried = self._state(bell.at(to))
        back = state.foot if by_foot else _proposed(bell, along, afar)
        forth = tried.foot if by_foot else _proposed(bell, to, afar)
        with np.errstate(invalid="ignore"):
            accepted = self._accepted((tried.on(rung) - forth) - (state.on(rung) - back))
        state.take(tried, accepted)
        along[accepted] = to[accepted]
        self.acceptance.append(float(accepted.mean()))
        if not by_foot:
            self._adapt(accepted[afar], accepted[~afar])
        return accepted

    def _tried(self, along: Deviates, bell: Bell) -> tuple[Deviates, NDArray[np.bool_]]:
        """Where each particle tries to go, and which of them try an independent place."""
        xi = normals(self.rng, *along.shape)
        afar = self.rng.random(len(along)) < self.independent
        return np.where(afar[:, None], bell.mixture(xi, self.rng), bell.step(along, xi, self.step)), afar

    def _stepped(self, along: Deviates, bell: Bell) -> tuple[Deviates, NDArray[np.bool_]]:
        """Where many moves by the foot lead; all moves alike, so that the way back is as likely."""
        at, log = along.copy(), self.path.foot(bell.at(along))
        for _ in range(self.path.steps):
            to, afar = self._tried(at, bell)
            log_to = self.path.foot(bell.at(to))
            gain = (log_to - _proposed(bell, to, afar)) - (log - _proposed(bell, at, afar))
            accepted = self._accepted(gain)
            at[accepted], log[accepted] = to[accepted], log_to[accepted]
        return at, np.zeros(len(at), dtype=bool)

    def _accepted(self, gain: Worlds) -> NDArray[np.bool_]:
        """Metropolis and Hastings; a gain that is no number is none."""
        return np.asarray(np.log(self.rng.random(gain.size)) < np.where(np.isnan(gain), -np.inf, gain))

    def _adapt(self, afar: NDArray[np.bool_], near: NDArray[np.bool_]) -> None:
        """Fewer independent tries where few succeed; steps as long as a third to a half succeed."""
        self.independent = 0.75 if afar.size and afar.mean() > 0.3 else 0.4
        if near.size:
            longer = 1.4 if near.mean() > 0.5 else 0.6 if near.mean() < 0.25 else 1.0
            self.step = float(np.clip(self.step * longer, _LEAST_STEP, _MOST_STEP))


def _log_mean(gains: Worlds) -> float:
    """Log of the mean of what these are logs of; a gain that is no number is none."""
    known = np.where(np.isnan(gains), -np.inf, gains)
    highest = float(known.max())
    return highest + float(np.log(np.mean(np.exp(known - highest))))


def _proposed(bell: Bell, along: Deviates, afar: NDArray[np.bool_]) -> Worlds:
    """Log density that proposals of each kind leave as it is."""
    return np.where(afar, bell.mixture_log_density(along), bell.log_density(along))


def _unique(state: _State) -> float:
    """Share of the particles that no other equals: each place stems from one world of one run."""
    _, copies = np.unique(state.run * len(state.z) + state.world, return_counts=True)
    return float(np.sum(copies == 1) / len(state.z))


def _highest(ess: Callable[[float], float], enough: float, rung: float) -> float:
    """Highest rung with enough effective particles; where none has, the best of some."""
    low, high = rung, 1.0
    if ess(rung) < enough:
        tried = np.linspace(rung, 1.0, 17)[1:]
        return float(tried[int(np.argmax([ess(float(at)) for at in tried]))])
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if ess(middle) >= enough else (low, middle)
    return low if low > rung else high


def _resampled(weights: Worlds, along: Worlds, rng: np.random.Generator) -> NDArray[np.intp]:
    """Systematic resampling, particles in order along a direction that matters: as few gaps as can be."""
    order = np.argsort(along, kind="stable")
    cumulative = np.cumsum(weights[order])
    at = (np.arange(weights.size) + rng.random()) / weights.size * cumulative[-1]
    return np.asarray(order[np.minimum(np.searchsorted(cumulative, at), weights.size - 1)])
