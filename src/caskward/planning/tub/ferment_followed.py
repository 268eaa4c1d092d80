"""A ferment in every world of every cause, and what an instrument, a look or a jar of it would show."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from caskward.pace import once
from caskward.planning.tub import ferment_causes as known
from caskward.planning.tub.ferment_driven import RATE_H
from caskward.stages.fermenting import FermentCourse, FermentSettings, ferment_course, resumed
from caskward.stages.iodine import starch_test_positive
from caskward.stages.stream import Stream, Worlds
from caskward.stages.yeast import Yeast, cells_per_ml, effective_g_l

JAR_C: Final = 28.0
JAR_WARM_H, JAR_FED_H, JAR_PITCHED_H = 12.0, 12.0, 4.0
_JAR_YEAST_G_L, _JAR_FOOD_MG_L, _JAR_LAG_H = 4.0, 150.0, 0.5
"""A teaspoon of woken yeast, or a pinch of food, to a litre; *common practice, no source*."""
_BUBBLES_FROM, _JAR_BUBBLES_FROM, _BUBBLES_POWER = 0.06, 0.1, 2.5
"""Gas [g/L/h] at which every second maker sees bubbles in an airlock, in a jar, and how sharply they begin
to be seen; *common practice, no source*."""
_DISSOLVES_G_L, _DISSOLVES_WIDTH = 1.5, 0.15
"""Gas that a wash holds before any leaves it [g/L]; handbook solubility at 20-25 °C, from memory."""
_SOUR_FROM_PH, _SOUR_PH_WIDTH, _SOUR_FROM_G_L, _SOUR_G_L_WIDTH = 3.45, 0.07, 2.5, 0.4
"""pH under which, and bacteria's acid [g/L] from which, a wash tastes plainly sour; *common practice*."""
SPOILED_SHOWS: Final = 0.85
"""How often bacteria that have made so much acid show by smell or skin; *common practice, no source*."""
_STRIP_MG_L, _STRIP_WIDTH = 20.0, 0.35
"""Nitrogen left of what was fed at which an ammonium strip begins to colour [mg/L], and how sharply (log);
*common practice, no source*."""
WOKEN_BADLY: Final = 0.35
"""Of pitches with far too few cells, the share whose packet shows nothing: they were hurt as they were woken,
or stored too warm; *common practice, no source*."""
BILL_IS_POOR: Final = 0.35
"""Of hungry washes that were to be fed, the share in which all food was given: the bill brought less than
was thought; *common practice, no source*."""
_FEW, _FEW_WIDTH, _HUNGRY, _HUNGRY_WIDTH = 0.25, 0.3, 0.45, 0.15
"""Shares of the plan's cells and nitrogen under which a look back finds the reason, and how sharply (log)."""


