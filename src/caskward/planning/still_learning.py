"""Learning a still from its logged runs: the most likely habits after the catalogue's and the runs' word.

Each run has a reflux of its own around the still's, an error that its readings share, and a charge that is
not exactly as strong as written; all are unknowns beside the still's. Readings have the long tails of
Student's t, so a wrong one loses its weight instead of pulling the answer. The maximum is found by
Gauss-Newton steps with those weights, and the spread from the curvature there (Laplace). What is learned is
an effective reflux: it also takes up what the model of the pot leaves out.
Source: maximum a posteriori with iterated weights, any text on robust regression, from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from caskward.planning.plan import Band
from caskward.planning.still_log import Habits, LoggedRun, StillPriors, would_show
from caskward.planning.unknowns import Unknown
from caskward.stages.distil import Still
from caskward.stages.stream import Worlds

RUN_TO_RUN = 0.8
"""How far one run's reflux lies from the still's, in spreads of the catalogue's band: a still's reflux is
mostly how fast it is run, which is what the band is made of; *common practice, no source*."""
TAILS = 4.0
"""Degrees of freedom of a reading's error: outliers are expected."""
DOUBTED_WEIGHT = 0.3
"""Weight under which a reading is named as doubtful."""
FAR_OUT = 2.5
"""Spreads of the catalogue's band beyond which a habit is called strange: 1 still in 80."""

_PER_RUN = 3
_DZ, _DQ = 0.05, 0.1
_MOST_STEPS, _SMALL_STEP = 30, 2e-3
_FARTHEST = 5.0
_Z_OF_TENTH = 1.2815515655446004

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Learned:
    """One habit of a still, before and after its runs.

    z_mean, z_sd: place in the catalogue's band, where the catalogue itself is 0 and 1. mean, sd: in its own
    unit. unknown: what the next plan starts from. runs, readings: how many stand behind it.
    """

    name: str
    words: str
    default: Band
    learned: Band
    mean: float
    sd: float
    z_mean: float
    z_sd: float
    unknown: Unknown
    runs: int
    readings: int

    @property
    def far(self) -> bool:
        """True where the still would lie farther out than almost any of its kind."""
        return abs(self.z_mean) > FAR_OUT

    @property
    def sentence(self) -> str:
        """Learned against default, with how many runs stand behind it."""
        words = self.words[:1].upper() + self.words[1:]
        said = f"{words}: catalogue {self._span(self.default)}"
        if not self.runs:
            return f"{said}; no run has taught it yet."
        behind = f"{_count(self.runs, 'run')}, {_count(self.readings, 'reading')}"
        thin = "; one run alone says little" if self.runs == 1 else ""
        return f"{said}, your still {self._span(self.learned)} ({behind}{thin})."

    def _span(self, values: Band) -> str:
        if self.unknown.scale == "share":
            return f"{100 * values.mid:.2g} % ({100 * values.low:.2g} to {100 * values.high:.2g})"
        return f"{values.mid:.2g} L ({values.low:.2g} to {values.high:.2g})"


@dataclass(frozen=True)
class Doubted:
    """A reading that the fit hardly believes: its run, its place in the log, as read, and as expected.

    collected_l: where it stands [L], and read and expected are strengths [%vol]; None for a heat-up [h].
    weight: how much of a good reading it counts for (0..1).
    """

    run: str
    reading: str
    read: float
    expected: float
    weight: float
    collected_l: float | None


@dataclass(frozen=True)
class LearnedStill:
    """A still after its runs: every habit, and readings that do not fit."""

    habits: tuple[Learned, ...]
    doubted: tuple[Doubted, ...]
    runs: int
    settled: bool

    def __getitem__(self, name: str) -> Learned:
        """The habit of a name, such as "spirit.reflux"."""
        return next(habit for habit in self.habits if habit.name == name)


