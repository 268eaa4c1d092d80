"""What can go wrong in a ferment, what is not known of a sound one, and the looks that tell one from another.

Weights say how often a cause is met against the others, and the bands how bad it is when it is met; all are
*common practice, no source*.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from caskward.catalogue.fact import Fact
from caskward.planning.tub.brew_doubts import LAG_BAND_H
from caskward.planning.tub.explain import Cause, Check
from caskward.planning.tub.mash_causes import unknown
from caskward.planning.unknowns import Unknown

PITCHED: Final = "ferment.pitched_k"
ROOM: Final = "ferment.room_k"
WALL: Final = "ferment.heat_loss_w_k"
THERMOMETER: Final = "ferment.thermometer_k"
CELLS: Final = "ferment.cells"
LAG: Final = "ferment.lag_h"
SPEED: Final = "ferment.speed"
TOLERANCE: Final = "ferment.tolerance_pct_vol"
ATTENUATION: Final = "ferment.attenuation"
YIELD: Final = "ferment.yield_of_theory"
NITROGEN: Final = "ferment.nitrogen"
SUGAR: Final = "ferment.sugar"
WATER: Final = "ferment.water"
UNSPLIT: Final = "ferment.unsplit"
LONG: Final = "ferment.long_starch"
DEXTRIN_USED: Final = "ferment.dextrin_used"
PH: Final = "ferment.ph_shift"
PH_FALL: Final = "ferment.ph_fall"
SOURS: Final = "ferment.sours_per_h"
SOURS_FROM: Final = "ferment.sours_from_h"
LEAK: Final = "ferment.leak"
MISREAD: Final = "ferment.gravity_misread"
MISREAD_PER: Final = "ferment.gravity_misread_by_strength"

NEAR_ITS_LIMIT: Final = 0.75
"""Share of the strength its yeast can stand from which a wash may reach it; *common practice, no source*."""
DEADLY_C: Final = (41.0, 43.5, 47.0)
"""Where a pitch that was not cooled enough is found [°C]; *common practice, no source*."""

TOO_SOUR: Final = (2.3, 2.7, 3.1)
"""pH that a wash soured too far would come to; it stalls from 3.3 down; *common practice, no source*."""


@dataclass(frozen=True)
class Facts:
    """What of a plan the unknowns and causes hang on.

    starts_c: pitched at [°C]. low_c: lower end of the yeast's window [°C]. potential_pct_vol: if all sugar
    is used. from_starch: whether a mash made the sugar. fed: whether the plan asks for yeast food. ph_end: of
    a sound ferment.
    """

    starts_c: float
    low_c: float
    potential_pct_vol: float
    from_starch: bool
    fed: bool
    ph_end: float
    loss_w_k: Fact
    tolerance_pct_vol: Fact
    attenuation: Fact
    ferment_yield: Fact
    dextrin_used: tuple[float, float, float] | None
    speed: tuple[float, float, float]


def base(facts: Facts) -> tuple[Unknown, ...]:
    """Unknowns of a sound ferment."""
    found: tuple[Unknown, ...] = (
        unknown(PITCHED, "how warm it was pitched", "method", "real", -1.5, 0.0, 1.5),
        unknown(ROOM, "how warm its room is", "method", "real", -2.0, 0.0, 2.0),
        _of_fact(WALL, "heat that the tub loses", "positive", facts.loss_w_k),
        unknown(THERMOMETER, "what the thermometer shows too much", "reading", "real", -0.5, 0.0, 0.5),
        unknown(CELLS, "cells that set to work, over the plan's", "material", "positive", 0.65, 1.0, 1.4),
        unknown(LAG, "how long they take to wake", "material", "positive", *LAG_BAND_H),
        unknown(SPEED, "how fast they work", "material", "positive", *facts.speed),
        _of_fact(TOLERANCE, "strength the yeast can stand", "positive", facts.tolerance_pct_vol),
        _of_fact(ATTENUATION, "how dry the ferment gets", "share", facts.attenuation),
        _of_fact(YIELD, "how much alcohol the yeast makes", "share", facts.ferment_yield),
        unknown(NITROGEN, "nitrogen in the wash over the plan's", "material", "positive", 0.75, 1.0, 1.3),
        unknown(SUGAR, "sugar in the wash over the plan's", "material", "positive", 0.97, 1.0, 1.03),
        unknown(WATER, "water in the tub over the plan's", "method", "positive", 0.98, 1.0, 1.02),
        unknown(PH, "how far its pH lies from the plan's", "method", "real", -0.2, 0.0, 0.2),
        unknown(PH_FALL, "how much further its pH falls", "material", "real", -0.15, 0.0, 0.15),
        unknown(SOURS, "sugar that bacteria take in an hour", "method", "positive", 2e-6, 1e-5, 5e-5),
        unknown(SOURS_FROM, "when bacteria come up", "method", "positive", 10.0, 24.0, 48.0),
        unknown(LEAK, "gas that goes past the airlock", "gear", "share", 0.003, 0.01, 0.03),
        unknown(MISREAD, "error of the gravity", "reading", "real", -0.0012, 0.0, 0.0012),
        unknown(
            MISREAD_PER, "its error for each % of alcohol", "reading", "real", -0.00004, 0.0, 0.00004
        ),
    )  # fmt: skip
    if facts.from_starch:
        found += (
            unknown(UNSPLIT, "sugar of the mash that is dextrin", "method", "share", 0.002, 0.006, 0.02),
            unknown(LONG, "starch of the mash that is still long", "method", "positive", 3e-4, 1e-3, 2e-3),
        )  # fmt: skip
    if facts.dextrin_used is not None:
        words = "longer sugars split in the tub"
        found += (unknown(DEXTRIN_USED, words, "method", "share", *facts.dextrin_used),)
    return found


def _of_fact(name: str, words: str, scale: str, fact: Fact) -> Unknown:
    owner = "gear" if name == WALL else "material"
    return Unknown(name, words, owner, scale, fact.low, fact.likely, fact.high, fact.source)  # type: ignore[arg-type]


def causes(facts: Facts) -> tuple[Cause, ...]:
    """Every cause of a ferment: of a mash where there was one, of strong sugar where the wash comes near."""
    known = {u.name: u for u in base(facts)}

    def changed(name: str, low: float, likely: float, high: float) -> Unknown:
        was = known[name]
        return unknown(name, was.words, was.owner, was.scale, low, likely, high)

    cold = tuple(facts.low_c - under - facts.starts_c for under in (12.0, 8.0, 5.0))
    sour = tuple(ends - facts.ph_end for ends in TOO_SOUR)
    hot = tuple(deadly - facts.starts_c for deadly in DEADLY_C)
    found = [
        Cause("time", "nothing is wrong: it only needs its time", 0.12),
        Cause(
            "cold", "it is too cold for its yeast", 0.14,
            (changed(PITCHED, *cold), changed(ROOM, -12.0, -8.0, -4.0)),
        ),
        Cause("hot", "it was pitched too warm, and heat killed the cells", 0.06, (changed(PITCHED, *hot),)),
        Cause("thermometer", "the thermometer shows too much", 0.04, (changed(THERMOMETER, 5.0, 8.0, 12.0),)),
        Cause(
            "weak yeast", "the yeast is too little, old, or hurt as it was woken", 0.14,
            (changed(CELLS, 0.003, 0.02, 0.08), changed(LAG, 8.0, 12.0, 20.0)),
        ),
        Cause(
            "nitrogen", "the yeast wants nitrogen", 0.10 if facts.fed else 0.06,
            (changed(NITROGEN, 0.05, 0.13, 0.25),),
        ),
        Cause("sour", "it is too sour for the yeast", 0.07, (changed(PH, *sour),)),
        Cause(
            "infection", "bacteria take its sugar", 0.08,
            (changed(SOURS, 0.006, 0.012, 0.025), changed(SOURS_FROM, 8.0, 15.0, 30.0)),
        ),
        Cause(
            "leak", "gas leaves past the airlock: it ferments unseen", 0.06, (changed(LEAK, 0.9, 0.97, 0.99),)
        ),
        Cause(
            "gravity", "the gravity was read wrong: gas or solids lift the hydrometer, or alcohol misleads a "
            "refractometer", 0.10,
            (changed(MISREAD, 0.002, 0.005, 0.010), changed(MISREAD_PER, 0.0003, 0.0012, 0.0028)),
        ),
    ]  # fmt: skip
    if facts.from_starch:
        unsplit = (changed(UNSPLIT, 0.12, 0.2, 0.35), changed(LONG, 2e-3, 1.5e-2, 8e-2))
        words = "the mash did not convert: what is left is dextrin, which the yeast cannot use"
        found.append(Cause("dextrin", words, 0.08, unsplit))
    reaches = facts.potential_pct_vol / facts.tolerance_pct_vol.likely
    if reaches >= NEAR_ITS_LIMIT:
        found.append(
            Cause(
                "strong", "too much sugar at the start: alcohol stops the yeast", 0.10,
                (changed(SUGAR, *(over / min(reaches, 1.0) for over in (1.08, 1.18, 1.3))),),
            )
        )  # fmt: skip
    return tuple(found)


def checks(from_starch: bool, fed: bool) -> tuple[Check, ...]:
    """Looks at a ferment; a drop of iodine where a mash made the sugar, the food where it was to be fed."""
    drop = ("starch",) if from_starch else ()
    iodine = "; put a drop of iodine to it: blue-black" if from_starch else ""
    food = "; was the yeast food given, all of it" if fed else ""
    back = (
        "look back at the pitch: what did the tub read as the yeast went in; is its packet in date, and was "
        f"as much of it taken as planned{food}?"
    )
    strip = ("ammonium",) if fed else ()
    dips = "; dip an ammonium strip (as for fish tanks or gardens): does it colour" if fed else ""
    looked_back = ("pitched_at", "yeast_packet", *(("food_packet",) if fed else ()))
    sample = Check(
        "sample",
        "draw a litre: a second thermometer in it; strain it, shake its gas out, bring it to 20 °C, and read "
        f"it with a hydrometer; its pH; smell it, and look at the top: vinegar, butter, a "
        f"skin{iodine}{dips}; meanwhile {back}",
        ("second_thermometer", "gravity_checked", "ph", "spoiled", *drop, *strip, *looked_back),
        22.0,
    )
    starch = (Check("starch", "put a drop of iodine to a spoonful: blue-black?", drop, 4.0),) if drop else ()
    ammonium = (Check("ammonium", f"strain a sample and{dips.split(';')[1]}?", strip, 6.0),) if fed else ()
    return (*_CHECKS, *starch, *ammonium, sample, Check("pitch", back, looked_back, 4.0))


_CHECKS: Final = (
    Check("thermometer", "hold a second thermometer in the middle of the tub", ("second_thermometer",), 5.0),
    Check("ph", "measure the pH of a sample", ("ph",), 5.0),
    Check(
        "gravity",
        "strain a sample, shake its gas out, bring it to 20 °C, and read it with a hydrometer",
        ("gravity_checked",),
        15.0,
    ),
    Check(
        "taste",
        "smell and taste it: sour? and look at the top: vinegar, butter, a skin?",
        ("sour", "spoiled"),
        3.0,
    ),
    Check("lid", "brush soapy water over lid and airlock: do they hold?", ("lid_tight",), 5.0),
    Check(
        "jars",
        "keep three jars of it at 28 °C: one with fresh yeast for 4 hours, one with yeast food and one as it "
        "is for 12; look for bubbles",
        ("jar_warm", "jar_fed", "jar_pitched"),
        30.0,
    ),
    Check("strength", "distil a sample and measure its strength", ("strength",), 40.0),
)
