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
from caskward.properties import heat
from caskward.stages.ferment import co2_m3, potential_pct_vol
from caskward.stages.runs import RunEffort
from caskward.stages.stream import Stream, Worlds

_FERMENT_SHARE_OF_THEORY = 0.92
"""Yield used for "potential strength" before pitching; *common practice, no source*."""


def stage_cards(sized: Sized, cautions: Cautions) -> tuple[StageCard, ...]:
    """Every stage of a sized batch with its targets and cautions; stages that nothing passes are left out."""
    tags = _tags(sized)
    cards = (
        ("cook", "Cook", _cook(sized), ()),
        ("convert", "Convert", _convert(sized), _convert_notes(sized)),
        ("pitch", _pitch_title(sized), _pitch(sized), ()),
        ("ferment", "Ferment", _ferment(sized), _ferment_notes(sized)),
        ("separate", "Separate", _separate(sized), ()),
        ("strip", "Strip", _strip(sized), ()),
        ("charge", "Charge for the spirit run", _charge(sized), ()),
        ("spirit", "Spirit run", _spirit(sized), _spirit_notes(sized)),
        ("reduce", "Reduce", _reduce(sized), ()),
        ("fill", "Fill the cask", _fill(sized), _fill_notes(sized)),
    )
    return tuple(
        StageCard(key, title, tuple(targets), tuple(notes), tuple(c.text for c in cautions.at(key, *tags)))
        for key, title, targets, notes in ((k, t, list(made), n) for k, t, made, n in cards)
        if targets
    )


def _tags(sized: Sized) -> tuple[str, ...]:
    gear = sized.intent.gear
    tags = [sized.intent.practice.key, gear.tub.kind.key, gear.strip_still.kind.key, gear.straining.key]
    if gear.cook_pot is not None:
        tags.append(gear.cook_pot.kind.key)
    return tuple(tags)


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
    for material in (i.material for i in intent.bill if i.material.prepare == "mash"):
        yield _set(
            f"kg.{material.key}",
            f"{material.name}, stirred in at the rest",
            "kg",
            method.bill_kg[material.key],
        )
        water_l = method.bill_kg[material.key] * water_ratio(intent, material)
        yield _set(f"water.{material.key}", f"water with the {_said(material)}", "L", water_l)
    for label in intent.enzymes:
        if label.does != "fruit":
            yield from _enzyme(sized, label)
    yield _forecast("stirred", "stirred together it comes to", "C", course.mash.stirred_c)
    yield _set("rest", "sweetening rest at", "C", method.rest_c)
    yield _forecast("cooling", "the tub then cools, each hour", "K", _cools_in_an_hour(sized))
    yield _forecast("converted", "starch converted", "share", course.mash.convert.converted_share)
    yield _forecast("gravity", "gravity of the mash", "sg", course.mash.convert.specific_gravity)


def _cools_in_an_hour(sized: Sized) -> Worlds:
    """Kelvin that the tub loses in its first hour at the rest."""
    tub, method, room_c = sized.intent.gear.tub, sized.method, sized.intent.site.room_c
    capacity_kj_k = sized.course.mash.tub.heat_capacity_kj_k / method.ferments
    after_c = heat.tub_temperature_c(method.rest_c, room_c, tub.heat_loss_w_k.likely, capacity_kj_k, 1.0)
    return np.asarray(method.rest_c - after_c)


def _enzyme(sized: Sized, label: EnzymeLabel) -> Iterator[Target]:
    amount, unit = dose_amount(sized, label)
    yield _set(f"dose.{label.name}", f"{label.name}, in all", unit, amount)
    yield _window(f"window.{label.name}", "its label's window", "C", label.window_c)
    yield _window(f"ph.{label.name}", "its label's pH", "ph", label.window_ph)
    yield _set(f"hold.{label.name}", "hold", "h", label.hold_h)


def _convert_notes(sized: Sized) -> tuple[str, ...]:
    if any(i.material.prepare == "cook" for i in sized.intent.bill):
        return (
            "Cool the cook into a label's window before its enzyme goes in; test for starch before the next.",
        )
    return ()


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


