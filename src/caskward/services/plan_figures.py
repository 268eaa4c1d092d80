"""The figures of a batch that readings move: each by a name that a maker can type, stage after stage."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.errors import UnknownName
from caskward.planning.forecast import Course
from caskward.planning.plan import Band, Unit, band
from caskward.planning.readings import Stage
from caskward.stages.runs import Receivers
from caskward.stages.stream import Worlds


@dataclass(frozen=True)
class Outcome:
    """A figure of the forecast: its name, its stage, its unit, and where in a course it stands.

    out_of: litres without which there is no such figure, as a strength has none where there is no heart.
    """

    name: str
    words: str
    stage: Stage
    unit: Unit
    of: Callable[[Course], Worlds]
    out_of: Callable[[Course], Worlds] | None = None


@dataclass(frozen=True)
class Figure:
    """One figure of a stage, by the plan and by its readings.

    Bands are of the batches that have it. none_before, none_now: share of batches that do not.
    """

    name: str
    words: str
    stage: Stage
    unit: Unit
    before: Band
    now: Band
    none_before: float = 0.0
    none_now: float = 0.0


def figure_of(one: Outcome, before: Course, now: Course) -> Figure:
    """A figure by two forecasts."""
    (was, none_before), (is_now, none_now) = (_band_of(one, course) for course in (before, now))
    return Figure(one.name, one.words, one.stage, one.unit, was, is_now, none_before, none_now)


def _band_of(one: Outcome, course: Course) -> tuple[Band, float]:
    """Of the batches that have it, and the share that has not; where none has, a band of nothing."""
    values = one.of(course)
    if one.out_of is None:
        return band(values), 0.0
    has = np.broadcast_to(one.out_of(course) > _NOTHING_L, np.shape(values))
    none = 1.0 - float(np.mean(has))
    return (band(values[has]) if np.any(has) else Band(0.0, 0.0, 0.0)), none


_NOTHING_L: Final = 1e-6


def _run(course: Course) -> Receivers:
    return course.spirit.receivers


OUTCOMES: Final = {
    one.name: one
    for one in (
        Outcome(
            "mash gravity",
            "gravity of the mash, before yeast",
            "mash",
            "sg",
            lambda c: c.mash.tub.specific_gravity,
        ),
        Outcome(
            "mash volume",
            "mash in the tub, all together",
            "mash",
            "L",
            lambda c: c.mash.tub.volume_l,
        ),
        Outcome(
            "ferment strength",
            "strength when it has ended",
            "ferment",
            "pct_vol",
            lambda c: c.fermented.strength_pct_vol,
        ),
        Outcome(
            "wash volume",
            "wash off its grain or fruit",
            "wash",
            "L",
            lambda c: c.wash.volume_l,
        ),
        Outcome(
            "wash strength",
            "strength of the wash",
            "wash",
            "pct_vol",
            lambda c: c.wash.strength_pct_vol,
        ),
        Outcome(
            "low wines volume",
            "low wines, all strips",
            "strip",
            "L",
            lambda c: c.low_wines.volume_l,
        ),
        Outcome(
            "low wines strength",
            "strength of the low wines",
            "strip",
            "pct_vol",
            lambda c: c.low_wines.strength_pct_vol,
        ),
        Outcome(
            "charge volume",
            "charge of the spirit run, all of it",
            "charge",
            "L",
            lambda c: c.charge.volume_l,
        ),
        Outcome(
            "charge strength",
            "strength of the charge",
            "charge",
            "pct_vol",
            lambda c: c.charge.strength_pct_vol,
        ),
        Outcome(
            "heart volume",
            "heart, all runs",
            "heart",
            "L",
            lambda c: _run(c).heart.volume_l,
        ),
        Outcome(
            "heart strength",
            "strength of the heart",
            "heart",
            "pct_vol",
            lambda c: _run(c).heart.strength_pct_vol,
            lambda c: _run(c).heart.volume_l,
        ),
        Outcome(
            "fill",
            "spirit at entry strength",
            "cask",
            "L",
            lambda c: c.available_l,
        ),
        Outcome(
            "left over",
            "spirit over when the cask is full",
            "cask",
            "L",
            lambda c: c.surplus.volume_l,
        ),
        Outcome(
            "cask strength",
            "strength the cask settles at",
            "cask",
            "pct_vol",
            lambda c: c.filled.cask_record.settled_pct_vol,
            lambda c: c.available_l,
        ),
        Outcome(
            "feints",
            "feints for the next batch",
            "cask",
            "L",
            lambda c: c.feints.volume_l,
        ),
    )
}
"""Every figure, in the order of the batch's way."""

_ALSO: Final = {
    "cask": "fill",
    "spirit": "fill",
    "cask fill": "fill",
    "wash": "wash strength",
    "low wines": "low wines volume",
    "strip volume": "low wines volume",
    "strip strength": "low wines strength",
    "heart": "heart volume",
    "mash": "mash gravity",
    "surplus": "left over",
    "feints volume": "feints",
}


def outcome(given: str) -> Outcome:
    """The figure that a name stands for.

    Raises:
        UnknownName: there is none of that name.
    """
    name = " ".join(given.lower().replace("_", " ").replace("-", " ").split())
    name = _ALSO.get(name, name)
    if name not in OUTCOMES:
        close = difflib.get_close_matches(name, OUTCOMES, n=1)
        raise UnknownName("figure of a batch", given, close[0] if close else None, tuple(OUTCOMES))
    return OUTCOMES[name]
