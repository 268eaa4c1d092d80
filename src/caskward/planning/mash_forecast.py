"""The first part of a forecast: from sacks through pot and rest to the tub before yeast."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from caskward.planning.doubts import doubts
from caskward.planning.intent import BillItem, Intent
from caskward.planning.log_slips import MASH_PH, MASH_WARMTH, Log, Patterns, Row, averaged, patterns
from caskward.planning.method import Method, water_ratio
from caskward.planning.tub.mash import (
    MALT,
    Portion,
    Stirred,
    Truth,
    converted_share,
    mash_through,
    start_of,
)
from caskward.planning.tub.schedule import (
    Allowed,
    MashSchedule,
    Planned,
    likely_wall,
    mash_schedule,
    off_as_logged,
)
from caskward.planning.unknowns import Draw, likely_world
from caskward.properties import alcohol, heat
from caskward.stages.balance import Loss
from caskward.stages.convert import ConvertRecord
from caskward.stages.cook import CookRecord, CookSettings, CookUnknowns, cook, poured_in_turn_c
from caskward.stages.grist import Analysis, weighed
from caskward.stages.mashing import MashCourse
from caskward.stages.stirring import stirred_in
from caskward.stages.stream import Stream, Worlds, mixed

_STEP_H = 0.5
"""Grid of a forecast's mash [h]; the course cuts every step finer by itself."""


@dataclass(frozen=True)
class Mash:
    """The batch as far as the tub, before yeast: what was cooked, converted and added.

    `stirred` is what the mash is made of, `course` how it converts by the plan's rests; None without starch.
    """

    materials: dict[str, Stream]
    cook: CookRecord | None
    convert: ConvertRecord
    stirred: Stirred
    schedule: MashSchedule | None
    stirred_c: Worlds
    warmed_water_kwh: float
    additions: Stream | None
    tub: Stream
    losses: tuple[Loss, ...]

    @property
    def potential_ethanol_kg(self) -> Worlds:
        """Ethanol that the materials could give by full use [kg]."""
        return np.asarray(sum(s.potential_ethanol_kg for s in self.materials.values()))

    def with_sugar(self, key: str, sugar: Stream) -> Mash:
        """The same tub with sugar stirred in beside the bill."""
        own = self.materials.get(key)
        return replace(
            self,
            materials={**self.materials, key: sugar if own is None else mixed(own, sugar)},
            additions=sugar if self.additions is None else mixed(self.additions, sugar),
            tub=mixed(self.tub, sugar),
        )


def forecast_mash(
    intent: Intent,
    method: Method,
    worlds: Draw,
    brought: Brought | None = None,
    schedule: MashSchedule | None = None,
) -> Mash:
    """The first part of the forecast, from sacks to the tub before yeast.

    brought, schedule: what is brought together and the rests, where they are known already.
    """
    brought = brought or brought_together(intent, method, worlds)
    schedule = schedule or planned_rests(intent, method)
    mash = brought.mash
    losses = list(brought.cook.losses) if brought.cook else []
    converted, record = _converted(intent, method, worlds, brought, schedule)
    losses.extend(record.losses)
    added = mixed(*brought.additions) if brought.additions else None
    return Mash(
        materials=brought.materials,
        cook=brought.cook,
        convert=record,
        stirred=brought.stirred,
        schedule=schedule,
        stirred_c=mash.temp_c,
        warmed_water_kwh=_warmed_water_kwh(intent, method),
        additions=added,
        tub=mixed(converted, added) if added is not None else converted,
        losses=tuple(losses),
    )


@dataclass(frozen=True)
class Brought:
    """What is brought together before anything converts."""

    materials: dict[str, Stream]
    cook: CookRecord | None
    stirred: Stirred
    mash: Stream
    additions: tuple[Stream, ...]


def brought_together(intent: Intent, method: Method, worlds: Draw) -> Brought:
    """Grain, water, sugar and fruit as they come together, the cooked part cooked."""
    streams = {i.material.key: _weighed(i, method, worlds, intent.site.room_c) for i in intent.bill}
    groups: dict[str, list[Stream]] = {"cook": [], "mash": [], "dissolve": [], "crush": []}
    for item in intent.bill:
        groups[item.material.prepare].append(streams[item.material.key])
        groups[item.material.prepare].append(_water(item, intent, method, worlds))
    cooked = record = None
    if groups["cook"]:
        cooked, record = _cook(intent, method, worlds, mixed(*groups["cook"]))
    rest = mixed(*groups["mash"]) if groups["mash"] else None
    stirred = Stirred(cooked, rest, _portions(intent, streams), method.cook_c, method.cook_hold_h)
    mash = together(cooked, tuple(groups["mash"][1::2]), tuple(groups["mash"][::2]))
    return Brought(
        streams, record, stirred, mash or _nothing(worlds), (*groups["dissolve"], *groups["crush"])
    )


