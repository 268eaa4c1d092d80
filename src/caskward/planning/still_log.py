"""What a maker logs of a run, and what a still with given habits would have shown at the same moments."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite
from typing import Literal

import numpy as np

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import StillKind
from caskward.errors import MissingValue, OutOfRange
from caskward.planning.unknowns import Unknown
from caskward.properties import alcohol
from caskward.stages.distil import HoldUp, Still, StillUnknowns, Stop, distil
from caskward.stages.stream import Stream, Worlds

RunKind = Literal["strip", "spirit"]

_STEPS = 96
"""Intervals of a run; read off by straight lines, its strength is then within 0.02 %vol."""
_LAST_PCT_VOL = 0.5


@dataclass(frozen=True)
class SpoutPoint:
    """A reading at the spout: litres since the first drop, strength and its error, all at 20 °C."""

    collected_l: float
    pct_vol: float
    sd_pct_vol: float = 0.5


@dataclass(frozen=True)
class HeatUp:
    """From cold to boiling: hours, starting temperature, and the share of the time that is in doubt."""

    hours: float
    from_c: float
    sd_share: float = 0.05


@dataclass(frozen=True)
class LoggedRun:
    """One run as logged: what was charged (one world), with what heat, and what was read.

    charge_sd_pct_vol: doubt of the charge's strength [%vol]. offset_sd_pct_vol: error that all readings of
    the run share, from the instrument and its temperature [%vol].
    """

    name: str
    kind: RunKind
    charge: Stream
    power_kw: float
    points: tuple[SpoutPoint, ...] = ()
    heat_up: HeatUp | None = None
    charge_sd_pct_vol: float = 0.3
    offset_sd_pct_vol: float = 0.3

    def __post_init__(self) -> None:
        """Refuse what no log can hold."""
        if not self.points and self.heat_up is None:
            example = "a strength at the spout with the litres collected"
            raise MissingValue(self.name, "a reading", example)
        _within(f"The heat of {self.name}", self.power_kw, "kW", 0.01, 1000.0)
        _within(f"The doubt of the charge of {self.name}", self.charge_sd_pct_vol, "%vol", 0.0, 10.0)
        _within(f"The shared error of {self.name}", self.offset_sd_pct_vol, "%vol", 0.0, 10.0)
        for point in self.points:
            where = f"in {self.name}"
            _within(f"The volume collected {where}", point.collected_l, "L", 0.0, 10_000.0)
            _within(f"The strength at the spout {where}", point.pct_vol, "%vol", 0.0, 100.0)
            _within(f"The error of a strength {where}", point.sd_pct_vol, "%vol", 0.01, 20.0)
        if self.heat_up is not None:
            _within(f"The heat-up time of {self.name}", self.heat_up.hours, "h", 0.01, 100.0)
            _within(f"The starting temperature of {self.name}", self.heat_up.from_c, "°C", -5.0, 90.0)
            _within(f"The doubt of the heat-up time of {self.name}", self.heat_up.sd_share, "", 0.001, 1.0)


def _within(name: str, given: float, unit: str, low: float, high: float) -> None:
    if not (isfinite(given) and low <= given <= high):
        raise OutOfRange(name, given, unit, low, high, "Check what was written down.")


@dataclass(frozen=True)
class StillPriors:
    """What is thought of a still before its own runs are read, as unknowns.

    A still has one place in its bands of reflux for strips and spirit runs, and one in those of heat lost, so
    that a strip teaches something about the spirit run. hold_up_l: dead volume before the spout [L], None
    where it is not asked for.
    """

    reflux: Mapping[RunKind, Unknown]
    heat_lost: Mapping[RunKind, Unknown]
    hold_up_l: Unknown | None = None


def priors_of(kind: StillKind, hold_up_l: Fact | None = None) -> StillPriors:
    """The catalogue's still as unknowns, with the words of the forecast."""

    def gear(name: str, words: str, fact: Fact, scale: Literal["share", "positive"] = "share") -> Unknown:
        return Unknown(name, words, "gear", scale, fact.low, fact.likely, fact.high, fact.source)

    dead = None
    if hold_up_l is not None:
        dead = gear("still.hold_up_l", "dead volume before the spout", hold_up_l, "positive")
    words = "what the still's head sends back"
    return StillPriors(
        {
            "strip": gear("strip.reflux", f"{words} in a strip", kind.reflux_strip),
            "spirit": gear("spirit.reflux", words, kind.reflux_spirit),
        },
        {
            "strip": gear("strip.heat_lost", "heat the still loses in a strip", kind.heat_loss_share),
            "spirit": gear("spirit.heat_lost", "heat the still loses", kind.heat_loss_share),
        },
        dead,
    )


@dataclass(frozen=True)
class Habits:
    """A still's place in each band, in deviates of the priors, and the charge's strength off by [%vol]."""

    reflux_z: Worlds
    heat_lost_z: Worlds
    hold_up_z: Worlds
    charge_off_pct_vol: Worlds


def would_show(run: LoggedRun, still: Still, priors: StillPriors, habits: Habits) -> Worlds:
    """What the still would have shown: strength at each point [%vol], then hours to heat up.

    (readings, worlds). The charge's volume is kept and its strength shifted. A point past the end of the run
    shows its last drop.
    """
    unknowns = StillUnknowns(
        priors.reflux[run.kind].at(habits.reflux_z), priors.heat_lost[run.kind].at(habits.heat_lost_z)
    )
    dead = still.hold_up
    if priors.hold_up_l is not None:
        dead = HoldUp(priors.hold_up_l.at(habits.hold_up_z))
    like_it = replace(still, power_kw=run.power_kw, hold_up=dead)
    charge = _shifted(run.charge, habits.charge_off_pct_vol)
    if run.heat_up is not None:
        charge = charge.at(run.heat_up.from_c)
    profile = distil(charge, like_it, Stop("spout_pct_vol", _LAST_PCT_VOL), unknowns, _STEPS)
    litres = np.array([point.collected_l for point in run.points])
    worlds = range(len(habits.reflux_z))
    shown = np.array(
        [np.interp(litres, profile.volume_l[:, w], profile.spout_pct_vol[:, w]) for w in worlds]
    ).T
    return shown if run.heat_up is None else np.vstack([shown, profile.heat_up_h])


def _shifted(charge: Stream, off_pct_vol: Worlds) -> Stream:
    """The charge with its strength shifted, its water and alcohol still filling the same litres."""
    litres = np.asarray(alcohol.volume_l(charge.water_kg, charge.ethanol_kg))
    pct_vol = np.asarray(alcohol.pct_vol(charge.ethanol_kg / (charge.ethanol_kg + charge.water_kg)))
    share = np.asarray(alcohol.mass_fraction(np.clip(pct_vol + off_pct_vol, 0.2, 90.0)))
    kg = litres * np.asarray(alcohol.density(share, 20.0)) / 1000.0
    bare = replace(charge, traces_mg=None).spread(share.shape)
    return bare.with_masses(ethanol_kg=kg * share, water_kg=kg * (1.0 - share))
