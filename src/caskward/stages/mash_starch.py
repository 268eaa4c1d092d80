"""The starch of a mash by its state: raw, swollen, out of reach; and two portions stirred together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.properties._arrays import check_range
from caskward.stages.enzyme_labels import BRANCHED_SHARE
from caskward.stages.stream import Worlds
from caskward.stages.swelling import SWELL_PER_H


@dataclass(frozen=True)
class Starch:
    """The mash's starch by its state [kg]; together it is the stream's `starch_kg`.

    raw_kg: not yet swollen, (materials,) or (materials, worlds...). swollen_kg: long starch (worlds), such as
    cooked or flaked grain brings. onset_c, complete_c: each material's range [°C], a number or shaped as
    raw_kg, and so is swell_per_h, the rate of swelling [1/h].
    accessible: share of both that can ever be reached (grind, lumps) [0..1].
    whole_kg: what each material had when all of it was raw [kg]; None: raw_kg is that.
    shut_kg: starch beside the two that is known to be out of reach [kg].
    branched_share: of what is thinned, what ends as branched limit dextrin [0..0.5].
    branched_kg: of the dextrin that the stream holds already, what is branched [kg].
    """

    raw_kg: Worlds
    swollen_kg: float | Worlds
    onset_c: float | Worlds
    complete_c: float | Worlds
    accessible: float | Worlds = 1.0
    swell_per_h: float | Worlds = SWELL_PER_H
    whole_kg: Worlds | None = None
    shut_kg: float | Worlds = 0.0
    branched_share: float | Worlds = BRANCHED_SHARE
    branched_kg: float | Worlds = 0.0

    def __post_init__(self) -> None:
        """Refuse shares and masses that cannot be."""
        check_range("The share of starch that can be reached", self.accessible, "", 0.0, 1.0)
        check_range("The share of branched dextrin", self.branched_share, "", 0.0, 0.5)
        for kg in (self.raw_kg, self.swollen_kg, self.shut_kg, self.branched_kg):
            check_range("Starch in the mash", kg, "kg", 0.0, 1e9)

    @property
    def total_kg(self) -> Worlds:
        """All starch [kg]."""
        return np.asarray(np.sum(self.raw_kg, axis=0) + self.swollen_kg + self.shut_kg)

    def reached(self) -> Starch:
        """The same starch, what cannot be reached counted as shut, each material with its own figures."""
        raw = np.asarray(self.raw_kg, dtype=float)
        share = np.asarray(self.accessible, dtype=float)
        whole = raw if self.whole_kg is None else np.asarray(self.whole_kg, dtype=float)
        out_of_reach = (1.0 - share) * (raw.sum(axis=0) + self.swollen_kg)
        rows = (per_material(f, len(raw)) for f in (self.onset_c, self.complete_c, self.swell_per_h))
        onset_c, complete_c, swell_per_h = rows
        return Starch(
            raw_kg=_times(raw, share),
            swollen_kg=np.asarray(self.swollen_kg * share),
            onset_c=onset_c,
            complete_c=complete_c,
            swell_per_h=swell_per_h,
            whole_kg=_times(whole, share),
            shut_kg=np.asarray(self.shut_kg + out_of_reach),
            branched_share=self.branched_share,
            branched_kg=self.branched_kg,
        )

    def and_with(self, other: Starch) -> Starch:
        """The starch of two portions stirred together, materials in their order.

        Each keeps what of it can be reached. The share of branched dextrin is that of the whole.
        """
        one, two = self.reached(), other.reached()
        weights = one.total_kg, two.total_kg
        whole = np.maximum(weights[0] + weights[1], 1e-12)
        branched = (one.branched_share * weights[0] + two.branched_share * weights[1]) / whole
        return Starch(
            raw_kg=_stacked(one.raw_kg, two.raw_kg),
            swollen_kg=np.asarray(one.swollen_kg + two.swollen_kg),
            onset_c=_stacked(one.onset_c, two.onset_c),
            complete_c=_stacked(one.complete_c, two.complete_c),
            swell_per_h=_stacked(one.swell_per_h, two.swell_per_h),
            whole_kg=_stacked(one.whole_kg, two.whole_kg),
            shut_kg=np.asarray(one.shut_kg + two.shut_kg),
            branched_share=np.asarray(branched),
            branched_kg=np.asarray(one.branched_kg + two.branched_kg),
        )


def per_material(figure: float | Worlds, materials: int) -> Worlds:
    """A figure of every material: one row each, (materials, ...)."""
    rows = np.asarray(figure, dtype=float)
    return np.full(materials, float(rows)) if rows.ndim == 0 else rows


def _times(rows: Worlds, share: Worlds) -> Worlds:
    deep = rows.reshape(rows.shape + (1,) * max(share.ndim - (rows.ndim - 1), 0))
    return np.asarray(deep * share)


def _stacked(one: float | Worlds | None, two: float | Worlds | None) -> Worlds:
    first, second = np.asarray(one, dtype=float), np.asarray(two, dtype=float)
    depth = max(first.ndim, second.ndim)
    first, second = (a.reshape(a.shape + (1,) * (depth - a.ndim)) for a in (first, second))
    worlds = np.broadcast_shapes(first.shape[1:], second.shape[1:])
    return np.concatenate([np.broadcast_to(a, (len(a), *worlds)) for a in (first, second)])