def together(cooked: Stream | None, waters: tuple[Stream, ...], grains: tuple[Stream, ...]) -> Stream | None:
    """The cook, and water with dry grain stirred into it: the warmth of wetting that grain counts."""
    wet = (*(() if cooked is None else (cooked,)), *waters)
    if not wet:
        return None
    return stirred_in(mixed(*wet), grains) if grains else mixed(*wet)


def _portions(intent: Intent, streams: dict[str, Stream]) -> tuple[Portion, ...]:
    """Starch of every material that is cooked or mashed."""
    return tuple(
        Portion(
            key=m.key,
            starch_kg=streams[m.key].starch_kg,
            cooked=m.prepare == "cook",
            range_c=None if m.gelatinisation_c is None else (m.gelatinisation_c.low, m.gelatinisation_c.high),
            malt=m.enzymes,
            lintner=m.diastatic_power_lintner.likely,
        )
        for m in (item.material for item in intent.bill)
        if m.prepare in ("cook", "mash")
    )


def _converted(
    intent: Intent, method: Method, worlds: Draw, brought: Brought, schedule: MashSchedule | None
) -> tuple[Stream, ConvertRecord]:
    """The mash after its rests, by the labels and the malt; on a grid as coarse as it may be."""
    mash = brought.mash
    if schedule is None:
        nothing = np.zeros(worlds.count)
        return mash, ConvertRecord(mash.starch_kg, nothing, mash.specific_gravity, ())
    course = mash_by_hours(intent, method, worlds, brought, schedule, schedule.grid(_STEP_H))
    out = course.end
    record = ConvertRecord(
        starch_in_kg=mash.starch_kg,
        converted_share=converted_share(course, mash.starch_kg),
        specific_gravity=out.specific_gravity,
        losses=course.losses,
    )
    return out, record


def mash_by_hours(
    intent: Intent,
    method: Method,
    worlds: Draw,
    brought: Brought,
    schedule: MashSchedule,
    hours: Worlds,
) -> MashCourse:
    """The mash on a grid of hours, as planned, or as warm and sour as it was logged."""
    start = start_of(intent, schedule, brought.stirred, truth_of(intent, worlds))
    warmer = _off_plan(MASH_WARMTH, method, schedule, worlds, hours, worlds["mash.warmer_k"])
    sourer = _off_plan(MASH_PH, method, schedule, worlds, hours, np.zeros(1))
    temp_c = np.clip(schedule.temp_c(hours)[:, None] + warmer, 0.0, 105.0)
    return mash_through(start, hours, temp_c, np.clip(schedule.ph(hours)[:, None] + sourer, 1.0, 12.0))


def mash_patterns(of: Log, method: Method, schedule: MashSchedule) -> Patterns:
    """Which rows of the mash's warmth or pH are followed, and how likely that is by the plan."""
    rows, planned, allowed = _logged(of, method, schedule)
    at_h, read = _columns(rows)
    outside = read - np.clip(read, *allowed(at_h))
    return patterns(of, rows, tuple((read - planned(at_h)).tolist()), tuple(outside.tolist()))


def _logged(of: Log, method: Method, schedule: MashSchedule) -> tuple[tuple[Row, ...], Planned, Allowed]:
    """Rows of a log of the mash, what was planned, and what the plan allows."""
    if of is MASH_PH:
        return method.mash_ph_log, schedule.ph, schedule.allowed_ph
    return method.mash_log, schedule.temp_c, schedule.allowed_c


def _columns(rows: Sequence[Row]) -> tuple[Worlds, Worlds]:
    """Moments and values of rows."""
    return np.array([row.at_h for row in rows]), np.array([row.value for row in rows])


def _off_plan(
    of: Log, method: Method, schedule: MashSchedule, worlds: Draw, hours: Worlds, unread: Worlds
) -> Worlds:
    """How far the mash runs from the plan on the grid: by the rows that a world follows, or as it has it."""
    rows, planned, allowed = _logged(of, method, schedule)
    if not rows:
        return unread[None, :]
    found = mash_patterns(of, method, schedule)
    which = found.of(of.name, worlds)
    off = np.empty((len(hours), worlds.count))
    for k in np.unique(which):
        right = [row for row, follows in zip(rows, found.followed[k], strict=True) if follows]
        if right:
            at_h, read = averaged(*_columns(right))
            off[:, which == k] = off_as_logged(at_h, read, planned, allowed, hours)[:, None]
        else:
            off[:, which == k] = np.broadcast_to(unread, which.shape)[which == k]
    return off if len(np.unique(which)) > 1 or not found.followed[which[0]].any() else off[:, :1]


