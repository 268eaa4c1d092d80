"""One tub of a plan by the hour: balances, agreement with the plan's end-points, and what readings teach."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from caskward.errors import SetPointOutOfReach
from caskward.planning.intent import Intent
from caskward.planning.observing import Settings
from caskward.planning.readings import Reading, reading_of
from caskward.planning.sizing import Sized, size, worlds_for
from caskward.planning.tub.brew import Kept, crossing, ferment_tub, grid, pitch_of
from caskward.planning.tub.brew_doubts import course_worlds
from caskward.planning.tub.ferment_model import ferment_model
from caskward.planning.tub.fits import weighted_band
from caskward.planning.tub.pitching import pitching_c
from caskward.planning.tub.simulate import Setup, TubCourse, simulate
from caskward.planning.tub.timings import dry
from caskward.planning.tub_cards import convert
from caskward.services.plans import intent_text, starting_point
from caskward.stages.stream import Stream
from caskward.stages.tub_heat import with_ice, with_water
from tests.support.batches import intent_of

WORLDS = 256
RYE_FILE = starting_point("rye")


def sized(name: str, **changes: object) -> Sized:
    return size(intent_of(name, worlds=WORLDS, **changes))


@pytest.fixture(scope="module")
def rye() -> Sized:
    return sized("rye")


@pytest.fixture(scope="module")
def wheat() -> Sized:
    return sized("wheat-panela")


@pytest.fixture(scope="module")
def pears() -> Sized:
    return sized("pears")


@pytest.fixture(scope="module")
def held(rye: Sized) -> TubCourse:
    """The rye held where its yeast is usually kept."""
    return simulate(rye, Setup(18.0, 30.0))


@pytest.fixture(scope="module")
def bare() -> TubCourse:
    """The rye in a tub of bare steel."""
    steel = RYE_FILE.replace('kind = "insulated"', 'kind = "bare-steel"')
    assert steel != RYE_FILE
    return simulate(size(replace(intent_text(steel, None), worlds=WORLDS)), Setup(18.0, 30.0))


@pytest.mark.parametrize("name", ["rye", "wheat-panela", "pears"])
def test_a_course_s_doubts_leave_the_plan_s_worlds_as_they_are(name: str) -> None:
    intent = intent_of(name)
    plan, few = worlds_for(intent), course_worlds(intent, 128)
    for unknown, values in plan.values.items():
        np.testing.assert_array_equal(values[:128], few[unknown])


# Cook and landing ---------------------------------------------------------------------------------


def test_the_pots_bring_all_grain_and_water_less_their_steam(held: TubCourse) -> None:
    cooked, method = held.cooked, held.sized.method
    assert cooked is not None
    steam_kg = sum(loss.mass_kg for loss in cooked.record.losses)
    in_kg = sum(kg for _, kg in cooked.each.grain_kg) * method.cooks
    in_kg += cooked.each.water_l * 0.9982 * method.cooks
    np.testing.assert_allclose(cooked.tub.total_kg, in_kg - steam_kg, rtol=1e-4)


def test_a_tub_that_is_filled_pot_by_pot_lands_where_its_plan_says(held: TubCourse) -> None:
    """Each wait cools it: after the last of four pots it lies between the tub before and the pot.

    The plan leaves out what the pot's own wall loses, which makes it wait a little less: 0.5 K.
    """
    cooked = held.cooked
    assert cooked is not None
    record = cooked.record
    assert np.all(record.after_c[-1] < record.pots[-1].reached_c)
    assert np.all(record.after_c[-1] > record.before_c[-1])
    planned_c = held.sized.course.mash.stirred_c
    assert np.median(held.together.mash.temp_c) == pytest.approx(np.median(planned_c), abs=0.5)


def test_water_and_ice_that_are_named_bring_the_tub_to_its_rest(wheat: Sized) -> None:
    """To the rest's temperature, as the plan cools it: at the window's upper end an enzyme lasts least."""
    course = simulate(wheat, Setup(18.0, 30.0))
    found, mash = course.landing, course.together.mash
    assert found is not None
    assert course.schedule is not None
    assert found.share < 0.1
    rest_c = course.schedule.rests[0].temp_c
    assert found.cool.to_c == rest_c == wheat.method.rest_c
    too_warm = mash.temp_c > rest_c
    by_water = with_water(mash, found.cool.cold_water_l, wheat.intent.site.water_c).temp_c
    by_ice = with_ice(mash, found.cool.ice_kg).temp_c
    np.testing.assert_allclose(by_water[too_warm], rest_c, atol=0.15)
    np.testing.assert_allclose(by_ice[too_warm], rest_c, atol=0.15)


def test_every_step_down_of_the_rests_is_cooled_as_in_the_plan(held: TubCourse) -> None:
    """From the thinning hold to the sweetening rest: the plan's coil water, to a tenth for the pot's wall."""
    (step,) = held.cooled
    assert held.schedule is not None
    last = held.schedule.rests[-1]
    assert step.ways.to_c == last.temp_c == held.sized.method.rest_c
    assert step.at_h == held.schedule.rests[0].to_h
    capacity = np.median(held.together.mash.heat_capacity_kj_k)
    kwh = capacity * (np.median(step.from_c) - last.temp_c) / 3600.0
    assert np.median(step.ways.heat_kwh) == pytest.approx(kwh, rel=0.02)
    planned = {t.key: t for t in convert(held.sized)}
    assert np.median(step.ways.coil_water_l) == pytest.approx(planned["rest.coil"].band.mid, rel=0.1)


def test_a_mash_that_was_logged_cold_does_not_land_where_it_should(rye: Sized, held: TubCourse) -> None:
    cold = simulate(rye, Setup(18.0, 30.0, readings=(reading_of("mash", "temperature", 55.0, 1.0 / 6.0),)))
    assert held.landing is not None
    assert cold.landing is not None
    assert held.landing.share > 0.9
    assert cold.landing.share == 0.0
    np.testing.assert_allclose(cold.landed.temp_c, 55.0, atol=1e-6)
    warmed = with_water(cold.landed, cold.landing.hot_water_l, 95.0).temp_c
    assert cold.schedule is not None
    np.testing.assert_allclose(warmed, cold.schedule.rests[0].temp_c, atol=0.05)
    # So cool a mash leaves the malt's own starch raw: no wait turns it.
    assert cold.mash is not None
    assert held.mash is not None
    assert np.median(cold.mash.raw_kg[-1]) > 2.0 * np.median(held.mash.raw_kg[-1])


# Mash ---------------------------------------------------------------------------------------------


def test_a_mash_conserves_its_starch(held: TubCourse) -> None:
    mash = held.mash
    assert mash is not None
    whole = held.together.mash.potential_ethanol_kg
    end = mash.stream(len(mash.hours) - 1).potential_ethanol_kg
    np.testing.assert_allclose(end, whole, rtol=1e-9)


def test_logged_heat_that_kills_the_enzymes_leaves_less_sugar(rye: Sized, held: TubCourse) -> None:
    hot = tuple(reading_of("mash", "temperature", 88.0, h) for h in (0.0, 1.0, 3.0))
    logged = simulate(rye, Setup(18.0, 30.0, readings=hot)).mash
    assert logged is not None
    assert held.mash is not None
    np.testing.assert_allclose(logged.temp_c[0], 88.0)
    assert np.median(logged.sugar_kg[-1]) < 0.8 * np.median(held.mash.sugar_kg[-1])


def test_a_blue_drop_speaks_for_more_starch_left_and_a_clear_one_for_less(rye: Sized) -> None:
    """The chance of blue rises with what is left, so by Bayes' rule its mean does, both ways."""
    means = []
    for blue in (0.0, 1.0):
        course = simulate(rye, Setup(18.0, 30.0, readings=(reading_of("mash", "starch", blue, 0.5),)))
        mash = course.mash
        assert mash is not None
        left = mash.showing_share[int(np.argmin(np.abs(mash.hours - 0.5)))]
        means.append((float(np.sum(course.weights * left)), float(np.mean(left))))
    (clear, prior), (blue_mean, _) = means
    assert clear < 0.95 * prior
    assert blue_mean > 1.2 * prior


