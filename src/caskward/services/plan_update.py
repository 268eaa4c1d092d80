"""Readings taken into a plan: how sure the cask fills now, and every later figure with its band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from caskward.catalogue.load import load
from caskward.errors import (
    MoreThanItHolds,
    MoreThanThereIs,
    NoBatchReadings,
    NothingFollowed,
    NothingToRead,
    NoWorldFits,
)
from caskward.errors.tub import NoMashHere
from caskward.planning.advice import broken
from caskward.planning.as_done import AT_THE_CASK, Done, as_done
from caskward.planning.batch_checks import most_of
from caskward.planning.observing import Settings, tells
from caskward.planning.plan import Band, band
from caskward.planning.readings import QUANTITIES, STAGES, Reading, Stage
from caskward.planning.remedies import under
from caskward.planning.sizing import Sized
from caskward.planning.update import Belief, begin
from caskward.services import batch_done, batch_receivers, batch_typed, kept_beliefs, plans, run_heart, words
from caskward.services.batch_typed import Pair, Rows
from caskward.services.kept_beliefs import Say, quiet
from caskward.services.plan_ferment import FermentOutlook, outlook
from caskward.services.plan_figures import OUTCOMES, Figure, figure_of
from caskward.services.plan_judged import Contradiction, Taken, differ, judged
from caskward.units import show
from caskward.units.types import UnitSystem

_ROOM_OVER: Final = 1.05
"""By how much a charge may be larger than planned before litres collected of it are called impossible."""


@dataclass(frozen=True)
class Told:
    """A plan, what was believed before its readings, and what is believed after them.

    sized: as it was made, as far as that is known. before: by the plan's own file. read: after the readings;
    now: with what was done to the cask since it was read, too.
    """

    sized: Sized
    before: Belief
    read: Belief
    now: Belief
    pairs: tuple[Pair, ...]
    notes: tuple[str, ...]

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Everything taken in, in the order of the batch's way."""
        return self.now.readings

    @property
    def said_of_pairs(self) -> tuple[str, ...]:
        """A sentence for each two readings of one moment."""
        return tuple(_both(p) for p in self.pairs)

    @property
    def last(self) -> Stage | None:
        """The stage that was read last; None before any reading."""
        return max((r.stage for r in self.readings), key=STAGES.index, default=None)


@dataclass(frozen=True)
class PlanUpdate:
    """A plan brought up to date."""

    name: str
    place: str
    invented: bool
    show: UnitSystem
    confidence: float
    wanted_l: float
    entry_pct_vol: float
    chance_before: float
    chance_now: float
    fill_before: Band
    fill_now: Band
    last: Stage
    figures: tuple[Figure, ...]
    readings: tuple[Taken, ...]
    contradictions: tuple[Contradiction, ...]
    notes: tuple[str, ...]
    rough: bool
    worlds: int
    seed: int
    ferment: FermentOutlook | None = None


def updated(source: str, rows: Rows, folder: Path | None = None, say: Say = quiet) -> PlanUpdate:
    """Take readings into a plan.

    Args:
        source: the plan's file. rows: its readings. folder: of the file, for the files it names. say: told
            what is being worked on.

    Raises:
        InputError: a plan or a reading that cannot be used; no reading at all.
    """
    if not rows.readings and not rows.done:
        raise NoBatchReadings
    return report(told(source, rows, folder, say))


def told(source: str, rows: Rows, folder: Path | None = None, say: Say = quiet) -> Told:
    """What is believed of a plan's batch after some readings, or none."""
    return told_of(kept_beliefs.sized(plans.intent_text(source, folder), say), rows, say)


