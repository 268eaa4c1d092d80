"""A logged temperature or pH that cannot be right: it does not wreck the plan, and it is found out."""

from __future__ import annotations

import numpy as np
import pytest

from caskward.planning.log_slips import FERMENT_WARMTH, MASH_PH, MASH_WARMTH, Log, Row, patterns
from caskward.planning.observing import Watched, drives
from caskward.planning.readings import Reading
from caskward.planning.update import Belief, begin, update
from caskward.services.plan_update import rows_of
from tests.support.simulated import sized_of

WORLDS = 512


def after(*typed: str) -> Belief:
    """A rye batch after rows as typed."""
    return update(begin(sized_of("rye", WORLDS)), rows_of((), typed).readings)


def wrong(belief: Belief) -> list[float]:
    """How likely each row of its logs is wrong, in order."""
    watched = Watched(belief.sized, belief.worlds, belief.readings, belief.settings)
    return [float(np.mean(watched.wrong(r))) for r in belief.readings if drives(r)]


def middle(belief: Belief) -> float:
    return float(np.median(belief.course.available_l))


def within_the_plan(belief: Belief) -> bool:
    """Whether the fill's middle lies in the plan's 80 % band."""
    low, high = np.quantile(begin(sized_of("rye", WORLDS)).course.available_l, [0.1, 0.9])
    return bool(low < middle(belief) < high)


def chances(of: Log, *rows: tuple[float, float]) -> list[float]:
    """How likely rows so far off the plan are wrong, before any other reading."""
    found = patterns(of, tuple(Row(h, off) for h, off in rows), *2 * [tuple(off for _, off in rows)])
    return [float(found.chances[~found.followed[:, k]].sum()) for k in range(len(rows))]


@pytest.mark.parametrize(("of", "near", "far"), [(MASH_WARMTH, 4.0, 28.0), (MASH_PH, 0.3, 3.5)])
def test_near_its_plan_a_row_is_followed_far_off_it_is_rather_wrong(of: Log, near: float, far: float) -> None:
    (close,), (wild,) = chances(of, (3.0, near)), chances(of, (3.0, far))
    assert close < 0.02
    assert wild > 0.5


def test_one_row_worked_out_by_hand() -> None:
    """Bayes: 0.02 / 110 against 0.98 times a t with 4 degrees at 28 K on a scale of 3 K."""
    t = 0.375 * (1.0 + (28.0 / 3.0) ** 2 / 4.0) ** -2.5 / 3.0
    slip = 0.02 / 110.0
    assert chances(MASH_WARMTH, (3.0, 28.0))[0] == pytest.approx(slip / (slip + 0.98 * t), rel=1e-9)


def test_a_tub_that_stays_as_far_off_is_believed_sooner_than_one_row() -> None:
    one = chances(MASH_WARMTH, (1.0, -20.0))[0]
    both = chances(MASH_WARMTH, (1.0, -20.0), (1.25, -20.0))
    assert max(both) < one


def test_one_wild_row_among_good_ones_is_the_wrong_one() -> None:
    found = chances(FERMENT_WARMTH, (12.0, 1.0), (24.0, 30.0), (36.0, -1.0), (48.0, 0.0))
    assert [p > 0.5 for p in found] == [False, True, False, False]
    assert max(found[0], *found[2:]) < 0.05


def test_another_thermometer_at_the_same_moment_settles_it() -> None:
    found = patterns(MASH_WARMTH, (Row(3.0, 90.0), Row(3.0, 62.0, second=True)), (28.0, 0.0), (28.0, 0.0))
    best = found.followed[np.argmax(found.chances)]
    assert best.tolist() == [False, True]
    assert found.chances.max() > 0.95
    again = patterns(MASH_WARMTH, (Row(3.0, 90.0), Row(3.0, 90.5, second=True)), (28.0, 28.5), (28.0, 28.5))
    assert again.followed[np.argmax(again.chances)].all()


def test_a_long_log_is_taken_in_whole() -> None:
    """Forty sound rows: every one is followed, and the patterns stay few."""
    rows = [(float(h), 0.3 * (-1.0) ** h) for h in range(40)]
    assert max(chances(FERMENT_WARMTH, *rows)) < 0.02


@pytest.mark.parametrize(
    "rows",
    [
        ("mash 3 h: 1.058, 90 C",),
        ("mash 3 h: 1.058, 63 F",),
        ("mash 3 h: 1.058, pH 9",),
        ("ferment 48 h: 1.012, 60 C",),
        ("ferment 48 h: 1.012, 16 C",),
    ],
    ids=lambda rows: rows[0],
)
def test_beside_a_sound_gravity_a_slip_is_found_out_and_the_plan_stands(rows: tuple[str, ...]) -> None:
    found = after(*rows)
    assert wrong(found)[0] > 0.5
    assert within_the_plan(found)


def test_a_sound_log_does_what_it_did() -> None:
    """Followed in all but a few worlds, and the fill lies where it does with every row followed."""
    found = after("mash 2 h: 61 C", "mash 3 h: 1.058, 60 C, pH 5.5")
    assert max(wrong(found)) < 0.02
    alone = after("mash 3 h: 1.058")
    assert middle(found) == pytest.approx(middle(alone), abs=0.5)


def test_a_mash_that_was_truly_too_hot_is_followed() -> None:
    found = after("mash 20 min: 90 C, starch blue", "mash 3 h: 1.020, starch blue, 85 C")
    assert max(wrong(found)) < 0.2
    assert not within_the_plan(found)


def test_a_weak_gravity_speaks_for_the_heat() -> None:
    weak = after("mash 20 min: 90 C", "mash 3 h: 1.022, starch blue")
    sound = after("mash 20 min: 90 C", "mash 3 h: 1.060")
    assert wrong(weak)[0] < 0.3
    assert wrong(sound)[0] > 0.7


def test_rows_in_another_order_and_again_give_the_same() -> None:
    rows = ("mash 1 h: 66 C", "mash 3 h: 1.058, 90 C")
    one, again, other = after(*rows), after(*rows), after(*reversed(rows))
    assert np.array_equal(one.z, again.z)
    assert np.array_equal(one.z, other.z)


def test_without_a_log_nothing_is_added() -> None:
    plain = begin(sized_of("rye", WORLDS))
    with_log = begin(plain.sized, WORLDS, rows_of((), ("mash 3 h: 90 C",)).readings)
    assert with_log.names == (*plain.names, MASH_WARMTH.name)
    assert np.array_equal(with_log.z[:, :-1], plain.z)


def test_a_log_alone_leaves_both_possible() -> None:
    found: list[Reading] = list(rows_of((), ("mash 3 h: 90 C",)).readings)
    belief = update(begin(sized_of("rye", WORLDS)), found)
    assert 0.5 < wrong(belief)[0] < 0.95
