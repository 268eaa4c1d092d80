"""One tub's yeast and its ferment by the hour: pitched, kept at a warmth or left to itself, followed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caskward.planning.doses import nutrient_grams, yeast_grams
from caskward.planning.doubts import STOPS_SHORT, gives_out_at, used_at_last
from caskward.planning.intent import Intent
from caskward.planning.sizing import Sized
from caskward.planning.tub import brew_doubts as doubt
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

STEP_H: Final = 2.0
_GRAIN_PH: Final = (5.0, 4.0)
_FRUIT_PH: Final = (3.9, 3.6)
"""pH at pitching and at the end; *common practice, no source*."""
_LOOK_H, _LOOK_WORLDS, _LOOK_STEP_K = 72.0, 64, 1.0
_LONGEST_WAKING_H: Final = 400.0
NEARLY: Final = 0.9


def ph_of(intent: Intent) -> tuple[float, float]:
    """pH of a sound ferment at its start and at its end: of fruit, where that is most of the bill."""
    fruit = sum(i.share for i in intent.bill if i.material.prepare == "crush") > 0.5
    return _FRUIT_PH if fruit else _GRAIN_PH


@dataclass(frozen=True)
class Kept:
    """How the tub is kept: a controller's temperature, its room, and temperatures as logged (hour, °C).

    Logged temperatures are followed to the last of them; then the controller's or the room's word holds.
    moved_on_h: until when a ferment stood still that was read to move again [h].
    """

    room_c: float
    set_point_c: float | None = None
    logged: tuple[tuple[float, float], ...] = ()
    moved_on_h: float | None = None


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

    @cached_property
    def hours(self) -> Worlds:
        """Hours since pitching."""
        starts = np.cumsum([0.0, *(leg.hours[-1] for leg in self.legs[:-1])])
        return np.concatenate([leg.hours[k > 0 :] + starts[k] for k, leg in enumerate(self.legs)])

    def _joined(self, name: str) -> Worlds:
        return np.concatenate([getattr(leg, name)[k > 0 :] for k, leg in enumerate(self.legs)])

    @cached_property
    def temp_c(self) -> Worlds:
        """Temperature [°C], (hours, worlds)."""
        return self._joined("temp_c")

    @cached_property
    def specific_gravity(self) -> Worlds:
        """Gravity of the liquid, 20 °C over water at 20 °C."""
        return self._joined("specific_gravity")

    @cached_property
    def strength_pct_vol(self) -> Worlds:
        """Alcohol in the liquid [%vol]."""
        return self._joined("strength_pct_vol")

    @cached_property
    def sugar_g_l(self) -> Worlds:
        """Sugar in the liquid [g/L]."""
        return self._joined("sugar_g_l")

    @cached_property
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

    @cached_property
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


def pitch_of(sized: Sized, worlds: Draw, wash: Stream, temp_c: float) -> Pitch:
    """The plan's yeast and food for one tub of wash."""
    intent, count = sized.intent, sized.method.ferments
    grams = yeast_grams(sized) / count
    litres = np.maximum(wash.liquid_l, 1e-9)
    sugar_g_l = np.asarray(1000.0 * wash.fermentable_kg / litres)
    needs = np.asarray(nitrogen_need_mg_l(sugar_g_l, intent.yeast.nitrogen_demand_mg_per_g_sugar.likely))
    per_kg = {i.material.key: i.material.yan_mg_per_kg.likely for i in intent.bill}
    brought_mg = sum(kg * per_kg[key] for key, kg in sized.method.bill_kg.items()) / count
    given = np.asarray(worlds[doubt.FOOD] * brought_mg / litres)
    return Pitch(
        yeast_g=grams,
        temp_c=temp_c,
        wash_l=wash.volume_l,
        cells_ml=np.asarray(cells_per_ml(grams, litres, worlds[doubt.CELLS_PER_G])),
        rehydration=rehydration(grams, min(max(temp_c, 0.0), 60.0)),
        sugar_g_l=sugar_g_l,
        needs_mg_l=needs,
        given_mg_l=given,
        dap_g=nutrient_grams(sized) / count,
        full_dap_g=np.asarray(dap_g(needs - given, litres)),
    )


