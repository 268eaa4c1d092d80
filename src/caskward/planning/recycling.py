"""Feints over many batches: heads and tails go back into the next charge until nothing changes any more.

A batch is a map from feints in to feints out. Its ethanol and water settle fast (a third of a deviation is
left after each batch), so the steady state is found by running batches. Congeners do not act on the run, so
once it is steady each is linear: with k the share of the charge's congener that goes back, the feints hold
F = k (L + F) = k L / (1 - k), L from the low wines, and k of a deviation is left after each batch.
Esters and acids made on the way or in store are not in it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from caskward.errors import NeverSettles, NoTraceFigure, OutOfRange
from caskward.properties.congeners import CONGENERS
from caskward.stages.balance import Loss
from caskward.stages.charges import Fitted, PotLimits, fitted, runs_of
from caskward.stages.distil import Still
from caskward.stages.runs import SpiritRecord, SpiritSettings, SpiritUnknowns, spirit_run
from caskward.stages.stream import Stream, Worlds, mixed

_SETTLED = 1e-12
_MOST_BATCHES = 400
_MOST_TO_SETTLE, _ARRIVED = 60, 1e-7
"""Batches until a campaign is looked at no further: so many, or so near the steady state that it stays."""
_ALL_BACK = 1.0 - 1e-9

Part = Literal["heads", "tails", "feints"]


@dataclass(frozen=True)
class Parted:
    """A spirit run's receivers and what was left behind, each a stream or a named loss; per world.

    record: the run as it went, None where no still stands behind the parts.
    """

    foreshots: Stream
    heads: Stream
    heart: Stream
    tails: Stream
    losses: tuple[Loss, ...]
    record: SpiritRecord | None = None


Run = Callable[[Stream], Parted]


@dataclass(frozen=True)
class Recipe:
    """What every batch of a campaign repeats.

    low_wines: fresh into each batch. pot: what each charge is let down to, filled up to and parted by.
    heads_back, tails_back: shares of heads and tails that go into the next charge (0..1), the rest is thrown
    away. run: parts all charges of a batch; by default the spirit run of `recipe_of`.
    """

    low_wines: Stream
    run: Run
    pot: PotLimits = field(default_factory=lambda: PotLimits(np.inf))
    heads_back: float = 1.0
    tails_back: float = 1.0

    def __post_init__(self) -> None:
        """Refuse shares that are none."""
        for name, share in (("heads", self.heads_back), ("tails", self.tails_back)):
            if not 0.0 <= share <= 1.0:
                raise OutOfRange(f"The share of {name} that goes back", share, "", 0.0, 1.0)

    def throwing(self, part: Part, share: float) -> Recipe:
        """The same recipe with a share of heads, tails or both thrown away; the other part as before."""
        heads = 1.0 - share if part in ("heads", "feints") else self.heads_back
        tails = 1.0 - share if part in ("tails", "feints") else self.tails_back
        return replace(self, heads_back=heads, tails_back=tails)


def recipe_of(
    low_wines: Stream,
    still: Still,
    settings: SpiritSettings,
    unknowns: SpiritUnknowns,
    pot: PotLimits | None = None,
) -> Recipe:
    """The recipe of a still and its cut rules, all fed back; no pot: the settings' charge limit."""
    pot = pot or PotLimits(settings.charge_limit_l)

    def run(charge: Stream) -> Parted:
        most_l = charge.volume_l / runs_of(charge, pot)
        heart, record = spirit_run(charge, still, replace(settings, charge_limit_l=most_l), unknowns)
        cut = record.receivers
        left = tuple(loss for loss in record.losses if loss.name != "foreshots discarded")
        return Parted(cut.foreshots, cut.heads, heart, cut.tails, left, record)

    return Recipe(low_wines, run, pot)