def _runs(effort: RunEffort, words: str) -> Iterator[Target]:
    yield _forecast("runs", words, "count", effort.runs)
    yield _forecast("charge", "charge, each", "L", effort.charge_l)
    yield _forecast("charge_strength", "strength of the charge", "pct_vol", effort.charge_pct_vol)
    yield _forecast("heat_up", "heating takes, each", "h", effort.heat_up_h / effort.runs)
    yield _forecast("running", "running takes, each", "h", effort.running_h / effort.runs)


def _strip(sized: Sized) -> Iterator[Target]:
    record = sized.course.strip
    yield from _runs(record.effort, "strips")
    yield _forecast("first", "first drops at", "pct_vol", record.first_pct_vol)
    yield _set("stop", "stop when the spout shows", "pct_vol", sized.method.strip_stop_pct_vol)
    yield _forecast("pot", "pot is then at", "C", record.last_pot_c)
    yield _forecast("low_wines", "low wines, all strips", "L", record.volume_l)
    yield _forecast("low_wines_strength", "strength of the low wines", "pct_vol", record.strength_pct_vol)


def _charge(sized: Sized) -> Iterator[Target]:
    for i, stock in enumerate(sized.method.spirits_in, 1):
        yield _set(f"stock.{i}", f"{stock.kind} from store at {stock.pct_vol:.1f} %vol", "L", stock.volume_l)
    record = sized.course.charge_record
    if np.any(record.water_kg > 0.01):
        yield _forecast("water", "water, to stay under the limits", "L", record.water_kg / 0.9982)
    yield _forecast("volume", "charge, all runs", "L", record.volume_l)
    yield _forecast("strength", "strength of the charge", "pct_vol", record.strength_pct_vol)
    yield _set("limit", "never stronger than", "pct_vol", sized.method.charge_limit_pct_vol)


def _spirit(sized: Sized) -> Iterator[Target]:
    record, method = sized.course.spirit, sized.method
    effort, cut = record.effort, record.receivers
    yield from _runs(effort, "spirit runs")
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
    yield _set("jars", "jars to lay out, each run", "count", jars_to_lay_out(sized))
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
    if early > 0.05:
        notes.append(f"In {early:.0%} of possible batches the heart ends sooner, to stay at entry strength.")
    return tuple(notes)


def _reduce(sized: Sized) -> Iterator[Target]:
    record = sized.course.reduce
    yield _set("to", "reduce to", "pct_vol", sized.method.entry_pct_vol)
    yield _forecast("water", "water, added slowly", "kg", record.water_kg)
    yield _forecast("contraction", "volume lost by mixing", "mL", record.contraction_l * 1000.0)
    yield _forecast("volume", "spirit at entry strength", "L", record.volume_l)


def _fill(sized: Sized) -> Iterator[Target]:
    record, course = sized.course.cask_record, sized.course
    yield _forecast("wanted", "wanted in the cask", "L", np.asarray(sized.method.fill_l))
    yield _forecast("filled", "goes into the cask", "L", record.filled_l)
    yield _forecast("ullage", "left empty", "L", record.ullage_l)
    yield _forecast("first_days", "strength after the first days", "pct_vol", record.first_days_pct_vol)
    yield _forecast("settled", "strength once the wood has settled", "pct_vol", record.settled_pct_vol)
    if not sized.intent.cask.soaked:
        yield _forecast("level", "level once the wood has drunk", "L", record.settled_level_l)
    if np.any(course.surplus.ethanol_kg > 0):
        yield _forecast("over", "spirit over", "L", course.surplus.volume_l)


def _fill_notes(sized: Sized) -> tuple[str, ...]:
    if not sized.intent.cask.soaked:
        return ("Dry staves drink spirit and may leak: soaking first costs strength but saves spirit.",)
    drop = float(np.median(sized.course.cask_record.entry_pct_vol - sized.course.cask_record.settled_pct_vol))
    return (
        f"The soaked wood's water takes the strength down by about {drop:.1f} %vol over the first weeks.",
    )
