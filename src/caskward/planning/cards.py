"""Stage cards: from a forecast to what is written down for each stage, in the order of the work."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from caskward.catalogue.kinds import Cautions, Material
from caskward.planning.doses import dose_amount, yeast_grams
from caskward.planning.intent import EnzymeLabel
from caskward.planning.method import water_ratio
from caskward.planning.plan import Band, StageCard, Target, Unit, band
from caskward.planning.sizing import Sized
from caskward.planning.strengths import said
from caskward.planning.warmth import cooling
from caskward.properties import heat
from caskward.stages.ferment import co2_m3, potential_pct_vol
from caskward.stages.runs import RunEffort
from caskward.stages.stream import Stream, Worlds
from caskward.units import show

_MANY_JARS = 40
MALT_REST_H = 1.0
"""Rest that malt's own enzymes are given; *common practice, no source*."""
_FERMENT_SHARE_OF_THEORY = 0.92
"""Yield used for "potential strength" before pitching; *common practice, no source*."""


def stage_cards(sized: Sized, cautions: Cautions) -> tuple[StageCard, ...]:
    """Every stage of a sized batch with its targets and cautions; stages that nothing passes are left out."""
    tags = _tags(sized)
    cards = (
        ("cook", "Cook", _cook(sized), _material_notes(sized, "cook")),
        ("convert", "Convert", _convert(sized), _convert_notes(sized)),
        ("pitch", _pitch_title(sized), _pitch(sized), _material_notes(sized, "dissolve", "crush")),
        ("ferment", "Ferment", _ferment(sized), _ferment_notes(sized)),
        ("separate", "Separate", _separate(sized), ()),
        ("strip", "Strip", _strip(sized), _strip_notes(sized)),
        ("charge", "Charge for the spirit run", _charge(sized), _charge_notes(sized)),
        ("spirit", "Spirit run", _spirit(sized), _spirit_notes(sized)),
        ("reduce", "Reduce", _reduce(sized), ()),
        ("fill", "Fill the cask", _fill(sized), _fill_notes(sized)),
        ("clean", "Clean", _clean(sized), ()),
    )
    return tuple(
        StageCard(
            key,
            title,
            tuple(targets),
            tuple(notes),
            tuple(c.text for c in cautions.at(key, *tags, _heated_by(sized, key))),
        )
        for key, title, targets, notes in ((k, t, list(made), n) for k, t, made, n in cards)
        if targets
    )


def _tags(sized: Sized) -> tuple[str, ...]:
    """Whom a caution is for: the style and every material's own, the gear, and what heats pot and still."""
    intent, gear = sized.intent, sized.intent.gear
    tags = [intent.practice.key, gear.tub.kind.key, gear.strip_still.kind.key, gear.straining.key]
    tags += [item.material.usual_style for item in intent.bill]
    tags += ["fruit"] if any(label.does == "fruit" for label in intent.enzymes) else []
    tags += ["enzymes"] if intent.enzymes else []
    return tuple(tags)


def _heated_by(sized: Sized, stage: str) -> str:
    """What heats a stage's vessel, so that its cautions stand where its heat is."""
    gear = sized.intent.gear
    if stage == "strip":
        return gear.strip_still.heat.key
    if stage in ("charge", "spirit"):
        return gear.spirit_still.heat.key
    return gear.cook_pot.kind.key if gear.cook_pot is not None else ""


def _said(material: Material) -> str:
    """A material's name inside a sentence."""
    return material.name[:1].lower() + material.name[1:]


def _pitch_title(sized: Sized) -> str:
    added = {i.material.prepare for i in sized.intent.bill} & {"dissolve", "crush"}
    words = [word for key, word in (("dissolve", "sugar"), ("crush", "fruit")) if key in added]
    return f"Add {' and '.join(words)}, pitch" if words else "Pitch"


def _set(key: str, words: str, unit: Unit, value: float) -> Target:
    return Target(key, words, "set", unit, Band(value, value, value))


def _forecast(key: str, words: str, unit: Unit, values: Worlds) -> Target:
    return Target(key, words, "forecast", unit, band(values))


def _window(key: str, words: str, unit: Unit, edges: tuple[float, float]) -> Target:
    low, high = edges
    return Target(key, words, "window", unit, Band(low, 0.5 * (low + high), high))


