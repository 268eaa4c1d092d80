"""Readings move a batch: what is believed of it after each, and the forecast of every later stage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caskward.errors import ReadingsOutOfOrder
from caskward.pace import once
from caskward.planning.belief.kinds import Rare, temper_kinds
from caskward.planning.belief.tempering import Care, Evaluated, Particles, Target, temper
from caskward.planning.doubts import STOPS_SHORT
from caskward.planning.forecast import Chain, Course
from caskward.planning.likelihood import seen
from caskward.planning.observing import Settings, Watched, driven, drives, moved_on_h, unknowns_of
from caskward.planning.readings import STAGES, Reading
from caskward.planning.sizing import Sized
from caskward.planning.unknowns import Draw, Unknown, draw, draw_of
from caskward.stages.stream import Worlds

_CARE: Final = Care(moved=0.96, unique=0.96, most_runs=24)
"""More moves than the sampler's own: with fewer, what sharp readings told came out up to 9 % too wide
(docs/reference/calibration.md)."""


@dataclass(frozen=True)
class Belief:
    """What is believed of a batch: its worlds, all of equal weight, after its readings.

    names: the unknowns with deviates of their own, the columns of z (worlds, unknowns). log_like: of all
    readings, in each world. particles: how the last step went; None before any reading.
    """

    sized: Sized
    unknowns: tuple[Unknown, ...]
    names: tuple[str, ...]
    z: Worlds
    log_like: Worlds
    readings: tuple[Reading, ...] = ()
    particles: Particles | None = None
    settings: Settings | None = field(default=None, repr=False, compare=False)

    @property
    def worlds(self) -> Draw:
        """The worlds as draws of the unknowns."""
        return self.draw(self.z)

    @property
    def sound(self) -> NDArray[np.bool_]:
        """Worlds without a mishap. One Gaussian cannot hold both kinds: make a preview from these."""
        worlds = self.worlds
        met = [worlds[u.name] > 0.0 for u in self.unknowns if u.mishap]
        return ~np.any(met, axis=0) if met else np.ones(len(self.z), dtype=bool)

    def draw(self, z: Worlds) -> Draw:
        """Worlds at some deviates."""
        deviates = {name: z[:, k] for k, name in enumerate(self.names)}
        return draw_of(self.unknowns, deviates, len(z), self.sized.intent.seed)

    @once
    def course(self) -> Course:
        """The forecast of the whole batch in these worlds."""
        method = driven(self.sized, self.readings)
        rests = self.settings.rests if self.settings else None
        return Chain(self.sized.intent, method, self.worlds, rests).course

    @property
    def chance(self) -> float:
        """Chance that the cask fills at entry strength."""
        return float(np.mean(self.course.available_l >= self.sized.method.fill_l - 1e-3))


def begin(sized: Sized, count: int | None = None, readings: Sequence[Reading] = ()) -> Belief:
    """What is believed before any reading: the plan's own worlds.

    readings: those to come, whose logs may be wrong; none of them is taken in.
    """
    unknowns = unknowns_of(sized, readings)
    worlds = draw(unknowns, count or sized.intent.worlds, sized.intent.seed)
    names = tuple(sorted(worlds.deviates))
    z = np.column_stack([worlds.deviates[name] for name in names])
    return Belief(sized, unknowns, names, z, np.zeros(len(z)), settings=Settings(sized))


def anew(belief: Belief, readings: Sequence[Reading]) -> Belief:
    """The same batch before any of some readings, with the unknowns of their logs."""
    return replace(begin(belief.sized, len(belief.z), readings), settings=belief.settings)


def update(belief: Belief, readings: Sequence[Reading], care: Care | None = None) -> Belief:
    """Take readings in, stage after stage; only the stages up to each are run again.

    Raises:
        ReadingsOutOfOrder: a reading of an earlier stage than one already taken in.
        NothingToRead: one that this batch does not have, or that no model tells.
    """
    last = max((STAGES.index(r.stage) for r in belief.readings), default=0)
    for reading in readings:
        if STAGES.index(reading.stage) < last:
            raise ReadingsOutOfOrder("The batch", belief.readings[-1].said, reading.said)
    in_order = sorted(readings, key=lambda r: r.moment)
    for _, group in groupby(in_order, key=lambda r: r.stage):
        belief = _step(belief, tuple(group), care)
    return belief


def _step(belief: Belief, new: tuple[Reading, ...], care: Care | None) -> Belief:
    readings = (*belief.readings, *new)
    changes = any(drives(r) for r in new) or moved_on_h(readings) != moved_on_h(belief.readings)
    # A log of warmth, or a tub that moves on, changes what earlier readings meant: then the way begins at the
    # prior again.
    start = anew(belief, readings) if changes else belief
    if all(drives(r) for r in readings):
        return replace(start, readings=readings)
    sized, target = belief.sized, target_of(start, readings)
    seed = sized.intent.seed + len(readings)
    now = None if changes or belief.particles is None else belief.log_like
    rare = _rare(start)
    if rare is None or (now is not None and _tells(belief.readings)) or not _tells(readings):
        particles = temper(target, start.z, now, seed, care=care or _CARE)
    else:
        particles = temper_kinds(target, start.z, now, rare, seed, care=care or _CARE)
    return replace(start, z=particles.z, log_like=particles.log_like, readings=readings, particles=particles)


def _rare(belief: Belief) -> Rare | None:
    """Ferments that stop short, among the worlds of a batch; none where that is not in doubt."""
    for unknown in belief.unknowns:
        if unknown.name == STOPS_SHORT and unknown.mishap and not unknown.certain:
            return Rare(belief.names.index(unknown.name), unknown.met)
    return None


def _tells(readings: Sequence[Reading]) -> bool:
    """Whether any of these hangs on how a ferment ended: all but those of the mash do."""
    return any(r.stage != "mash" for r in readings)


def target_of(belief: Belief, readings: Sequence[Reading]) -> Target:
    """Log likelihood of readings at any deviates of a batch: each of its readings by itself, summed."""
    judged = [r for r in readings if not drives(r)]

    def target(z: Worlds) -> Evaluated:
        watched = Watched(belief.sized, belief.draw(z), readings, belief.settings)
        parts = [seen(r).log_like(watched.expected(r)) for r in judged]
        return Evaluated(np.sum(parts, axis=0))

    return target
