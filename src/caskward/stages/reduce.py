"""Reducing: water that brings a spirit down to a strength, with its contraction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.properties import alcohol
from caskward.stages.stream import Stream, Worlds


@dataclass(frozen=True)
class ReduceRecord:
    """How much water, and what the mixing did to the volume."""

    water_kg: Worlds
    water_l: Worlds
    volume_l: Worlds
    strength_pct_vol: Worlds
    contraction_l: Worlds


def water_to_reach(stream: Stream, pct_vol: float | Worlds) -> Worlds:
    """Water [kg] that brings the liquid down to a strength; 0 where it is weaker already.

    Dissolved solids keep their apparent volume; exact where there are none.
    """
    target_w = np.asarray(alcohol.mass_fraction(pct_vol))
    spirit_kg = stream.water_kg + stream.ethanol_kg
    if np.all(stream.dissolved_kg == 0):
        return np.asarray(np.maximum(0.0, stream.ethanol_kg / target_w - spirit_kg))
    wanted_l = stream.lpa / (np.asarray(pct_vol) / 100.0)
    water_kg = np.maximum(0.0, stream.ethanol_kg / target_w - spirit_kg)
    for _ in range(12):
        liquid_l = stream.with_masses(water_kg=stream.water_kg + water_kg).liquid_l
        water_kg = np.maximum(0.0, water_kg + (wanted_l - liquid_l) * 0.9982)
    return np.asarray(water_kg)


def reduce(stream: Stream, to_pct_vol: float | Worlds) -> tuple[Stream, ReduceRecord]:
    """Add water until the stream stands at a strength [%vol]; leave it alone where it is weaker."""
    water_kg = water_to_reach(stream, to_pct_vol)
    out = stream.with_masses(water_kg=stream.water_kg + water_kg)
    water_l = np.asarray(alcohol.volume_l(water_kg, 0.0))
    contraction_l = stream.volume_l + water_l - out.volume_l
    return out, ReduceRecord(water_kg, water_l, out.volume_l, out.strength_pct_vol, contraction_l)
