"""Cards of the tub side: cook, convert, pitch, ferment, separate."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from caskward.catalogue.kinds import Material
from caskward.planning.doses import dose_amount, nutrient_grams, yeast_grams
from caskward.planning.intent import EnzymeLabel
from caskward.planning.method import water_ratio
from caskward.planning.plan import Target
from caskward.planning.sizing import Sized
from caskward.planning.targets import expected, is_set, middle, window
from caskward.planning.tub.schedule import likely_wall
from caskward.planning.tub.timings import FIRST_DROP_H, Dry, starch_test
from caskward.planning.warmth import cooling
from caskward.properties import heat
from caskward.stages.ferment import co2_m3, potential_pct_vol
from caskward.stages.stream import Stream, Worlds, mixed

MALT_REST_H = 1.0
"""Rest that malt's own enzymes are given; *common practice, no source*."""
_SOURS_H = 24.0
"""Hours that a mash may stand on its way to the yeast before it sours; *common practice, no source*."""
_NEARLY = 0.9
"""Share of batches that are dry from which nothing is said of the rest."""
_FERMENT_SHARE_OF_THEORY = 0.92
"""Yield used for "potential strength" before pitching; *common practice, no source*."""


def _said(material: Material) -> str:
    """A material's name inside a sentence."""
    return material.name[:1].lower() + material.name[1:]


def pitch_title(sized: Sized) -> str:
    """What goes in with the yeast, as a title."""
    added = {i.material.prepare for i in sized.intent.bill} & {"dissolve", "crush"}
    words = [word for key, word in (("dissolve", "sugar"), ("crush", "fruit")) if key in added]
    return f"Add {' and '.join(words)}, pitch" if words else "Pitch"


def cook(sized: Sized) -> Iterator[Target]:
    """Pots, amounts for each, and how long they heat."""
    intent, method, record = sized.intent, sized.method, sized.course.mash.cook
    if record is None:
        return
    cooked = [i.material for i in intent.bill if i.material.prepare == "cook"]
    yield is_set("cooks", "cooks, one after the other", "count", method.cooks)
    for material in cooked:
        yield is_set(
            f"kg.{material.key}",
            f"{material.name} in each",
            "kg",
            method.bill_kg[material.key] / method.cooks,
        )
    water_l = sum(method.bill_kg[m.key] * water_ratio(intent, m) for m in cooked)
    yield is_set("water", "water in each", "L", water_l / method.cooks)
    yield expected("volume", "fills the pot to, hot", "L", record.pot_volume_l)
    yield is_set("temperature", "heat to", "C", method.cook_c)
    yield expected("heat_up", "heating takes, each", "h", record.heat_up_h)
    yield is_set("hold", "hold", "h", method.cook_hold_h)


def convert(sized: Sized) -> Iterator[Target]:
    """One tub's malt and enzymes, in the order they go in, and the rest."""
    intent, method, course = sized.intent, sized.method, sized.course
    if not np.any(course.mash.convert.starch_in_kg > 0):
        return
    for label in (e for e in intent.enzymes if e.does in ("thin", "loosen")):
        yield from _enzyme(sized, label)
    for material in (i.material for i in intent.bill if i.material.prepare == "mash"):
        kg = method.bill_kg[material.key] / method.ferments
        yield is_set(f"kg.{material.key}", f"{material.name}, stirred in", "kg", kg)
        water_l = kg * water_ratio(intent, material)
        if water_l > 0:
            yield is_set(f"water.{material.key}", f"water with the {_said(material)}", "L", water_l)
            yield is_set(f"water_c.{material.key}", "that water at", "C", method.mash_water_c)
    yield middle("stirred", "all together it comes to about", "C", course.mash.stirred_c)
    yield from _steps_down(sized)
    yield is_set("rest", "sweetening rest at", "C", method.rest_c)
    for label in (e for e in intent.enzymes if e.does == "sweeten"):
        yield from _enzyme(sized, label)
    if not intent.has_enzymes:
        yield is_set("malt_hold", "hold", "h", MALT_REST_H)
    yield from _starch_test(sized)
    yield middle("cooling", "the tub then cools, each hour", "K", _cools_in_an_hour(sized))
    yield expected("converted", "starch converted", "share", course.mash.convert.converted_share)
    yield expected("gravity", "gravity of the mash", "sg", course.mash.convert.specific_gravity)


