"""How long readings take to move a batch: as milliseconds, and as ratios to one forecast in the same run.

An upstream reading at 2,048 worlds (250 ms at most on two quiet cores), the preview of the same (40 ms at
most), later readings, and a plan with its sizing (1.5 s at most). Processor time stands beside the time that
passed: on a busy machine only the former tells.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from caskward.catalogue.load import load
from caskward.planning.belief.gauss_newton import preview
from caskward.planning.forecast import forecast
from caskward.planning.intent_file import read_intent
from caskward.planning.likelihood import seen
from caskward.planning.observing import Watched
from caskward.planning.planner import make_plan
from caskward.planning.readings import Reading, Stage, reading_of
from caskward.planning.sizing import Sized, size, worlds_for
from caskward.planning.update import begin, update
from caskward.services.plans import starting_point

ASKED: tuple[tuple[Stage, str, float], ...] = (
    ("mash", "gravity", 1.0),
    ("mash", "volume", 1.0),
    ("ferment", "gravity", 48.0),
    ("wash", "strength", 0.0),
    ("strip", "volume", 0.0),
    ("heart", "volume", 0.0),
)


def best_ms(call: Callable[[], object], times: int = 5) -> tuple[float, float]:
    """Least time that passed, and least processor time [ms]."""
    passed, worked = [], []
    for _ in range(times):
        start, at_work = time.perf_counter(), time.process_time()
        call()
        passed.append(time.perf_counter() - start)
        worked.append(time.process_time() - at_work)
    return 1000.0 * min(passed), 1000.0 * min(worked)


def read(sized: Sized, stage: Stage, quantity: str, at_h: float) -> Reading:
    """A reading half a deviation off the middle of what the plan expects."""
    belief = begin(sized)
    blank = reading_of(stage, quantity, 1.0, at_h)
    expected = Watched(sized, belief.worlds, [blank], belief.settings).expected(blank)
    return reading_of(stage, quantity, float(np.median(expected) + 0.5 * np.std(expected)), at_h)


def main() -> None:
    catalogue = load()
    intent = read_intent(starting_point(), catalogue)
    sized = size(intent)
    worlds = worlds_for(intent)
    one, one_work = best_ms(lambda: forecast(intent, sized.method, worlds))

    def line(what: str, found: tuple[float, float], more: str = "") -> None:
        print(f"{what:38s}{found[0]:8.0f} ms {found[1]:8.0f} ms work {found[1] / one_work:7.2f}   {more}")

    line(f"one forecast, {worlds.count} worlds", (one, one_work))
    line("sizing", best_ms(lambda: size(intent), 3))
    line("plan with its sizing", best_ms(lambda: make_plan(intent, catalogue), 3))
    belief = begin(sized)
    for stage, quantity, at_h in ASKED:
        reading = read(sized, stage, quantity, at_h)
        found = best_ms(lambda: update(belief, [reading]), 3)  # noqa: B023  (called at once)
        after = update(belief, [reading]).particles
        line(f"{stage} {quantity}, first of all", found, f"{after.evaluations if after else 0} runs")
    mash = [read(sized, *asked) for asked in ASKED[:2]]
    z = belief.z[belief.sound]
    expected = np.array([Watched(sized, belief.draw(z), mash).expected(r) for r in mash])
    line("preview of two mash readings", best_ms(lambda: preview([seen(r) for r in mash], expected, z)))


if __name__ == "__main__":
    main()
