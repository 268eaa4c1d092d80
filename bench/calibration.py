"""How well beliefs hold, in figures: `python -m bench.calibration`. Takes half an hour on two cores.

Prints the tables of docs/reference/calibration.md; `pytest -m slow tests/planning/test_calibration.py` holds
their limits. The batches, seeds and chains are the same.
"""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from time import perf_counter

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from caskward.planning.update import begin, target_of, update
from tests.planning.test_calibration import BATCHES, CHAINED, TRACKED, everything
from tests.support.reference_chain import long_chain
from tests.support.simulated import Ranked, covered, evenness, read, replicate, sized_of, truth_of


def batches() -> None:
    """Ranks of the truths of simulated batches: what bands hold, and whether ranks are even."""
    start = perf_counter()
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found: list[Ranked] = list(pool.map(partial(replicate, "rye", 512), range(BATCHES), chunksize=10))
    for key in TRACKED:
        ranks = np.array([r.below[key] for r in found])
        held = f"{covered(ranks):6.1%} | {covered(ranks, 0.5):6.1%}"
        even = f"p = {evenness(ranks, 20):.2f} | {ranks.mean():.3f}"
        print(f"| {key:22} | {held} | {even} |", flush=True)
    whole, runs = (float(np.mean([getattr(r, name) for r in found])) for name in ("whole", "runs"))
    took_s = perf_counter() - start
    print(f"whole: {whole:.1%}; runs in the last step: {runs:.1f}; {took_s:.0f} s", flush=True)


def chain(seed: int) -> None:
    """What is believed against a long chain, outcome by outcome, and the furthest of all unknowns."""
    sized, rng = sized_of("rye", 2048), np.random.default_rng([7, seed])
    readings = read(sized, truth_of(sized, rng), CHAINED, rng)
    believed = update(begin(sized), readings)
    z, accepted = long_chain(target_of(believed, readings), begin(sized, 256).z, 3000, 100, seed)
    mine, theirs = everything(believed, believed.z), everything(believed, z)
    print(f"chain {seed}: acceptance {accepted:.0%}")
    worst = {"mean": ("", 0.0), "sd": ("", 0.0)}
    for key, values in theirs.items():
        sd, half = float(np.std(values)), len(values) // 2
        apart = abs(float(np.mean(mine[key]) - np.mean(values))) / sd
        ratio = float(np.std(mine[key])) / sd
        own = abs(float(np.mean(values[:half]) - np.mean(values[half:]))) / sd
        for what, by in (("mean", apart), ("sd", abs(ratio - 1.0))):
            worst[what] = max(worst[what], (key, by), key=lambda pair: pair[1])
        if key in TRACKED:
            print(f"| {key:22} | {apart:.3f} | {ratio:.2f} | {own:.2f} |")
    print(f"furthest mean: {worst['mean']}, sd: {worst['sd']}, of {len(believed.names)} unknowns", flush=True)


def weighed(seed: int, blocks: int = 400, kept: int = 60_000) -> None:
    """Spreads by draws of the prior, weighed: what both the worlds and the chain are to come out as."""
    sized, rng = sized_of("rye", 2048), np.random.default_rng([7, seed])
    readings = read(sized, truth_of(sized, rng), CHAINED, rng)
    believed, target = update(begin(sized), readings), target_of(begin(sized), readings)
    rng = np.random.default_rng([8, seed])
    z = rng.standard_normal((blocks, 2048, len(believed.names)))
    log_like = np.nan_to_num(np.array([target(block).log_like for block in z]).ravel(), nan=-np.inf)
    weights = np.exp(log_like - log_like.max())
    weights /= weights.sum()
    chosen = z.reshape(-1, z.shape[-1])[rng.choice(weights.size, kept, p=weights)]
    parts = [everything(believed, part) for part in np.array_split(chosen, kept // 4000)]
    mine = everything(believed, believed.z)
    print(f"weighed {seed}: {weights.size} draws, {1.0 / np.sum(weights**2):.0f} of them count")
    for key in TRACKED:
        theirs = float(np.std(np.concatenate([part[key] for part in parts])))
        print(f"| {key:22} | {theirs:.4g} | {np.std(mine[key]) / theirs:.2f} |", flush=True)


if __name__ == "__main__":
    batches()
    for one in (1, 2):
        chain(one)
        weighed(one)
