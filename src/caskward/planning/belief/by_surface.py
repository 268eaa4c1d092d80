"""Tempering by way of a stand-in: two or three runs of the target, where readings are sharp and bent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from caskward.planning.belief.proposals import Deviates
from caskward.planning.belief.surrogate import Surface, density_of, stand_in, surface_of
from caskward.planning.belief.tempering import Care, Climb, Evaluated, Particles, Path, Target, temper
from caskward.planning.belief.weighing import Seen, effective, equal, normalised
from caskward.stages.stream import Worlds

_STEPS: Final = 8
"""Moves by the stand-in before each run of the target."""
_FITS: Final = 3
"""Stand-ins made, each on the worlds that the last one found, before the rest is left to the ladder."""
_CHEAP_RUNS: Final = 40
"""Runs of a stand-in, at most."""
_FAR: Final = 0.02
"""Weight of a world of the first run in a later fit: enough to keep the surface from running wild."""


def temper_by_surface(
    target: Target,
    seen: Sequence[Seen],
    z: Deviates,
    seed: int = 1,
    *,
    evaluated: Evaluated | None = None,
    care: Care | None = None,
) -> Particles:
    """Carry draws of the prior to the prior times the likelihood of all readings.

    Args:
        target: all readings; what it brings back holds `expected`. seen: the same readings, in its order.
        z: (worlds, unknowns), draws of the prior. seed: the same seed gives the same particles.
        evaluated: the target at z, where it was run before; saves a run. care: how careful to be.

    Raises:
        ValueError: no world has any likelihood, or the target brings back no `expected`.
    """
    care = care or Care()
    runs = 0 if evaluated else 1
    patient = replace(care, most_runs=_CHEAP_RUNS)
    # The prior's own draws are few that far out; held at the edge they do a fit no harm.
    z = np.clip(z, -care.farthest, care.farthest)
    first = evaluated or target(z)
    surface = surface_of(seen, z, _expected(first), equal(len(z)))
    for fit in range(_FITS):
        log_like = stand_in(seen, surface)
        cheap = temper(lambda at, by=log_like: Evaluated(by(at)), z, seed=seed + fit, care=patient)
        path = Path(density_of(log_like), density_of(log_like)(cheap.z), _STEPS)
        there = target(cheap.z)
        runs += 1
        close = effective(normalised(there.log_like - cheap.log_like)) / len(z)
        if close >= care.half or runs >= care.most_runs // 2:
            break
        if fit + 1 < _FITS:
            surface = _again(seen, (z, _expected(first)), (cheap.z, _expected(there)))
    rng = np.random.default_rng([seed, runs])
    found = Climb(target, path, rng, replace(care, most_runs=care.most_runs - runs)).up(cheap.z, there)
    return replace(found, evaluations=found.evaluations + runs)


def _again(seen: Sequence[Seen], far: tuple[Deviates, Worlds], near: tuple[Deviates, Worlds]) -> Surface:
    """A surface fitted where the last one led, held by the first worlds."""
    weights = np.concatenate([np.full(len(far[0]), _FAR), np.ones(len(near[0]))])
    z, expected = np.concatenate([far[0], near[0]]), np.concatenate([far[1], near[1]], axis=1)
    return surface_of(seen, z, expected, weights / weights.sum())


def _expected(evaluated: Evaluated) -> Worlds:
    if evaluated.expected is None:
        raise ValueError("the target brings back no expected values")
    return evaluated.expected
