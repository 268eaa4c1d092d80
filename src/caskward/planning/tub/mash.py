"""One tub's mash, carried through its hours in every world, as its labels promise or as it truly is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import reduce
from typing import Final

import numpy as np

from caskward.catalogue.kinds import Enzyme as EnzymeKind
from caskward.planning.intent import EnzymeLabel, Intent
from caskward.planning.tub.schedule import MashSchedule
from caskward.stages.cook import gelatinised_share
from caskward.stages.enzyme_labels import BRANCHED_SHARE, Nature, label_enzyme, malt_enzymes
from caskward.stages.enzymes import HABITS, Dose, Habit
from caskward.stages.mash_starch import Starch
from caskward.stages.mashing import MashCourse, mash_course
from caskward.stages.stream import HEXOSE_KG_PER_KG_GLUCAN, Stream, Worlds, mixed

POT_STEP_H: Final = 1.0 / 6.0


@dataclass(frozen=True)
class Portion:
    """A material's starch in the mash [kg], and whether it was cooked.

    range_c: where it swells, begin and end [°C]; None for what is swollen already. lintner: diastatic power.
    """

    key: str
    starch_kg: Worlds
    cooked: bool
    range_c: tuple[float, float] | None
    malt: bool
    lintner: float


@dataclass(frozen=True)
class Truth:
    """What a mash truly is in each world, against what was planned.

    accessible: share of the starch that can ever be reached. fermentable_share: of what is split, the share
    that yeast could use in the end. swollen_share: of what a cook would have swollen, what it did.
    lively: activity of each product over its label's, by name; "malt" is malt's own. window_k: how far a
    product's true window lies above the label's [K].
    """

    accessible: float | Worlds = 1.0
    fermentable_share: float | Worlds = 0.97
    swollen_share: float | Worlds = 1.0
    lively: Mapping[str, float | Worlds] = field(default_factory=dict)
    window_k: Mapping[str, float | Worlds] = field(default_factory=dict)


MALT: Final = "malt"


def nature(kind: EnzymeKind) -> Nature:
    """The constants of a catalogue's kind, at their likely values."""
    assert kind.half_life_min is not None, "the catalogue gives it for what thins or sweetens"
    assert kind.loss_kj_mol is not None, "the catalogue gives it for what thins or sweetens"
    assert kind.activation_kj_mol is not None, "the catalogue gives it for what thins or sweetens"
    return Nature(
        does="thin" if kind.does == "thin" else "sweeten",
        best_c=kind.window_c.likely,
        half_life_h=kind.half_life_min.likely / 60.0,
        half_life_at_c=kind.half_life_at_c,
        loss_kj_mol=kind.loss_kj_mol.likely,
        activation_kj_mol=kind.activation_kj_mol.likely,
        habit=HABITS.get(kind.key, Habit()),
    )


def product_dose(label: EnzymeLabel, at_h: float, truth: Truth) -> Dose:
    """A product's full dose as it truly is: lively or not, its window where it really lies."""
    shift_k = truth.window_k.get(label.name, 0.0)
    low_c, high_c = label.window_c
    moved = replace_best(nature(label.kind), shift_k)
    enzyme = label_enzyme(moved, (low_c + shift_k, high_c + shift_k), label.window_ph, label.hold_h)
    return Dose(enzyme, at_h, truth.lively.get(label.name, 1.0))


def replace_best(kind: Nature, shift_k: float | Worlds) -> Nature:
    """A kind whose best temperature and lasting lie so much higher [K]: a half-life moves with its window."""
    if np.all(np.asarray(shift_k) == 0.0):
        return kind
    per_k = kind.loss_kj_mol / (8.314462618e-3 * (kind.half_life_at_c + 273.15) ** 2)
    longer = np.exp(np.asarray(per_k) * shift_k)
    return replace(kind, best_c=np.asarray(kind.best_c + shift_k), half_life_h=kind.half_life_h * longer)


def malt_doses(portions: Sequence[Portion], kinds: Sequence[EnzymeKind], truth: Truth) -> tuple[Dose, ...]:
    """Malt's own enzymes from hour 0, as strong as its diastatic power over the whole grist."""
    malts = [p for p in portions if p.malt and p.lintner > 0.0]
    if not malts or len(kinds) < 2:
        return ()
    kg = [p.starch_kg for p in malts]
    grist_kg = np.asarray(sum(p.starch_kg for p in portions))
    power = np.asarray(sum(p.lintner * part for p, part in zip(malts, kg, strict=True)))
    malt_kg = np.asarray(sum(kg))
    windows = tuple(
        ((k.window_c.low, k.window_c.high), (k.window_ph.low, k.window_ph.high)) for k in kinds[:2]
    )
    doses = malt_enzymes(
        power / np.maximum(malt_kg, 1e-9),
        malt_kg,
        grist_kg,
        (nature(kinds[0]), nature(kinds[1])),
        (windows[0], windows[1]),
    )
    lively = truth.lively.get(MALT, 1.0)
    return tuple(replace(dose, strength=dose.strength * lively) for dose in doses)


