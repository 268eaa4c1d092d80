"""Receivers of a batch's runs on a shelf: how full, how strong as read or expected, their congeners."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final
from weakref import WeakKeyDictionary

import numpy as np

from caskward.planning.plan import band
from caskward.planning.strengths import said
from caskward.properties.congeners import CONGENERS
from caskward.services.run_day import alike
from caskward.services.run_forecast import Between, RunForecast, between
from caskward.services.run_log import Receiver, RunLog
from caskward.services.still_congeners import GROUPS, groups_of
from caskward.services.still_words import rough
from caskward.services.words import banded, figure
from caskward.units import convert
from caskward.units.types import UnitSystem

Lines = tuple[tuple[str, str], ...]
"""What, and its figure, as text."""
_LITRES: Final = (0.1, 0.25, 0.5, 0.75, 1, 1.5, 2, 3, 5, 10, 15, 20, 25, 30, 50, 60, 100)
_GALLONS: Final = (0.0625, 0.125, 0.25, 0.5, 1, 2, 3, 5, 10, 15, 30)
_SIZES_L: Final = tuple(sorted((*_LITRES, *(convert.US_GALLON_L * each for each in _GALLONS))))
_BRIM: Final = 1.03
GROUP_WORDS: Final = {"early": "come early", "with the heart": "come with the heart", "late": "come late"}


@dataclass(frozen=True)
class OnShelf:
    """A receiver as it is shown. level: 0 to 1. read: whether its strength was read. said: all in words.

    look_again: why what was read can hardly be; empty if it can.
    """

    name: str
    vessel: str
    level: float
    volume: str
    strength: str
    read: bool
    mark: str
    smells: str
    taken: bool
    discarded: bool
    congeners: Lines
    said: str
    look_again: str = ""


def taken_first(log: RunLog, of: RunForecast | None) -> tuple[str, ...]:
    """What is taken before anybody taps: what is recorded, else by marks, else by the plan's own cuts."""
    jars = [one for one in log.of_kind("run") if not one.discarded]
    if log.whole:
        return tuple(one.name for one in jars if one.name in log.taken)
    open_ = [one for one in jars if not log.is_settled(one)]
    marked = any(one.mark is not None for one in open_)
    likes = _liked if marked else _in_plan
    return tuple(
        one.name for one in jars if (one.name in log.taken if log.is_settled(one) else likes(one, of))
    )


def _liked(one: Receiver, of: RunForecast | None) -> bool:
    if one.mark is None:
        return _in_plan(one, of)
    return one.mark.place == "in" or (one.mark.place == "maybe" and one.mark.score >= 0.0)


def _in_plan(one: Receiver, of: RunForecast | None) -> bool:
    """Whether the middle of it ran between the plan's own cuts; without a plan every jar might be heart."""
    if of is None or of.heart_from_l is None or of.heart_to_l is None:
        return True
    middle_l = 0.5 * (one.from_l + one.to_l)
    return of.heart_from_l.mid <= middle_l <= of.heart_to_l.mid


def shelf(
    receivers: Sequence[Receiver], of: RunForecast | None, taken: Collection[str], system: UnitSystem
) -> tuple[OnShelf, ...]:
    """Receivers as they are shown."""
    return tuple(_shown(one, receivers, of, one.name in taken, system) for one in receivers)


def _shown(
    one: Receiver, among: Sequence[Receiver], of: RunForecast | None, taken: bool, system: UnitSystem
) -> OnShelf:
    ran = ran_into(of, one)
    volume = figure(one.volume_l, "L", system)
    strength = _strength(one, ran, system)
    mark = _mark(one)
    smells = ", ".join(one.smells)
    is_in = taken and not one.discarded
    parts = (volume, strength or "strength not read", mark, smells)
    return OnShelf(
        name=one.name,
        vessel=one.vessel,
        level=min(one.volume_l / _size_l(one, among), 1.0),
        volume=volume,
        strength=strength,
        read=one.pct_vol is not None,
        mark=mark,
        smells=smells,
        taken=is_in,
        discarded=one.discarded,
        congeners=_congeners_in(of, one),
        said=f"{one.name}: {', '.join(part for part in parts if part)}",
        look_again=_look_again(one, ran, system),
    )


def _look_again(one: Receiver, ran: Between | None, system: UnitSystem) -> str:
    """What to check where a jar's strength lies beyond what is expected to have run into it."""
    if ran is None or one.pct_vol is None or one.discarded or alike(one.pct_vol, ran.pct_vol, "strength"):
        return ""
    side = "under" if one.pct_vol < ran.pct_vol.low else "over"
    name, fits = one.name[:1].upper() + one.name[1:], banded(ran.pct_vol, "pct_vol", system)
    return (
        f"{name} was read at {said(one.pct_vol, system)}, {side} what is expected in it, {fits}: mix it, and "
        "read it again with the sample's warmth. "
        "The forecast follows readings at the spout, not those of jars."
    )


def _strength(one: Receiver, ran: Between | None, system: UnitSystem) -> str:
    if one.pct_vol is not None:
        return said(one.pct_vol, system)
    return f"about {said(ran.pct_vol.mid, system)}" if ran else ""


def _mark(one: Receiver) -> str:
    if one.mark is None:
        return ""
    if one.mark.place != "maybe":
        return one.mark.place
    return f"{one.mark.score:+g}" if one.mark.score else "0"


def _size_l(one: Receiver, among: Sequence[Receiver]) -> float:
    """The least usual size that holds the fullest receiver of its kind; *common practice, no source*."""
    most_l = max(other.volume_l for other in among if _alike(other, one))
    return next((size for size in _SIZES_L if most_l <= size * _BRIM), most_l)


def _alike(one: Receiver, other: Receiver) -> bool:
    return (one.vessel, one.discarded) == (other.vessel, other.discarded)


class _Kept:
    """What was worked out from one forecast: pages ask for the same again and again."""

    def __init__(self) -> None:
        self.ran: dict[tuple[float, float], Between] = {}
        self.lines: dict[tuple[float, float], Lines] = {}


_KEPT: WeakKeyDictionary[RunForecast, _Kept] = WeakKeyDictionary()


def _ends(one: Receiver) -> tuple[float, float]:
    return round(one.from_l, 4), round(one.to_l, 4)


def ran_into(of: RunForecast | None, one: Receiver) -> Between | None:
    """What is expected to have run into a receiver; None where nothing is forecast of it."""
    if of is None or of.key[0] != one.of[0] or one.from_l >= of.litres[-1]:
        return None
    known, ends = _KEPT.setdefault(of, _Kept()).ran, _ends(one)
    if ends not in known:
        known[ends] = between(of, *ends)
    return known[ends]


def _congeners_in(of: RunForecast | None, one: Receiver) -> Lines:
    """Congeners that are expected in a receiver of a spirit run."""
    ran = ran_into(of, one) if one.of[0] == "run" else None
    if ran is None or of is None:
        return ()
    known, ends = _KEPT.setdefault(of, _Kept()).lines, _ends(one)
    if ends not in known:
        known[ends] = congener_lines(ran)
    return known[ends]


def congener_lines(ran: Between) -> Lines:
    """Groups of congeners and methanol [g/hL of pure alcohol], as text with bands."""
    levels = ran.liquid.traces_g_hl_pure
    if levels is None:
        return ()
    groups = zip(GROUPS, groups_of(ran.liquid), strict=True)
    methanol = band(np.maximum(levels[CONGENERS.index("methanol")], 0.0))
    return (*((GROUP_WORDS[group], rough(of)) for group, of in groups), ("methanol", rough(methanol)))