def test_a_rest_that_falls_out_of_its_label_says_when(bare: TubCourse, held: TubCourse) -> None:
    """By Newton's law of cooling down to the label's lower end; an insulated tub keeps it."""
    assert held.fading == ()
    (found,) = bare.fading
    assert bare.schedule is not None
    rest = bare.schedule.rests[0]
    by_hand_h = np.log((rest.temp_c - 18.0) / (found.low_c - 18.0)) / bare.schedule.cools_per_h
    assert found.at_h == pytest.approx(by_hand_h, abs=0.05)
    assert found.end_c < found.low_c < found.rest_c
    loss_kw = np.median(found.loss_kw)
    capacity = np.median(bare.together.mash.heat_capacity_kj_k)
    assert loss_kw == pytest.approx(
        bare.schedule.cools_per_h * capacity * (found.low_c - 18.0) / 3600.0, rel=0.1
    )


def test_a_tub_that_is_hardly_filled_loses_heat_by_what_is_wet(bare: TubCourse) -> None:
    """One pot of heat in a bare tub: by hand with floor, surface and wet side it keeps over 60 °C."""
    cooked, tub = bare.cooked, bare.sized.intent.gear.tub
    assert cooked is not None
    record, worlds = cooked.record, bare.worlds
    fill = record.after_l[0] / tub.working_l
    loss_w_k = worlds["your.tub_w_k"] * (0.5 + fill) / 1.5
    waited_h = record.at_h[1] - record.at_h[0]
    kj_k = cooked.tub.heat_capacity_kj_k / len(record.pots)
    stood_c = 18.0 + (record.after_c[0] - 18.0) * np.exp(-3.6 * loss_w_k * waited_h / kj_k)
    np.testing.assert_allclose(record.before_c[1], stood_c, atol=0.6)
    assert np.median(record.before_c[1]) > 60.0


