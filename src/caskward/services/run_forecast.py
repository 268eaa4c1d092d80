"""One strip or spirit run of a batch as it is believed to go now: litre by litre, with its doubt."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from caskward.planning.cask_forecast import cask_filled
from caskward.planning.forecast import Chain, spirit_habits, still_of, strip_habits
from caskward.planning.intent import StillGear
from caskward.planning.observing import Watched
from caskward.planning.plan import Band, band
from caskward.planning.update import Belief
from caskward.services.batch_receivers import RunKey, RunKind
from caskward.services.still_gear import Gear, low_wines_g_hl, with_congeners, worlds_of
from caskward.services.still_receivers import band_where
from caskward.stages.distil import Profile, Stop, collected_at, distil, moment_of
from caskward.stages.stream import Stream, Worlds, spirit_of

WORLDS: Final = 256
POINTS: Final = 48
_LAST_WORLDS: Final = 0.5
"""Litres are followed as far as so large a share of the worlds still runs."""
_SOME_L: Final = 1e-4


@dataclass(frozen=True, eq=False)
class RunForecast:
    """A run as it is believed to go; bands over worlds.

    runs: how many of its kind there are. litres: since the first drop; at each of them strength at the spout
    [%vol at 20 °C] and warmth of the vapour at the head [°C], over the worlds that still run. end_l: litres
    at the stop. heart_from_l, heart_to_l: between the plan's own cuts, None of a strip.
    """

    key: RunKey
    runs: int
    charge_l: Band
    charge_pct_vol: Band
    stop_pct_vol: float
    end_l: Band
    litres: tuple[float, ...]
    spout_pct_vol: tuple[Band, ...]
    head_c: tuple[Band, ...]
    heart_end_pct_vol: float
    heart_from_l: Band | None
    heart_to_l: Band | None
    profile: Profile = field(repr=False)
    belief: Belief = field(repr=False)
    chain: Chain = field(repr=False)


@dataclass(frozen=True)
class Between:
    """What runs between two moments: its strength, and the liquid itself with its congeners."""

    pct_vol: Band
    liquid: Stream = field(repr=False)


def run_forecast(belief: Belief, key: RunKey) -> RunForecast:
    """One run of a batch, in some of the worlds that are believed in."""
    z = belief.z[:: max(len(belief.z) // WORLDS, 1)][:WORLDS]
    chain = Watched(belief.sized, belief.draw(z), belief.readings, belief.settings).chain
    kind, _ = key
    charge, runs, stop_pct_vol = _charge_of(chain, kind)
    profile = _profile(chain, kind, charge, stop_pct_vol, len(z))
    litres = _litres(profile)
    cuts = chain.method.cuts
    spirit = kind == "run"
    heads_end = Stop("alcohol_share", min(cuts.foreshots_share + cuts.heads_share, 1.0))
    return RunForecast(
        key=key,
        runs=runs,
        charge_l=band(charge.volume_l),
        charge_pct_vol=band(charge.strength_pct_vol),
        stop_pct_vol=float(np.median(stop_pct_vol)),
        end_l=band(profile.volume_l[-1]),
        litres=tuple(litres.tolist()),
        spout_pct_vol=_along(profile, litres, profile.spout_pct_vol),
        head_c=_along(profile, litres, profile.vapour_c),
        heart_end_pct_vol=cuts.heart_end_pct_vol,
        heart_from_l=_litres_at(profile, heads_end) if spirit else None,
        heart_to_l=_litres_at(profile, Stop("spout_pct_vol", cuts.heart_end_pct_vol)) if spirit else None,
        profile=profile,
        belief=belief,
        chain=chain,
    )


def between(of: RunForecast, from_l: float, to_l: float) -> Between:
    """What runs between two moments, in litres since the first drop; over the worlds that run so far."""
    first, last = (
        collected_at(of.profile, moment_of(of.profile, Stop("volume_l", max(at_l, 1e-6))))
        for at_l in (from_l, to_l)
    )
    liquid = last.less(first).stream
    there = np.asarray(liquid.volume_l > max(0.5 * (to_l - from_l), _SOME_L))
    return Between(band_where(there, liquid.strength_pct_vol), liquid)


def spout_at_litres(of: RunForecast, at_l: float) -> Band | None:
    """What is expected at the spout at some litres; None beyond those that are followed."""
    return _at(of.litres, of.spout_pct_vol, at_l)


def head_at_litres(of: RunForecast, at_l: float) -> Band | None:
    """The same of the warmth at the head."""
    return _at(of.litres, of.head_c, at_l)


def settled(of: RunForecast, reduced_l: float, pct_vol: float) -> tuple[Band, Band]:
    """Level [L] and strength [%vol] of the cask once its wood has settled, filled with so much spirit."""
    spirit = spirit_of(reduced_l, pct_vol).spread((of.chain.worlds.count,))
    _, record = cask_filled(of.chain.intent, of.chain.method, of.chain.worlds, spirit)
    return band(record.settled_level_l), band(record.settled_pct_vol)


# The run -----------------------------------------------------------------------------------------


def _charge_of(chain: Chain, kind: RunKind) -> tuple[Stream, int, Worlds]:
    """One charge, how many there are, and the strength at the spout at which it stops."""
    method = chain.method
    if kind == "run":
        stop = np.asarray(method.cuts.tails_stop_pct_vol)
        return chain.run[0].scaled(1.0 / method.spirit_runs), method.spirit_runs, stop
    charge = chain.rinsed[0].scaled(1.0 / method.strips)
    return charge, method.strips, np.asarray(method.strip_stop_pct_vol)


def _profile(chain: Chain, kind: RunKind, charge: Stream, stop_pct_vol: Worlds, count: int) -> Profile:
    intent = chain.intent
    still = intent.gear.strip_still if kind == "strip" else intent.gear.spirit_still
    habits = strip_habits(chain.worlds) if kind == "strip" else spirit_habits(chain.worlds)
    if kind == "run":
        gear = _gear(still, intent.site.altitude_m)
        worlds = worlds_of(gear, intent.practice.key, count)
        charge = with_congeners(charge, low_wines_g_hl(gear, intent.practice, worlds))
        habits = replace(habits, trace_places=worlds.spirit.trace_places)
    stop = Stop("spout_pct_vol", stop_pct_vol)
    return distil(charge, still_of(intent, still), stop, habits)


def _gear(still: StillGear, altitude_m: float) -> Gear:
    return Gear(kind=still.kind.key, power_kw=still.power_kw, altitude_m=altitude_m)


def _litres(profile: Profile) -> Worlds:
    end_l = float(np.quantile(profile.volume_l[-1], 1.0 - _LAST_WORLDS))
    return np.linspace(0.0, max(end_l, _SOME_L), POINTS + 1)


def _along(profile: Profile, litres: Worlds, values: Worlds) -> tuple[Band, ...]:
    """A figure at even litres; where a world has ended, it is left out."""
    over, values = np.broadcast_arrays(profile.volume_l, values)
    rows = np.array(
        [np.interp(litres, over[:, world], values[:, world], right=np.nan) for world in range(over.shape[1])]
    )
    low, mid, high = np.nanquantile(rows, (0.1, 0.5, 0.9), axis=0)
    return tuple(Band(*ends) for ends in zip(low.tolist(), mid.tolist(), high.tolist(), strict=True))


def _litres_at(profile: Profile, stop: Stop) -> Band:
    u = moment_of(profile, stop)
    return band(collected_at(profile, u, traced=False).volume_l)


def _at(litres: tuple[float, ...], bands: tuple[Band, ...], at_l: float) -> Band | None:
    if not 0.0 <= at_l <= litres[-1]:
        return None
    ends = ([getattr(one, name) for one in bands] for name in ("low", "mid", "high"))
    return Band(*(float(np.interp(at_l, litres, values)) for values in ends))