@dataclass(frozen=True)
class Batch:
    """One batch of a campaign: what went in and how it was charged, what came out, what goes on."""

    feints_in: Stream
    charged: Fitted
    parted: Parted
    thrown: Stream
    feints_out: Stream

    @property
    def charge(self) -> Stream:
        """All charges together, their water with them."""
        return self.charged.batch

    @property
    def heart(self) -> Stream:
        """What goes to the cask."""
        return self.parted.heart


def next_batch(recipe: Recipe, feints: Stream) -> Batch:
    """One batch: low wines and feints charged, run, and parted into what goes on and what does not."""
    charged = fitted(mixed(recipe.low_wines, feints), recipe.pot)
    parted = recipe.run(charged.batch)
    heads, tails = parted.heads, parted.tails
    back = mixed(heads.scaled(recipe.heads_back), tails.scaled(recipe.tails_back))
    thrown = mixed(heads.scaled(1.0 - recipe.heads_back), tails.scaled(1.0 - recipe.tails_back))
    return Batch(feints, charged, parted, thrown, back)


def campaign(recipe: Recipe, batches: int, feints: Stream | None = None) -> tuple[Batch, ...]:
    """So many batches one after the other, from given feints or from none.

    Raises:
        OutOfRange: fewer than 1 or more than 400 batches.
    """
    if not 1 <= batches <= _MOST_BATCHES:
        raise OutOfRange("The number of batches", batches, "", 1, _MOST_BATCHES)
    done: list[Batch] = []
    here = feints if feints is not None else recipe.low_wines.scaled(0.0)
    for _ in range(batches):
        done.append(next_batch(recipe, here))
        here = done[-1].feints_out
    return tuple(done)


@dataclass(frozen=True)
class Steady:
    """A batch that ends with the feints it began with, over worlds.

    back_share: of each congener in the charge, the part that goes back, (16, worlds...); None if untracked.
    """

    batch: Batch
    low_wines: Stream
    back_share: Worlds | None

    @property
    def feints(self) -> Stream:
        """What is fed back each time."""
        return self.batch.feints_in

    @property
    def recovery(self) -> Worlds:
        """Alcohol in the heart over that of the fresh low wines [-]."""
        return np.asarray(self.batch.heart.lpa / self.low_wines.lpa)

    def heart_mg_per_l(self, congeners: tuple[str, ...]) -> Worlds:
        """Some congeners in the heart [mg per litre of pure alcohol].

        Raises:
            NoTraceFigure: the low wines' congeners are not known.
        """
        return _level(self.batch.heart, congeners)

    @property
    def build_up(self) -> Worlds | None:
        """Each congener in the charge over what the low wines alone bring, (16, worlds...)."""
        if self.back_share is None:
            return None
        return np.asarray(1.0 / (1.0 - self.back_share))


def _level(stream: Stream, congeners: tuple[str, ...]) -> Worlds:
    if stream.traces_mg is None:
        raise NoTraceFigure(" and ".join(congeners), "the low wines")
    rows = [CONGENERS.index(name) for name in congeners]
    return np.asarray(stream.traces_mg[rows].sum(axis=0) / np.maximum(stream.lpa, 1e-300))


def steady_state(recipe: Recipe, start: Stream | None = None) -> Steady:
    """The batch that repeats itself: ethanol and water by running batches, congeners in closed form.

    start: feints near the answer, where known.

    Raises:
        NeverSettles: the feints still change after 400 batches (the number of charges may alternate).
    """
    low_wines = recipe.low_wines
    bare = replace(recipe, low_wines=replace(low_wines, traces_mg=None))
    feints = replace(start, traces_mg=None) if start is not None else bare.low_wines.scaled(0.0)
    for _ in range(_MOST_BATCHES):
        after = next_batch(bare, feints).feints_out
        moved = np.maximum(
            np.abs(after.ethanol_kg - feints.ethanol_kg), np.abs(after.water_kg - feints.water_kg)
        )
        feints = after
        if np.all(moved <= _SETTLED * low_wines.total_kg):
            break
    else:
        raise NeverSettles(_MOST_BATCHES)
    if low_wines.traces_mg is None:
        return Steady(next_batch(bare, feints), low_wines, None)
    back = _back_share(recipe, feints)
    traces_mg = low_wines.traces_mg * back / (1.0 - back)
    return Steady(next_batch(recipe, replace(feints, traces_mg=traces_mg)), low_wines, back)