def _cook(sized: Sized) -> Iterator[Target]:
    intent, method, record = sized.intent, sized.method, sized.course.mash.cook
    if record is None:
        return
    cooked = [i.material for i in intent.bill if i.material.prepare == "cook"]
    yield _set("cooks", "cooks, one after the other", "count", method.cooks)
    for material in cooked:
        yield _set(
            f"kg.{material.key}",
            f"{material.name} in each",
            "kg",
            method.bill_kg[material.key] / method.cooks,
        )
    water_l = sum(method.bill_kg[m.key] * water_ratio(intent, m) for m in cooked)
    yield _set("water", "water in each", "L", water_l / method.cooks)
    yield _forecast("volume", "fills the pot to, hot", "L", record.pot_volume_l)
    yield _set("temperature", "heat to", "C", method.cook_c)
    yield _forecast("heat_up", "heating takes, each", "h", record.heat_up_h)
    yield _set("hold", "hold", "h", method.cook_hold_h)


def _convert(sized: Sized) -> Iterator[Target]:
    intent, method, course = sized.intent, sized.method, sized.course
    if not np.any(course.mash.convert.starch_in_kg > 0):
        return
    for label in (e for e in intent.enzymes if e.does in ("thin", "loosen")):
        yield from _enzyme(sized, label)
    for material in (i.material for i in intent.bill if i.material.prepare == "mash"):
        kg = method.bill_kg[material.key] / method.ferments
        yield _set(f"kg.{material.key}", f"{material.name}, stirred in", "kg", kg)
        water_l = kg * water_ratio(intent, material)
        if water_l > 0:
            yield _set(f"water.{material.key}", f"water with the {_said(material)}", "L", water_l)
            yield _set(f"water_c.{material.key}", "that water at", "C", method.mash_water_c)
    stirred_c = float(np.median(course.mash.stirred_c))
    yield _middle("stirred", "all together it comes to about", "C", course.mash.stirred_c)
    yield from _to_cool(sized, "rest", stirred_c, method.rest_c)
    yield _set("rest", "sweetening rest at", "C", method.rest_c)
    for label in (e for e in intent.enzymes if e.does == "sweeten"):
        yield from _enzyme(sized, label)
    if not intent.has_enzymes:
        yield _set("malt_hold", "hold", "h", MALT_REST_H)
    yield _middle("cooling", "the tub then cools, each hour", "K", _cools_in_an_hour(sized))
    yield _forecast("converted", "starch converted", "share", course.mash.convert.converted_share)
    yield _forecast("gravity", "gravity of the mash", "sg", course.mash.convert.specific_gravity)


def _middle(key: str, words: str, unit: Unit, values: Worlds) -> Target:
    """A figure whose spread over worlds says less than what the model leaves out: the middle alone."""
    mid = float(np.median(values))
    return Target(key, words, "forecast", unit, Band(mid, mid, mid))


def _to_cool(sized: Sized, key: str, from_c: float, to_c: float) -> Iterator[Target]:
    """How one tub gets down to a temperature: the heat, the wait, or the water of a coil."""
    found = cooling(sized.intent, sized.course.mash, sized.method.ferments, from_c, to_c)
    if found is None:
        return
    yield _middle(f"{key}.cool", "heat to take out first", "kWh", np.asarray(found.kwh))
    if np.isfinite(found.standing_h):
        yield _middle(
            f"{key}.stand", "standing with its lid on, that takes", "h", np.asarray(found.standing_h)
        )
    yield _middle(f"{key}.coil", "or cold water through a coil", "L", np.asarray(found.coil_water_l))


def _cools_in_an_hour(sized: Sized) -> Worlds:
    """Kelvin that the tub loses in its first hour at the rest."""
    tub, method, room_c = sized.intent.gear.tub, sized.method, sized.intent.site.room_c
    capacity_kj_k = sized.course.mash.tub.heat_capacity_kj_k / method.ferments
    after_c = heat.tub_temperature_c(method.rest_c, room_c, tub.heat_loss_w_k.likely, capacity_kj_k, 1.0)
    return np.asarray(method.rest_c - after_c)


