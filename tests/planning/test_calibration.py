"""What is believed after readings is right as often as it says, and is what a long reference chain believes.

Sources of the methods: Talts et al. (2018), arXiv 1804.06788, simulation-based calibration; Metropolis et al.
(1953), Journal of Chemical Physics 21; both from memory. Figures: docs/reference/calibration.md.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import cache, partial

import numpy as np
import pytest
from scipy import stats

from caskward.planning.forecast import Chain
from caskward.planning.observing import driven
from caskward.planning.update import Belief, begin, target_of, update
from caskward.stages.stream import Worlds
from tests.support.reference_chain import long_chain
from tests.support.simulated import (
    ASKED,
    LOGGED,
    Asked,
    Ranked,
    covered,
    evenness,
    outcomes,
    read,
    replicate,
    sized_of,
    truth_of,
)

QUICK, BATCHES = 30, 500
UPSTREAM = tuple(a for a in ASKED if a[0] in ("mash", "wash"))
TRACKED = (
    "fill",
    "mash gravity",
    "wash strength",
    "wash volume",
    "low wines volume",
    "low wines alcohol",
    "heart volume",
    "settled strength",
)


def below(ranked: Sequence[Ranked]) -> Mapping[str, Worlds]:
    """Where the truths lie among the worlds believed, by outcome."""
    return {key: np.array([r.below[key] for r in ranked]) for key in TRACKED}


@cache
def quick() -> tuple[Ranked, ...]:
    """A few batches with few worlds, read in the mash and at the wash."""
    return tuple(replicate("rye", 128, 10_000 + seed, UPSTREAM) for seed in range(QUICK))


def within_chance(ranks: Worlds) -> bool:
    """True where coverage and evenness are such as 999 of 1,000 right beliefs show, or more."""
    hits = round(covered(ranks) * len(ranks))
    low, high = stats.binom.interval(0.999, len(ranks), 0.8)
    return bool(low <= hits <= high and evenness(ranks, 4) > 0.001)


@pytest.mark.parametrize("key", TRACKED)
def test_a_few_batches_lie_where_they_should(key: str) -> None:
    """Limits are those of chance: 30 truths cannot tell 80 % from 85 %, but they do tell it from 60 %."""
    assert within_chance(below(quick())[key])


@cache
def quick_with_a_log() -> tuple[Ranked, ...]:
    """The same with a log of the mash's warmth and pH, of which one row in fifty is wrong."""
    log = tuple(a for a in LOGGED if a[0] == "mash")
    return tuple(replicate("rye", 128, 20_000 + seed, UPSTREAM, logged=log) for seed in range(QUICK))


@pytest.mark.slow
@pytest.mark.parametrize("key", ["fill", "mash gravity", "wash strength"])
def test_batches_with_a_log_that_may_be_wrong_lie_where_they_should(key: str) -> None:
    assert within_chance(below(quick_with_a_log())[key])


def test_the_check_would_see_a_belief_twice_too_sure_and_one_beside_the_truth() -> None:
    ranks = below(quick())["fill"]
    deviates = stats.norm.ppf(np.clip(ranks, 1e-6, 1.0 - 1e-6))
    assert not within_chance(stats.norm.cdf(2.0 * deviates))
    assert not within_chance(stats.norm.cdf(deviates + 1.0))


@pytest.fixture(scope="module")
def whole() -> Mapping[str, Worlds]:
    """All batches, read anywhere along their way."""
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        ranked = list(pool.map(partial(replicate, "rye", 512), range(BATCHES), chunksize=10))
    return below(ranked)


@pytest.mark.slow
@pytest.mark.parametrize("key", TRACKED)
def test_ranks_of_500_batches_are_even_and_bands_hold_what_they_say(
    whole: Mapping[str, Worlds], key: str
) -> None:
    assert evenness(whole[key], 20) > 0.01
    assert 0.76 <= covered(whole[key]) <= 0.84


CHAINED: tuple[Asked, ...] = (
    ("mash", "gravity", 1.0, 0.0),
    ("mash", "volume", 1.0, 0.0),
    ("wash", "volume", 0.0, 0.0),
    ("wash", "strength", 0.0, 0.0),
)


def everything(belief: Belief, z: Worlds) -> Mapping[str, Worlds]:
    """Outcomes and unknowns at some deviates."""
    chain = Chain(belief.sized.intent, driven(belief.sized, belief.readings), belief.draw(z))
    return {**outcomes(chain.course), **{name: z[:, k] for k, name in enumerate(belief.names)}}


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2])
def test_a_long_chain_believes_the_same(seed: int) -> None:
    """Means within 0.1 sd, sds within 8 %: the wanted figures. The chain's own spreads err by 2 to 3 %."""
    sized, rng = sized_of("rye", 2048), np.random.default_rng([7, seed])
    readings = read(sized, truth_of(sized, rng), CHAINED, rng)
    believed = update(begin(sized), readings)
    z, accepted = long_chain(target_of(believed, readings), begin(sized, 256).z, 3000, 100, seed)
    assert 0.15 < accepted < 0.5
    mine, theirs = everything(believed, believed.z), everything(believed, z)
    for key, values in theirs.items():
        sd = float(np.std(values))
        assert abs(np.mean(mine[key]) - np.mean(values)) < 0.1 * sd, key
        assert np.std(mine[key]) == pytest.approx(sd, rel=0.08), key
