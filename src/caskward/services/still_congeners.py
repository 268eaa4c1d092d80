"""Congeners of a liquid as levels with their doubt, beside what a nose is said to find."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from caskward.catalogue.load import load
from caskward.catalogue.traces import THRESHOLDS_ARE_WEAK, Threshold
from caskward.planning.plan import Band, band
from caskward.properties.congeners import CONGENERS
from caskward.stages.stream import Stream

__all__ = ["GROUPS", "THRESHOLDS_ARE_WEAK", "Level", "group_rows", "groups_of", "levels_of"]

Group = Literal["early", "with the heart", "late"]
GROUPS: tuple[Group, ...] = ("early", "with the heart", "late")
SMELT_AT_PCT_VOL = 40.0
_BEST_MATRIX = ("whisky", "alcohol and water, 40 %vol", "alcohol and water, 9.4 %vol", "beer")


@dataclass(frozen=True)
class Level:
    """One congener in a liquid.

    g_hl: grams per hectolitre of pure alcohol. times_threshold: its level at 40 %vol over a published
    threshold in `matrix`, both doubts in the band; None where none is published.
    """

    name: str
    comes: str
    g_hl: Band
    times_threshold: Band | None
    matrix: str


def levels_of(liquid: Stream) -> tuple[Level, ...]:
    """Every congener of a liquid, in the order they come over; none where they are not known."""
    levels = liquid.traces_g_hl_pure
    if levels is None:
        return ()
    known, best = load().congeners, _best_thresholds()
    found = []
    for group in GROUPS:
        for row, name in enumerate(CONGENERS):
            if known[name].comes == group:
                of = band(levels[row])
                found.append(Level(known[name].name, group, of, *_against(of, best.get(name))))
    return tuple(found)


def group_rows(group: Group) -> list[int]:
    """Rows of a group's congeners; methanol stands for itself and acetic acid would drown the others."""
    known = load().congeners
    return [row for row, name in enumerate(CONGENERS) if known[name].comes == group and name not in _ALONE]


def groups_of(liquid: Stream) -> tuple[Band, ...]:
    """Early, heart's and late congeners of a liquid, each added up [g/hL of pure alcohol]."""
    levels = liquid.traces_g_hl_pure
    return () if levels is None else tuple(band(levels[group_rows(g)].sum(axis=0)) for g in GROUPS)


_ALONE = ("methanol", "acetic acid")


def _best_thresholds() -> dict[str, Threshold]:
    """The threshold whose liquid is most like a spirit, for each congener that has one."""
    found: dict[str, Threshold] = {}
    for matrix in _BEST_MATRIX:
        for one in load().thresholds:
            if one.matrix == matrix:
                found.setdefault(one.congener, one)
    return found


def _against(of: Band, threshold: Threshold | None) -> tuple[Band | None, str]:
    if threshold is None:
        return None, ""
    mg_l, per = threshold.mg_l, SMELT_AT_PCT_VOL / 10.0
    return (
        Band(of.low * per / mg_l.high, of.mid * per / mg_l.likely, of.high * per / mg_l.low),
        threshold.matrix,
    )