def _enzyme(sized: Sized, label: EnzymeLabel) -> Iterator[Target]:
    amount, unit = dose_amount(sized, label)
    each = ", each ferment" if sized.method.ferments > 1 else ""
    yield _set(f"dose.{label.name}", f"{label.name}{each}", unit, amount / sized.method.ferments)
    yield _window(f"window.{label.name}", "its label's window", "C", label.window_c)
    yield _window(f"ph.{label.name}", "its label's pH", "ph", label.window_ph)
    yield _set(f"hold.{label.name}", "hold", "h", label.hold_h)


def _material_notes(sized: Sized, *prepared: str) -> tuple[str, ...]:
    """What the catalogue warns of for the materials of a stage, each once."""
    told = (i.material.caution for i in sized.intent.bill if i.material.prepare in prepared)
    return tuple(dict.fromkeys(text for text in told if text))


def _convert_notes(sized: Sized) -> tuple[str, ...]:
    notes = list(_material_notes(sized, "mash"))
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


def _pitch(sized: Sized) -> Iterator[Target]:
    intent, method, course = sized.intent, sized.method, sized.course
    count = method.ferments
    yield _set("ferments", "ferments, one after the other", "count", count)
    for material in (i.material for i in intent.bill if i.material.prepare in ("dissolve", "crush")):
        yield _set(
            f"kg.{material.key}", f"{material.name}, each ferment", "kg", method.bill_kg[material.key] / count
        )
        water_l = method.bill_kg[material.key] * water_ratio(intent, material) / count
        if water_l > 0:
            yield _set(f"water.{material.key}", f"water with the {_said(material)}", "L", water_l)
            yield _set(f"water_c.{material.key}", "that water at", "C", method.addition_water_c)
    for label in (e for e in intent.enzymes if e.does == "fruit"):
        yield from _enzyme(sized, label)
    tub_l = course.mash.tub.volume_l / count
    yield _forecast("volume", "in the tub", "L", tub_l)
    yield _forecast("headspace", "free above it", "L", intent.gear.tub.volume_l - tub_l)
    yield _forecast("gravity", "gravity before pitching", "sg", course.ferment.original_gravity)
    yield _forecast(
        "potential",
        "strength it could reach",
        "pct_vol",
        potential_pct_vol(course.mash.tub, _FERMENT_SHARE_OF_THEORY),
    )
    starts_c = (
        method.rest_c
        if np.any(course.mash.convert.starch_in_kg > 0)
        else float(np.median(course.mash.tub.temp_c))
    )
    yield from _to_cool(sized, "pitch", starts_c, intent.yeast.window_c.likely)
    yield _set("yeast", f"{intent.yeast.name}, each ferment", "g", yeast_grams(sized) / count)
    yield _window(
        "temperature", "pitch and hold between", "C", (intent.yeast.window_c.low, intent.yeast.window_c.high)
    )


def _ferment(sized: Sized) -> Iterator[Target]:
    record, count = sized.course.ferment, sized.method.ferments
    days = sized.intent.yeast.ferment_days
    yield Target("days", "dry after", "forecast", "d", Band(days.low, days.likely, days.high))
    yield _forecast("strength", "strength of the wash", "pct_vol", record.strength_pct_vol)
    yield _forecast("gravity", "final gravity", "sg", record.final_gravity)
    yield _forecast("co2", "carbon dioxide given off", "m3", co2_m3(record.co2_kg / count))
    yield _forecast("heat", "heat set free", "kWh", record.heat_kwh / count)


def _ferment_notes(sized: Sized) -> tuple[str, ...]:
    stalls = float(np.mean(sized.course.ferment.stopped_by_strength))
    if stalls < 0.01:
        return ()
    return (
        f"In {stalls:.0%} of possible batches the yeast stops early, at its limit: a thinner mash helps.",
    )


def _separate(sized: Sized) -> Iterator[Target]:
    record, straining = sized.course.separate, sized.intent.gear.straining
    if straining.held_kg_per_kg_insolubles.high > 0:
        yield _forecast("strained", "wash that runs off", "L", record.strained_l)
        if straining.press_recovery.high > 0:
            yield _forecast("pressed", "wash from the press", "L", record.pressed_l)
        yield _forecast("held", "wash left in the solids", "L", record.held_l)
        yield _forecast("solids", "wet solids to carry away", "kg", record.wet_solids_kg)
    yield _forecast("wash", "wash for the still", "L", sized.course.wash.volume_l)