def learn_still(priors: StillPriors, still: Still, runs: Sequence[LoggedRun]) -> LearnedStill:
    """Fit reflux, heat lost and, where a prior is given, dead volume from logged runs.

    Args:
        priors: the catalogue's still, or what earlier batches taught. still: column and pressure; the heat is
            each run's own. runs: logs of this still; none give the priors back.
    """
    fit = _Fit(priors, still, tuple(runs))
    theta, settled = fit.highest()
    spread = np.sqrt(np.diag(np.linalg.inv(fit.curvature(theta))))
    places = [("reflux", 0), ("heat_lost", 1), ("hold_up", 2)]
    habits = [
        _learned(unknown, float(theta[at]), float(spread[at]), fit.behind(what))
        for what, at in places[: fit.shared]
        for unknown in _unknowns_of(priors, what)
    ]
    return LearnedStill(tuple(habits), fit.doubted(theta), len(fit.runs), settled)


def _unknowns_of(priors: StillPriors, what: str) -> list[Unknown]:
    if what == "hold_up":
        return [] if priors.hold_up_l is None else [priors.hold_up_l]
    return list((priors.reflux if what == "reflux" else priors.heat_lost).values())


def with_learned(unknowns: Sequence[Unknown], still: LearnedStill) -> tuple[Unknown, ...]:
    """The unknowns of a plan, those of the still as its runs taught them."""
    taught = {habit.name: habit.unknown for habit in still.habits if habit.runs}
    return tuple(
        replace(u, low=(t := taught[u.name]).low, likely=t.likely, high=t.high, source=t.source)
        if u.name in taught
        else u
        for u in unknowns
    )


def _learned(unknown: Unknown, z: float, sd: float, behind: tuple[int, int]) -> Learned:
    edges = np.array([z - _Z_OF_TENTH * sd, z, z + _Z_OF_TENTH * sd])
    low, mid, high = unknown.at(edges).tolist()
    runs, readings = behind
    source = unknown.source if runs == 0 else "maker"
    return Learned(
        name=unknown.name,
        words=unknown.words,
        default=Band(unknown.low, unknown.likely, unknown.high),
        learned=Band(low, mid, high),
        mean=mid,
        sd=(high - low) / (2.0 * _Z_OF_TENTH),
        z_mean=z,
        z_sd=sd,
        unknown=replace(unknown, low=low, likely=mid, high=high, source=source),
        runs=runs,
        readings=readings,
    )


