"""A first look at what a new row does, in a blink: for a face that shows it while all is worked out.

One run of the stages in some of the worlds that are kept, and one Gaussian through them. It is near, not
exact, knows of no mishap, and is too wide rather than too narrow: after sharp readings of a heart 1.8 times.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.belief.gauss_newton import preview
from caskward.planning.belief.proposals import gaussian_of
from caskward.planning.belief.weighing import equal
from caskward.planning.likelihood import seen
from caskward.planning.observing import Watched, drives
from caskward.planning.plan import Band, band
from caskward.planning.readings import Reading
from caskward.planning.update import Belief
from caskward.services import kept_beliefs

_WORLDS: Final = 512


@dataclass(frozen=True)
class Glimpse:
    """Spirit at entry strength [L], and the chance of a full cask.

    exact: it is what is believed, for that was kept.
    """

    fill_l: Band
    chance: float
    exact: bool


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
        now, new = before, list(readings)
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
    watched = Watched(now.sized, now.draw(z), every, now.settings)
    fill_l = watched.chain.filled.reduced.volume_l
    if new:
        expected = np.array([np.asarray(watched.expected(r)) for r in new])
        follows = None if is_prior else gaussian_of(z, equal(len(z)))
        fill_l = preview([seen(r) for r in new], expected, z, follows).moved(fill_l, now.sized.intent.seed)
    chance = float(np.mean(fill_l >= now.sized.method.fill_l - 1e-3))
    return Glimpse(band(fill_l), chance, exact=False)
