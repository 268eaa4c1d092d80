"""How long a choice of jars takes: the cut, the free choice with its gap, and the free choice by brute force.

Prints milliseconds, and the free choice of 16 jars as a ratio to trying all 65,536, in one run.
"""

from __future__ import annotations

import time

import numpy as np

from caskward.planning.choice import best_cut, outcome
from caskward.planning.free_choice import best_choice
from caskward.planning.jars import Gauged, Jars, Mark, gauged_jars
from caskward.planning.plan import Band
from caskward.planning.wish import Wish, averaged, cap, needs_of


def jars_of(count: int, seed: int, worlds: int = 0) -> Jars:
    rng = np.random.default_rng(seed)
    acetate = 600.0 * np.exp(-2.0 * np.arange(count) / count) * rng.uniform(0.6, 1.4, count)
    gauged = [
        Gauged(
            f"jar {k + 1}",
            float(rng.uniform(0.6, 1.0)),
            float(84.0 - 30.0 * k / count),
            Mark(float(rng.integers(-2, 3))),
            {"ethyl acetate": Band(*[float(acetate[k])] * 3)},
        )
        for k in range(count)
    ]
    return gauged_jars(gauged, worlds)


def wish_for(jars: Jars, aim: str = "mark") -> Wish:
    litres = float(averaged(jars.lpa).sum()) / 0.63
    level = float(np.nansum(averaged(jars.trace_mg(["ethyl acetate"]))) / averaged(jars.lpa).sum())
    return Wish(0.45 * litres, 63.0, aim=aim, caps=(cap("ethyl acetate", 0.97 * level),))  # type: ignore[arg-type]


def every_choice(jars: Jars, wish: Wish) -> float:
    """The best mean mark of all 2^n choices."""
    picked = ((np.arange(1, 1 << len(jars))[:, None] >> np.arange(len(jars))) & 1).astype(float)
    good = np.logical_and.reduce([picked @ n.spare + n.offset >= 0.0 for n in needs_of(jars, wish)])
    marks = picked @ (jars.lpa * jars.scores) / (picked @ jars.lpa)
    return float(np.where(good, marks, -np.inf).max())


def best_ms(call, times: int = 7) -> float:  # type: ignore[no-untyped-def]
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        seconds.append(time.perf_counter() - start)
    return 1000.0 * min(seconds)


def main() -> None:
    jars = jars_of(40, 1)
    wish = wish_for(jars)
    best_choice(jars, wish)  # the solver's import is not what is timed
    cut = best_cut(jars, wish)
    print(f"best cut of 40 jars, all 820              {best_ms(lambda: best_cut(jars, wish), 200):8.3f} ms")
    gives = best_ms(lambda: outcome(jars, cut.shares, wish))
    print(f"what a choice gives                       {gives:8.3f} ms")
    many = jars_of(40, 1, worlds=256)
    print(f"best cut of 40 jars, 256 worlds           {best_ms(lambda: best_cut(many, wish)):8.3f} ms")
    for aim in ("mark", "alcohol"):
        times, gaps = [], []
        for seed in range(10):
            each = jars_of(40, seed)
            wished = wish_for(each, aim)
            times.append(best_ms(lambda: best_choice(each, wished), 1))  # noqa: B023  (called at once)
            gaps.append(best_choice(each, wished).gap or 0.0)
        words = f"free choice of 40 jars, {aim}, 10 runs"
        print(
            f"{words:41s} {np.median(times):8.1f} ms   longest {max(times):.1f}, largest gap {max(gaps):.2g}"
        )
    few = jars_of(16, 3)
    wished = wish_for(few)
    solver, brute = best_ms(lambda: best_choice(few, wished)), best_ms(lambda: every_choice(few, wished))
    same = abs(best_choice(few, wished).value - every_choice(few, wished)) < 1e-9
    print(
        f"free choice of 16 jars                    {solver:8.1f} ms   {solver / brute:.2f} of trying all, ",
        end="",
    )
    print("same answer" if same else "ANOTHER ANSWER")


if __name__ == "__main__":
    main()
