"""One tub's yeast and its ferment by the hour: pitched, kept at a warmth or left to itself, followed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from caskward.pace import once
from caskward.planning.doses import brought_nitrogen_mg, nutrient_grams, yeast_grams
from caskward.planning.doubts import STOPS_SHORT, gives_out_at, used_at_last
from caskward.planning.intent import Intent
from caskward.planning.log_slips import averaged
from caskward.planning.method import Method
from caskward.planning.sizing import Sized
from caskward.planning.tub import brew_doubts as doubt
from caskward.planning.tub.ferment_driven import between
from caskward.planning.unknowns import Draw
from caskward.stages.ferment import written_off
from caskward.stages.fermenting import FermentCourse, FermentSettings, ferment_course, resumed
from caskward.stages.stream import MASSES, Stream, Worlds
from caskward.stages.yeast import (
    DAP_NITROGEN,
    Rehydration,
    Yeast,
    cells_per_ml,
    dap_g,
    effective_g_l,
    nitrogen_need_mg_l,
    rehydration,
)

_Whole = TypeVar("_Whole", Stream, Yeast, FermentSettings)
STEP_H: Final = 2.0
_GRAIN_PH: Final = (5.0, 4.0)
_FRUIT_PH: Final = (3.9, 3.6)
"""pH at pitching and at the end; *common practice, no source*."""
_LONGEST_WAKING_H: Final = 400.0
_AT_ONCE_H: Final = 1e-6
AT_PITCH_H: Final = 0.25
"""A temperature logged within so long of the pitch is the pitch's own [h]."""


def ph_of(intent: Intent) -> tuple[float, float]:
    """pH of a sound ferment at its start and at its end: of fruit, where that is most of the bill."""
    fruit = sum(i.share for i in intent.bill if i.material.prepare == "crush") > 0.5
    return _FRUIT_PH if fruit else _GRAIN_PH


@dataclass(frozen=True)
class Kept:
    """How the tub is kept: a controller's temperature, its room, and temperatures as logged (hour, °C).

    Logged temperatures are followed to the last of them, and between them the tub's own warming; then the
    controller's or the room's word holds. followed: which of them to follow, (rows, worlds); None: all.
    moved_on_h: until when a ferment stood still that was read to move again [h].
    """

    room_c: float
    set_point_c: float | None = None
    logged: tuple[tuple[float, float], ...] = ()
    moved_on_h: float | None = None
    followed: NDArray[np.bool_] | None = None


@dataclass(frozen=True)
class Pitch:
    """One tub's yeast and food: grams, cells per mL, how it is woken, nitrogen [mg/L], phosphate [g].

    dap_g: what the plan buys for this tub; full_dap_g: what would make good all that is wanting.
    """

    yeast_g: float
    temp_c: float
    wash_l: Worlds
    cells_ml: Worlds
    rehydration: Rehydration
    sugar_g_l: Worlds
    needs_mg_l: Worlds
    given_mg_l: Worlds
    dap_g: float
    full_dap_g: Worlds