# Ferment ------------------------------------------------------------------------------------------


def test_a_healthy_course_ends_where_the_plan_does(held: TubCourse) -> None:
    """Gravity to the 0.001 that a hydrometer shows, strength to the 0.3 %vol that a plan is read to."""
    plan = held.sized.course.ferment
    dry = np.isfinite(held.brew.dry_h)
    assert np.mean(dry) > 0.9
    end = held.brew.end
    assert np.median(end.specific_gravity) == pytest.approx(np.median(plan.final_gravity), abs=0.001)
    assert np.median(end.strength_pct_vol) == pytest.approx(np.median(plan.strength_pct_vol), abs=0.3)


def test_a_tub_left_to_itself_is_pitched_so_that_it_stays_in_its_window(pears: Sized, rye: Sized) -> None:
    for one in (pears, rye):
        course = simulate(one, Setup(18.0))
        window = one.intent.yeast.window_c
        assert window.low <= course.pitch.temp_c <= window.likely
        peak_c = weighted_band(np.max(course.brew.temp_c, axis=0)).high
        if course.pitch.temp_c > window.low + 1e-9:
            assert peak_c <= window.high + 1.0
    assert pitching_c(pears.intent, pears.method, Kept(18.0, 21.0)) == 21.0


def test_one_pitch_for_plan_tub_question_and_readings(rye: Sized, pears: Sized) -> None:
    """What the plan says, what its tub by the hour and its readings take, and what a question starts from."""
    for one in (rye, pears):
        pitched_c = simulate(one, Setup(one.intent.site.room_c)).pitch.temp_c
        assert dry(one).pitched_c == pitched_c
        assert Settings(one).pitch_c == pitched_c
        assert ferment_model(one.intent, one.method).plan.facts.starts_c == pitched_c


