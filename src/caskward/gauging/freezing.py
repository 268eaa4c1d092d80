"""Where a spirit begins to freeze: below it crystals of water form, and what is left liquid is stronger."""

from __future__ import annotations

from itertools import pairwise

from caskward.errors import FrozenSample

_LINE = ((0.0, 0.0), (10.0, -4.0), (20.0, -9.0), (30.0, -15.0), (40.0, -23.0), (50.0, -32.0), (60.0, -37.0))
"""Strength [%vol at 20 °C] and freezing point [°C] of ethanol and water (from memory)."""


def freezing_c(pct_vol: float) -> float:
    """Temperature at which a spirit begins to freeze [°C], straight between tabled points.

    pct_vol: [%vol at 20 °C], 0 to 100; above 60 %vol the value at 60, which no table of density reaches.
    Below 0 it is that of water. Source: handbook tables, from memory, to about 1 K.
    """
    for (weak, warm), (strong, cold) in pairwise(_LINE):
        if pct_vol <= strong:
            return warm + (cold - warm) * max(pct_vol - weak, 0.0) / (strong - weak)
    return _LINE[-1][1]


def check_not_frozen(pct_vol: float, temp_c: float) -> None:
    """Refuse a spirit of this strength [%vol at 20 °C] colder than where it begins to freeze."""
    begins_c = freezing_c(pct_vol)
    if temp_c < begins_c - 1e-9:
        raise FrozenSample(temp_c, begins_c, pct_vol)