@dataclass(frozen=True)
class Brew:
    """A ferment over a grid of hours in every world; `legs` are its courses, one after the other."""

    legs: tuple[FermentCourse, ...]

    @once
    def hours(self) -> Worlds:
        """Hours since pitching."""
        starts = np.cumsum([0.0, *(leg.hours[-1] for leg in self.legs[:-1])])
        return np.concatenate([leg.hours[k > 0 :] + starts[k] for k, leg in enumerate(self.legs)])

    def _joined(self, name: str) -> Worlds:
        return np.concatenate([getattr(leg, name)[k > 0 :] for k, leg in enumerate(self.legs)])

    @once
    def temp_c(self) -> Worlds:
        """Temperature [°C], (hours, worlds)."""
        return self._joined("temp_c")

    @once
    def specific_gravity(self) -> Worlds:
        """Gravity of the liquid, 20 °C over water at 20 °C."""
        return self._joined("specific_gravity")

    @once
    def strength_pct_vol(self) -> Worlds:
        """Alcohol in the liquid [%vol]."""
        return self._joined("strength_pct_vol")

    @once
    def sugar_g_l(self) -> Worlds:
        """Sugar in the liquid [g/L]."""
        return self._joined("sugar_g_l")

    @once
    def co2_kg(self) -> Worlds:
        """Carbon dioxide made so far [kg]."""
        made, out = 0.0, []
        for k, leg in enumerate(self.legs):
            out.append(leg.co2_kg[k > 0 :] + made)
            made = made + leg.co2_kg[-1]
        return np.concatenate(out)

    @property
    def dry_h(self) -> Worlds:
        """When it is dry [h]; inf in worlds where it is not by the last hour."""
        dry_h, starts_h, used_kg = self.legs[0].dry_h, 0.0, np.zeros_like(self.legs[0].usable_kg)
        for before, leg in pairwise(self.legs):
            starts_h += float(before.hours[-1])
            used_kg = used_kg + before.used_hexose_kg[-1] + before.soured_kg[-1]
            # A later leg's share gone counts from its own start: what is dry is dry of the whole.
            gone = (used_kg + leg.used_hexose_kg + leg.soured_kg) / np.maximum(used_kg + leg.usable_kg, 1e-12)
            later = starts_h + crossing(leg.hours, gone, 1.0 - _DRY_AT)
            dry_h = np.where(np.isfinite(dry_h), dry_h, later)
        return dry_h

    @property
    def stuck(self) -> NDArray[np.bool_]:
        """Worlds that no longer move with sugar left."""
        return self.legs[-1].stuck

    @once
    def end(self) -> Stream:
        """The finished wash."""
        return self.legs[-1].end

    @property
    def wash(self) -> Stream:
        """What the yeast was pitched into."""
        return self.legs[0].wash

    def stream(self, at_h: float) -> Stream:
        """The finished wash, were it taken at an hour of the grid."""
        before_h = 0.0
        for leg in self.legs:
            if at_h <= before_h + leg.hours[-1] + 1e-9 or leg is self.legs[-1]:
                i = int(np.argmin(np.abs(leg.hours + before_h - at_h)))
                return written_off(leg.stream(i))[0]
            before_h += float(leg.hours[-1])
        raise AssertionError("there is always a leg")


_DRY_AT: Final = 0.01


def crossing(hours: Worlds, values: Worlds, goal: float) -> Worlds:
    """First hour at which rising values (hours, worlds) reach a goal, between points in a straight line."""
    reached = values >= goal
    late = np.argmax(reached, axis=0)
    early = np.maximum(late - 1, 0)
    after, before = (np.take_along_axis(values, at[None], axis=0)[0] for at in (late, early))
    part = np.clip((goal - before) / np.maximum(after - before, 1e-12), 0.0, 1.0)
    at_h = hours[early] + part * (hours[late] - hours[early])
    return np.where(np.any(reached, axis=0), at_h, np.inf)


def first_worlds(stream: Stream, count: int) -> Stream:
    """The first worlds of a stream, its congeners left out."""
    parts = {name: np.broadcast_to(getattr(stream, name), stream.total_kg.shape) for name in MASSES}
    temp_c = np.broadcast_to(stream.temp_c, stream.total_kg.shape)
    return Stream(**{name: part[:count] for name, part in parts.items()}, temp_c=temp_c[:count])


@dataclass(frozen=True)
class Supplies:
    """Yeast and phosphate for one tub [g]."""

    yeast_g: float
    dap_g: float


def pitch_of(sized: Sized, worlds: Draw, wash: Stream, temp_c: float) -> Pitch:
    """The plan's yeast and food for one tub of wash."""
    count = sized.method.ferments
    given = Supplies(yeast_grams(sized) / count, nutrient_grams(sized) / count)
    return pitched_with(sized.intent, sized.method, worlds, wash, given, temp_c)


def pitched_with(
    intent: Intent, method: Method, worlds: Draw, wash: Stream, supplies: Supplies, temp_c: float
) -> Pitch:
    """One tub of wash with so much yeast and food."""
    litres = np.maximum(wash.liquid_l, 1e-9)
    sugar_g_l = np.asarray(1000.0 * wash.fermentable_kg / litres)
    needs = np.asarray(nitrogen_need_mg_l(sugar_g_l, intent.yeast.nitrogen_demand_mg_per_g_sugar.likely))
    brought_mg = brought_nitrogen_mg(intent, method) / method.ferments
    given = np.asarray(worlds[doubt.FOOD] * brought_mg / litres)
    return Pitch(
        yeast_g=supplies.yeast_g,
        temp_c=temp_c,
        wash_l=wash.volume_l,
        cells_ml=np.asarray(cells_per_ml(supplies.yeast_g, litres, worlds[doubt.CELLS_PER_G])),
        rehydration=rehydration(supplies.yeast_g, min(max(temp_c, 0.0), 60.0)),
        sugar_g_l=sugar_g_l,
        needs_mg_l=needs,
        given_mg_l=given,
        dap_g=supplies.dap_g,
        full_dap_g=np.asarray(dap_g(needs - given, litres)),
    )