def _starch_test(sized: Sized) -> Iterator[Target]:
    """From when a drop with iodine tells: counted from when all is together."""
    times = starch_test(sized)
    if times is not None and np.isfinite(times.first_h):
        at_h = max(times.first_h, FIRST_DROP_H)
        yield is_set("starch_test", "all together, test for starch after", "h", at_h)


def _steps_down(sized: Sized) -> Iterator[Target]:
    """How the mash of one tub is cooled before its rests, sugar and fruit not yet in."""
    mash, schedule = sized.course.mash, sized.course.mash.schedule
    if schedule is None:
        return
    tub = mixed(*(part for part in (mash.stirred.cooked, mash.stirred.rest) if part is not None))
    tub = tub.scaled(1.0 / sized.method.ferments)
    for step in schedule.steps_down:
        key = "rest" if step.words == "sweetening" else f"rest.{step.words}"
        if step.at_h > 0.0:
            yield middle(f"{key}.from", "after its hold it is at about", "C", np.asarray(step.from_c))
        yield from _to_cool(sized, tub, key, step.from_c, step.to_c)


def _to_cool(sized: Sized, tub: Stream, key: str, from_c: float, to_c: float) -> Iterator[Target]:
    """How one tub gets down to a temperature: the heat, the wait, or the water of a coil."""
    found = cooling(sized.intent, tub, from_c, to_c)
    if found is None:
        return
    if key != "rest":
        yield is_set(f"{key}.to", "cool it to", "C", to_c)
    yield middle(f"{key}.cool", "heat to take out first", "kWh", np.asarray(found.kwh))
    if np.isfinite(found.standing_h):
        sours = found.standing_h > _SOURS_H
        words = "standing, lid on: too long, it sours" if sours else "standing with its lid on, that takes"
        yield middle(f"{key}.stand", words, "h", np.asarray(found.standing_h))
    yield middle(f"{key}.coil", "or cold water through a coil", "L", np.asarray(found.coil_water_l))


def _cools_in_an_hour(sized: Sized) -> Worlds:
    """Kelvin that the tub loses in its first hour at the rest."""
    method = sized.method
    tub = sized.course.mash.tub.scaled(1.0 / method.ferments)
    wall = likely_wall(sized.intent).holding(tub.volume_l)
    after_c = heat.tub_temperature_c(
        method.rest_c, wall.room_c, wall.heat_loss_w_k, tub.heat_capacity_kj_k, 1.0
    )
    return np.asarray(method.rest_c - after_c)


def _enzyme(sized: Sized, label: EnzymeLabel) -> Iterator[Target]:
    amount, unit = dose_amount(sized, label)
    each = ", each ferment" if sized.method.ferments > 1 else ""
    yield is_set(f"dose.{label.name}", f"{label.name}{each}", unit, amount / sized.method.ferments)
    yield window(f"window.{label.name}", "its label's window", "C", label.window_c)
    yield window(f"ph.{label.name}", "its label's pH", "ph", label.window_ph)
    yield is_set(f"hold.{label.name}", "hold", "h", label.hold_h)


def material_notes(sized: Sized, *prepared: str) -> tuple[str, ...]:
    """What the catalogue warns of for the materials of a stage, each once."""
    told = (i.material.caution for i in sized.intent.bill if i.material.prepare in prepared)
    return tuple(dict.fromkeys(text for text in told if text))


def convert_notes(sized: Sized) -> tuple[str, ...]:
    """What to mind between cook and rest."""
    notes = list(material_notes(sized, "mash"))
    tub = sized.intent.gear.tub
    if tub.kind.note:
        notes.append(tub.kind.note)
    stirred_c, rest_c = float(np.median(sized.course.mash.stirred_c)), sized.method.rest_c
    if stirred_c < rest_c - 1.0:
        notes.append("Even with its hottest water the mash stays under the rest: warm it in the pot.")
    if any(i.material.prepare == "cook" for i in sized.intent.bill):
        notes.append(
            "Cool the cook into a label's window before its enzyme goes in; test for starch before the next."
        )
    return tuple(notes)