class _Fit:
    """The posterior of one still: shared deviates first, then reflux, offset and charge of each run."""

    def __init__(self, priors: StillPriors, still: Still, runs: tuple[LoggedRun, ...]) -> None:
        self.runs, self._priors, self._still = runs, priors, still
        self.shared = 2 if priors.hold_up_l is None else 3
        self._size = self.shared + _PER_RUN * len(runs)
        read = [_read(run) for run in runs]
        self._read = np.concatenate([values for values, _ in read]) if read else np.zeros(0)
        self._error = np.concatenate([errors for _, errors in read]) if read else np.zeros(0)

    def behind(self, what: str) -> tuple[int, int]:
        """Runs and readings that teach a habit."""
        if what == "heat_lost":
            heated = sum(run.heat_up is not None for run in self.runs)
            return heated, heated
        return sum(bool(run.points) for run in self.runs), sum(len(run.points) for run in self.runs)

    def highest(self) -> tuple[Floats, bool]:
        """The most likely deviates, by weighted Gauss-Newton steps that never make it less likely."""
        theta = np.zeros(self._size)
        misfit, slope = self._misfit(theta)
        cost = _cost(misfit, theta)
        for _ in range(_MOST_STEPS):
            weight = _weights(misfit)
            pull = slope.T @ (weight * misfit) - theta
            step = np.linalg.solve(slope.T @ (weight[:, None] * slope) + np.eye(self._size), pull)
            for halving in range(6):
                tried = np.clip(theta + step * 0.5**halving, -_FARTHEST, _FARTHEST)
                misfit_there, slope_there = self._misfit(tried)
                if _cost(misfit_there, tried) <= cost + 1e-9:
                    break
            else:
                return theta, False
            moved = float(np.abs(tried - theta).max()) if self._size else 0.0
            theta, misfit, slope, cost = tried, misfit_there, slope_there, _cost(misfit_there, tried)
            if moved < _SMALL_STEP:
                return theta, True
        return theta, False

    def curvature(self, theta: Floats) -> Floats:
        """Precision at the maximum; a reading tells (t+1)/(t+3) of what one without long tails would."""
        misfit, slope = self._misfit(theta)
        told = np.minimum(_weights(misfit), 1.0) * (TAILS + 1.0) / (TAILS + 3.0)
        return np.asarray(slope.T @ (told[:, None] * slope) + np.eye(self._size))

    def doubted(self, theta: Floats) -> tuple[Doubted, ...]:
        """Readings whose weight is small, worst first."""
        misfit, _ = self._misfit(theta)
        weight = _weights(misfit)
        expected = self._read - misfit * self._error
        places = [(run.name, *reading) for run in self.runs for reading in _readings(run)]
        found = []
        for k in np.flatnonzero(weight < DOUBTED_WEIGHT).tolist():
            run, reading, at_l = places[k]
            share = float(weight[k]) * TAILS / (TAILS + 1.0)
            found.append(Doubted(run, reading, float(self._read[k]), float(expected[k]), share, at_l))
        return tuple(sorted(found, key=lambda d: d.weight))

    def _misfit(self, theta: Floats) -> tuple[Floats, Floats]:
        """Read less expected, and the slope of what is expected in each deviate, both in errors."""
        misfits, slopes = [np.zeros(0)], [np.zeros((0, self._size))]
        for k, run in enumerate(self.runs):
            expected, slope = self._expected(theta, k, run)
            read, error = _read(run)
            misfits.append((read - expected) / error)
            slopes.append(slope / error[:, None])
        return np.concatenate(misfits), np.vstack(slopes)

    def _expected(self, theta: Floats, k: int, run: LoggedRun) -> tuple[Floats, Floats]:
        at = self.shared + _PER_RUN * k
        own, offset, charge = theta[at : at + _PER_RUN]
        here = (theta[0] + RUN_TO_RUN * own, theta[1], theta[2] if self.shared > 2 else 0.0)
        shifts = np.zeros((4, 9))
        for row, step in enumerate((_DZ, _DZ, _DZ, _DQ)):
            shifts[row, 1 + 2 * row], shifts[row, 2 + 2 * row] = step, -step
        z = np.array(here)[:, None] + shifts[:3]
        habits = Habits(z[0], z[1], z[2], charge * run.charge_sd_pct_vol + shifts[3])
        shown = would_show(run, self._still, self._priors, habits)
        rise = (shown[:, 1::2] - shown[:, 2::2]) / (2.0 * np.array([_DZ, _DZ, _DZ, _DQ]))
        strengths = np.arange(len(shown)) < len(run.points)
        slope = np.zeros((len(shown), self._size))
        slope[:, : self.shared] = rise[:, : self.shared]
        slope[:, at] = RUN_TO_RUN * rise[:, 0]
        slope[:, at + 1] = strengths * run.offset_sd_pct_vol
        slope[:, at + 2] = rise[:, 3] * run.charge_sd_pct_vol
        return shown[:, 0] + strengths * offset * run.offset_sd_pct_vol, slope


def _read(run: LoggedRun) -> tuple[Floats, Floats]:
    """What was read in a run and the error of each: strengths [%vol], then hours."""
    values = [point.pct_vol for point in run.points]
    errors = [point.sd_pct_vol for point in run.points]
    if run.heat_up is not None:
        values.append(run.heat_up.hours)
        errors.append(run.heat_up.hours * run.heat_up.sd_share)
    return np.array(values), np.array(errors)


def _readings(run: LoggedRun) -> list[tuple[str, float | None]]:
    """What each reading is called, and at how many litres it was taken."""
    named: list[tuple[str, float | None]] = [(f"at {p.collected_l:g} L", p.collected_l) for p in run.points]
    return named if run.heat_up is None else [*named, ("heat-up", None)]


def _weights(misfit: Worlds) -> Floats:
    return np.asarray((TAILS + 1.0) / (TAILS + misfit**2))


def _cost(misfit: Worlds, theta: Floats) -> float:
    """Minus the log of the posterior: Student's t for readings, normal for deviates."""
    return float(0.5 * (TAILS + 1.0) * np.log1p(misfit**2 / TAILS).sum() + 0.5 * theta @ theta)


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
