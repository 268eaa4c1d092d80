"""Readings move a batch: what each does to what is believed, and what must not be lost on the way."""

from __future__ import annotations

import numpy as np
import pytest

from caskward.errors import NothingToRead, ReadingsOutOfOrder
from caskward.planning.belief.doubting import contradictions, doubted
from caskward.planning.likelihood import seen
from caskward.planning.observing import Watched
from caskward.planning.readings import Reading, Stage, reading_of
from caskward.planning.unknowns import Draw
from caskward.planning.update import Belief, begin, target_of, update
from tests.support.simulated import ASKED, outcomes, read, sized_of, truth_of

WORLDS = 512


def rye() -> Belief:
    """A rye batch before any reading."""
    return begin(sized_of("rye", WORLDS))


def one_world(sd: float = 0.0, seed: int = 1) -> Draw:
    """A truth: the likely world, or one by chance."""
    belief = rye()
    z = sd * np.random.default_rng(seed).standard_normal((1, len(belief.names)))
    return belief.draw(z)


def shown(stage: Stage, quantity: str, at_h: float = 0.0, off: float = 0.0) -> Reading:
    """What an instrument shows in the likely world, and so much more."""
    value = {"gravity": 1.05, "gravity_checked": 1.05, "volume": 100.0, "strength": 8.0}[quantity]
    watched = Watched(rye().sized, one_world(), [reading_of(stage, quantity, value, at_h)])
    expected = float(watched.expected(watched.readings[0])[0])
    return reading_of(stage, quantity, expected + off, at_h)


def width(belief: Belief) -> float:
    low, high = np.quantile(belief.course.available_l, [0.1, 0.9])
    return float(high - low)


def test_one_seed_one_belief() -> None:
    readings = [shown("mash", "gravity", 1.0, off=-0.004), shown("wash", "strength", off=0.3)]
    one, other = update(rye(), readings), update(rye(), readings)
    assert np.array_equal(one.z, other.z)
    assert np.array_equal(one.course.available_l, other.course.available_l)


def test_a_reading_of_the_mash_runs_nothing_after_it() -> None:
    belief, reading = rye(), shown("mash", "gravity", 1.0)
    watched = Watched(belief.sized, belief.worlds, [reading])
    watched.expected(reading)
    assert not {"fermented", "wash", "low_wines", "run", "filled"} & set(vars(watched.chain))
    assert "brew" not in vars(watched)


@pytest.mark.parametrize("asked", ASKED, ids=lambda a: f"{a[0]}-{a[1]}-{a[2]:g}h")
def test_what_a_reading_shows_in_a_world_hangs_on_that_world_alone(asked) -> None:  # type: ignore[no-untyped-def]
    """Otherwise runs of different worlds could not be weighed against each other.

    Tolerance: the grids of mash and ferment are as fine as the worlds on them need, which is numerics only:
    a tenth of the reading's own error.
    """
    stage, quantity, at_h, at_l = asked
    reading = reading_of(stage, quantity, 1.0, at_h, "", at_l)
    belief = begin(sized_of("rye", WORLDS), 32)
    together = Watched(belief.sized, belief.worlds, [reading]).expected(reading)
    for k in (3, 17, 31):
        alone = Watched(belief.sized, belief.draw(belief.z[k : k + 1]), [reading]).expected(reading)
        assert alone[0] == pytest.approx(together[k], abs=0.1 * max(reading.sd, 0.01))


def test_a_weak_mash_means_less_in_the_cask() -> None:
    before, after = rye(), update(rye(), [shown("mash", "gravity_checked", 2.0, off=-0.008)])
    assert np.median(after.course.available_l) < np.median(before.course.available_l)
    assert after.chance < before.chance
    assert width(after) < width(before)


