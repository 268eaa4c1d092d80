"""A first look at what a new row does, in a blink: for a face that shows it while all is worked out.

One run of the stages in some of the worlds that are kept, and one Gaussian through them. It is near, not
exact, knows of no mishap, and is too wide rather than too narrow: after sharp readings of a heart 1.8 times.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.belief.gauss_newton import preview
from caskward.planning.belief.proposals import gaussian_of
from caskward.planning.belief.weighing import equal, normalised, quantiles
from caskward.planning.likelihood import seen
from caskward.planning.log_slips import LOGS
from caskward.planning.observing import Watched, drives
from caskward.planning.plan import Band, band
from caskward.planning.readings import Reading
from caskward.planning.update import Belief, anew
from caskward.services import kept_beliefs
from caskward.stages.stream import Worlds

_WORLDS: Final = 512
_PATTERNS, _LEAST, _MOST_KINDS = 3, 0.005, 4
"""Of every log so many patterns, each no less likely than this; and so many kinds of worlds in all."""


@dataclass(frozen=True)
class Glimpse:
    """Spirit at entry strength [L], and the chance of a full cask.

    exact: it is what is believed, for that was kept.
    """

    fill_l: Band
    chance: float
    exact: bool


@dataclass(frozen=True)
class FirstLook:
    """About what a batch's last rows do, beside what was believed before them.

    wanted_l, entry_pct_vol: the cask's fill [L] and its strength [%vol at 20 °C].
    """

    glimpse: Glimpse
    chance_before: float
    wanted_l: float
    entry_pct_vol: float


def glimpse(before: Belief, readings: Sequence[Reading]) -> Glimpse:
    """About what is believed after readings, from the longest part of them that is kept.

    Args:
        before: what the plan alone says. readings: all of the batch, followed as `plan_update` follows them.
    """
    known, now = kept_beliefs.longest(before, readings)
    if len(known) == len(readings):
        return Glimpse(band(now.course.available_l), now.chance, exact=True)
    new = [r for r in readings if r not in known]
    if any(drives(r) for r in new):  # what was read before then means something else
        now = before = anew(before, readings)
        new = list(readings)
    return _from(now, [r for r in new if not drives(r)], readings, now is before)


def glimpse_from(now: Belief, before: Belief, readings: Sequence[Reading]) -> Glimpse:
    """The same from what is believed in full already, which no file need be read for.

    Args:
        now: what is believed after some of the readings. before, readings: as of `glimpse`.
    """
    new = [r for r in readings if r not in now.readings]
    if not now.readings or any(drives(r) for r in new):
        return glimpse(before, readings)
    if not new:
        return Glimpse(band(now.course.available_l), now.chance, exact=True)
    return _from(now, new, readings, is_prior=False)


def _from(now: Belief, new: list[Reading], every: Sequence[Reading], is_prior: bool) -> Glimpse:
    z = now.z[now.sound]
    z = z[:: max(len(z) // _WORLDS, 1)]
    kinds = _kinds(now, every) if is_prior else [_Kind(1.0, {})]
    found = [_one(now, z, kind, new, every, is_prior) for kind in kinds]
    log_weights = np.log([kind.chance for kind in kinds]) + np.array([evidence for _, evidence in found])
    each = normalised(log_weights)
    fill_l = np.concatenate([fill_l for fill_l, _ in found])
    weights = np.repeat(each / len(z), len(z))
    chance = float(weights @ (fill_l >= now.sized.method.fill_l - 1e-3))
    low, mid, high = quantiles(fill_l, (0.1, 0.5, 0.9), weights).tolist()
    return Glimpse(band(fill_l) if len(kinds) == 1 else Band(low, mid, high), chance, exact=False)


def _one(
    now: Belief, z: Worlds, kind: _Kind, new: list[Reading], every: Sequence[Reading], is_prior: bool
) -> tuple[Worlds, float]:
    """The fill in some worlds moved by one Gaussian, and the log of how well they told of what was read."""
    watched = Watched(now.sized, now.draw(kind.on(z, now.names)), every, now.settings)
    fill_l = watched.chain.filled.reduced.volume_l
    if not new:
        return fill_l, 0.0
    expected = np.array([np.asarray(watched.expected(r)) for r in new])
    follows = None if is_prior else gaussian_of(z, equal(len(z)))
    likelihoods = [seen(r) for r in new]
    told = np.sum([s.log_like(row) for s, row in zip(likelihoods, expected, strict=True)], axis=0)
    # Their place on a log's scale stays as drawn here: a column of one value would pass for the intercept.
    moved = preview(likelihoods, expected, z, follows).moved(fill_l, now.sized.intent.seed)
    return moved, float(np.logaddexp.reduce(told) - np.log(len(told)))


@dataclass(frozen=True)
class _Kind:
    """Worlds that follow the same rows of every log: how likely they are, and where they lie on its scale."""

    chance: float
    at: Mapping[str, float]

    def on(self, z: Worlds, names: Sequence[str]) -> Worlds:
        """The same worlds, all of this kind."""
        of_kind = z.copy()
        for name, place in self.at.items():
            of_kind[:, names.index(name)] = place
        return of_kind


def _kinds(now: Belief, every: Sequence[Reading]) -> list[_Kind]:
    """The likely kinds of worlds: one Gaussian holds one of them, not two."""
    watched = Watched(now.sized, now.draw(now.z[:1]), every, now.settings)
    kinds = [_Kind(1.0, {})]
    for of in LOGS:
        if any(of.holds(r) for r in every):
            found = watched.patterns(of)
            likely = [int(k) for k in np.argsort(-found.chances, kind="stable")[:_PATTERNS]]
            some = [k for k in likely if k == likely[0] or found.chances[k] >= _LEAST]
            kinds = [
                _Kind(kind.chance * float(found.chances[k]), {**kind.at, of.name: found.middle_z(k)})
                for kind in kinds
                for k in some
            ]
    return sorted(kinds, key=lambda kind: -kind.chance)[:_MOST_KINDS]
