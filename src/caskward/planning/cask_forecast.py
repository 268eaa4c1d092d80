"""The cask of a forecast: what it takes of the spirit, and how far its wood has come by some day."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from caskward.planning.intent import Intent
from caskward.planning.method import Method
from caskward.planning.unknowns import Draw
from caskward.stages.mature import Cask, FillRecord, FillUnknowns, WoodPace, fill, fill_by
from caskward.stages.stream import Stream, Worlds, spirit_of

_SOME_L = 1e-9


def share_into_cask(method: Method, spirit: Stream) -> Worlds:
    """Share of the spirit that the cask takes."""
    return np.minimum(method.fill_l / np.maximum(spirit.volume_l, _SOME_L), 1.0)


def cask_filled(
    intent: Intent, method: Method, worlds: Draw, spirit: Stream, days: float | None = None
) -> tuple[Stream, FillRecord]:
    """The cask and its record, once the wood has settled or some days after the fill.

    A cask that is filled in part touches as large a part of its wood: *common practice, no source*. So its
    strength is that of a full one, down to the last drop.
    """
    cask = Cask(intent.cask.capacity_l, worlds["wood.area_m2"], intent.cask.soaked)
    unknowns = FillUnknowns(
        worlds["wood.water_l_m2"], worlds["wood.mixes_at_once"], worlds["wood.indrink_l_m2"]
    )
    full = _as_full(method, spirit)
    if days is None:
        settled, record = fill(full, cask, unknowns)
    else:
        quick = intent.cask.wood.indrink_first_48h_share.likely
        settled, record = fill_by(full, cask, unknowns, WoodPace(worlds["wood.settles_days"], quick), days)
    share = np.minimum(spirit.volume_l / method.fill_l, 1.0)
    return settled.scaled(share), _in_part(record, share, cask.capacity_l)


def _as_full(method: Method, spirit: Stream) -> Stream:
    """As much of this spirit as fills the cask; where there is none, of spirit as it was planned."""
    none = spirit.volume_l <= _SOME_L
    as_much = spirit.scaled(np.where(none, 0.0, method.fill_l / np.maximum(spirit.volume_l, _SOME_L)))
    if not np.any(none):
        return as_much
    planned = spirit_of(method.fill_l, method.entry_pct_vol)
    return as_much.with_masses(
        ethanol_kg=np.where(none, planned.ethanol_kg, as_much.ethanol_kg),
        water_kg=np.where(none, planned.water_kg, as_much.water_kg),
    )


def _in_part(record: FillRecord, share: Worlds, capacity_l: float) -> FillRecord:
    filled_l = record.filled_l * share
    return replace(
        record,
        filled_l=filled_l,
        ullage_l=capacity_l - filled_l,
        settled_level_l=record.settled_level_l * share,
        in_wood_lpa=record.in_wood_lpa * share,
    )
