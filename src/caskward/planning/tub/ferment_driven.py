"""A ferment's course as warm as it was logged, and between the readings as it warms itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from caskward.planning.readings import Reading
from caskward.stages.fermenting import FermentCourse, FermentSettings, ferment_course
from caskward.stages.stream import Stream, Worlds
from caskward.stages.yeast import Yeast

STEP_H: Final = 6.0
"""Grid between readings [h]; the course cuts it finer by itself."""
RATE_H: Final = 1.0
"""Bubbles are counted over so long before a moment [h]."""
_IN_PLAY: Final = 8.0
"""Worlds whose log likelihood by the logged temperatures is so much under the best have no say."""
_OVER_HOURS: Final = (
    *("used_hexose_kg", "soured_kg", "from_dextrin_kg", "offered_kg", "temp_c"),
    *("cells_g_l", "awake", "nitrogen_mg_l", "ph"),
)


def grid(moments: Worlds) -> Worlds:
    """Hours at an even step, every moment, and a little before each, to see how fast it goes."""
    last_h = max(float(np.max(moments)), RATE_H)
    before = np.maximum(moments - RATE_H, 0.5 * moments)
    every = np.unique(np.round([0.0, *np.arange(0.0, last_h, STEP_H), *moments, *before, last_h], 6))
    return np.asarray(every[np.concatenate([[True], np.diff(every) > 1e-5])])


def between(hours: Worlds, at_h: Worlds, values: Worlds) -> Worlds:
    """Rows of values at some hours, on the grid: straight lines between, level outside; (hours, worlds)."""
    if len(at_h) == 1:
        return np.broadcast_to(values[0], (len(hours), values.shape[1]))
    after = np.clip(np.searchsorted(at_h, hours, side="right"), 1, len(at_h) - 1)
    part = np.clip((hours - at_h[after - 1]) / (at_h[after] - at_h[after - 1]), 0.0, 1.0)[:, None]
    return np.asarray(values[after - 1] + part * (values[after] - values[after - 1]))


class Parts(NamedTuple):
    """What a course is made of."""

    wash: Stream
    yeast: Yeast
    kept: FermentSettings

    def only(self, of: NDArray[np.intp]) -> Parts:
        """The same for some of its worlds."""
        return Parts(_only(self.wash, of), _only(self.yeast, of), _only(self.kept, of))


_Whole = TypeVar("_Whole", Stream, Yeast, FermentSettings)


def _only(whole: _Whole, of: NDArray[np.intp]) -> _Whole:
    some = {name: value[of] for name, value in vars(whole).items() if np.ndim(value) == 1}
    return replace(whole, **some)


def driven(
    parts: Parts, free: FermentCourse, logged: Sequence[Reading], thermometer_k: Worlds
) -> FermentCourse:
    """The course as warm as it was logged, and between the readings as it warms itself.

    Only worlds that a log has left in play are carried once more: the others keep no weight anyway.
    """
    if not logged:
        return free
    log_h, read_c = np.array([r.at_h for r in logged]), np.array([r.value for r in logged])
    on_grid = np.argmin(np.abs(free.hours[:, None] - log_h), axis=0)
    off_k = read_c[:, None] - thermometer_k - free.temp_c[on_grid]
    sd_k = np.array([r.sd for r in logged])[:, None]
    unlike = np.sum(np.log1p((off_k / sd_k) ** 2 / 4.0), axis=0) * 2.5
    of = np.flatnonzero(unlike <= np.min(unlike) + _IN_PLAY)
    some = parts.only(of)
    set_c = np.clip(free.temp_c[:, of] + between(free.hours, log_h, off_k[:, of]), 0.0, 100.0)
    again = ferment_course(some.wash, free.hours, some.yeast, replace(some.kept, set_point_c=set_c))
    return _with(free, again, of)


def _with(course: FermentCourse, some: FermentCourse, of: NDArray[np.intp]) -> FermentCourse:
    """A course with some of its worlds replaced."""
    merged: dict[str, Worlds] = {}
    for name in _OVER_HOURS:
        merged[name] = np.array(getattr(course, name))
        merged[name][:, of] = getattr(some, name)
    return replace(course, **merged)  # type: ignore[arg-type]