def ferment_tub(
    sized: Sized,
    worlds: Draw,
    wash: Stream,
    pitch: Pitch,
    kept: Kept,
    until_h: float,
    also_h: Sequence[float] = (),
    step_h: float = STEP_H,
) -> Brew:
    """Ferment one tub of wash from the pitch to an hour, with points at some hours of its own."""
    yeast, settings = _yeast(worlds, pitch), _settings(sized.intent, worlds, pitch, kept)
    wash = wash.at(kept.logged[0][1] if kept.logged else pitch.temp_c)
    legs: list[FermentCourse] = []
    from_h = 0.0
    for to_h in _ends(kept, until_h, step_h):
        if legs:
            moves = from_h == kept.moved_on_h
            yeast = replace(yeast, gives_out_at=used_at_last(worlds, moved_on=True)) if moves else yeast
            wash, yeast, settings = resumed(legs[-1], len(legs[-1].hours) - 1, yeast, settings)
            yeast = _mended(yeast, worlds) if moves else yeast
        hours = grid(to_h - from_h, [h - from_h for h in also_h if from_h < h <= to_h], step_h)
        settings = replace(settings, set_point_c=_held(kept, hours + from_h, step_h))
        legs.append(ferment_course(wash, hours, yeast, settings))
        from_h = to_h
    return Brew(tuple(legs))


def _mended(yeast: Yeast, worlds: Draw) -> Yeast:
    """A yeast that wakes again, where it had stopped; elsewhere as it was."""
    wakes_h = np.minimum(worlds[doubt.WAKES_AGAIN_H], _LONGEST_WAKING_H)
    return replace(yeast, lag_h=np.where(worlds[STOPS_SHORT] > 0.0, wakes_h, yeast.lag_h))


def _ends(kept: Kept, until_h: float, step_h: float) -> list[float]:
    """Where a new leg begins: after the last logged temperature, where a ferment moved on; and the end."""
    ends = {_last_logged_h(kept, step_h), kept.moved_on_h or 0.0, until_h}
    return sorted(h for h in ends if h > 1e-6 and (h == until_h or h < until_h - 1e-6))


def _last_logged_h(kept: Kept, step_h: float) -> float:
    return max(kept.logged[-1][0], step_h) if kept.logged else 0.0


def _held(kept: Kept, hours: Worlds, step_h: float) -> float | Worlds | None:
    """What the tub is held at over a leg: as logged, or by its controller; None where it is left alone."""
    if hours[-1] > _last_logged_h(kept, step_h) + 1e-6:
        return kept.set_point_c
    at_h, at_c = (np.array(column, dtype=float) for column in zip(*kept.logged, strict=True))
    return np.asarray(np.interp(hours, at_h, at_c)[:, None])


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


def pitching_c(sized: Sized, worlds: Draw, wash: Stream, kept: Kept) -> float:
    """Where to pitch: the controller's temperature, or the warmest from which the tub stays in its window.

    Left to itself a tub warms as it works. From the window's likely temperature down to its lower end, the
    first from which nine worlds in ten of a few stay under its upper end; the lower end where none does.
    """
    if kept.logged:
        return kept.logged[0][1]
    window = sized.intent.yeast.window_c
    if kept.set_point_c is not None:
        return kept.set_point_c
    few = min(_LOOK_WORLDS, worlds.count)
    some, part = first_draw(worlds, few), first_worlds(wash, few)
    low, high = 0, max(int((window.likely - window.low) / _LOOK_STEP_K), 0)
    # Warmer at the pitch is warmer at the peak: by halves.
    while low < high:
        middle = (low + high) // 2
        if _peaks_at(sized, some, part, kept, window.likely - middle * _LOOK_STEP_K) <= window.high:
            high = middle
        else:
            low = middle + 1
    return float(window.likely - low * _LOOK_STEP_K)


def _peaks_at(sized: Sized, worlds: Draw, wash: Stream, kept: Kept, from_c: float) -> float:
    pitch = pitch_of(sized, worlds, wash, from_c)
    brew = ferment_tub(sized, worlds, wash, pitch, kept, _LOOK_H, step_h=4.0)
    return float(np.quantile(np.max(brew.temp_c, axis=0), NEARLY))


def first_draw(worlds: Draw, count: int) -> Draw:
    """The first worlds of a draw."""
    return Draw(
        worlds.seed,
        count,
        {name: values[:count] for name, values in worlds.values.items()},
        {name: values[:count] for name, values in worlds.deviates.items()},
    )