def pitch(sized: Sized, dry: Dry) -> Iterator[Target]:
    """One ferment's sugar, fruit and yeast, and what the gravity should be."""
    intent, method, course = sized.intent, sized.method, sized.course
    count = method.ferments
    yield is_set("ferments", "ferments, one after the other", "count", count)
    for material in (i.material for i in intent.bill if i.material.prepare in ("dissolve", "crush")):
        yield is_set(
            f"kg.{material.key}", f"{material.name}, each ferment", "kg", method.bill_kg[material.key] / count
        )
        water_l = method.bill_kg[material.key] * water_ratio(intent, material) / count
        if water_l > 0:
            yield is_set(f"water.{material.key}", f"water with the {_said(material)}", "L", water_l)
            yield is_set(f"water_c.{material.key}", "that water at", "C", method.addition_water_c)
    for label in (e for e in intent.enzymes if e.does == "fruit"):
        yield from _enzyme(sized, label)
    tub_l = course.mash.tub.volume_l / count
    yield expected("volume", "in the tub", "L", tub_l)
    yield expected("headspace", "free above it", "L", intent.gear.tub.volume_l - tub_l)
    yield expected("gravity", "gravity before pitching", "sg", course.ferment.original_gravity)
    yield expected(
        "potential",
        "strength it could reach",
        "pct_vol",
        potential_pct_vol(course.mash.tub, _FERMENT_SHARE_OF_THEORY),
    )
    starts_c = float(np.median(course.mash.tub.temp_c))
    yield from _to_cool(sized, course.mash.tub.scaled(1.0 / count), "pitch", starts_c, dry.pitched_c)
    yield is_set("pitched", "pitch at", "C", dry.pitched_c)
    yield is_set("yeast", f"{intent.yeast.name}, each ferment", "g", yeast_grams(sized) / count)
    food_g = nutrient_grams(sized) / count
    if food_g > 0.0:
        yield is_set("food", "diammonium phosphate, in two halves", "g", food_g)
    yield window(
        "temperature", "keep it between", "C", (intent.yeast.window_c.low, intent.yeast.window_c.high)
    )


def ferment(sized: Sized, dry: Dry) -> Iterator[Target]:
    """When it is dry, how strong, and what it gives off."""
    record, count = sized.course.ferment, sized.method.ferments
    yield is_set("room", "days are for a tub left to a room at", "C", dry.room_c)
    yield Target("days", "dry after", "forecast", "d", dry.days)
    yield expected("strength", "strength of the wash", "pct_vol", record.strength_pct_vol)
    yield expected("gravity", "final gravity", "sg", record.final_gravity)
    yield expected("co2", "carbon dioxide given off", "m3", co2_m3(record.co2_kg / count))
    yield expected("heat", "heat set free", "kWh", record.heat_kwh / count)


def ferment_notes(sized: Sized, dry: Dry) -> tuple[str, ...]:
    """Whether the yeast may stop early, or go on for longer than was followed."""
    notes = []
    stalls = float(np.mean(sized.course.ferment.stopped_by_strength))
    if stalls >= 0.01:
        notes.append(
            f"In {stalls:.0%} of possible batches the yeast stops early, at its limit: a thinner mash helps."
        )
    if dry.share < _NEARLY:
        notes.append(
            f"In {1.0 - dry.share:.0%} of them it is not dry after {dry.followed_days:.0f} days: too few "
            "cells or too little food is the usual reason."
        )
    return tuple(notes)


def separate(sized: Sized) -> Iterator[Target]:
    """What runs off, what the press gives, what stays behind."""
    record, straining = sized.course.separate, sized.intent.gear.straining
    if straining.held_kg_per_kg_insolubles.high > 0:
        yield expected("strained", "wash that runs off", "L", record.strained_l)
        if straining.press_recovery.high > 0:
            yield expected("pressed", "wash from the press", "L", record.pressed_l)
        yield expected("held", "wash left in the solids", "L", record.held_l)
        yield expected("solids", "wet solids to carry away", "kg", record.wet_solids_kg)
    yield expected("behind", _BEHIND, "L", _left_behind_l(sized))
    yield expected("wash", "wash for the still", "L", sized.course.wash.volume_l)


_BEHIND = "left on lees, in hoses, in vessels"


def _left_behind_l(sized: Sized) -> Worlds:
    """Wash that comes off its solids, or is not strained at all, and does not come to the still [L]."""
    record, wash_l = sized.course.separate, sized.course.wash.volume_l
    if sized.intent.gear.straining.held_kg_per_kg_insolubles.high > 0:
        return np.asarray(record.strained_l + record.pressed_l - wash_l)
    return np.asarray(sized.course.fermented.volume_l - wash_l)