def test_a_plan_s_days_are_those_of_its_tub(rye: Sized) -> None:
    """The same worlds, on another grid: middle and ends to a fifth of a day, a hydrometer's round."""
    plan, tub = dry(rye).days, weighted_band(simulate(rye, Setup(rye.intent.site.room_c)).brew.dry_h / 24.0)
    assert (plan.low, plan.mid, plan.high) == pytest.approx((tub.low, tub.mid, tub.high), abs=0.2)


def test_one_late_temperature_says_nothing_of_the_pitch(rye: Sized) -> None:
    """Pitched as planned, warmed by itself to what was read; what was expected before is as without a log."""
    plain = simulate(rye, Setup(18.0, at_h=(96.0,)))
    late = simulate(rye, Setup(18.0, readings=(reading_of("ferment", "temperature", 35.0, 96.0),)))
    assert late.pitch.temp_c == plain.pitch.temp_c < 30.0
    np.testing.assert_allclose(late.brew.temp_c[0], plain.pitch.temp_c)
    i = int(np.argmin(np.abs(late.brew.hours - 96.0)))
    np.testing.assert_allclose(late.brew.temp_c[i], 35.0, atol=1e-6)
    one_day = int(np.argmin(np.abs(late.brew.hours - 24.0)))
    own_c = plain.brew.temp_c[int(np.argmin(np.abs(plain.brew.hours - 24.0)))]
    assert np.median(np.abs(late.brew.temp_c[one_day] - own_c)) < 0.3 * np.median(35.0 - own_c)
    np.testing.assert_allclose(late.unread.specific_gravity[-1], plain.brew.specific_gravity[-1], atol=1e-9)


def test_a_tub_that_went_as_it_was_to_is_moved_by_no_log(rye: Sized) -> None:
    """A log of a world's own temperatures leaves that world's ferment as it was."""
    plain = simulate(rye, Setup(18.0, at_h=(30.0, 50.0)))
    at = [int(np.argmin(np.abs(plain.brew.hours - h))) for h in (30.0, 50.0)]
    log = tuple(
        reading_of("ferment", "temperature", float(plain.brew.temp_c[i, 7]), float(plain.brew.hours[i]))
        for i in at
    )
    brew = simulate(rye, Setup(18.0, readings=log)).brew
    end = [int(np.argmin(np.abs(one.hours - 50.0))) for one in (plain.brew, brew)]
    gravities = [one.specific_gravity[i, 7] for one, i in zip((plain.brew, brew), end, strict=True)]
    assert gravities[0] == pytest.approx(gravities[1], abs=0.0015)


def _potential_kg(stream: Stream) -> np.ndarray:
    return np.asarray(stream.potential_ethanol_kg)


def test_logged_temperatures_are_followed_and_every_mass_closes_across_the_legs(rye: Sized) -> None:
    logged = ((0.0, 24.0), (24.0, 31.0), (60.0, 33.0))
    readings = tuple(reading_of("ferment", "temperature", c, h) for h, c in logged)
    course = simulate(rye, Setup(18.0, readings=readings, days=6.0))
    brew = course.brew
    for hour, temp_c in logged:
        i = int(np.argmin(np.abs(brew.hours - hour)))
        np.testing.assert_allclose(brew.temp_c[i], temp_c, atol=1e-6)
    assert np.all(np.diff(brew.hours) > 0.0)
    assert len(brew.hours) == len(brew.temp_c) == len(brew.specific_gravity) == len(brew.co2_kg)
    first, last = brew.legs
    lost = sum(loss.ethanol_kg for loss in (*first.losses_by(len(first.hours) - 1), *last.losses))
    np.testing.assert_allclose(_potential_kg(brew.end) + lost, _potential_kg(brew.wash), rtol=1e-9)
    assert np.all(np.diff(brew.co2_kg, axis=0) >= -1e-9)


