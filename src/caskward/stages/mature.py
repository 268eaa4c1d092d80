"""Maturing, as far as the fill: what soaked or dry wood does to a new fill, and the ullage.

Soaked staves hold water that mixes with the spirit over weeks; dry staves drink spirit. Both are
modelled per square metre of wood with a wide prior, since sources differ tenfold.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from caskward.stages.stream import Stream, Worlds, mixed


@dataclass(frozen=True)
class Cask:
    """A cask as the fill meets it."""

    capacity_l: float
    wood_area_m2: float | Worlds
    soaked: bool


@dataclass(frozen=True)
class FillUnknowns:
    """Water in soaked staves and what of it mixes in the first days; spirit drunk by dry staves [L/m²]."""

    wood_water_l_m2: Worlds
    mixes_at_once_share: Worlds
    indrink_l_m2: Worlds


@dataclass(frozen=True)
class WoodPace:
    """How fast wood settles: days in which all but a third of its slow part is done; quick share of a drink.

    The quick part of the water is that which mixes in the first day, of what dry wood drinks that of the
    first two.
    """

    settles_days: Worlds
    drunk_at_once_share: Worlds | float


QUICK_TIMES = 3.0
"""The quick part is all but done (e^-3 is left) when its day or two is over; *common practice, no source*."""


@dataclass(frozen=True)
class FillRecord:
    """The cask after the fill and after the wood has had its share."""

    filled_l: Worlds
    ullage_l: Worlds
    entry_pct_vol: Worlds
    first_days_pct_vol: Worlds
    settled_pct_vol: Worlds
    settled_level_l: Worlds
    in_wood_lpa: Worlds


def fill(spirit: Stream, cask: Cask, unknowns: FillUnknowns) -> tuple[Stream, FillRecord]:
    """Fill a cask and let the wood settle; the stream that leaves is spirit and wood water together.

    Wood water counts as part of the stream from here on; the bulk in the cask keeps its level when
    the staves were soaked (they are full already), and falls by what dry staves drink.
    """
    water_kg = unknowns.wood_water_l_m2 * cask.wood_area_m2 * 0.9982 * (1.0 if cask.soaked else 0.0)
    wood = Stream.of(temp_c=spirit.temp_c, water_kg=water_kg)
    settled = mixed(spirit, wood)
    early = mixed(spirit, wood.scaled(unknowns.mixes_at_once_share))
    filled_l = spirit.volume_l
    drunk_l = (
        np.zeros_like(filled_l)
        if cask.soaked
        else np.minimum(unknowns.indrink_l_m2 * cask.wood_area_m2, filled_l)
    )
    level_l = np.minimum(filled_l, settled.volume_l) - drunk_l
    in_wood_share = np.clip(1.0 - level_l / np.maximum(settled.volume_l, 1e-12), 0.0, 1.0)
    record = FillRecord(
        filled_l=filled_l,
        ullage_l=cask.capacity_l - filled_l,
        entry_pct_vol=spirit.strength_pct_vol,
        first_days_pct_vol=early.strength_pct_vol,
        settled_pct_vol=settled.strength_pct_vol,
        settled_level_l=level_l,
        in_wood_lpa=settled.lpa * in_wood_share,
    )
    return settled, record


def fill_by(
    spirit: Stream, cask: Cask, unknowns: FillUnknowns, pace: WoodPace, days: float
) -> tuple[Stream, FillRecord]:
    """The same, as far as the wood has come some days after the fill.

    Each part rises as 1 - exp(-days/pace): the quick one within its first day or two, the rest over weeks.
    days: [d], 0 or more; on the first day nothing has mixed yet. What the air takes is left out: some percent
    in the first months. Source: common-practice, as the shares are (catalogue, casks).
    """
    slow = -np.expm1(-days / pace.settles_days)
    mixed_share = _risen(unknowns.mixes_at_once_share, days, slow)
    drunk_share = _risen(pace.drunk_at_once_share, days / 2.0, slow)
    by_now = replace(
        unknowns,
        wood_water_l_m2=unknowns.wood_water_l_m2 * mixed_share,
        indrink_l_m2=unknowns.indrink_l_m2 * drunk_share,
    )
    return fill(spirit, cask, by_now)


def _risen(quick_share: Worlds | float, times: float, slow: Worlds) -> Worlds:
    return np.asarray(quick_share * -np.expm1(-QUICK_TIMES * times) + (1.0 - quick_share) * slow)