def _runs(effort: RunEffort, running_h: Worlds, words: str) -> Iterator[Target]:
    runs = float(np.median(effort.runs))
    yield _set("runs", words, "count", runs)
    yield _forecast("charge", "charge, each", "L", effort.charge_l)
    yield _forecast("charge_strength", "strength of the charge", "pct_vol", effort.charge_pct_vol)
    yield _forecast("heat_up", "heating takes, each", "h", effort.heat_up_h / runs)
    yield _forecast("running", "running takes, each", "h", running_h / runs)


def spirit_running_h(sized: Sized) -> Worlds:
    """Hours the spirit runs take, all together: as slowly as the trade runs them, or as the heat allows."""
    effort = sized.course.spirit.effort
    return np.maximum(effort.running_h, sized.worlds["spirit.hours"] * effort.runs)


def _strip(sized: Sized) -> Iterator[Target]:
    record = sized.course.strip
    yield from _runs(record.effort, record.effort.running_h, "strips")
    yield _forecast("first", "first drops at", "pct_vol", record.first_pct_vol)
    yield _set("stop", "stop when the spout shows", "pct_vol", sized.method.strip_stop_pct_vol)
    yield _forecast("pot", "pot is then at", "C", record.last_pot_c)
    yield _forecast("low_wines", "low wines, all strips", "L", record.volume_l)
    yield _forecast("low_wines_strength", "strength of the low wines", "pct_vol", record.strength_pct_vol)


def _charge(sized: Sized) -> Iterator[Target]:
    for i, stock in enumerate(sized.method.spirits_in, 1):
        yield _set(
            f"stock.{i}",
            f"{stock.kind} from store at {said(stock.pct_vol, sized.intent.show)}",
            "L",
            stock.volume_l,
        )
    record = sized.course.charge_record
    if np.quantile(record.water_kg, 0.9) > 0.05:
        yield _forecast("water", "water, to stay under the limits", "L", record.water_kg / 0.9982)
    yield _forecast("volume", "charge, all runs", "L", record.volume_l)
    yield _forecast("strength", "strength of the charge", "pct_vol", record.strength_pct_vol)
    yield _set("limit", "never stronger than", "pct_vol", sized.method.charge_limit_pct_vol)


def _spirit(sized: Sized) -> Iterator[Target]:
    record, method = sized.course.spirit, sized.method
    effort, cut = record.effort, record.receivers
    yield from _runs(effort, spirit_running_h(sized), "spirit runs")
    yield _forecast("first", "first drops at", "pct_vol", record.first_pct_vol)
    yield _forecast("foreshots", "foreshots set aside, each run", "L", cut.foreshots.volume_l / effort.runs)
    yield _forecast("heads", "then heads, each run", "L", cut.heads.volume_l / effort.runs)
    yield _forecast("heart_from", "heart begins near", "pct_vol", record.heart_from_pct_vol)
    before_l = (cut.foreshots.volume_l + cut.heads.volume_l) / effort.runs
    yield _forecast("heart_from_l", "heart begins after", "L", before_l)
    yield _forecast("heart_to", "heart ends at", "pct_vol", record.heart_to_pct_vol)
    yield _forecast("heart_to_l", "heart ends after", "L", before_l + cut.heart.volume_l / effort.runs)
    yield _forecast("heart", "heart, all runs", "L", cut.heart.volume_l)
    yield _forecast("heart_strength", "strength of the heart", "pct_vol", record.heart_pct_vol)
    yield _set("tails_stop", "tails until the spout shows", "pct_vol", method.cuts.tails_stop_pct_vol)
    yield _forecast("tails", "tails, all runs", "L", cut.tails.volume_l)
    jar = show.measure_out(sized.intent.cuts.jar_l, sized.intent.show)
    yield _set("jars", f"jars of {jar} to lay out, each run", "count", jars_to_lay_out(sized))
    yield _forecast("feints", "feints kept (heads and tails)", "L", sized.course.feints.volume_l)
    yield _forecast(
        "feints_strength", "strength of the feints", "pct_vol", sized.course.feints.strength_pct_vol
    )