def test_two_legs_at_one_warmth_are_one_course(rye: Sized) -> None:
    """Cut at a logged hour and gone on with at the same temperature, nothing changes."""
    worlds = course_worlds(rye.intent)
    wash = simulate(rye, Setup(18.0, 30.0)).brew.wash
    pitch = pitch_of(rye, worlds, wash, 30.0)
    whole = ferment_tub(rye.intent, worlds, wash, pitch, Kept(18.0, 30.0), 144.0)
    cut = ferment_tub(rye.intent, worlds, wash, pitch, Kept(18.0, 30.0, ((0.0, 30.0), (48.0, 30.0))), 144.0)
    np.testing.assert_allclose(cut.specific_gravity[-1], whole.specific_gravity[-1], atol=2e-4)
    both = np.isfinite(whole.dry_h) & np.isfinite(cut.dry_h) & (whole.dry_h < 120.0)
    assert np.mean(both) > 0.5
    np.testing.assert_allclose(cut.dry_h[both], whole.dry_h[both], rtol=0.06)


def test_a_set_point_that_no_one_keeps_that_yeast_at_is_refused(rye: Sized) -> None:
    with pytest.raises(SetPointOutOfReach, match="kept between 18 °C and 39 °C"):
        simulate(rye, Setup(18.0, 55.0))


def test_a_warmer_room_is_dry_sooner(pears: Sized) -> None:
    cold, warm = (simulate(pears, Setup(18.0, c)).brew.dry_h for c in (14.0, 22.0))
    both = np.isfinite(cold) & np.isfinite(warm)
    assert np.mean(both) > 0.3
    assert np.all(warm[both] < cold[both])


# Readings -----------------------------------------------------------------------------------------


def _read(course: TubCourse, world: int, hours: tuple[float, ...], noise: np.ndarray) -> tuple[Reading, ...]:
    brew = course.brew
    at = [int(np.argmin(np.abs(brew.hours - h))) for h in hours]
    return tuple(
        reading_of("ferment", "gravity", float(brew.specific_gravity[i, world] + n), float(brew.hours[i]))
        for i, n in zip(at, noise, strict=True)
    )


def test_readings_narrow_the_dry_date_and_the_band_holds_what_is_true(rye: Sized) -> None:
    """Tubs drawn from the plan's own doubts, read with a hydrometer's error.

    Bands of 8 in 10 should hold 8 of 10: the bound is two standard errors below that over so many tubs.
    """
    other = replace(rye, intent=replace(rye.intent, seed=rye.intent.seed + 1))
    truth = simulate(other, Setup(18.0, 30.0))
    rng = np.random.default_rng(7)
    inside, narrower, tubs = 0, 0, 24
    for world in range(tubs):
        readings = _read(truth, world, (24.0, 40.0, 56.0), rng.normal(0.0, 0.0015, 3))
        course = simulate(rye, Setup(18.0, 30.0, readings=readings))
        after = weighted_band(course.brew.dry_h, course.weights)
        before = weighted_band(course.brew.dry_h)
        inside += after.low <= truth.brew.dry_h[world] <= after.high
        narrower += after.high - after.low < before.high - before.low
    assert 0.8 - 2.0 * np.sqrt(0.16 / tubs) <= inside / tubs
    assert narrower / tubs > 0.7


def test_a_gravity_that_cannot_be_fits_badly_and_sound_ones_do_not(rye: Sized) -> None:
    truth = simulate(rye, Setup(18.0, 30.0))
    sound = _read(truth, 3, (24.0, 48.0), np.zeros(2))
    assert not any(fit.badly for fit in simulate(rye, Setup(18.0, 30.0, readings=sound)).fits)
    wrong = reading_of("ferment", "gravity", 1.110, 36.0)
    fits = simulate(rye, Setup(18.0, 30.0, readings=(*sound, wrong))).fits
    assert [fit.badly for fit in fits] == [False, False, True]


def test_a_clear_drop_of_a_mash_that_has_just_begun_fits_badly(rye: Sized) -> None:
    """Two thirds of its starch are long then: a drop is blue but for slips."""
    for blue, badly in ((1.0, False), (0.0, True)):
        reading = reading_of("mash", "starch", blue, 0.0)
        (fit,) = simulate(rye, Setup(18.0, 30.0, readings=(reading,))).fits
        assert fit.badly is badly
        assert fit.before.mid > 0.95


