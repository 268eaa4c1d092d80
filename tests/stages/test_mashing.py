"""A mash hour by hour: its balance, its laws, and the same against a far finer grid."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from caskward.errors import OutOfRange, WrongShape
from caskward.stages.balance import imbalance
from caskward.stages.convert import ConvertUnknowns, convert
from caskward.stages.enzymes import Dose
from caskward.stages.iodine import SHOWS_AT_SHARE, starch_test_positive, when_to_test
from caskward.stages.mash_starch import Starch
from caskward.stages.mashing import MashCourse, mash_course
from caskward.stages.stream import mixed
from tests.support.mashes import cooked, doubled, hours, malt, mash_of, product, raw_malt

CLOSES = 1e-12
MASSES = ("raw_kg", "long_starch_kg", "dextrin_kg", "branched_kg", "sugar_kg")
ROUNDING_KG = 1e-12


def plain(temp_c: float = 64.0, ph: float = 5.4, last: float = 1.0, doses: tuple[Dose, ...] | None = None):  # type: ignore[no-untyped-def]
    start = raw_malt()
    return mash_course(mash_of(start), start, hours(last), temp_c, ph, malt() if doses is None else doses)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(30.0, 95.0),
    st.floats(30.0, 95.0),
    st.floats(3.5, 7.5),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.0),
)
def test_mass_and_alcohol_close_and_nothing_runs_backward(
    first_c: float, last_c: float, ph: float, swollen_kg: float, accessible: float
) -> None:
    grid = hours(1.5, 5.0)
    start = Starch(
        np.array([0.7, 0.3]),
        swollen_kg,
        np.array([56.0, 68.0]),
        np.array([63.0, 76.0]),
        accessible=accessible,
    )
    mash = mash_of(start, dextrin_kg=0.1)
    doses = (*malt(), Dose(product("thinning-hot"), 0.2), Dose(product("sweetening"), 0.7, 0.5))
    course = mash_course(mash, start, grid, np.linspace(first_c, last_c, len(grid)), ph, doses)
    off = imbalance([mash], [course.end], course.losses)
    assert off.mass <= CLOSES
    assert off.alcohol <= CLOSES
    for i in (0, 7, -1):
        assert imbalance([mash], [course.stream(i)], []).alcohol <= CLOSES
    assert np.all(np.diff(course.raw_kg) <= ROUNDING_KG)
    assert np.all(np.diff(course.sugar_kg) >= -ROUNDING_KG)
    assert min(float(getattr(course, name).min()) for name in MASSES) >= -ROUNDING_KG
    for dose, alive in zip(doses, course.activity, strict=True):
        assert np.all(np.diff(alive[grid >= dose.at_h]) <= 0.0)
        assert np.all(alive[grid < dose.at_h] == 0.0)


@settings(max_examples=20, deadline=None)
@given(st.floats(45.0, 80.0), st.floats(4.0, 7.0), st.integers(0, 3), st.floats(1.1, 5.0))
def test_more_of_an_enzyme_is_never_slower(temp_c: float, ph: float, which: int, times: float) -> None:
    doses = (*malt(30.0), Dose(product("thinning-mid")), Dose(product("sweetening")))
    more = tuple(doubled(d, times) if k == which else d for k, d in enumerate(doses))
    one, two = plain(temp_c, ph, doses=doses), plain(temp_c, ph, doses=more)
    assert np.all(two.long_starch_kg <= one.long_starch_kg + ROUNDING_KG)
    if more[which].enzyme.does == "sweeten":
        assert np.all(two.sugar_kg >= one.sugar_kg - ROUNDING_KG)


@settings(max_examples=10, deadline=None)
@given(st.floats(20.0, 56.0))
def test_below_its_range_raw_starch_stays(temp_c: float) -> None:
    course = plain(temp_c)
    assert np.all(course.raw_kg == 1.0)
    assert float(course.sugar_kg[-1]) == pytest.approx(0.0, abs=ROUNDING_KG)
    assert float(course.losses[0].ethanol_kg) == pytest.approx(
        float(course.end.insolubles_kg - 0.3) * 0.5682, rel=1e-3
    )


def test_long_starch_only_falls_once_all_has_swollen() -> None:
    course = plain(70.0)
    swollen = course.raw_kg < 1e-9
    assert np.all(np.diff(course.long_starch_kg[swollen]) < 0.0)


def test_one_world_is_a_slice_of_many() -> None:
    rng = np.random.default_rng(5)
    grid, worlds = hours(2.0), 7
    raw = rng.uniform(0.2, 0.6, (2, worlds))
    start = Starch(
        raw,
        rng.uniform(0, 1, worlds),
        np.array([56.0, 68.0]),
        np.array([63.0, 75.0]),
        rng.uniform(0.8, 1, worlds),
    )
    temps = np.linspace(74.0, 60.0, len(grid))[:, None] + rng.uniform(-2, 2, worlds)
    strength = rng.uniform(0.2, 2.0, worlds)
    doses = [replace(dose, strength=strength) for dose in malt()] + [Dose(product("sweetening"), 0.5)]
    many = mash_course(mash_of(start), start, grid, temps, 5.3, doses)
    for k in (0, 6):
        one_start = Starch(
            raw[:, k], start.swollen_kg[k], start.onset_c, start.complete_c, start.accessible[k]
        )
        ones = [replace(dose, strength=float(strength[k])) for dose in doses[:2]] + doses[2:]
        one = mash_course(mash_of(one_start), one_start, grid, temps[:, k], 5.3, ones)
        for name in MASSES:
            np.testing.assert_allclose(getattr(many, name)[:, k], getattr(one, name), rtol=0, atol=1e-12)
        np.testing.assert_allclose(many.activity[:, :, k], one.activity, rtol=0, atol=1e-12)


def test_worlds_in_two_axes_are_the_same_worlds() -> None:
    strength = np.array([[0.5, 1.0, 1.5], [2.0, 2.5, 3.0]])
    both = plain(doses=tuple(replace(d, strength=strength) for d in malt()))
    row = plain(doses=tuple(replace(d, strength=strength.reshape(-1)) for d in malt()))
    assert both.sugar_kg.shape == (31, 2, 3)
    np.testing.assert_allclose(both.sugar_kg.reshape(31, -1), row.sugar_kg, rtol=1e-12)


@pytest.mark.parametrize("per_h", [0.0, 30.0, 60.0])
def test_within_a_thousandth_of_a_far_finer_grid(per_h: float) -> None:
    """Rising at up to 1 K/min through the swelling range and the windows; steps of 2 min against 3 s."""
    start = raw_malt()

    def course(step_min: float) -> MashCourse:
        grid = hours(1.0, step_min)
        temps = np.minimum(50.0 + per_h * grid, 72.0) if per_h else np.full(len(grid), 64.0)
        return mash_course(mash_of(start), start, grid, temps, 5.4, malt(70.0))

    coarse, fine = course(2.0), course(0.05)
    for name in MASSES:
        np.testing.assert_allclose(getattr(coarse, name), getattr(fine, name)[::40], rtol=0, atol=1e-3)
    np.testing.assert_allclose(coarse.activity, fine.activity[:, ::40], rtol=0, atol=1e-3)


def test_a_sparse_log_is_followed_in_small_steps() -> None:
    """Two readings an hour apart, 80 and 60 °C, are a straight line: as if read every minute."""
    start = cooked()
    sparse = mash_course(mash_of(start), start, np.array([0.0, 1.0]), np.array([80.0, 60.0]), 5.4, malt())
    grid = hours(1.0, 1.0)
    close = mash_course(mash_of(start), start, grid, np.linspace(80.0, 60.0, 61), 5.4, malt())
    assert float(sparse.sugar_kg[-1]) == pytest.approx(float(close.sugar_kg[-1]), abs=2e-3)


def test_split_as_the_plan_splits_it() -> None:
    """The same shares split by `convert`: the same stream, mass by mass."""
    course = plain()
    split_kg = float(course.mash.starch_kg - course.raw_kg[-1] - course.long_starch_kg[-1])
    unknowns = ConvertUnknowns(
        np.asarray(split_kg), np.asarray(1.0 - float(course.dextrin_kg[-1]) / split_kg)
    )
    planned, _ = convert(course.mash, np.asarray(1.0), unknowns)
    for name in ("water_kg", "hexose_kg", "dextrin_kg", "starch_kg", "insolubles_kg"):
        assert float(getattr(course.end, name)) == pytest.approx(float(getattr(planned, name)), abs=1e-12)
    assert float(course.specific_gravity[-1]) == pytest.approx(float(planned.specific_gravity), abs=1e-12)
    assert np.all(np.diff(course.specific_gravity) > 0.0)


def test_too_hot_for_malt_leaves_dextrin_and_a_wrong_ph_starch() -> None:
    """*Common practice, no source*: at 75 °C a malt thins but does not sweeten; far off its pH it is slow."""
    right, hot, sour = plain(), plain(75.0), plain(ph=3.5)
    assert float(hot.long_share[-1]) < 0.02
    assert float(hot.sugar_kg[-1]) < 0.6 * float(right.sugar_kg[-1])
    assert float(sour.long_share[10]) > 5.0 * float(right.long_share[10])


def test_a_mid_enzyme_held_at_85_dies_before_it_has_thinned() -> None:
    """*Common practice, no source*; the catalogue says so of this kind."""
    start = cooked()
    held = [
        mash_course(mash_of(start), start, hours(2.0), at_c, 6.0, [Dose(product("thinning-mid"))])
        for at_c in (70.0, 85.0)
    ]
    assert float(held[0].long_share[-1]) < 0.02
    assert float(held[1].long_share[-1]) > 0.9
    assert float(held[1].activity[0, 10]) < 1e-3


def test_carried_on_is_as_if_never_stopped() -> None:
    doses = (*malt(40.0), Dose(product("sweetening"), 0.8))
    grid = hours(1.0)
    whole = plain(62.0, 5.2, doses=doses)
    mash, starch, left = whole.carried_on(10)
    rest = mash_course(mash, starch, grid[10:] - grid[10], 62.0, 5.2, left)
    for name in MASSES:
        np.testing.assert_allclose(getattr(rest, name), getattr(whole, name)[10:], rtol=0, atol=1e-6)
    assert float(rest.showing_share[-1]) == pytest.approx(float(whole.showing_share[-1]), abs=1e-9)


def test_malt_stirred_into_a_cooked_mash() -> None:
    """Cooked grain at 66 °C, then malt with its own raw starch: both are split, and nothing is lost."""
    grain = replace(cooked(0.8), accessible=0.95)
    before = mash_course(mash_of(grain), grain, hours(0.2), 66.0, 5.4, [])
    mash, starch, _ = before.carried_on(-1)
    both, stirred = mixed(mash, mash_of(raw_malt())), starch.and_with(raw_malt())
    assert float(stirred.total_kg) == pytest.approx(float(both.starch_kg), rel=1e-12)
    after = mash_course(both, stirred, hours(1.0), 64.0, 5.4, malt(100.0, 0.5))
    assert float(after.raw_kg[-1]) == pytest.approx(0.8 * 0.05, abs=1e-9)
    assert imbalance([both], [after.end], after.losses).alcohol <= CLOSES


def test_changed_from_an_hour_on() -> None:
    """Cooler from half an hour on, with a new dose: before that nothing has moved."""
    first = plain(72.0)
    again = first.changed(0.5, temp_c=60.0, more=[Dose(product("sweetening"), 0.5)])
    kept = first.hours < 0.45
    np.testing.assert_allclose(again.sugar_kg[kept], first.sugar_kg[kept], rtol=0, atol=1e-12)
    assert float(again.sugar_kg[-1]) > 1.2 * float(first.sugar_kg[-1])


def test_a_drop_with_iodine() -> None:
    shares = np.array([0.0, SHOWS_AT_SHARE / 2.0, SHOWS_AT_SHARE, 0.05, 1.0])
    found = starch_test_positive(shares)
    assert np.all(np.diff(found) > 0.0)
    assert found[0] == pytest.approx(0.02)
    assert found[1] == pytest.approx(0.02 + 0.96 / 17.0)
    assert found[2] == pytest.approx(0.5)
    assert found[-1] == pytest.approx(0.98, abs=1e-6)


def test_when_to_take_the_drop() -> None:
    """Worlds of 20 to 100 degrees Lintner: clear in most before it is clear in nearly all; never, without."""
    strong = np.linspace(0.2, 1.0, 41)
    many = plain(last=1.5, doses=tuple(replace(d, strength=strong) for d in malt()))
    times = when_to_test(many)
    assert 0.1 < times.first_h < times.sure_h < 1.0
    assert times.spent_h == float("inf")
    assert when_to_test(plain(doses=())).first_h == float("inf")
    assert when_to_test(plain(80.0, doses=(Dose(product("thinning-mid")),))).spent_h < 0.5


def test_lumps_show_as_starch() -> None:
    """A third of the starch in lumps: the drop stays blue when all in reach is thinned; a twelfth: clear."""
    for share_raw, shows in ((1.0 / 3.0, True), (1.0 / 12.0, False)):
        start = replace(cooked(), accessible=1.0 - share_raw)
        course = mash_course(mash_of(start), start, hours(2.0), 64.0, 5.4, malt())
        assert float(course.long_share[-1]) < 1e-6
        blue = float(starch_test_positive(course.showing_share[-1]))
        assert blue > 0.75 if shows else blue < 0.05


@pytest.mark.parametrize("grid", [[0.0], [1.0, 2.0], [0.0, 1.0, 1.0], [[0.0, 1.0]]])
def test_a_grid_that_does_not_rise_is_refused(grid: list[float]) -> None:
    start = cooked()
    with pytest.raises(WrongShape, match="grid of hours"):
        mash_course(mash_of(start), start, np.array(grid), 64.0, 5.4, [])


def test_what_cannot_be_is_refused() -> None:
    start = cooked()
    with pytest.raises(OutOfRange, match="temperature"):
        mash_course(mash_of(start), start, hours(1.0), 150.0, 5.4, [])
    with pytest.raises(OutOfRange, match="pH"):
        mash_course(mash_of(start), start, hours(1.0), 64.0, 54.0, [])
    with pytest.raises(WrongShape, match="one for each hour"):
        mash_course(mash_of(start), start, hours(1.0), np.array([64.0, 63.0]), 5.4, [])
    with pytest.raises(WrongShape, match="starch by state"):
        mash_course(mash_of(cooked(2.0)), start, hours(1.0), 64.0, 5.4, [])
