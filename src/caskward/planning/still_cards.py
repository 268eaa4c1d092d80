"""Cards of the still and the cask: strip, charge, spirit run, reduce, fill, clean."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from caskward.planning.plan import Band, Target
from caskward.planning.sizing import Sized
from caskward.planning.strengths import said
from caskward.planning.targets import expected, is_set
from caskward.stages.runs import RunEffort
from caskward.stages.stream import Stream, Worlds
from caskward.units import show

_MANY_JARS = 40


def _runs(effort: RunEffort, running_h: Worlds, words: str) -> Iterator[Target]:
    runs = float(np.median(effort.runs))
    yield is_set("runs", words, "count", runs)
    yield expected("charge", "charge, each", "L", effort.charge_l)
    yield expected("charge_strength", "strength of the charge", "pct_vol", effort.charge_pct_vol)
    yield expected("heat_up", "heating takes, each", "h", effort.heat_up_h / runs)
    yield expected("running", "running takes, each", "h", running_h / runs)


def spirit_running_h(sized: Sized) -> Worlds:
    """Hours the spirit runs take, all together: as slowly as the trade runs them, or as the heat allows."""
    effort = sized.course.spirit.effort
    return np.maximum(effort.running_h, sized.worlds["spirit.hours"] * effort.runs)


def strip(sized: Sized) -> Iterator[Target]:
    """Charges, stop and low wines."""
    record = sized.course.strip
    yield from _runs(record.effort, record.effort.running_h, "strips")
    yield expected("first", "first drops at", "pct_vol", record.first_pct_vol)
    yield is_set("stop", "stop when the spout shows", "pct_vol", sized.method.strip_stop_pct_vol)
    yield expected("pot", "pot is then at", "C", record.last_pot_c)
    yield expected("low_wines", "low wines, all strips", "L", record.volume_l)
    yield expected("low_wines_strength", "strength of the low wines", "pct_vol", record.strength_pct_vol)


def charge(sized: Sized) -> Iterator[Target]:
    """What goes into the spirit run, and the water that keeps it safe."""
    for i, stock in enumerate(sized.method.spirits_in, 1):
        yield is_set(
            f"stock.{i}",
            f"{stock.kind} from store at {said(stock.pct_vol, sized.intent.show)}",
            "L",
            stock.volume_l,
        )
    record = sized.course.charge_record
    if np.quantile(record.water_kg, 0.9) > 0.05:
        yield expected("water", "water, to stay under the limits", "L", record.water_kg / 0.9982)
    yield expected("volume", "charge, all runs", "L", record.volume_l)
    yield expected("strength", "strength of the charge", "pct_vol", record.strength_pct_vol)
    yield is_set("limit", "never stronger than", "pct_vol", sized.method.charge_limit_pct_vol)


def spirit(sized: Sized) -> Iterator[Target]:
    """Cut points as strength and volume, receivers, feints."""
    record, method = sized.course.spirit, sized.method
    effort, cut = record.effort, record.receivers
    yield from _runs(effort, spirit_running_h(sized), "spirit runs")
    yield expected("first", "first drops at", "pct_vol", record.first_pct_vol)
    yield expected("foreshots", "foreshots set aside, each run", "L", cut.foreshots.volume_l / effort.runs)
    yield expected("heads", "then heads, each run", "L", cut.heads.volume_l / effort.runs)
    yield expected("heart_from", "heart begins near", "pct_vol", record.heart_from_pct_vol)
    before_l = (cut.foreshots.volume_l + cut.heads.volume_l) / effort.runs
    yield expected("heart_from_l", "heart begins after", "L", before_l)
    yield expected("heart_to", "heart ends at", "pct_vol", record.heart_to_pct_vol)
    yield expected("heart_to_l", "heart ends after", "L", before_l + cut.heart.volume_l / effort.runs)
    yield expected("heart", "heart, all runs", "L", cut.heart.volume_l)
    yield expected("heart_strength", "strength of the heart", "pct_vol", record.heart_pct_vol)
    yield is_set("tails_stop", "tails until the spout shows", "pct_vol", method.cuts.tails_stop_pct_vol)
    yield expected("tails", "tails, all runs", "L", cut.tails.volume_l)
    jar = show.measure_out(sized.intent.cuts.jar_l, sized.intent.show)
    yield is_set("jars", f"jars of {jar} to lay out, each run", "count", jars_to_lay_out(sized))
    yield expected("feints", "feints kept (heads and tails)", "L", sized.course.feints.volume_l)
    yield expected(
        "feints_strength", "strength of the feints", "pct_vol", sized.course.feints.strength_pct_vol
    )


def jars_to_lay_out(sized: Sized) -> float:
    """Jars for one run: one for foreshots, and enough for heads and heart in nine worlds of ten."""
    cut, runs = sized.course.spirit.receivers, sized.course.spirit.effort.runs
    jar_l = sized.intent.cuts.jar_l

    def jars(stream: Stream) -> float:
        return float(np.ceil(np.quantile(stream.volume_l / runs, 0.9) / jar_l))

    return 1.0 + jars(cut.heads) + jars(cut.heart)


def spirit_notes(sized: Sized) -> tuple[str, ...]:
    """What the figures of a cut are worth."""
    record = sized.course.spirit
    early = float(np.mean(record.heart_to_pct_vol > sized.method.cuts.heart_end_pct_vol + 2.5))
    stills = sized.intent.gear
    own = stills.spirit_still.learned if stills.spirit_still != stills.strip_still else ""
    notes = [own] if own else []
    notes.append("The cut points are an aid: nose, tongue and local practice decide, jar by jar.")
    if jars_to_lay_out(sized) > _MANY_JARS:
        notes.append("So many jars are a day's work: take the middle of the heart in cans.")
    if early > 0.05:
        notes.append(f"In {early:.0%} of possible batches the heart ends sooner, to stay at entry strength.")
    return tuple(notes)


def reduce(sized: Sized) -> Iterator[Target]:
    """Water down to entry strength."""
    record = sized.course.filled.reduce
    yield is_set("to", "reduce to", "pct_vol", sized.method.entry_pct_vol)
    yield expected("water", "water, added slowly", "kg", record.water_kg)
    yield expected("contraction", "volume lost by mixing", "mL", record.contraction_l * 1000.0)
    yield expected("volume", "spirit at entry strength", "L", record.volume_l)


def fill(sized: Sized) -> Iterator[Target]:
    """What goes into the cask and what the wood makes of it."""
    record, course = sized.course.filled.cask_record, sized.course
    yield expected("wanted", "wanted in the cask", "L", np.asarray(sized.method.fill_l))
    yield expected("filled", "goes into the cask", "L", record.filled_l)
    yield expected("ullage", "left empty", "L", record.ullage_l)
    yield expected("first_days", "strength after the first days", "pct_vol", record.first_days_pct_vol)
    yield expected("settled", "strength once the wood has settled", "pct_vol", record.settled_pct_vol)
    if not sized.intent.cask.soaked:
        yield expected("level", "level once the wood has drunk", "L", record.settled_level_l)
    if np.any(course.surplus.ethanol_kg > 0):
        yield expected("over", "spirit left over", "L", course.surplus.volume_l)


def fill_notes(sized: Sized) -> tuple[str, ...]:
    """What soaked or dry wood does."""
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


def charge_notes(sized: Sized) -> tuple[str, ...]:
    """A site's own rule, on record."""
    rule = sized.intent.cuts.site_rule
    if not rule:
        return ()
    limit = said(sized.method.charge_limit_pct_vol, sized.intent.show)
    return (f"Charged up to {limit} by the site's own rule: {rule}",)


def strip_notes(sized: Sized) -> tuple[str, ...]:
    """What the still's own runs taught; solids in the pot, where the wash is not strained."""
    gear = sized.intent.gear
    own = (gear.strip_still.learned,) if gear.strip_still.learned else ()
    if gear.straining.held_kg_per_kg_insolubles.high > 0 or not np.any(sized.course.wash.solids_kg > 0.5):
        return own
    return (
        *own,
        "The wash goes in with its solids: they scorch on a bare bottom or an element. Stir, or heat gently.",
    )


def clean(sized: Sized) -> Iterator[Target]:
    """How often, and how long."""
    hours, ferments = sized.intent.practice.cleaning_hours, sized.method.ferments
    yield Target(
        "cleaning", "cleaning, each time", "forecast", "h", Band(hours.low, hours.likely, hours.high)
    )
    yield is_set(
        "times",
        "times: after each mash and each ferment, and the still at the end",
        "count",
        2 * ferments + 1,
    )