def test_a_slip_does_not_wreck_the_belief() -> None:
    """A wild gravity among good ones moves the fill by less than a tenth of its doubt, and is named."""
    good = [shown("mash", "gravity", h) for h in (1.0, 1.5, 2.0)] + [shown("mash", "volume", 2.0)]
    slip = shown("mash", "gravity", 1.75, off=0.05)
    without, with_it = update(rye(), good), update(rye(), [*good, slip])
    moved = abs(np.median(with_it.course.available_l) - np.median(without.course.available_l))
    assert moved < 0.1 * width(without) + 0.1 * width(rye())
    assert width(with_it) < 1.3 * width(without)
    found = doubted([seen(r) for r in with_it.readings], expected_of(with_it))
    assert [d.hard for d in found] == [r.value == slip.value for r in with_it.readings]


def expected_of(belief: Belief) -> np.ndarray:
    watched = Watched(belief.sized, belief.worlds, belief.readings)
    return np.array([watched.expected(r) for r in belief.readings])


def test_two_readings_that_contradict_each_other_are_both_kept_and_found() -> None:
    pair = [shown("mash", "gravity_checked", 2.0, off) for off in (-0.003, 0.004)]
    belief = update(rye(), pair)
    assert list(belief.readings) == pair
    assert contradictions([seen(r) for r in belief.readings], expected_of(belief)) == ((0, 1),)
    either = [np.std(expected_of(update(rye(), [one]))[0]) for one in pair]
    assert np.std(expected_of(belief)[0]) > 1.2 * max(either)


def test_an_earlier_stage_comes_too_late() -> None:
    belief = update(rye(), [shown("wash", "strength")])
    with pytest.raises(ReadingsOutOfOrder):
        update(belief, [shown("mash", "gravity", 1.0)])
    assert len(belief.readings) == 1


def test_sugar_alone_has_no_mash_to_read() -> None:
    fruit = begin(sized_of("pears", 64))
    with pytest.raises(NothingToRead):
        update(fruit, [reading_of("mash", "gravity", 1.05, 1.0)])


def test_a_log_of_warmth_that_comes_late_gives_what_it_gives_at_once() -> None:
    """What was read before it means something else after it. Tolerance: four errors of a mean of worlds."""
    gravity = shown("mash", "gravity", 1.0, off=-0.003)
    log = [reading_of("mash", "temperature", t, h) for h, t in ((0.0, 58.0), (1.0, 55.0))]
    late = update(update(rye(), [gravity]), log)
    once = update(rye(), [gravity, *log])
    apart = np.abs(late.z.mean(axis=0) - once.z.mean(axis=0))
    assert np.all(apart < 4.0 * np.sqrt(2.0 / WORLDS))
    fills = [np.mean(b.course.available_l) for b in (late, once)]
    assert fills[0] == pytest.approx(
        fills[1], abs=4.0 * np.sqrt(2.0 / WORLDS) * np.std(once.course.available_l)
    )
    cold = np.mean(update(rye(), [gravity]).course.mash.convert.specific_gravity)
    assert np.mean(late.course.mash.convert.specific_gravity) != pytest.approx(cold, abs=1e-4)


@pytest.mark.parametrize("seed", [1, pytest.param(2, marks=pytest.mark.slow)])
def test_a_whole_batch_of_readings_narrows_the_fill_at_least_five_fold(seed: int) -> None:
    rng = np.random.default_rng(seed)
    belief, truth = rye(), truth_of(rye().sized, rng)
    after = update(belief, read(belief.sized, truth, ASKED, rng))
    assert width(after) < width(belief) / 5.0
    assert after.particles is not None
    assert after.particles.whole


def test_a_belief_follows_its_target_by_its_own_account() -> None:
    readings = [shown("mash", "gravity", 1.0, off=-0.003), shown("ferment", "gravity", 48.0, off=0.002)]
    belief = update(rye(), readings)
    again = target_of(belief, belief.readings)(belief.z).log_like
    assert belief.log_like == pytest.approx(again, abs=1e-6)


def test_what_no_reading_tells_stays_as_it_was() -> None:
    """Settled strength hangs on wood that the mash knows nothing of."""
    before, after = rye(), update(rye(), [shown("mash", "gravity", 1.0, off=-0.006)])
    was, now = (outcomes(b.course)["settled strength"] for b in (before, after))
    assert np.mean(now) == pytest.approx(np.mean(was), abs=0.2 * np.std(was))
    assert np.std(now) == pytest.approx(np.std(was), rel=0.15)
