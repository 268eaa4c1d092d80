"""A campaign of feints as it is looked at: first batches, where it settles, every charge in them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from caskward.planning.recycling import Batch, Recipe, Steady
from caskward.services.still_charge import checked
from caskward.services.still_covered import Bared, bared, bared_words
from caskward.services.still_cuts import heartless
from caskward.services.still_gear import Gear
from caskward.services.still_minds import minds_of
from caskward.stages.charges import PotLimits
from caskward.stages.still import Stop
from caskward.stages.stream import Stream
from caskward.units.types import UnitSystem


@dataclass(frozen=True)
class Campaign:
    """A recipe with its first batches and where it settles."""

    pot: PotLimits
    stop: Stop
    recipe: Recipe
    first: tuple[Batch, ...]
    steady: Steady

    @property
    def batches(self) -> tuple[tuple[str, Batch], ...]:
        """Every batch that is looked at, with its name."""
        named = [(f"batch {k}", batch) for k, batch in enumerate(self.first, 1)]
        return (*named, ("settled", self.steady.batch))


def first_bared(of: Campaign, heart_end_pct_vol: float) -> Bared | None:
    """Of the batches whose charges boil down under the element, the one that does so furthest.

    A stop before the heart has ended mends nothing.
    """
    found = []
    for name, batch in of.batches:
        record = batch.parted.record
        assert record is not None, "a still stands behind every batch"
        when = " once it has settled" if name == "settled" else f" in {name}"
        one = bared("A charge", record.run.filled[0].profile, of.pot, of.stop, when)
        found += [one] if one is not None else []
    worst = min(found, key=lambda one: one.left_l, default=None)
    if worst is None:
        return None
    stops = (worst.keeps_pct_vol, worst.keeps_full_pct_vol)
    sooner, full = (None if at is None or at >= heart_end_pct_vol else at for at in stops)
    return replace(worst, keeps_pct_vol=sooner, keeps_full_pct_vol=full)


def charge_cautions(of: Campaign, bare: Bared | None, gear: Gear, system: UnitSystem) -> tuple[str, ...]:
    """The element first, then what to mind of the strongest charge of all batches and worlds."""
    each = [batch.charged.each for _, batch in of.batches]
    strongest = max((_strongest(one) for one in each), key=lambda one: float(one.strength_pct_vol))
    said = checked(strongest, gear, system).cautions
    return said if bare is None else (bared_words(bare, gear, system), *said)


def _strongest(each: Stream) -> Stream:
    """The strongest charge of all worlds."""
    one = replace(each, traces_mg=None).spread(np.shape(each.strength_pct_vol))
    at = int(np.argmax(one.strength_pct_vol))
    return Stream.of(ethanol_kg=float(one.ethanol_kg[at]), water_kg=float(one.water_kg[at]))


def minds(of: Campaign, gear: Gear, system: UnitSystem) -> tuple[str, ...]:
    """Where figures leave the ground of their models: the settled batch's run, then cuts without a heart."""
    record = of.steady.batch.parted.record
    assert record is not None, "a still stands behind every batch"
    profile = record.run.filled[0].profile
    each_l = float(np.min(profile.charge.volume_l))
    return (*minds_of(profile, gear, each_l, wash=False, system=system), *_heartless(of))


def _heartless(of: Campaign) -> tuple[str, ...]:
    """Where the cuts leave no heart in some worlds."""
    worst, name = max((heartless(batch), name) for name, batch in of.batches)
    if worst <= 0.0:
        return ()
    when = "once it has settled" if name == "settled" else f"in {name}"
    runs = f"{max(100.0 * worst, 1.0):.0f} of 100 possible runs"
    return (f"These cuts leave no heart {when} in {runs}: end the heart lower, or cut the heads narrower.",)