def ferment_tub(
    intent: Intent,
    worlds: Draw,
    wash: Stream,
    pitch: Pitch,
    kept: Kept,
    until_h: float,
    also_h: Sequence[float] = (),
    step_h: float = STEP_H,
) -> Brew:
    """Ferment one tub of wash from the pitch to an hour, with points at some hours of its own.

    One that is looked at only as the yeast goes in is followed for a step: a course has a length.
    """
    until_h = until_h if until_h > _AT_ONCE_H else step_h
    yeast, settings = _yeast(worlds, pitch), _settings(intent, worlds, pitch, kept)
    wash = wash.at(_pitched_c(kept, pitch.temp_c))
    own = _own_warmth(intent, worlds, wash, pitch, kept, step_h)
    legs: list[FermentCourse] = []
    from_h = 0.0
    for to_h in _ends(kept, until_h):
        if legs:
            moves = from_h == kept.moved_on_h
            yeast = replace(yeast, gives_out_at=used_at_last(worlds, moved_on=True)) if moves else yeast
            wash, yeast, settings = resumed(legs[-1], len(legs[-1].hours) - 1, yeast, settings)
            yeast = _mended(yeast, worlds) if moves else yeast
        hours = grid(to_h - from_h, [h - from_h for h in also_h if from_h < h <= to_h], step_h)
        settings = replace(settings, set_point_c=_held(kept, own, hours + from_h))
        legs.append(ferment_course(wash, hours, yeast, settings))
        from_h = to_h
    return Brew(tuple(legs))


def peaks_c(
    intent: Intent, worlds: Draw, wash: Stream, pitch: Pitch, kept: Kept, from_c: Worlds, hours: Worlds
) -> Worlds:
    """The warmest that a tub gets within some hours, pitched at each of some temperatures, all in one run.

    Args:
        from_c: (temperatures,) [°C]. hours: the grid [h]. Returns (temperatures, worlds) [°C].
    """
    yeast, settings = _yeast(worlds, pitch), _settings(intent, worlds, pitch, kept)
    times = len(from_c)

    def again(whole: _Whole) -> _Whole:
        tiled = {name: np.tile(v, times) for name, v in vars(whole).items() if np.ndim(v) == 1}
        return replace(whole, **tiled)

    starts_c = np.repeat(from_c, worlds.count)
    course = ferment_course(again(wash).at(starts_c), hours, again(yeast), again(settings))
    return np.asarray(np.max(course.temp_c, axis=0).reshape(times, worlds.count))


def pitched_at_c(kept: Kept, planned_c: float) -> float:
    """Where it was pitched: as logged at the pitch itself, or else as planned."""
    first = kept.logged[:1]
    return first[0][1] if first and first[0][0] <= AT_PITCH_H else planned_c


def _pitched_c(kept: Kept, planned_c: float) -> float | Worlds:
    """The same in every world, by the rows that it follows."""
    if kept.followed is None:
        return pitched_at_c(kept, planned_c)
    at_c: float | Worlds = planned_c
    for k in reversed(range(_rows_at_pitch(kept))):
        at_c = np.where(kept.followed[k], kept.logged[k][1], at_c)
    return at_c


def _rows_at_pitch(kept: Kept) -> int:
    return sum(at_h <= AT_PITCH_H for at_h, _ in kept.logged)


def _own_warmth(
    intent: Intent, worlds: Draw, wash: Stream, pitch: Pitch, kept: Kept, step_h: float
) -> Brew | None:
    """The tub as it would have gone by itself until its last logged temperature; None where none is."""
    last_h = _last_logged_h(kept)
    if not last_h:
        return None
    first = _rows_at_pitch(kept)
    followed = None if kept.followed is None else kept.followed[:first]
    alone = replace(kept, logged=kept.logged[:first], followed=followed)
    by_h = [h for h, _ in kept.logged]
    return ferment_tub(intent, worlds, wash, pitch, alone, last_h, by_h, step_h)


def _mended(yeast: Yeast, worlds: Draw) -> Yeast:
    """A yeast that wakes again, where it had stopped; elsewhere as it was."""
    wakes_h = np.minimum(worlds[doubt.WAKES_AGAIN_H], _LONGEST_WAKING_H)
    return replace(yeast, lag_h=np.where(worlds[STOPS_SHORT] > 0.0, wakes_h, yeast.lag_h))


