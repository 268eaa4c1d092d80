"""Trials: a tub with a known fault, read as a maker would, to see whether the question finds it.

A trial is a fault that shows itself: some reading lies outside the band in which eight of ten sound tubs are
read, and further from the plan's than a maker lets pass. It is read in two rows of a log, asked, and asked
again after the check that was suggested.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.belief.weighing import with_slips
from caskward.planning.readings import QUANTITIES, Reading, Stage
from caskward.planning.tub.ask import as_planned
from caskward.planning.tub.explain import (
    Cause,
    Model,
    Weighed,
    weigh,
    with_changes,
    worth_of_checks,
)
from caskward.planning.unknowns import draw
from caskward.stages.stream import Worlds

SOUND: Final = "time"
_DRAWS = 256


@dataclass(frozen=True)
class Rows:
    """What a maker logs at a moment, when, and how far each may be off before it is minded.

    noticed: in the quantity's own unit (K, pH, sg, chance of a yes); of a volume, as a share.
    """

    stage: Stage
    noticed: Mapping[str, float]
    hours: tuple[float, ...]

    @property
    def quantities(self) -> tuple[str, ...]:
        """What stands in a row."""
        return tuple(self.noticed)


@dataclass(frozen=True)
class Trial:
    """A fault, the cause that led after the rows and after the check, their chances, and what was asked."""

    cause: str
    leads: tuple[str, ...]
    chances: tuple[float, ...]
    asked: tuple[str, ...]


@dataclass(frozen=True)
class Found:
    """How many trials had the true cause first after the rows, and after the suggested check."""

    trials: tuple[Trial, ...]

    def share(self, after: int) -> float:
        """Share with the true cause first: 0 after the rows, 1 after the check."""
        return float(np.mean([t.leads[after] == t.cause for t in self.trials]))

    def confused(self, after: int) -> dict[tuple[str, str], int]:
        """How often one cause was taken for another, the most frequent first."""
        pairs = [(t.cause, t.leads[after]) for t in self.trials if t.leads[after] != t.cause]
        return {pair: pairs.count(pair) for pair in sorted(set(pairs), key=lambda p: (-pairs.count(p), p))}


class FaultyTub:
    """One world of a cause, that can be read with the usual errors."""

    def __init__(self, model: Model, stage: Stage, cause: Cause, rng: np.random.Generator) -> None:
        drawn = draw(with_changes(model.base, cause), _DRAWS, int(rng.integers(2**31)))
        pick = int(rng.integers(_DRAWS))
        self.model, self.stage, self.cause, self.rng = model, stage, cause, rng
        self.world = {u.name: drawn[u.name][pick : pick + 1] for u in model.base}

    def read(self, quantities: Sequence[str], at_h: float) -> tuple[Reading, ...]:
        """What instruments show at a moment, errors and slips included."""
        followed = self.model.follow(self.world, (), at_h)
        return tuple(self._one(q, float(followed.expected(q, at_h)[0]), at_h) for q in quantities)

    def _one(self, quantity: str, expected: float, at_h: float) -> Reading:
        kind = QUANTITIES[quantity]
        if kind.yes_or_no:
            yes = self.rng.random() < float(with_slips(np.asarray(expected)))
            return Reading(self.stage, quantity, float(yes), at_h, 0.0)
        sd = kind.sd * (max(expected, 1.0) if kind.relative else 1.0)
        shown = min(max(expected + sd * float(self.rng.normal()), kind.low), kind.high)
        return Reading(self.stage, quantity, shown, at_h, sd)


def run_trials(model: Model, rows: Rows, count: int, seed: int, each: int = 256) -> Found:
    """So many faulty tubs, drawn by the causes' weights among those that show themselves, read and asked.

    each: worlds of a cause when it is asked.
    """
    rng = np.random.default_rng(seed)
    faults = [cause for cause in model.causes if cause.key != SOUND]
    weights = np.array([cause.weight for cause in faults])
    sound = _sound(model, rows, seed)
    trials: list[Trial] = []
    while len(trials) < count:
        cause = faults[int(rng.choice(len(faults), p=weights / weights.sum()))]
        tub = FaultyTub(model, rows.stage, cause, rng)
        if _shows(tub, rows, sound):
            trials.append(_trial(tub, rows, each, int(rng.integers(2**31))))
    return Found(tuple(trials))


@dataclass(frozen=True)
class Alarms:
    """Of sound tubs that were read and asked: called as planned, and given a cause at even odds or more."""

    count: int
    as_planned: int
    accused: int


def run_sound(model: Model, rows: Rows, count: int, seed: int, each: int = 256) -> Alarms:
    """So many sound tubs, read like faulty ones and asked: how often the answer raises a false alarm."""
    rng = np.random.default_rng(seed)
    sound = next(cause for cause in model.causes if cause.key == SOUND)
    planned = accused = 0
    for _ in range(count):
        tub = FaultyTub(model, rows.stage, sound, rng)
        readings = [reading for at_h in rows.hours for reading in tub.read(rows.quantities, at_h)]
        weighed = weigh(model, readings, rows.hours[-1], int(rng.integers(2**31)), each)
        key, chance = _lead(weighed)
        if as_planned(weighed):
            planned += 1
        elif key != SOUND and chance >= 0.5:
            accused += 1
    return Alarms(count, planned, accused)


def suggested(weighed: Weighed) -> tuple[str, ...]:
    """The quantities of the check that the answer suggests first."""
    return worth_of_checks(weighed)[0].check.quantities


def likely_world(model: Model) -> dict[str, Worlds]:
    """One world in which every unknown of a sound tub is as likely as can be."""
    return {u.name: np.array([u.likely]) for u in model.base}


@dataclass(frozen=True)
class Sound:
    """What sound tubs show at every row, by quantity: the plan's, and where eight of ten lie."""

    plan: Mapping[str, Worlds]
    low: Mapping[str, Worlds]
    high: Mapping[str, Worlds]


