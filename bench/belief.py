"""How dear it is to take a reading in: runs of the forecast, and what the engine itself adds.

Prints milliseconds of processor time and, beside them, ratios to one forecast, all from one run. With many
programs at work on few cores set OPENBLAS_NUM_THREADS=1: small matrices then do not wait for each other.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np

from caskward.catalogue.load import load
from caskward.planning.belief.by_surface import temper_by_surface
from caskward.planning.belief.gauss_newton import preview
from caskward.planning.belief.settling import settles
from caskward.planning.belief.shares import shares
from caskward.planning.belief.tempering import Evaluated, temper, temper_from
from caskward.planning.belief.weighing import Number, Seen
from caskward.planning.doubts import doubts
from caskward.planning.forecast import forecast
from caskward.planning.intent_file import read_intent
from caskward.planning.sizing import size, worlds_for
from caskward.planning.unknowns import draw_of
from caskward.services.plans import starting_point

WORLDS, D = 2048, 40


def best(call: Callable[[], Any], times: int = 5) -> float:
    seconds = []
    for _ in range(times):
        start = time.process_time()
        call()
        seconds.append(time.process_time() - start)
    return 1e3 * min(seconds)


class Batch:
    """The starting point's plan as a target: readings of its mash, its wash and its low wines."""

    def __init__(self) -> None:
        intent = read_intent(starting_point(), load())
        worlds = worlds_for(intent)
        self.names = list(worlds.deviates)
        self.z = np.column_stack([worlds.deviates[n] for n in self.names])
        method, unknowns = size(intent, worlds).method, doubts(intent)

        def course(z: np.ndarray) -> Any:
            deviates = {n: z[:, k] for k, n in enumerate(self.names)}
            return forecast(intent, method, draw_of(unknowns, deviates, len(z), 1))

        self.course = course

    def expected(self, z: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Sugar of the mash [kg], wash [L], its alcohol [kg], low wines [L]; and spirit for the cask [L]."""
        c = self.course(z)
        sugar = c.mash.tub.hexose_kg + c.mash.tub.sucrose_kg
        return np.array([sugar, c.wash.volume_l, c.wash.ethanol_kg, c.low_wines.volume_l]), c.available_l

    def target(self, seen: list[Seen], which: list[int]) -> Callable[[np.ndarray], Evaluated]:
        def run(z: np.ndarray) -> Evaluated:
            expected, spirit = self.expected(z)
            parts = [r.log_like(row) for r, row in zip(seen, expected[which], strict=True)]
            return Evaluated(np.sum(parts, axis=0), {"spirit": spirit}, expected[which])

        return run


def straight() -> tuple[Callable[[np.ndarray], Evaluated], list[Seen], np.ndarray, np.ndarray]:
    """A target that costs next to nothing, so that what is timed is the engine."""
    rng = np.random.default_rng(1)
    slopes, seen = rng.normal(size=(1, D)) / np.sqrt(D), [Number(0.8, 0.15)]

    def run(z: np.ndarray) -> Evaluated:
        expected = np.asarray(slopes @ z.T)
        return Evaluated(seen[0].log_like(expected[0]), None, expected)

    return run, list(seen), slopes, rng.standard_normal((WORLDS, D))


def engine() -> None:
    run, seen, slopes, z = straight()
    at = run(z)
    guess = preview(seen, slopes @ z.T, z).belief
    ways: dict[str, Callable[[], Any]] = {
        "temper": lambda: temper(run, z, evaluated=at),
        "temper from a preview": lambda: temper_from(run, guess, WORLDS),
        "temper by a surface": lambda: temper_by_surface(run, seen, z, evaluated=at),
    }
    print(f"engine alone, {WORLDS} worlds, {D} unknowns, one reading")
    for name, way in ways.items():
        print(f"  {name:28} {best(way):8.1f} ms   {way().evaluations} runs")
    outcome = np.asarray(slopes @ z.T)[0] + z[:, 3] ** 2
    view = preview(seen, slopes @ z.T, z)
    names = [str(k) for k in range(D)]
    print(f"  {'preview':28} {best(lambda: preview(seen, slopes @ z.T, z)):8.1f} ms")
    print(f"  {'  an outcome by it':28} {best(lambda: view.outcome(outcome)):8.1f} ms")
    print(f"  {'shares of an outcome':28} {best(lambda: shares(outcome, z, names)):8.1f} ms")
    print(f"  {'what one reading settles':28} {best(lambda: settles(outcome, z[:, 3], 0.3)):8.1f} ms")


def whole(batch: Batch) -> None:
    one = best(lambda: batch.course(batch.z), 3)
    print(f"one forecast of {len(batch.z)} worlds, {len(batch.names)} unknowns: {one:.0f} ms")
    expected, spirit = batch.expected(batch.z)
    middle, sd = expected.mean(axis=1), expected.std(axis=1)
    cases = {
        "sugar of the mash, 2 %": [0],
        "alcohol of the wash, 2 %": [2],
        "those, wash and low wines": [0, 1, 2, 3],
    }
    for words, which in cases.items():
        seen: list[Seen] = [Number(float(middle[k] - 0.8 * sd[k]), float(0.02 * middle[k])) for k in which]
        run = batch.target(seen, which)
        log_like = np.sum([r.log_like(row) for r, row in zip(seen, expected[which], strict=True)], axis=0)
        at = Evaluated(log_like, {"spirit": spirit}, expected[which])
        guess = preview(seen, expected[which], batch.z).belief
        ways: dict[str, Callable[[], Any]] = {
            "temper": lambda run=run, at=at: temper(run, batch.z, evaluated=at),
            "temper from a preview": lambda run=run, guess=guess: temper_from(run, guess, len(batch.z)),
            "temper by a surface": lambda run=run, seen=seen, at=at: temper_by_surface(
                run, seen, batch.z, evaluated=at
            ),
        }
        print(f"  {words}")
        for name, way in ways.items():
            start = time.process_time()
            found = way()
            ms = 1e3 * (time.process_time() - start)
            mean, spread = found.payload["spirit"].mean(), found.payload["spirit"].std()
            print(
                f"    {name:24} {found.evaluations:3} runs {ms:8.0f} ms  {ms / one:5.1f} forecasts"
                f"   spirit {mean:.2f} ± {spread:.2f} L, {found.unique:.2f} unique"
            )


def main() -> None:
    engine()
    whole(Batch())


if __name__ == "__main__":
    main()
