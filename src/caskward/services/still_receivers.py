"""What lands in which receiver, and where the trade usually changes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from caskward.catalogue.kinds import Practice
from caskward.planning.plan import Band, band
from caskward.planning.unknowns import Draw
from caskward.services.still_congeners import Level, groups_of, levels_of
from caskward.stages.distil import Profile, Stop, collected_at, moment_of
from caskward.stages.receivers import Collection, Filled
from caskward.stages.runs import CutRules
from caskward.stages.stream import Worlds

_A_DROP_L = 1e-4


@dataclass(frozen=True)
class ReceiverLine:
    """One receiver after the run; litres at 20 °C, strengths in %vol, hours since the first drop.

    congeners: levels in it, in g/hL of pure alcohol; groups: those that come early, with the heart and late
    added up, methanol and acetic acid apart. filled: share of worlds in which anything is in it; strengths
    are over those.
    """

    name: str
    vessel: str
    volume_l: Band
    pct_vol: Band
    lpa: Band
    from_pct_vol: Band
    to_pct_vol: Band
    to_h: Band
    filled: float
    groups: tuple[Band, ...]
    congeners: tuple[Level, ...]


@dataclass(frozen=True)
class CutMark:
    """Where the trade usually changes receivers: its own range, and the litres collected there by then.

    by: "alcohol_share" of the charge's alcohol, or "spout_pct_vol". chance: share of worlds that get there.
    """

    key: str
    by: str
    low: float
    likely: float
    high: float
    volume_l: Band
    chance: float


def usual_cuts(practice: Practice) -> CutRules:
    """Cuts as the trade makes them for a style."""
    return CutRules(
        practice.foreshots_share.likely,
        practice.heads_share.likely,
        practice.heart_end_pct_vol.likely,
        0.0,
        practice.tails_stop_pct_vol.likely,
    )


def lines_of(parted: Collection) -> tuple[ReceiverLine, ...]:
    """Every receiver, in the order of the plan."""
    return tuple(_line(one) for one in parted.filled)


def _line(one: Filled) -> ReceiverLine:
    some = np.broadcast_to(one.volume_l > _A_DROP_L, np.shape(one.volume_l))
    return ReceiverLine(
        name=one.name,
        vessel=one.receiver.vessel,
        volume_l=band(one.volume_l),
        pct_vol=band_where(some, one.strength_pct_vol),
        lpa=band(one.contents.lpa),
        from_pct_vol=band_where(some, one.from_pct_vol),
        to_pct_vol=band_where(some, one.to_pct_vol),
        to_h=band(one.to_h),
        filled=float(np.mean(some)),
        groups=groups_of(one.contents),
        congeners=levels_of(one.contents),
    )


def band_where(here: NDArray[np.bool_], values: Worlds) -> Band:
    """A band over some worlds only; over all where there are none."""
    spread = np.broadcast_to(values, np.shape(here))
    return band(spread[here] if np.any(here) else spread)


def marks_of(profile: Profile, drawn: Draw, practice: Practice) -> tuple[CutMark, ...]:
    """Each world with its own place in the trade's range, so the band holds both doubts."""
    end_u = profile.pot_u[-1]
    heads_end = drawn["foreshots"] + drawn["heads"]
    first, both = practice.foreshots_share, practice.heads_share
    heads = (first.low + both.low, first.likely + both.likely, first.high + both.high)
    ends, last = practice.heart_end_pct_vol, practice.tails_stop_pct_vol
    asked: Sequence[tuple[str, Stop, tuple[float, float, float]]] = (
        ("foreshots end", Stop("alcohol_share", drawn["foreshots"]), (first.low, first.likely, first.high)),
        ("heads end", Stop("alcohol_share", np.minimum(heads_end, 1.0)), heads),
        ("heart ends", Stop("spout_pct_vol", drawn["heart_end"]), (ends.low, ends.likely, ends.high)),
        ("tails end", Stop("spout_pct_vol", drawn["tails_stop"]), (last.low, last.likely, last.high)),
    )
    found = []
    for key, stop, (low, likely, high) in asked:
        u = moment_of(profile, stop)
        litres = collected_at(profile, u, traced=False).volume_l
        chance = float(np.mean(u > end_u + 1e-9))
        found.append(CutMark(key, stop.by, low, likely, high, band(litres), chance))
    return tuple(found)