def starch_of(portion: Portion, cook_c: float, truth: Truth, branched: float | Worlds) -> Starch:
    """A portion's starch by its state when the tub's clock starts."""
    whole = np.asarray(portion.starch_kg)
    if portion.range_c is None:
        raw, onset_c, complete_c = np.zeros_like(whole), 0.0, 1.0
    else:
        onset_c, complete_c = portion.range_c
        raw = whole
    if portion.cooked and portion.range_c is not None:
        share = gelatinised_share(np.asarray(cook_c), np.asarray(onset_c), np.asarray(complete_c))
        raw = whole * (1.0 - share * truth.swollen_share)
    # What a cook left raw in lumps or coarse bits swells no more at the rest: the heat cannot reach it.
    shut = raw if portion.cooked else np.zeros_like(raw)
    open_raw = np.zeros_like(raw) if portion.cooked else raw
    return Starch(
        raw_kg=np.asarray(open_raw)[None],
        swollen_kg=np.asarray(whole - raw),
        onset_c=onset_c,
        complete_c=complete_c,
        accessible=truth.accessible,
        shut_kg=np.asarray(shut),
        branched_share=branched,
    )


@dataclass(frozen=True)
class MashStart:
    """The tub at hour 0: everything in it, its starch, and the doses to come."""

    stream: Stream
    starch: Starch
    doses: tuple[Dose, ...]


@dataclass(frozen=True)
class Stirred:
    """What is stirred together: cooked grain with its water, the rest with its own, starch by material."""

    cooked: Stream | None
    rest: Stream | None
    portions: tuple[Portion, ...]
    cook_c: float
    cook_hold_h: float


def start_of(intent: Intent, schedule: MashSchedule, stirred: Stirred, truth: Truth) -> MashStart:
    """Everything stirred together, after the pot has thinned what a hot product can thin there."""
    branched = _branched(intent, truth)
    hot = [product_dose(d.label, 0.0, truth) for d in schedule.doses if d.in_pot]
    parts: list[tuple[Stream, Starch]] = []
    carried: tuple[Dose, ...] = ()
    for stream, cooked in ((stirred.cooked, True), (stirred.rest, False)):
        of_it = [p for p in stirred.portions if p.cooked == cooked]
        if stream is None or not of_it:
            continue
        starch = reduce(Starch.and_with, [starch_of(p, stirred.cook_c, truth, branched) for p in of_it])
        if hot and cooked:
            thinned, starch, carried = _in_pot(stream, starch, hot, stirred, schedule)
            parts.append((thinned, starch))
        else:
            parts.append((stream, starch))
    whole = mixed(*(stream for stream, _ in parts))
    starch = reduce(Starch.and_with, [part for _, part in parts])
    in_tub = tuple(product_dose(d.label, d.at_h, truth) for d in schedule.doses if not d.in_pot)
    own = malt_doses(stirred.portions, intent.malt_enzymes, truth)
    return MashStart(whole, starch, (*carried, *in_tub, *own))


def _in_pot(
    stream: Stream, starch: Starch, hot: Sequence[Dose], stirred: Stirred, schedule: MashSchedule
) -> tuple[Stream, Starch, tuple[Dose, ...]]:
    hours = np.linspace(0.0, max(stirred.cook_hold_h, POT_STEP_H), 7)
    ph = next((0.5 * (d.label.window_ph[0] + d.label.window_ph[1]) for d in schedule.doses if d.in_pot), 5.8)
    course = mash_course(stream, starch, hours, stirred.cook_c, ph, hot)
    after, left, doses = course.carried_on(-1)
    return after.at(stream.temp_c), left, doses


def _branched(intent: Intent, truth: Truth) -> float | Worlds:
    """Share of thinned starch that ends branched: what malt alone leaves, or glucoamylase is slow with."""
    if not intent.has_enzymes:
        return np.clip(1.0 - np.asarray(truth.fermentable_share), 0.0, 0.5)
    usual = 1.0 - intent.practice.fermentable_share.likely
    return np.clip(BRANCHED_SHARE * (1.0 - np.asarray(truth.fermentable_share)) / max(usual, 1e-3), 0.0, 0.5)


def mash_through(start: MashStart, hours: Worlds, temp_c: Worlds, ph: Worlds) -> MashCourse:
    """The mash over a grid of hours."""
    return mash_course(start.stream, start.starch, hours, temp_c, ph, start.doses)


def converted_share(course: MashCourse, brought_kg: Worlds) -> Worlds:
    """Share of the starch that the bill brought [kg] that has been split by the end [0..1]."""
    starch_kg = np.maximum(brought_kg, 1e-12)
    left_kg = course.raw_kg[-1] + course.long_starch_kg[-1]
    return np.asarray(1.0 - left_kg / starch_kg)


def sweetened_share(course: MashCourse) -> Worlds:
    """Of the starch that was split, the share that is sugar by now, over the grid [0..1]."""
    sugar_kg = (course.sugar_kg - course.mash.hexose_kg) / HEXOSE_KG_PER_KG_GLUCAN
    split_kg = course.mash.starch_kg - course.raw_kg - course.long_starch_kg
    return np.asarray(sugar_kg / np.maximum(split_kg, 1e-12))