def _ends(kept: Kept, until_h: float) -> list[float]:
    """Where a new leg begins: after the last logged temperature, where a ferment moved on; and the end."""
    ends = {_last_logged_h(kept), kept.moved_on_h or 0.0, until_h}
    return sorted(h for h in ends if h > _AT_ONCE_H and (h == until_h or h < until_h - _AT_ONCE_H))


def _last_logged_h(kept: Kept) -> float:
    """Until when logged temperatures are followed [h]; 0 where none is logged after the pitch."""
    last_h = kept.logged[-1][0] if kept.logged else 0.0
    return last_h if last_h > AT_PITCH_H else 0.0


def _held(kept: Kept, own: Brew | None, hours: Worlds) -> float | Worlds | None:
    """What the tub is held at over a leg: as logged, or by its controller; None where it is left alone.

    Between what was logged it warms as it would by itself, moved so that it meets the readings: by nothing at
    the pitch, by all of what a reading is off at its hour.
    """
    if own is None or hours[-1] > _last_logged_h(kept) + 1e-6:
        return kept.set_point_c
    at_h, at_c = (np.array(column, dtype=float) for column in zip(*kept.logged, strict=True))
    off_k = at_c[:, None] - between(at_h, own.hours, own.temp_c)
    off_on_grid_k = _off_on_grid(at_h, off_k, kept.followed, hours)
    return np.clip(between(hours, own.hours, own.temp_c) + off_on_grid_k, 0.0, 100.0)


def _off_on_grid(at_h: Worlds, off_k: Worlds, followed: NDArray[np.bool_] | None, hours: Worlds) -> Worlds:
    """How far off its own warmth a tub is over the grid, by the rows that each world follows."""
    every = np.ones(off_k.shape, dtype=bool) if followed is None else followed
    found = np.zeros((len(hours), off_k.shape[1]))
    kinds, kind = np.unique(every, axis=1, return_inverse=True)
    for k, rows in enumerate(kinds.T):
        of = np.flatnonzero(kind == k)
        if rows.any():
            when_h, off = averaged(at_h[rows], off_k[rows][:, of])
            if when_h[0] > AT_PITCH_H:
                when_h, off = np.concatenate([[0.0], when_h]), np.concatenate([np.zeros_like(off[:1]), off])
            found[:, of] = between(hours, when_h, off)
    return found


def grid(until_h: float, also_h: Sequence[float], step_h: float) -> Worlds:
    """Even hours to an end, and some more."""
    even = np.arange(0.0, until_h + 0.5 * step_h, step_h)
    every = np.unique(np.round([*even[even <= until_h + 1e-9], *also_h, until_h], 6))
    return np.asarray(every[(every >= 0.0) & (every <= until_h + 1e-9)])


def _yeast(worlds: Draw, pitch: Pitch) -> Yeast:
    return Yeast(
        cells_g_l=np.asarray(effective_g_l(pitch.cells_ml)),
        lag_h=worlds[doubt.LAG_H],
        speed=worlds[doubt.SPEED],
        tolerance_pct_vol=np.clip(worlds["ferment.tolerance_pct_vol"], 1.0, 25.0),
        attenuation=worlds["ferment.attenuation"],
        yield_of_theory=worlds["ferment.yield_of_theory"],
        gives_out_at=gives_out_at(worlds),
        nitrogen_mg_per_g=pitch.needs_mg_l / np.maximum(pitch.sugar_g_l, 1e-9),
    )


def _settings(intent: Intent, worlds: Draw, pitch: Pitch, kept: Kept) -> FermentSettings:
    ph_start, ph_end = ph_of(intent)
    lives_on = intent.has_enzymes
    fed_mg_l = 1000.0 * DAP_NITROGEN * pitch.dap_g / np.maximum(pitch.wash_l, 1e-9)
    return FermentSettings(
        heat_loss_w_k=worlds[doubt.TUB_W_K],
        room_c=kept.room_c + worlds[doubt.ROOM_K],
        set_point_c=kept.set_point_c,
        dextrin_per_h=worlds[doubt.DEXTRIN_PER_H] if lives_on else 0.0,
        dextrin_reach=worlds["ferment.dextrin_used"] if lives_on else 1.0,
        nitrogen_mg_l=pitch.given_mg_l + fed_mg_l,
        ph_start=ph_start,
        ph_end=ph_end,
        carried_off_share=worlds["ferment.carried_off_share"],
    )


def first_draw(worlds: Draw, count: int) -> Draw:
    """The first worlds of a draw."""
    return Draw(
        worlds.seed,
        count,
        {name: values[:count] for name, values in worlds.values.items()},
        {name: values[:count] for name, values in worlds.deviates.items()},
    )
