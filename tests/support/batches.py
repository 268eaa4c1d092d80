"""Random but possible batches, for laws that must hold for all of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from caskward.catalogue.load import load
from caskward.planning.doubts import doubts
from caskward.planning.intent import BillItem, Intent
from caskward.planning.intent_file import read_intent
from caskward.planning.unknowns import Draw, draw
from caskward.services.plans import starting_point
from caskward.stages.stream import MASSES, Stream

CATALOGUE = load()
FERMENTABLES = sorted(CATALOGUE.materials)
STRAININGS = sorted(CATALOGUE.strainings)
STILLS = sorted(CATALOGUE.stills)


def intent_of(name: str = "rye", **changes: object) -> Intent:
    """A starting point, with fields of the intent changed."""
    return replace(read_intent(starting_point(name), CATALOGUE), **changes)  # type: ignore[arg-type]


def worlds_of(intent: Intent, count: int = 64) -> Draw:
    """A few worlds of an intent."""
    return draw(doubts(intent), count, intent.seed)


@st.composite
def streams(draw_: st.DrawFn, worlds: int = 5, with_ethanol: bool = True) -> Stream:
    """Any mixture that is mostly water, over a few worlds."""
    masses = {}
    for name in MASSES:
        most = {"water_kg": 500.0, "ethanol_kg": 60.0}.get(name, 60.0)
        least = 100.0 if name == "water_kg" else 0.0
        row = draw_(st.lists(st.floats(least, most), min_size=worlds, max_size=worlds))
        masses[name] = np.array(row)
    if not with_ethanol:
        masses["ethanol_kg"] = np.zeros(worlds)
    return Stream.of(temp_c=draw_(st.floats(5.0, 40.0)), **masses)


@st.composite
def intents(draw_: st.DrawFn) -> Intent:
    """Any bill of up to four materials, strained and distilled in any way."""
    keys = draw_(st.lists(st.sampled_from(FERMENTABLES), min_size=1, max_size=4, unique=True))
    parts = draw_(st.lists(st.integers(1, 9), min_size=len(keys), max_size=len(keys)))
    bill = tuple(
        BillItem(CATALOGUE.material(key), part / sum(parts)) for key, part in zip(keys, parts, strict=True)
    )
    base = intent_of()
    still = CATALOGUE.still(draw_(st.sampled_from(STILLS)))
    gear = replace(
        base.gear,
        straining=CATALOGUE.straining(draw_(st.sampled_from(STRAININGS))),
        strip_still=replace(base.gear.strip_still, kind=still, reflux_strip=still.reflux_strip),
    )
    practice = CATALOGUE.practice(bill[0].material.usual_style)
    return replace(base, bill=bill, gear=gear, practice=practice, seed=draw_(st.integers(1, 10_000)))
