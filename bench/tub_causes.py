"""How often the question about a tub finds the true cause: 500 simulated faults, seeds shown.

Run: python bench/tub_causes.py [trials of each tub] [seed]

A fault is drawn by the causes' weights; it counts where some reading is to be expected further from the
plan's than a maker lets pass. It is read in two rows of a log, with the usual errors and slips, and asked;
then the check that the answer suggests first is made, and it is asked again. Truth and question share one
model, so this measures how well the causes can be told apart, not how true the model is.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from dataclasses import replace

from caskward.catalogue.load import load
from caskward.planning.intent import BillItem, Intent
from caskward.planning.intent_file import read_intent
from caskward.planning.sizing import size
from caskward.planning.tub.explain import Model
from caskward.planning.tub.ferment_model import ferment_model
from caskward.planning.tub.ferment_trials import ferment_rows
from caskward.planning.tub.mash_model import mash_model
from caskward.planning.tub.trials import Found, Rows, mash_rows, run_sound, run_trials
from caskward.services.plans import starting_point

EACH = 512
CATALOGUE = load()


def intents() -> Iterator[tuple[str, Intent]]:
    """Three mashes: malt and enzymes, enzymes on raw grain, malt alone; and fruit, for its ferment."""
    rye = replace(read_intent(starting_point("rye"), CATALOGUE), worlds=256)
    roomy = replace(rye, gear=replace(rye.gear, tub=replace(rye.gear.tub, volume_l=1500.0)))
    yield "rye, malt and oats with enzymes", rye
    yield "raw rye and oats with enzymes", replace(roomy, bill=_bill(("rye", 0.6), ("oats", 0.4)))
    yield "malt alone", replace(roomy, bill=_bill(("barley malt", 1.0)), enzymes=())
    yield "pears", replace(read_intent(starting_point("pears"), CATALOGUE), worlds=256)


def _bill(*shares: tuple[str, float]) -> tuple[BillItem, ...]:
    return tuple(BillItem(CATALOGUE.material(name), share) for name, share in shares)


def tubs() -> Iterator[tuple[str, Model, Rows]]:
    """Every tub that is asked: the mashes, and the ferments of the first and the last."""
    for name, intent in intents():
        method = size(intent, within=0.1).method
        if name != "pears":
            mash = mash_model(intent, method)
            yield f"mash: {name}", mash, mash_rows(mash.schedule.end_h)
        if name in ("pears", "rye, malt and oats with enzymes"):
            ferment = ferment_model(intent, method)
            yield f"ferment: {name}", ferment, ferment_rows(ferment)


def main(each: int, seed: int) -> None:
    """Run and print the trials of every tub, and of all together."""
    every: list[Found] = []
    for name, model, rows in tubs():
        began = time.perf_counter()
        found = run_trials(model, rows, each, seed, EACH)
        every.append(found)
        alarms = run_sound(model, rows, each, seed, EACH)
        print(
            f"{name}, seed {seed}: {len(found.trials)} faults, true cause first {found.share(0):.1%} after "
            f"two rows, {found.share(1):.1%} after the check; {time.perf_counter() - began:.0f} s"
        )
        print(
            f"    of {alarms.count} sound ones, {alarms.as_planned} called as planned, {alarms.accused} "
            "given a cause as more likely than not"
        )
        for (true, taken), count in list(found.confused(1).items())[:5]:
            print(f"    {true} taken for {taken}: {count}")
    whole = Found(tuple(trial for found in every for trial in found.trials))
    print(f"all: {len(whole.trials)} faults, {whole.share(0):.1%} after two rows, {whole.share(1):.1%} after")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
