"""Trials of a ferment: a fault that shows itself, two rows of a log, and the check that is then asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.tub.explain import Cause, Weighed, weigh
from caskward.planning.tub.ferment_model import FermentModel
from caskward.planning.tub.trials import FaultyTub, Trial, suggested
from caskward.stages.stream import Worlds

ROW: Final = ("temperature", "ph", "gravity", "bubbles")
"""What a maker logs at a moment."""
NOTICED: Final = {"temperature": 4.0, "ph": 0.4, "gravity": 0.006, "bubbles": 0.6}
"""How far a reading may be from the plan's before a maker minds [K, pH, sg, chance of a yes]; *common
practice, no source*."""
SOUND: Final = "time"
_MOST_TRIES = 40


@dataclass(frozen=True)
class Found:
    """How many trials had the true cause first after the rows, and after the suggested check."""

    trials: tuple[Trial, ...]

    def share(self, stage: int) -> float:
        """Share with the true cause first: stage 0 after the rows, 1 after the check."""
        return float(np.mean([t.leads[stage] == t.cause for t in self.trials]))

    def confused(self, stage: int) -> dict[tuple[str, str], int]:
        """How often one cause was taken for another."""
        pairs = [(t.cause, t.leads[stage]) for t in self.trials if t.leads[stage] != t.cause]
        return {pair: pairs.count(pair) for pair in sorted(set(pairs), key=lambda p: (-pairs.count(p), p))}


def run_trials(
    model: FermentModel, count: int, seed: int, rows_h: Sequence[float] = (), each: int = 256
) -> Found:
    """So many faulty tubs, drawn by the causes' weights, each read and asked.

    rows_h: hours of the rows; left out: at half of the plan's time to dry, and at that time. each: worlds
    of a cause when it is asked.
    """
    rng = np.random.default_rng(seed)
    rows = tuple(rows_h) or (0.5 * model.dry_h, model.dry_h)
    faults = [cause for cause in model.causes if cause.key != SOUND]
    weights = np.array([cause.weight for cause in faults])
    picks = rng.choice(len(faults), size=count, p=weights / weights.sum())
    tubs = (_that_shows(model, faults[int(i)], rows, rng) for i in picks)
    return Found(tuple(_trial(tub, rows, each, int(rng.integers(2**31))) for tub in tubs if tub is not None))


def _that_shows(
    model: FermentModel, cause: Cause, rows: Sequence[float], rng: np.random.Generator
) -> FaultyTub | None:
    """A tub whose readings lie further from the plan's than a maker lets pass; None if none does."""
    sound = _of_rows(model, model.likely_world, rows)
    for _ in range(_MOST_TRIES):
        tub = FaultyTub(model, "ferment", cause, rng)
        found = _of_rows(model, tub.world, rows)
        if any(np.any(np.abs(found[q] - sound[q]) > NOTICED[q]) for q in ROW):
            return tub
    return None


def _of_rows(model: FermentModel, world: Mapping[str, Worlds], rows: Sequence[float]) -> dict[str, Worlds]:
    """What is to be expected of one world at every row, by quantity."""
    followed = [(model.follow(world, (), at_h), at_h) for at_h in rows]
    return {q: np.array([float(f.expected(q, at_h)[0]) for f, at_h in followed]) for q in ROW}


def _trial(tub: FaultyTub, rows: Sequence[float], each: int, seed: int) -> Trial:
    readings = [reading for at_h in rows for reading in tub.read(ROW, at_h)]
    first = weigh(tub.model, readings, rows[-1], seed, each)
    asked = suggested(first)
    more = tub.read(asked, rows[-1])
    then = weigh(tub.model, (*readings, *more), rows[-1], seed, each)
    leads, chances = zip(*(_lead(w) for w in (first, then)), strict=True)
    return Trial(tub.cause.key, leads, chances, (*(f"{r.quantity} {r.value:.4g}" for r in readings), *asked))


def _lead(weighed: Weighed) -> tuple[str, float]:
    lead = weighed.order[0]
    return weighed.model.causes[lead].key, float(weighed.chance[lead])