def told_of(sized: Sized, rows: Rows, say: Say = quiet) -> Told:
    """The same of a batch that is sized already."""
    before = begin(sized)
    since_read = tuple(d for d in rows.done if d.key in AT_THE_CASK and d.after == "cask")
    on_the_way = tuple(d for d in rows.done if d not in since_read)
    made = begin(as_done(sized, on_the_way, load())) if on_the_way else before
    followed, notes = _followed(rows, made.sized, made.settings or Settings(made.sized))
    try:
        read = kept_beliefs.believed(made, followed, say)
    except ValueError as error:
        if "likelihood" not in str(error):
            raise
        raise NoWorldFits from None
    now = under(read, as_done(read.sized, since_read, load())) if since_read else read
    every = (*rows.notes, *_of_what_was_done(now.sized, rows.done), *notes, *_too_large(now.sized))
    return Told(now.sized, before, read, now, rows.pairs, every)


def report(of: Told) -> PlanUpdate:
    """The plan before and after, and how well its readings go together."""
    sized, last = of.sized, of.last or first_stage(of.now)
    readings, apart = judged(of.read, of.pairs)
    before, now = of.before.sized.course, of.now.course
    figures = tuple(figure_of(o, before, now) for o in OUTCOMES.values())
    particles = of.now.particles
    return PlanUpdate(
        name=sized.intent.name,
        place=sized.intent.place,
        invented=sized.intent.invented,
        show=sized.intent.show,
        confidence=sized.intent.confidence,
        wanted_l=sized.method.fill_l,
        entry_pct_vol=sized.method.entry_pct_vol,
        chance_before=of.before.sized.chance,
        chance_now=of.now.chance,
        fill_before=band(before.available_l),
        fill_now=band(now.available_l),
        last=last,
        figures=figures,
        readings=readings,
        contradictions=apart,
        notes=(*of.notes, *(_both(p) for p in of.pairs if not differ(p))),
        rough=particles is not None and not particles.whole,
        worlds=len(of.now.z),
        seed=sized.intent.seed,
        ferment=outlook(of.before, of.read),
    )


# What is taken in --------------------------------------------------------------------------------


def _followed(rows: Rows, sized: Sized, settings: Settings) -> tuple[list[Reading], list[str]]:
    """Readings that say something of this plan, and sentences about the others.

    Raises:
        InputError: a stage that the batch does not have, more litres than there are, nothing left.
    """
    if settings.rests is None:
        _refuse_mash(rows.readings)
    for reading in rows.readings:
        _refuse_too_much(reading, sized)
        _refuse_more_than_it_holds(reading, rows.readings, sized)
    kept = [r for r in rows.readings if tells(r)]
    if rows.readings and not kept:
        raise NothingFollowed(tuple(dict.fromkeys(r.said for r in rows.readings)))
    left_out: dict[str, list[str]] = {}
    for reading in rows.readings:
        if not tells(reading):
            left_out.setdefault(reading.said, []).append(f"the {QUANTITIES[reading.quantity].words}")
    notes = [
        f"Not used, for no model says what it should be: {listed(w)} in {row!r}."
        for row, w in left_out.items()
    ]
    return kept, [*notes, *_unread(kept, settings)]


def _of_what_was_done(sized: Sized, done: Sequence[Done]) -> list[str]:
    """That it is followed; and how much water goes with other kilograms, where that was not said."""
    if not done:
        return []
    said = f"Followed as done, in the place of the plan: {listed([repr(d.said) for d in done])}."
    without = any(d.key == "mashed" and d.bill_kg and d.water_l is None for d in done)
    water = show.volume(sized.method.water_l, sized.intent.show)
    return [said, *([f"Water is taken to have gone with the kilograms: {water}."] if without else [])]


def first_stage(belief: Belief) -> Stage:
    """Where a batch begins: a mash, or without starch the ferment."""
    settings = belief.settings
    return "mash" if settings is not None and settings.rests is not None else "ferment"


def _both(of: Pair) -> str:
    begin = "Two readings of one moment" if of.first.moment == of.second.moment else "Of these one is wrong"
    return f"{begin}, both kept: {_one(of.first)} and {_one(of.second)}."


def _one(of: Reading) -> str:
    return f"the {QUANTITIES[of.quantity].words} in {of.said!r}"