def jars_to_lay_out(sized: Sized) -> float:
    """Jars for one run: one for foreshots, and enough for heads and heart in nine worlds of ten."""
    cut, runs = sized.course.spirit.receivers, sized.course.spirit.effort.runs
    jar_l = sized.intent.cuts.jar_l

    def jars(stream: Stream) -> float:
        return float(np.ceil(np.quantile(stream.volume_l / runs, 0.9) / jar_l))

    return 1.0 + jars(cut.heads) + jars(cut.heart)


def _spirit_notes(sized: Sized) -> tuple[str, ...]:
    record = sized.course.spirit
    early = float(np.mean(record.heart_to_pct_vol > sized.method.cuts.heart_end_pct_vol + 2.5))
    notes = ["The cut points are an aid: nose, tongue and local practice decide, jar by jar."]
    if jars_to_lay_out(sized) > _MANY_JARS:
        notes.append("So many jars are a day's work: take the middle of the heart in cans.")
    if early > 0.05:
        notes.append(f"In {early:.0%} of possible batches the heart ends sooner, to stay at entry strength.")
    return tuple(notes)


def _reduce(sized: Sized) -> Iterator[Target]:
    record = sized.course.filled.reduce
    yield _set("to", "reduce to", "pct_vol", sized.method.entry_pct_vol)
    yield _forecast("water", "water, added slowly", "kg", record.water_kg)
    yield _forecast("contraction", "volume lost by mixing", "mL", record.contraction_l * 1000.0)
    yield _forecast("volume", "spirit at entry strength", "L", record.volume_l)


def _fill(sized: Sized) -> Iterator[Target]:
    record, course = sized.course.filled.cask_record, sized.course
    yield _forecast("wanted", "wanted in the cask", "L", np.asarray(sized.method.fill_l))
    yield _forecast("filled", "goes into the cask", "L", record.filled_l)
    yield _forecast("ullage", "left empty", "L", record.ullage_l)
    yield _forecast("first_days", "strength after the first days", "pct_vol", record.first_days_pct_vol)
    yield _forecast("settled", "strength once the wood has settled", "pct_vol", record.settled_pct_vol)
    if not sized.intent.cask.soaked:
        yield _forecast("level", "level once the wood has drunk", "L", record.settled_level_l)
    if np.any(course.surplus.ethanol_kg > 0):
        yield _forecast("over", "spirit left over", "L", course.surplus.volume_l)


def _fill_notes(sized: Sized) -> tuple[str, ...]:
    if not sized.intent.cask.soaked:
        return ("Dry staves drink spirit and may leak: soaking first costs strength but saves spirit.",)
    drop = float(
        np.median(
            sized.course.filled.cask_record.entry_pct_vol - sized.course.filled.cask_record.settled_pct_vol
        )
    )
    return (f"The soaked wood's water takes about {_drop_said(drop, sized)} off over the first weeks.",)


def _drop_said(drop_pct_vol: float, sized: Sized) -> str:
    """A difference of strengths: two degrees of proof to each %vol."""
    return f"{2.0 * drop_pct_vol:.0f} proof" if sized.intent.show == "us" else f"{drop_pct_vol:.1f} %vol"


def _charge_notes(sized: Sized) -> tuple[str, ...]:
    rule = sized.intent.cuts.site_rule
    if not rule:
        return ()
    limit = said(sized.method.charge_limit_pct_vol, sized.intent.show)
    return (f"Charged up to {limit} by the site's own rule: {rule}",)


def _strip_notes(sized: Sized) -> tuple[str, ...]:
    """Solids in the pot, where the wash is not strained."""
    gear = sized.intent.gear
    if gear.straining.held_kg_per_kg_insolubles.high > 0 or not np.any(sized.course.wash.solids_kg > 0.5):
        return ()
    return (
        "The wash goes in with its solids: they scorch on a bare bottom or an element. Stir, or heat gently.",
    )


def _clean(sized: Sized) -> Iterator[Target]:
    hours, ferments = sized.intent.practice.cleaning_hours, sized.method.ferments
    yield Target(
        "cleaning", "cleaning, each time", "forecast", "h", Band(hours.low, hours.likely, hours.high)
    )
    yield _set(
        "times",
        "times: after each mash and each ferment, and the still at the end",
        "count",
        2 * ferments + 1,
    )
