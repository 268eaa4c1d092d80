"""Receivers: what runs from the spout, parted into jars and cans in the order of a plan.

A receiver is a difference of two moments of what has been collected, so all of them together with what stays
in the pot are the charge again, to rounding, for water, alcohol and every congener.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from caskward.errors import LastReceiverMissing
from caskward.pace import once
from caskward.stages.amounts import Amounts
from caskward.stages.balance import Loss, loss_of
from caskward.stages.moments import moment_of, moment_when_weaker
from caskward.stages.profile import Profile, collected_at, hours_at, spout_at
from caskward.stages.still import Stop
from caskward.stages.stream import Stream, Worlds


@dataclass(frozen=True)
class Receiver:
    """One jar or can of a plan.

    until: when the next one is put under, at the first of these stops; none: it takes all that still comes.
    least_pct_vol: it is changed before that, where its own contents would fall under this strength [%vol].
    """

    name: str
    until: Stop | tuple[Stop, ...] = ()
    least_pct_vol: float | Worlds | None = None
    vessel: Literal["jar", "can"] = "can"

    @property
    def stops(self) -> tuple[Stop, ...]:
        """All its stops."""
        return (self.until,) if isinstance(self.until, Stop) else self.until


@dataclass(frozen=True)
class Filled:
    """A receiver after the run: contents over worlds, and the moments between which it stood there."""

    receiver: Receiver
    contents: Stream
    profile: Profile
    from_u: Worlds
    to_u: Worlds

    @property
    def name(self) -> str:
        """The receiver's name in the plan."""
        return self.receiver.name

    @once
    def volume_l(self) -> Worlds:
        """What is in it [L at 20 °C]."""
        return self.contents.volume_l

    @once
    def strength_pct_vol(self) -> Worlds:
        """Strength of what is in it [%vol]; 0 where it is empty."""
        return self.contents.strength_pct_vol

    @once
    def from_pct_vol(self) -> Worlds:
        """Strength at the spout when it was put under [%vol]."""
        return spout_at(self.profile, self.from_u)

    @once
    def to_pct_vol(self) -> Worlds:
        """Strength at the spout when it was taken away [%vol]."""
        return spout_at(self.profile, self.to_u)

    @once
    def from_h(self) -> Worlds:
        """Hours since the first drop when it was put under."""
        return hours_at(self.profile, self.from_u)

    @once
    def to_h(self) -> Worlds:
        """Hours since the first drop when it was taken away."""
        return hours_at(self.profile, self.to_u)


@dataclass(frozen=True)
class Collection:
    """A run parted into receivers, what stays in the pot, and what dead volume keeps for itself."""

    filled: tuple[Filled, ...]
    rest: Stream
    undrained: Stream | None

    def __getitem__(self, name: str) -> Filled:
        """The receiver of a name."""
        return next(one for one in self.filled if one.name == name)

    def losses(self, words: str) -> tuple[Loss, ...]:
        """What stays behind, as losses: in the pot, under `words`, and between pot and spout."""
        kept = () if self.undrained is None else (loss_of("left between pot and spout", self.undrained),)
        return (loss_of(words, self.rest), *kept)


def jars(count: int, each_l: float, name: str = "jar", until: Stop | None = None) -> tuple[Receiver, ...]:
    """A row of jars of one size [L], numbered from 1; none of them is filled past `until`."""
    stops = (Stop("own_volume_l", each_l),) + (() if until is None else (until,))
    return tuple(Receiver(f"{name} {k + 1}", stops, vessel="jar") for k in range(count))


def collect(profile: Profile, plan: Sequence[Receiver]) -> Collection:
    """Part a run into the receivers of a plan, in their order; the last one takes all that still comes.

    A receiver whose moment has passed already, or never comes, stays empty or takes the rest, in each world
    as it is. What dead volume holds at the end drains into the last receiver, or is named as a loss.
    """
    if not plan or plan[-1].stops:
        raise LastReceiverMissing(plan[-1].name if plan else "")
    marks = [profile.pot_u[0]]
    taken = [collected_at(profile, marks[0])]
    parts: list[Amounts] = []
    for receiver in plan:
        marks.append(_end_of(profile, receiver, marks[-1], taken[-1]))
        now = collected_at(profile, marks[-1])
        if receiver is plan[-1] and _drains(profile):
            now = _last(profile.over_top)
        parts.append(now.less(taken[-1]))
        taken.append(now.at_least(taken[-1]))
    filled = tuple(
        Filled(receiver, part.stream, profile, marks[k], marks[k + 1])
        for k, (receiver, part) in enumerate(zip(plan, parts, strict=True))
    )
    undrained = None
    if profile.held is not None and not _drains(profile):
        undrained = Amounts.split(profile.held.amounts[-1], 0).stream
    return Collection(filled, _rest(profile, filled, undrained), undrained)


def _end_of(profile: Profile, receiver: Receiver, since_u: Worlds, since: Amounts) -> Worlds:
    end = profile.pot_u[-1]
    for stop in receiver.stops:
        end = np.maximum(end, moment_of(profile, stop, since))
    if receiver.least_pct_vol is not None:
        end = np.maximum(end, moment_when_weaker(profile, receiver.least_pct_vol, since_u))
    return np.asarray(np.minimum(end, since_u))


def _drains(profile: Profile) -> bool:
    return profile.held is not None and profile.still.hold_up is not None and profile.still.hold_up.drains


def _last(amounts: Amounts) -> Amounts:
    traces = amounts.traces_mg
    return Amounts(amounts.ethanol_kg[-1], amounts.water_kg[-1], None if traces is None else traces[-1])


def _rest(profile: Profile, filled: tuple[Filled, ...], undrained: Stream | None) -> Stream:
    """What stays in the pot: the charge less all else, so that nothing is lost to rounding."""
    charge = profile.charge
    gone = [one.contents for one in filled] + ([] if undrained is None else [undrained])
    traces_mg = None
    if charge.traces_mg is not None:
        traces_mg = charge.traces_mg - sum(s.traces_mg for s in gone if s.traces_mg is not None)
    return charge.with_masses(
        traces_mg=traces_mg,
        ethanol_kg=charge.ethanol_kg - sum(s.ethanol_kg for s in gone),
        water_kg=charge.water_kg - sum(s.water_kg for s in gone),
    ).at(profile.pot_c[-1])
