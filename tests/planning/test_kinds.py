"""Worlds of two kinds: how many of each are left after readings, held against draws of the prior, weighed.

Sources: the weighed draws are plain importance sampling, each kind drawn by itself; the closed form of the
first test is a normal's own.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from caskward.planning.belief.kinds import Rare, temper_kinds
from caskward.planning.belief.tempering import Care, Evaluated, temper
from caskward.planning.belief.weighing import quantiles
from caskward.planning.doubts import STOPS_SHORT
from caskward.planning.readings import Reading
from caskward.planning.update import Belief, begin, target_of, update
from tests.support.simulated import sized_of

RARE = Rare(0, 0.02)
CARE = Care(moved=0.96, unique=0.96, most_runs=24)


def shown(at: float, error: float):
    """A reading of the second deviate, three higher in worlds of the kind."""

    def target(z):
        expected = z[:, 1] + 3.0 * RARE.met(z)
        return Evaluated(-0.5 * np.square((at - expected) / error))

    return target


def exact_share(at: float, error: float) -> float:
    """How much the kind counts for: a normal of variance 1 + error², about 0 or about 3."""
    log_odds = np.log(0.02 / 0.98) - 0.5 * ((at - 3.0) ** 2 - at**2) / (1.0 + error**2)
    return float(1.0 / (1.0 + np.exp(-log_odds)))


@pytest.mark.parametrize("at", [0.0, 2.0, 3.0, 4.0, 6.0])
def test_each_kind_counts_for_what_it_should(at: float) -> None:
    z = np.random.default_rng(3).standard_normal((2048, 4))
    found = temper_kinds(shown(at, 0.3), z, None, RARE, 1, care=CARE)
    assert found.whole
    assert float(np.mean(RARE.met(found.z))) == pytest.approx(exact_share(at, 0.3), abs=0.025)
    evidence = np.logaddexp(
        np.log(0.98) - 0.5 * at**2 / 1.09, np.log(0.02) - 0.5 * (at - 3.0) ** 2 / 1.09
    ) + 0.5 * np.log(0.09 / 1.09)
    assert found.log_evidence == pytest.approx(evidence, abs=0.08)
    # The likelihood kept beside each world is its own.
    assert found.log_like == pytest.approx(shown(at, 0.3)(found.z).log_like)


def test_one_ladder_alone_misses_a_rare_kind() -> None:
    """Why there are two: few draws of the prior are of the kind, and none of those show what was read."""
    z = np.random.default_rng(4).standard_normal((256, 30))

    def target(at):
        of_kind = -0.5 * np.square((at[:, 1:9] - 1.0) / 0.3).sum(axis=1)
        return Evaluated(np.where(RARE.met(at), of_kind, -32.0))

    # In both kinds the mean over the prior is known: eight normals about 1, and a constant.
    log_odds = np.log(0.02 / 0.98) + 8.0 * (-0.5 / 1.09 + 0.5 * np.log(0.09 / 1.09)) + 32.0
    share = float(1.0 / (1.0 + np.exp(-log_odds)))
    assert share > 0.99
    both = temper_kinds(target, z, None, RARE, 1, care=CARE)
    assert float(np.mean(RARE.met(both.z))) > 0.97
    alone = temper(target, z, None, 1, care=CARE)
    assert float(np.mean(RARE.met(alone.z))) < 0.95


def test_draws_are_moved_into_a_kind_quantile_for_quantile() -> None:
    z = np.random.default_rng(5).standard_normal((4000, 2))
    few, most = RARE.only(z, rare=True), RARE.only(z, rare=False)
    assert RARE.met(few).all()
    assert not RARE.met(most).any()
    assert few[:, 1] == pytest.approx(z[:, 1])
    order = np.argsort(z[:, 0])
    assert (np.diff(few[order, 0]) >= 0.0).all()
    # Beyond the point where the kind begins, a tenth of its worlds lie over the last tenth of it.
    assert np.mean(few[:, 0] > Rare(0, 0.002).first) == pytest.approx(0.1, abs=0.015)
    assert np.mean(most[:, 0] < 0.0) == pytest.approx(0.5 / 0.98, abs=0.02)


# A ferment that may have stopped -----------------------------------------------------------------


def gravities(*rows: tuple[float, float]) -> tuple[Reading, ...]:
    """Gravities of a ferment by days."""
    return tuple(
        Reading(stage="ferment", quantity="gravity", value=value, sd=0.001, at_h=24.0 * day)
        for day, value in rows
    )


def weighed(belief: Belief, readings: tuple[Reading, ...], count: int) -> tuple[float, float, float]:
    """Share of ferments that stopped, the chance of a full cask, and how many draws count: by weighing."""
    rare = Rare(belief.names.index(STOPS_SHORT), 0.02)
    target = target_of(belief, readings)
    log_weights, fills, kinds = [], [], []
    for seed in range(count // 2048):
        for met in (False, True):
            z = rare.only(np.random.default_rng(seed).standard_normal((2048, len(belief.names))), rare=met)
            z = np.clip(z, -4.5, 4.5)
            there = replace(belief, z=z, readings=readings)
            log_weights.append(target(z).log_like + np.log(0.02 if met else 0.98))
            fills.append(there.course.available_l >= belief.sized.method.fill_l - 1e-3)
            kinds.append(np.full(len(z), met))
    log = np.concatenate(log_weights)
    weights = np.nan_to_num(np.exp(log - np.nanmax(log)))
    weights /= weights.sum()
    return (
        float(weights @ np.concatenate(kinds)),
        float(weights @ np.concatenate(fills)),
        float(1.0 / np.square(weights).sum()),
    )


STANDING = gravities((1.0, 1.048), (2.0, 1.032), (3.0, 1.031))


@pytest.mark.slow
def test_a_standing_ferment_is_believed_as_surely_as_draws_of_the_prior_say() -> None:
    sized = sized_of("rye", 1024)
    before = begin(sized, 1024, STANDING)
    share, chance, count = weighed(before, STANDING, 40 * 2048)
    after = update(before, STANDING)
    assert count > 60
    assert float(1.0 - np.mean(after.sound)) == pytest.approx(share, abs=0.08)
    assert after.chance == pytest.approx(chance, abs=0.08)


def test_a_standing_ferment_is_no_sound_one() -> None:
    sized = sized_of("rye", 256)
    before = begin(sized, 256, STANDING)
    share, chance, _ = weighed(before, STANDING, 3 * 2048)
    after = update(before, STANDING)
    stopped = 1.0 - after.sound
    assert share > 0.5
    assert float(np.mean(stopped)) == pytest.approx(share, abs=0.2)
    assert after.chance == pytest.approx(chance, abs=0.2)
    low, high = quantiles(after.course.available_l, (0.1, 0.9), np.full(256, 1 / 256)).tolist()
    assert low < 0.6 * sized.method.fill_l < high
