"""Trials: a tub with a known fault, read as a maker would, to see whether the question finds it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from caskward.planning.readings import QUANTITIES, Reading, Stage
from caskward.planning.tub.explain import Cause, Model, Weighed, with_changes, with_slips, worth_of_checks
from caskward.planning.unknowns import draw

_DRAWS = 256


@dataclass(frozen=True)
class Trial:
    """A fault, the sign it gave, and what was asked after it: chance and leading cause after each reading."""

    cause: str
    leads: tuple[str, ...]
    chances: tuple[float, ...]
    readings: tuple[str, ...]


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
        sd = kind.sd * (expected if quantity == "volume" else 1.0)
        shown = min(max(expected + sd * float(self.rng.normal()), kind.low), kind.high)
        return Reading(self.stage, quantity, shown, at_h, sd)


def suggested(weighed: Weighed) -> tuple[str, ...]:
    """The quantities of the check that the answer suggests first."""
    return worth_of_checks(weighed)[0].check.quantities