def _too_large(sized: Sized) -> list[str]:
    """A sentence about a plan that its gear cannot hold."""
    tight = [words.limit(one, sized.intent.show) for one in broken(sized)]
    if not tight:
        return []
    return [
        f"This plan does not fit its gear as it stands ({'; '.join(tight)}): plan the file to see what would."
    ]


def listed(parts: Sequence[str]) -> str:
    """Words in a row: `mash, ferment and wash`."""
    return f"{', '.join(parts[:-1])} and {parts[-1]}" if len(parts) > 1 else "".join(parts)


def _refuse_mash(readings: Sequence[Reading]) -> None:
    """Nothing is mashed here; a must's gravity has a place of its own."""
    of_mash = [r for r in readings if r.stage == "mash"]
    must = next((r for r in of_mash if r.quantity.startswith("gravity")), None)
    if must is not None:
        raise NoMashHere(must.said.partition(":")[2].strip())
    if of_mash:
        raise NothingToRead("mash")


def _refuse_too_much(reading: Reading, sized: Sized) -> None:
    if reading.quantity != "spout":
        return
    course, method = sized.course, sized.method
    whole, times = (
        (course.wash, method.strips) if reading.stage == "strip" else (course.charge, method.spirit_runs)
    )
    charge_l = float(np.quantile(whole.volume_l, 0.9)) / times
    if reading.at_l > _ROOM_OVER * charge_l:
        system = sized.intent.show
        said, of = (show.volume(v, system) for v in (reading.at_l, charge_l))
        raise MoreThanThereIs(reading.said, said, of, reading.stage, times)


def _refuse_more_than_it_holds(reading: Reading, readings: Sequence[Reading], sized: Sized) -> None:
    most = most_of(reading, readings, sized)
    if most is not None and reading.value > most.volume_l:
        raise MoreThanItHolds(reading.said, show.volume(most.volume_l, sized.intent.show), most.of)


def _unread(kept: Sequence[Reading], settings: Settings) -> list[str]:
    """A sentence about stages that lie before one that was read and were not read themselves."""
    if not kept:
        return []
    read = {r.stage for r in kept}
    last = max(STAGES.index(stage) for stage in read)
    missed = [s for s in STAGES[:last] if s not in read and not (s == "mash" and settings.rests is None)]
    if not missed:
        return []
    is_over, are = ("is", "It is") if len(missed) == 1 else ("are", "They are")
    return [
        f"Nothing was read of the {listed(missed)}, which {is_over} over by now. {are} taken as planned, "
        "with the plan's doubt."
    ]


def rows_of(logged: Sequence[str], typed: Sequence[str], log: str = "The log") -> Rows:
    """Readings as typed, put in order, and what was done; what `updated` and its kin are asked with."""
    chosen = run_heart.chosen_heart((*logged, *typed))
    logged, typed = batch_receivers.without(logged), batch_receivers.without(typed)
    read, done = batch_done.apart((*logged, *typed))
    in_log = sum(not batch_done.says_done(row) for row in logged)
    found = batch_typed.rows(read[:in_log], read[in_log:], log)
    return replace(
        found, done=(*done, *chosen), notes=(*found.notes, *batch_done.out_of_place((*logged, *typed)))
    )


def rows_asked(logged: Sequence[str], typed: Sequence[str], log: str = "The log") -> Rows:
    """The same, with what moves nothing named: jars, cans and the head, while no heart is chosen of them.

    Raises:
        NothingFollowed: nothing else was given.
    """
    found, every = rows_of(logged, typed, log), (*logged, *typed)
    aside = [" ".join(row.split()) for row in every if not batch_receivers.without((row,))]
    if not aside or run_heart.chosen_heart(every):
        return found
    if not found.readings and not found.done:
        raise NothingFollowed(tuple(aside))
    named = ", ".join(repr(row) for row in aside)
    said = (
        f"Left aside, for jars, cans and the head move no forecast: {named}. Read the heart when it is "
        f"chosen: {batch_typed.example('heart')!r}."
    )
    return replace(found, notes=(*found.notes, said))
