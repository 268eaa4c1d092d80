"""What the faces call: one function per thing a maker does, and the words for what comes back.

plans    plan a file, a starting point; write a plan as JSON
facts    what the catalogue knows about a material
gauging  what a spirit or a wash really is, how much water, whether a label holds
still_run, still_strip, still_feints, still_learned, still_methanol    a still's work before it is lit
still_lab    a laboratory's figures for a charge; still_run_words: what a run says
still_files    jars and logged runs as a maker writes them down
still_saved, still_jars_file    a learned still and a forecast's jars, kept in files
still_choice    which jars go into the cask, and what any choice of them gives
tub_simulate    one tub of a plan by the hour (tub_report: its figures, tub_words and its kin: what it says)
tub_acid, tub_pot    acid by a trial, and one pot: its grain, water, room and heat
batch_typed, plan_update, plan_judged    readings of a batch: typed, taken into its plan, held together
batch_done    what was done beside the plan, as rows among the readings
batch_receivers, run_rows, run_log   a run's jars and cans as rows of its batch, and what they say together
run_forecast, run_day    a run as it is believed to go; run_shelf, run_choice, run_best, run_heart: its jars
kept_beliefs    what a batch's readings led to, kept for the next call; cache_folder: where it is kept
plan_glimpse    about what one more row does, at once
plan_doubt, plan_possible, plan_remedy    whose the doubt is, what to read next, what can still be done
wish_file, wish_form, wish_units    a plan's file as a form's fields and back, in either system of units
wish_answer, wish_ways    what a wish leads to, roughly at once and then in full; ways out of a refusal
river, batch_answers    a batch's alcohol on its way, and what its page says of its plan
words    figures and sentences in the maker's own units, the same on screen, paper and terminal

What a plan consists of is offered from here, and loaded when it is asked for: a gauger needs no planning.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from caskward.planning.limits import Limit
    from caskward.planning.plan import (
        AccountLine,
        Band,
        Effort,
        Plan,
        Refusal,
        ShoppingLine,
        SolvedChange,
        StageCard,
        Target,
    )

__all__ = [
    "AccountLine",
    "Band",
    "Effort",
    "Limit",
    "Plan",
    "Refusal",
    "ShoppingLine",
    "SolvedChange",
    "StageCard",
    "Target",
]


def __getattr__(name: str) -> object:
    """A part of a plan, from the module it lives in."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    home = "caskward.planning.limits" if name == "Limit" else "caskward.planning.plan"
    return getattr(import_module(home), name)
