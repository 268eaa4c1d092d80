"""Blending: several portions into one, and bringing one under a strength or up to a volume."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.properties import alcohol
from caskward.stages.reduce import water_to_reach
from caskward.stages.stream import Stream, Worlds, mixed


@dataclass(frozen=True)
class BlendRecord:
    """What went together and what the water did; `unfilled_l` is before water for the least volume."""

    volume_l: Worlds
    strength_pct_vol: Worlds
    water_kg: Worlds
    contraction_l: Worlds
    unfilled_l: Worlds


def blend(
    portions: tuple[Stream, ...], strongest_pct_vol: float, least_l: float | Worlds
) -> tuple[Stream, BlendRecord]:
    """Mix portions, add water until no stronger than a limit and no smaller than a least volume.

    Args:
        portions: what goes together, in any order.
        strongest_pct_vol: the blend is diluted to this strength where it would be stronger [%vol].
        least_l: water is added up to this volume where the blend would be smaller [L].
    """
    together = mixed(*portions)
    for_strength_kg = water_to_reach(together, strongest_pct_vol)
    diluted = together.with_masses(water_kg=together.water_kg + for_strength_kg)
    for_volume_kg = _water_up_to_volume(diluted, least_l)
    out = diluted.with_masses(water_kg=diluted.water_kg + for_volume_kg)
    water_kg = for_strength_kg + for_volume_kg
    before_l = sum(p.volume_l for p in portions) + np.asarray(alcohol.volume_l(water_kg, 0.0))
    contraction_l = np.asarray(before_l - out.volume_l)
    return out, BlendRecord(out.volume_l, out.strength_pct_vol, water_kg, contraction_l, diluted.volume_l)


def _water_up_to_volume(stream: Stream, least_l: float | Worlds) -> Worlds:
    water_kg = np.zeros_like(stream.volume_l)
    for _ in range(12):  # a litre of water adds a little less than a litre; each pass leaves a twentieth
        filled = stream.with_masses(water_kg=stream.water_kg + water_kg)
        water_kg = np.maximum(0.0, water_kg + (least_l - filled.volume_l) * 0.9982)
    return water_kg
