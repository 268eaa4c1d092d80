"""Where a run ends: in words, and that it does not end before it begins."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import numpy as np

from caskward.errors import NothingRuns
from caskward.planning.plan import Unit, band
from caskward.planning.strengths import said
from caskward.services.words import banded, figure
from caskward.stages.distil import Profile, Stop
from caskward.stages.stream import Worlds
from caskward.units import show
from caskward.units.types import UnitSystem

_STOPS = {
    "spout_pct_vol": "the spout shows {}",
    "pot_pct_vol": "the pot holds {}",
    "pot_c": "the pot boils at {}",
    "vapour_c": "the vapour is at {}",
    "volume_l": "{} are collected",
    "own_volume_l": "{} are collected",
    "hours": "{} after the first drop",
    "alcohol_share": "{} of the alcohol are over",
}

A_DROP_L = 1e-6
_BEGINS: dict[str, tuple[Callable[[Profile], Worlds], Unit, bool]] = {
    "spout_pct_vol": (lambda profile: profile.spout_pct_vol[0], "pct_vol", True),
    "pot_pct_vol": (lambda profile: profile.pot_pct_vol[0], "pct_vol", True),
    "pot_c": (lambda profile: profile.pot_c[0], "C", False),
    "vapour_c": (lambda profile: profile.vapour_c[0], "C", False),
}
"""What a stop watches at the first drop, its unit, and whether it falls from there on."""


class Stopped(Protocol):
    """Anything that ends at a stop."""

    @property
    def stop_by(self) -> str:
        """What ends it."""

    @property
    def stop_value(self) -> float:
        """At what value."""


def stop_words(report: Stopped, system: UnitSystem) -> str:
    """When a run ends: `the spout shows 10.0 %vol`."""
    return stop_said(report.stop_by, report.stop_value, system)


def stop_said(by: str, value: float, system: UnitSystem) -> str:
    """A stop in words: `the spout shows 10.0 %vol`."""
    by_kind: dict[str, Callable[[float, UnitSystem], str]] = {
        "spout_pct_vol": said,
        "pot_pct_vol": said,
        "pot_c": show.temperature,
        "vapour_c": show.temperature,
        "volume_l": show.volume,
        "own_volume_l": show.volume,
    }
    if by in by_kind:
        return _STOPS[by].format(by_kind[by](value, system))
    return _STOPS[by].format(show.duration(value) if by == "hours" else show.share(value))


def check_stop(stop: Stop, profile: Profile, system: UnitSystem) -> None:
    """Refuse a stop that is met before the first drop.

    Raises:
        NothingRuns: in most worlds nothing is collected.
    """
    chance = float(np.mean(profile.volume_l[-1] <= A_DROP_L))
    if chance <= 0.5:
        return
    begins, advice = _begins(profile, stop, system)
    raise NothingRuns(stop_said(stop.by, float(np.asarray(stop.value)), system), chance, begins, advice)


def _begins(profile: Profile, stop: Stop, system: UnitSystem) -> tuple[str, str]:
    if stop.by not in _BEGINS:
        return "What comes over stays in the dead volume.", "Stop later, or look at --hold-up again."
    first_of, unit, falls = _BEGINS[stop.by]
    b = band(first_of(profile))
    way, side, edge = ("falls", "under", b.low) if falls else ("rises", "over", b.high)
    begins = f"It begins at {banded(b, unit, system)} and only {way}."
    return begins, f"Choose a stop {side} {figure(edge, unit, system)}."
