"""What is not known about an intent: every unknown that its forecast meets, with its source."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from caskward.catalogue.fact import ZERO, Fact
from caskward.planning.intent import BillItem, Intent
from caskward.planning.learned_gear import with_taught
from caskward.planning.unknowns import Draw, Owner, Scale, Unknown
from caskward.stages.stream import Worlds

PRACTICE = "common-practice"

STOPS_SHORT: Final = "ferment.stops_short"
"""Share of the sugar it could use that a yeast leaves which stops for want of anything but sugar: too cold,
starved, soured, old. What a tub is asked about (`tub.ferment_causes`) tells these apart."""
_STOPS_SHORT_IN: Final = 0.02
"""One ferment in fifty; *common practice, no source*."""
_LEFT_BY_ONE_THAT_STOPS: Final = 0.8
"""Four in five of those leave no more than this; *common practice, no source*: the causes that a tub can be
asked about leave a tenth to nine tenths."""
_SETTLES_DAYS: Final = (10.0, 21.0, 45.0)
"""Days in which two thirds of the slow part of the wood's water are out: "weeks"; *common practice, no
source*."""
TURNS_AGAIN: Final = "ferment.turns_again"
"""A second turn of one that stopped: share of what it had left that is used after all; and of one that was
read to have gone on, the share that is left again."""
_TURNS_AGAIN_IN, _MOSTLY_ALL = 0.1, 0.99
"""One in ten; then nearly all of it, mostly; *common practice, no source*."""
LEAST_USED: Final = 0.1
"""A tub that has used less of its sugar is pitched anew, not distilled; *common practice, no source*."""


def gives_out_at(worlds: Draw) -> Worlds:
    """Share of the sugar it could use at which the yeast stops."""
    return np.maximum(1.0 - worlds[STOPS_SHORT], LEAST_USED)


def used_at_last(worlds: Draw, *, moved_on: bool) -> Worlds:
    """Share of the sugar it could use that is used in the end, where a yeast that stopped may go on.

    moved_on: that it went on was read.
    """
    stopped_at, again = gives_out_at(worlds), worlds[TURNS_AGAIN]
    return np.asarray(stopped_at + (1.0 - stopped_at) * (1.0 - again if moved_on else again))


def doubts(intent: Intent) -> tuple[Unknown, ...]:
    """Every unknown of the chain from sack to cask, in a fixed order, where earlier batches put it."""
    every = (
        *(unknown for item in intent.bill for unknown in _of_material(item)),
        *_of_mash(intent),
        *_of_ferment(intent),
        *_of_straining(intent),
        *_of_stills(intent),
        *_of_cask(intent),
    )
    return as_taught(every, intent)


def as_taught(unknowns: Sequence[Unknown], intent: Intent) -> tuple[Unknown, ...]:
    """Unknowns of an intent, each where the batches before it put it."""
    return with_taught(unknowns, [thing_of(u.name, intent) for u in unknowns], intent.learned)


def thing_of(name: str, intent: Intent) -> str:
    """Which yeast or enzymes an unknown is of; "" where its name and its band say enough."""
    if name.startswith(("yeast.", "ferment.attenuation", "ferment.tolerance")):
        return intent.yeast.key
    if name == "convert.lively":
        return ", ".join(sorted(label.name for label in intent.enzymes))
    return ""


def _from_fact(name: str, words: str, owner: Owner, scale: Scale, fact: Fact) -> Unknown:
    return Unknown(name, words, owner, scale, fact.low, fact.likely, fact.high, fact.source)


def _of_material(item: BillItem) -> Iterator[Unknown]:
    material = item.material
    for part, words in (
        ("moisture", "moisture"),
        ("starch_dry", "starch"),
        ("sugars_dry", "sugar"),
        ("dextrin_dry", "longer sugars"),
        ("unfermentable_dry", "solids that no yeast uses"),
    ):
        fact: Fact = getattr(material, part)
        yield _from_fact(
            f"{material.key}.{part}", f"{words} in the {material.name}", "material", "share", fact
        )


def _of_mash(intent: Intent) -> Iterator[Unknown]:
    practice = intent.practice
    with_enzymes = intent.has_enzymes
    conversion = practice.conversion if with_enzymes else practice.conversion_malt_only
    fermentable = practice.fermentable_share if with_enzymes else practice.fermentable_share_malt_only
    pot = intent.gear.cook_pot
    if pot is not None:
        yield _from_fact("cook.efficiency", "heat that reaches the pot", "gear", "share", pot.kind.efficiency)
        yield Unknown(
            "cook.evaporated_share_per_h",
            "steam lost while cooking",
            "method",
            "share",
            0.005,
            0.012,
            0.03,
            PRACTICE,
        )
    yield _from_fact("convert.conversion", "how well the starch converts", "method", "share", conversion)
    yield Unknown(
        "convert.lively", "how lively the enzymes are", "material", "positive", 0.7, 1.0, 1.25, PRACTICE
    )
    yield Unknown(
        "mash.warmer_k", "how well the rests keep their warmth", "method", "real", -1.5, 0.0, 1.5, PRACTICE
    )
    yield _from_fact(
        "convert.fermentable_share", "how much of it the yeast can use", "method", "share", fermentable
    )


def _of_ferment(intent: Intent) -> Iterator[Unknown]:
    yeast, practice = intent.yeast, intent.practice
    enzymes_live_on = (0.3, 0.55, 0.8) if intent.has_enzymes else (0.0, 0.0, 0.0)
    yield _from_fact("ferment.attenuation", "how dry the ferment gets", "method", "share", yeast.attenuation)
    yield Unknown(
        "ferment.dextrin_used",
        "longer sugars split in the tub",
        "method",
        "share",
        *enzymes_live_on,
        PRACTICE,
    )
    yield _from_fact(
        "ferment.yield_of_theory",
        "how much alcohol the yeast makes",
        "method",
        "share",
        practice.ferment_yield,
    )
    yield _from_fact(
        "ferment.tolerance_pct_vol",
        "strength the yeast can stand",
        "material",
        "positive",
        yeast.tolerance_pct_vol,
    )
    yield Unknown(
        STOPS_SHORT,
        "whether the ferment stops short",
        "method",
        "share",
        *(0.0, 0.0, _LEFT_BY_ONE_THAT_STOPS),
        PRACTICE,
        met=_STOPS_SHORT_IN,
    )
    yield Unknown(
        TURNS_AGAIN,
        "whether a ferment that stopped turns once more",
        "method",
        "share",
        *(0.0, 0.0, _MOSTLY_ALL),
        PRACTICE,
        met=_TURNS_AGAIN_IN,
    )
    yield _from_fact(
        "ferment.carried_off_share",
        "alcohol carried off with the gas",
        "method",
        "share",
        practice.co2_ethanol_loss,
    )


def _of_straining(intent: Intent) -> Iterator[Unknown]:
    straining = intent.gear.straining
    yield _from_fact(
        "separate.held_kg_per_kg",
        "how much wash the spent grain or fruit holds",
        "method",
        "positive",
        straining.held_kg_per_kg_insolubles,
    )
    yield _from_fact(
        "separate.press_recovery", "what the press gives back", "gear", "share", straining.press_recovery
    )
    yield _from_fact("separate.lees_share", "wash left on the lees", "method", "share", straining.lees_share)
    yield _from_fact(
        "transfer.litres",
        "wash left in hoses and vessels",
        "gear",
        "positive",
        intent.practice.transfer_loss_l,
    )


def _of_stills(intent: Intent) -> Iterator[Unknown]:
    """Head and heat of each still; where one still does both runs, it is one head and one wall."""
    strip_still, spirit_still = intent.gear.strip_still, intent.gear.spirit_still
    one_still = strip_still == spirit_still
    yield _from_fact(
        "spirit.hours", "how slowly the spirit run is run", "method", "positive", intent.practice.spirit_hours
    )
    yield _from_fact(
        "strip.reflux",
        "what the still's head sends back in a strip",
        "gear",
        "share",
        strip_still.reflux_strip,
    )
    yield _from_fact(
        "strip.heat_lost",
        "heat the still loses in a strip",
        "gear",
        "share",
        strip_still.kind.heat_loss_share,
    )
    spirit = (
        _from_fact(
            "spirit.reflux", "what the still's head sends back", "gear", "share", spirit_still.reflux_spirit
        ),
        _from_fact(
            "spirit.heat_lost", "heat the still loses", "gear", "share", spirit_still.kind.heat_loss_share
        ),
    )
    for unknown in spirit:
        with_strip = unknown.name.replace("spirit", "strip") if one_still else ""
        yield replace(unknown, moves_with=with_strip)
    yield Unknown(
        "spirit.meter_error", "where exactly the heart ends", "reading", "real", -1.0, 0.0, 1.0, PRACTICE
    )


def _of_cask(intent: Intent) -> Iterator[Unknown]:
    """Soaked wood gives water, dry wood drinks; a cask does only one of the two."""
    wood = intent.cask.wood
    if intent.cask.soaked:
        water, drunk = wood.wood_water_l_per_m2_soaked, ZERO
    else:
        water, drunk = ZERO, wood.indrink_l_per_m2_dry
    yield _from_fact("wood.water_l_m2", "water in the soaked wood", "gear", "positive", water)
    yield _from_fact(
        "wood.mixes_at_once", "how fast that water mixes in", "gear", "share", wood.mixes_at_once_share
    )
    yield Unknown(
        "wood.settles_days", "how fast the wood settles", "gear", "positive", *_SETTLES_DAYS, PRACTICE
    )
    yield _from_fact("wood.indrink_l_m2", "spirit that dry wood drinks", "gear", "positive", drunk)
    yield _from_fact("wood.area_m2", "area of the wood", "gear", "positive", intent.cask.wood_area_m2)
    yield Unknown(
        "fill.pipes_l", "spirit left in pipes and funnel", "gear", "positive", 0.05, 0.12, 0.3, PRACTICE
    )