def _back_share(recipe: Recipe, feints: Stream) -> Worlds:
    """Part of each congener in the charge that goes back, from one run that holds a milligram of each."""
    one_mg = np.ones((len(CONGENERS), *np.shape(recipe.low_wines.lpa)))
    marked = replace(recipe, low_wines=replace(recipe.low_wines, traces_mg=one_mg))
    out = next_batch(marked, replace(feints, traces_mg=np.zeros_like(one_mg))).feints_out
    assert out.traces_mg is not None, "a run keeps what is tracked"
    return np.minimum(out.traces_mg, _ALL_BACK)


@dataclass(frozen=True)
class Settling:
    """Batches until 9 worlds in 10 stay within a share of the steady state, counted from no feints.

    heart: alcohol in the heart. feints: volume and strength of what is fed back. congeners: each one in the
    charge.
    """

    heart: int
    feints: int
    congeners: dict[str, int] = field(default_factory=dict)


def settling(recipe: Recipe, steady: Steady, within: float = 0.01) -> Settling:
    """How many batches it takes until the campaign is within a share of its steady state, and stays there.

    Raises:
        OutOfRange: a share not between 0.00001 and 0.5.
    """
    if not 1e-5 <= within <= 0.5:
        raise OutOfRange("The share of the steady state", within, "", 1e-5, 0.5)
    bare = replace(recipe, low_wines=replace(recipe.low_wines, traces_mg=None))
    goal, feints_here = steady.batch, bare.low_wines.scaled(0.0)
    heart: list[float] = []
    feints: list[float] = []
    while len(heart) < _MOST_TO_SETTLE and (not heart or max(heart[-1], feints[-1]) > _ARRIVED):
        b = next_batch(bare, feints_here)
        feints_here = b.feints_out
        heart.append(_off(b.heart.lpa, goal.heart.lpa))
        volume = _off(b.feints_out.volume_l, goal.feints_out.volume_l)
        feints.append(max(volume, _off(b.feints_out.strength_pct_vol, goal.feints_out.strength_pct_vol)))
    return Settling(
        _first_within(heart, within), _first_within(feints, within), _traces(recipe, steady, within)
    )


def _off(values: Worlds, goal: Worlds) -> float:
    """Relative distance that 9 worlds in 10 keep."""
    scale = np.where(np.asarray(goal) > 0.0, goal, 1.0)
    return float(np.quantile(np.abs(values - goal) / scale, 0.9))


def _first_within(off: list[float], within: float) -> int:
    """Number of the first batch from which on all lie within; one more than there are if none does."""
    outside = [k for k, distance in enumerate(off) if distance > within]
    return outside[-1] + 2 if outside else 1


def _traces(recipe: Recipe, steady: Steady, within: float) -> dict[str, int]:
    """Congeners in the charge: real batches until the run is steady, then k of a deviation each time."""
    if steady.back_share is None or steady.batch.charge.traces_mg is None:
        return {}
    goal = steady.batch.charge.traces_mg
    batches = campaign(recipe, 12)
    counts = {}
    for row, name in enumerate(CONGENERS):
        if not np.any(goal[row] > 0.0):
            continue
        off = [_off(b.charge.traces_mg[row], goal[row]) for b in batches if b.charge.traces_mg is not None]
        back = float(np.quantile(steady.back_share[row], 0.9))
        while off[-1] > within and len(off) < _MOST_BATCHES:
            off.append(off[-1] * back)
        counts[name] = _first_within(off, within)
    return counts