def _sound(model: Model, rows: Rows, seed: int) -> Sound:
    plan = _of_rows(model, likely_world(model), rows)
    drawn = draw(model.base, _DRAWS, seed)
    many = _of_rows(model, {u.name: drawn[u.name] for u in model.base}, rows)
    bands = {q: np.quantile(many[q], (0.1, 0.9), axis=1) for q in rows.quantities}
    return Sound(
        {q: plan[q][:, 0] for q in plan},
        {q: b[0] for q, b in bands.items()},
        {q: b[1] for q, b in bands.items()},
    )


def _shows(tub: FaultyTub, rows: Rows, sound: Sound) -> bool:
    """Whether some reading is to be expected outside the sound ones', and further off than is let pass."""
    found = _of_rows(tub.model, tub.world, rows)

    def minded(q: str) -> bool:
        shown, plan = found[q][:, 0], sound.plan[q]
        off = np.abs(shown - plan) / (plan if q == "volume" else 1.0)
        outside = (shown < sound.low[q]) | (shown > sound.high[q])
        return bool(np.any(outside & (off > rows.noticed[q])))

    return any(minded(q) for q in rows.quantities)


def _of_rows(model: Model, worlds: Mapping[str, Worlds], rows: Rows) -> dict[str, Worlds]:
    """What is to be expected of some worlds at every row, by quantity: (rows, worlds)."""
    followed = [(model.follow(worlds, (), at_h), at_h) for at_h in rows.hours]
    return {q: np.array([f.expected(q, at_h) for f, at_h in followed]) for q in rows.quantities}


def _trial(tub: FaultyTub, rows: Rows, each: int, seed: int) -> Trial:
    now_h = rows.hours[-1]
    readings = [reading for at_h in rows.hours for reading in tub.read(rows.quantities, at_h)]
    first = weigh(tub.model, readings, now_h, seed, each)
    asked = suggested(first)
    then = weigh(tub.model, (*readings, *tub.read(asked, now_h)), now_h, seed, each)
    leads, chances = zip(*(_lead(w) for w in (first, then)), strict=True)
    return Trial(tub.cause.key, leads, chances, asked)


def _lead(weighed: Weighed) -> tuple[str, float]:
    lead = weighed.order[0]
    return weighed.model.causes[lead].key, float(weighed.chance[lead])


MASH_NOTICED: Final = {"temperature": 3.5, "ph": 0.6, "starch": 0.5, "gravity": 0.0045, "volume": 0.08}
"""How far a mash's reading may be off before it is minded; *common practice, no source*."""


def mash_rows(end_h: float) -> Rows:
    """Two rows of a mash: half-way, and when the last hold should be over [h]."""
    return Rows("mash", MASH_NOTICED, (round(0.5 * end_h, 6), end_h))