@dataclass(frozen=True)
class FollowedFerment:
    """A ferment in every world of every cause: as it would warm itself (`free`), and as it was read."""

    worlds: Mapping[str, Worlds]
    yeast: Yeast
    kept: FermentSettings
    free: FermentCourse
    course: FermentCourse
    _seen: dict[tuple[str, float], Worlds] = field(default_factory=dict)

    def expected(self, quantity: str, at_h: float) -> Worlds:
        """What would be read, or the chance of a yes, at a moment of the grid."""
        key = (quantity, at_h)
        if key not in self._seen:
            self._seen[key] = self._expected(quantity, self.at(at_h))
        return self._seen[key]

    def at(self, at_h: float) -> int:
        """The point of the grid at a moment."""
        return int(np.argmin(np.abs(self.course.hours - at_h)))

    def _expected(self, quantity: str, i: int) -> Worlds:
        worlds = self.worlds
        shows: dict[str, Callable[[int], Worlds]] = {
            "temperature": lambda i: self.free.temp_c[i] + worlds[known.THERMOMETER],
            "second_thermometer": lambda i: self.course.temp_c[i],
            "ph": lambda i: self.course.ph[i],
            "ph_checked": lambda i: self.course.ph[i],
            "gravity": lambda i: self._now(i).specific_gravity + self._misread(i),
            "gravity_checked": lambda i: self._now(i).specific_gravity,
            "strength": lambda i: self._now(i).strength_pct_vol,
            "volume": lambda i: self._now(i).volume_at(self.course.temp_c[i]),
            "starch": self._starch,
            "sour": self._sour,
            "spoiled": self._spoiled,
            "bubbles": lambda i: self._bubbles(i) * (1.0 - worlds[known.LEAK]),
            "pitched_at": lambda _: self.free.temp_c[0] + worlds[known.THERMOMETER],
            "yeast_packet": lambda _: self._as_planned(known.CELLS, _FEW, _FEW_WIDTH, WOKEN_BADLY),
            "food_packet": lambda _: self._as_planned(known.NITROGEN, _HUNGRY, _HUNGRY_WIDTH, BILL_IS_POOR),
            "ammonium": lambda i: _rises(np.log(self.course.nitrogen_mg_l[i] / _STRIP_MG_L) / _STRIP_WIDTH),
            "lid_tight": lambda _: 1.0 - worlds[known.LEAK],
            "jar_warm": lambda i: self._jar(i, JAR_WARM_H, 0.0, 0.0),
            "jar_fed": lambda i: self._jar(i, JAR_FED_H, 0.0, _JAR_FOOD_MG_L),
            "jar_pitched": lambda i: self._jar(i, JAR_PITCHED_H, _JAR_YEAST_G_L, 0.0),
        }
        return np.broadcast_to(shows[quantity](i), worlds[known.PITCHED].shape)

    def _now(self, i: int) -> Stream:
        """The wash at a grid point, worked out once."""
        return (
            self._streams.setdefault(i, self.course.stream(i)) if i not in self._streams else self._streams[i]
        )

    @once
    def _streams(self) -> dict[int, Stream]:
        return {}

    def _misread(self, i: int) -> Worlds:
        per_pct = self.worlds[known.MISREAD_PER] * self._now(i).strength_pct_vol
        return np.asarray(self.worlds[known.MISREAD] + per_pct)

    def _starch(self, _: int) -> Worlds:
        long = self.worlds.get(known.LONG, np.zeros_like(self.worlds[known.PITCHED]))
        return np.asarray(starch_test_positive(long))

    def _sour(self, i: int) -> Worlds:
        by_ph = (_SOUR_FROM_PH - self.course.ph[i]) / _SOUR_PH_WIDTH
        return _rises(np.maximum(by_ph, self._much_acid(i)))

    def _spoiled(self, i: int) -> Worlds:
        return SPOILED_SHOWS * _rises(self._much_acid(i))

    def _as_planned(self, name: str, from_share: float, width: float, unseen: float) -> Worlds:
        """Chance that packet and log show what was planned: always where there is enough of it."""
        enough = _rises(np.log(self.worlds[name] / from_share) / width)
        return np.asarray(unseen + (1.0 - unseen) * enough)

    def _much_acid(self, i: int) -> Worlds:
        """How far bacteria's acid is over what is noticed, in widths of doubt."""
        acid_g_l = 1000.0 * self.course.soured_kg[i] / self._litres
        return np.asarray((acid_g_l - _SOUR_FROM_G_L) / _SOUR_G_L_WIDTH)

    @once
    def _litres(self) -> Worlds:
        return np.maximum(self.course.wash.liquid_l, 1e-9)

    def _bubbles(self, i: int) -> Worlds:
        if i == 0:
            return np.zeros_like(self._litres)
        return seen(
            1000.0 * self.course.co2_kg[i - 1 : i + 1] / self._litres, self.course.hours[i - 1 : i + 1]
        )

    def _jar(self, i: int, hours: float, yeast_g_l: float, food_mg_l: float) -> Worlds:
        """Chance that a jar taken now, kept warm, shows bubbles after its time."""
        wash, yeast, kept = resumed(self.course, i, self.yeast, self.kept)
        if yeast_g_l > 0.0:
            awake = self.course.awake[i] * yeast.cells_g_l
            fresh = effective_g_l(cells_per_ml(yeast_g_l, 1.0))
            yeast = replace(yeast, cells_g_l=awake + fresh, lag_h=_JAR_LAG_H)
        had_mg_l = self.course.nitrogen_mg_l[i]
        kept = replace(
            kept,
            set_point_c=JAR_C,
            nitrogen_mg_l=had_mg_l + food_mg_l,
            dextrin_per_h=0.0,
            ph_start=np.clip(kept.ph_start, 1.0, 9.0),
            ph_end=np.clip(kept.ph_end, 1.0, 9.0),
        )
        jar = ferment_course(wash, np.array([0.0, hours - RATE_H, hours]), yeast, kept)
        made = 1000.0 * (self.course.co2_kg[i] + jar.co2_kg[1:]) / self._litres
        return seen(made, jar.hours[1:], _JAR_BUBBLES_FROM)


def seen(made_g_l: Worlds, hours: Worlds, from_g_l_h: float = _BUBBLES_FROM) -> Worlds:
    """Chance that bubbles are seen, by the gas made until two moments [g/L]: the first of it dissolves."""
    rate = (made_g_l[1] - made_g_l[0]) / (hours[1] - hours[0])
    rises = _BUBBLES_POWER * np.log(np.maximum(rate, 1e-12) / from_g_l_h)
    return np.asarray(_rises(rises) * _rises((made_g_l[1] - _DISSOLVES_G_L) / _DISSOLVES_WIDTH))


def _rises(x: Worlds) -> Worlds:
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(x, -50.0, 50.0))))