def test_two_gravities_that_contradict_each_other_are_both_named(rye: Sized) -> None:
    readings = (reading_of("ferment", "gravity", 1.000, 40.0), reading_of("ferment", "gravity", 1.045, 41.0))
    assert [fit.badly for fit in simulate(rye, Setup(18.0, 30.0, readings=readings)).fits] == [True, True]


def test_a_reading_that_says_what_is_wrong_is_handed_back(rye: Sized) -> None:
    sour = reading_of("ferment", "sour", 1.0, 48.0)
    assert simulate(rye, Setup(18.0, 30.0, readings=(sour,))).unused == (sour,)


# Straining, tools ---------------------------------------------------------------------------------


def test_what_runs_off_stays_and_is_pressed_is_all_there_was(held: TubCourse) -> None:
    record = held.drained.record
    liquid_l = held.brew.end.liquid_l
    np.testing.assert_allclose(record.strained_l + record.pressed_l + record.held_l, liquid_l, rtol=1e-6)
    to_still_l = held.drained.wash.volume_l + held.drained.behind_l
    np.testing.assert_allclose(record.strained_l + record.pressed_l, to_still_l, rtol=1e-9)
    assert np.median(held.drained.behind_l) > 1.0
    held_lpa = record.held_l * held.brew.end.strength_pct_vol / 100.0
    np.testing.assert_allclose(held.drained.held_lpa, held_lpa, rtol=1e-3)
    assert held.drained.rinse is not None
    assert np.all(held.drained.rinse.gained_lpa < held.drained.held_lpa)


def test_nothing_is_strained_from_pulp_that_goes_into_the_still(pears: Sized) -> None:
    course = simulate(pears, Setup(18.0, 18.0))
    assert course.cooked is None
    assert course.mash is None
    assert course.drained.rinse is None
    assert [one.name for one in course.added] == ["Pears"]


def test_weighted_bands_are_plain_ones_where_all_weigh_alike() -> None:
    values = np.arange(1001.0)
    band = weighted_band(values, np.full(1001, 1.0 / 1001))
    assert (band.low, band.mid, band.high) == pytest.approx((100.0, 500.0, 900.0), abs=1.0)
    heavy = np.where(values == 77.0, 1.0, 0.0)
    assert weighted_band(values, heavy).mid == 77.0
    assert weighted_band(np.append(values, np.inf)).high < np.inf


def test_a_grid_holds_its_ends_and_the_hours_asked_for() -> None:
    hours = grid(10.0, (3.3,), 4.0)
    assert hours.tolist() == [0.0, 3.3, 4.0, 8.0, 10.0]
    rising = np.array([[0.0, 0.0], [0.5, 0.1], [1.0, 0.2]])
    assert crossing(np.array([0.0, 4.0, 8.0]), rising, 0.75).tolist() == [6.0, np.inf]


def test_malt_alone_cooks_nothing() -> None:
    malt: Intent = intent_of(worlds=WORLDS)
    bill = tuple(replace(i, share=1.0) for i in malt.bill if i.material.key == "barley-malt")
    tub = replace(malt.gear.tub, volume_l=1500.0)
    course = simulate(
        size(replace(malt, bill=bill, enzymes=(), gear=replace(malt.gear, tub=tub))), Setup(18.0, 25.0)
    )
    assert course.cooked is None
    assert course.mash is not None
    assert np.median(course.together.mash.temp_c) == pytest.approx(64.0, abs=0.3)


def test_a_tub_of_bare_steel_never_warms_by_itself_between_its_rests(bare: TubCourse) -> None:
    """The second rest begins as warm as the first has left the tub, not as it once was."""
    schedule = bare.schedule
    assert schedule is not None
    assert len(schedule.rests) == 2
    assert np.all(np.diff(schedule.temp_c(schedule.grid(0.1))) < 0.0)