def planned_rests(intent: Intent, method: Method) -> MashSchedule | None:
    """The rests of a method, the same in every world: by the likely mash in a full tub; None without starch.

    A plan fills its tubs, so how fast they cool does not hang on the size of the batch.
    """
    likely = brought_together(intent, method, likely_world(doubts(intent)))
    if not likely.stirred.portions or not np.any(likely.mash.starch_kg > 0.0):
        return None
    full = intent.gear.tub.working_l / max(float(likely.mash.volume_l[0]), 1e-9)
    capacity_kj_k = float(likely.mash.heat_capacity_kj_k[0]) * full
    return mash_schedule(intent, method, float(likely.mash.temp_c[0]), capacity_kj_k)


def truth_of(intent: Intent, worlds: Draw) -> Truth:
    """What the mash's unknowns say of it: how much is in reach, how lively each product is."""
    lively = worlds["convert.lively"]
    names = (MALT, *(label.name for label in intent.enzymes))
    return Truth(
        accessible=worlds["convert.conversion"],
        fermentable_share=worlds["convert.fermentable_share"],
        lively=dict.fromkeys(names, lively),
    )


def _warmed_water_kwh(intent: Intent, method: Method) -> float:
    """Heat in water that is warmed before it goes to malt or sugar [kWh], before the burner's losses."""
    rises_k = {
        "mash": method.mash_water_c - intent.site.water_c,
        "dissolve": method.addition_water_c - intent.site.water_c,
        "crush": method.addition_water_c - intent.site.water_c,
    }
    litres = ((i, method.bill_kg[i.material.key] * water_ratio(intent, i.material)) for i in intent.bill)
    return sum(
        float(
            heat.heating_kwh(heat.CP_WATER_KJ_KG_K * volume_l * 0.9982, rises_k.get(i.material.prepare, 0.0))
        )
        for i, volume_l in litres
    )


def _nothing(worlds: Draw) -> Stream:
    return Stream.of(water_kg=np.zeros(worlds.count))


def _weighed(item: BillItem, method: Method, worlds: Draw, room_c: float) -> Stream:
    key = item.material.key
    analysis = Analysis(
        moisture=worlds[f"{key}.moisture"],
        starch_dry=worlds[f"{key}.starch_dry"],
        sugars_dry=worlds[f"{key}.sugars_dry"],
        sucrose_share=np.full(worlds.count, item.material.sucrose_share.likely),
        dextrin_dry=worlds[f"{key}.dextrin_dry"],
        unfermentable_dry=worlds[f"{key}.unfermentable_dry"],
    )
    whole = weighed(method.bill_kg[key], analysis, room_c)
    if item.material.prepare != "dissolve":
        return whole
    # What a sugar or syrup holds beside sugar is dissolved or floats as haze: no solids to strain.
    return whole.with_masses(
        solubles_kg=whole.solubles_kg + whole.insolubles_kg, insolubles_kg=np.zeros(worlds.count)
    )


def _water(item: BillItem, intent: Intent, method: Method, worlds: Draw) -> Stream:
    litres = method.bill_kg[item.material.key] * water_ratio(intent, item.material)
    kg = litres * float(alcohol.density(0.0, 20.0)) / 1000.0
    temp_c = {
        "mash": method.mash_water_c,
        "dissolve": method.addition_water_c,
        "crush": method.addition_water_c,
    }
    return Stream.of(
        temp_c=temp_c.get(item.material.prepare, intent.site.water_c), water_kg=np.full(worlds.count, kg)
    )


def _cook(intent: Intent, method: Method, worlds: Draw, mash: Stream) -> tuple[Stream, CookRecord]:
    pot = intent.gear.cook_pot
    assert pot is not None, "checked when the intent was read"
    settings = CookSettings(method.cooks, pot.power_kw, method.cook_c, method.cook_hold_h)
    unknowns = CookUnknowns(worlds["cook.efficiency"], worlds["cook.evaporated_share_per_h"])
    cooked, record = cook(mash, settings, unknowns)
    poured_c = poured_in_turn_c(cooked, record, settings, method.ferments, likely_wall(intent))
    return cooked.at(poured_c), record
