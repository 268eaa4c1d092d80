"""Reducing, strengthening, blending: alcohol and mass close, and what cannot be mixed is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from caskward.errors import FrozenSample, HotSample, MissingValue, NoSuchBlend, NotEnoughSpirit, OutOfRange
from caskward.gauging.instruments import instrument
from caskward.gauging.liquids import WATER, Liquid, Portion, by_scale, by_volume, pour
from caskward.gauging.mixing import Mixture, bring, make, mix
from caskward.gauging.steps import staged
from caskward.properties import alcohol

strengths = st.floats(1.0, 97.0)
litres = st.floats(0.05, 2_000.0)
temps = st.floats(0.0, 38.0)
ENOUGH = math.inf


def closes(mixture: Mixture) -> None:
    """Mass and pure alcohol that go in come out."""
    parts = [*mixture.take, *([mixture.add] if mixture.add else [])]
    assert sum(one.mass_kg for one in parts) == pytest.approx(mixture.makes.mass_kg, rel=1e-10)
    assert sum(one.lpa for one in parts) == pytest.approx(mixture.makes.lpa, rel=1e-9, abs=1e-10)


@given(strengths, st.floats(0.05, 0.999), litres, temps)
def test_water_brings_a_spirit_down(start: float, part: float, volume_l: float, temp_c: float) -> None:
    goal = start * part
    assume(goal >= 0.1)
    mixture = bring([by_volume(Liquid("spirit", start, temp_c), volume_l)], goal, temp_c=temp_c)
    assert mixture.add is not None
    closes(mixture)
    published = alcohol.reduce(volume_l, start, goal, temp_c)
    assert mixture.add.mass_kg == pytest.approx(published.water_kg, rel=1e-9)
    assert mixture.makes.volume_l == pytest.approx(published.final_l, rel=1e-9)
    again = mix([by_volume(Liquid("spirit", start, temp_c), volume_l), Portion(WATER, mixture.add.mass_kg)])
    assert again.makes.pct_vol == pytest.approx(goal, abs=1e-9)


@given(strengths, strengths, st.floats(0.01, 0.99), litres)
def test_any_liquid_brings_any_other_between_the_two(
    here: float, other: float, way: float, volume_l: float
) -> None:
    """Stronger spirit tops up what is too weak; low wines or backset take down what is too strong."""
    assume(abs(here - other) > 0.5)
    goal = here + way * (other - here)
    assume(goal >= 0.1)
    mixture = bring([by_volume(Liquid("in hand", here), volume_l)], goal, Liquid("added", other))
    assert mixture.add is not None
    assert mixture.add.mass_kg > 0.0
    closes(mixture)
    assert mixture.strength.value == pytest.approx(goal, abs=1e-8)


@given(strengths, strengths, st.floats(0.05, 0.95), litres)
def test_two_amounts_that_make_so_much(first: float, second: float, way: float, volume_l: float) -> None:
    assume(abs(first - second) > 0.5)
    goal = first + way * (second - first)
    mixture = make([Portion(Liquid("a", first), ENOUGH)], goal, volume_l=volume_l, add=Liquid("b", second))
    assert mixture.add is not None
    assert mixture.makes.volume_l == pytest.approx(volume_l, rel=1e-10)
    closes(mixture)
    parts = [
        Portion(Liquid("a", first), mixture.take[0].mass_kg),
        Portion(Liquid("b", second), mixture.add.mass_kg),
    ]
    assert mix(parts).makes.pct_vol == pytest.approx(goal, abs=1e-8)


@given(st.lists(st.tuples(strengths, litres), min_size=2, max_size=5))
def test_what_results_lies_between(pairs: list[tuple[float, float]]) -> None:
    mixture = mix([by_volume(Liquid(f"{q}", q), volume) for q, volume in pairs])
    closes(mixture)
    low, high = min(q for q, _ in pairs), max(q for q, _ in pairs)
    assert low - 1e-9 <= mixture.makes.pct_vol <= high + 1e-9


@given(st.floats(45.0, 97.0), litres, temps)
def test_strong_spirit_and_water_contract(pct_vol: float, volume_l: float, temp_c: float) -> None:
    spirit, water = Liquid("spirit", pct_vol, temp_c), Liquid("water", 0.0, temp_c)
    mixture = mix([by_volume(spirit, volume_l), by_volume(water, volume_l)], temp_c)
    assert mixture.contraction_l > 0.0


def test_weak_spirit_and_water_grow_a_little() -> None:
    """Below about 20 %vol a mixture gains on mixing: 0.6 mL in a litre at 10 %mass. No fault of ours.

    Perry's Handbook, 7th ed., at 20 °C; read: 10 %mass 0.98187 g/mL, 5 %mass 0.98938, water 0.99823.
    0.1 mL in two litres: 0.00003 g/mL in each, a third of what the handbook and the formula usually share.
    """
    mixture = mix([Portion(Liquid("spirit", float(alcohol.pct_vol(0.10))), 1.0), Portion(WATER, 1.0)])
    apart_l = 1.0 / 0.98187 + 1.0 / 0.99823
    printed_l = 2.0 / 0.98938
    assert mixture.contraction_l == pytest.approx(apart_l - printed_l, abs=1e-4)
    assert mixture.contraction_l < 0.0


@pytest.mark.parametrize("steps", [1, 2, 3, 5])
def test_steps_add_up_to_one_addition(steps: int) -> None:
    spirit = [by_volume(Liquid("spirit", 68.0), 25.0)]
    once = bring(spirit, 43.0)
    several = staged(spirit, 43.0, steps)
    assert once.add is not None
    added = [step.mixture.add.mass_kg for step in several if step.mixture.add]
    assert len(added) == steps
    assert sum(added) == pytest.approx(once.add.mass_kg, rel=1e-9)
    assert [step.rests_at_pct_vol for step in several] == sorted(
        (step.rests_at_pct_vol for step in several), reverse=True
    )
    assert several[-1].rests_at_pct_vol == 43.0
    assert several[-1].rest_days == 0.0
    assert several[-1].mixture.makes.volume_l == pytest.approx(once.makes.volume_l, rel=1e-9)


def test_steps_with_backset_or_low_wines() -> None:
    spirit, low_wines = [by_volume(Liquid("spirit", 68.0), 25.0)], Liquid("low wines", 22.0)
    once, several = bring(spirit, 43.0, low_wines), staged(spirit, 43.0, 3, low_wines)
    assert once.add is not None
    total_kg = sum(step.mixture.add.mass_kg for step in several if step.mixture.add)
    assert total_kg == pytest.approx(once.add.mass_kg, rel=1e-9)


def test_steps_upward_with_stronger_spirit() -> None:
    weak, hearts = [by_volume(Liquid("mixture", 38.0), 20.0)], Liquid("hearts", 70.0)
    several = staged(weak, 43.0, 2, hearts)
    assert [step.rests_at_pct_vol for step in several] == pytest.approx([40.5, 43.0])
    assert staged(weak, 38.0, 3) == ()
    with pytest.raises(NoSuchBlend, match=r"40\.5 %vol cannot be mixed from 0 and 38 %vol"):
        staged(weak, 43.0, 2)


def test_a_scale_shows_what_to_weigh() -> None:
    """10 kg on the scale of 70 %vol to 40 %vol: what the scale shows goes in, and what it shows comes out."""
    mixture = bring([by_scale(Liquid("spirit", 70.0), 10.0)], 40.0)
    assert mixture.add is not None
    assert mixture.take[0].shown_kg == pytest.approx(10.0, rel=1e-12)
    fractions = alcohol.mass_fraction(70.0) / alcohol.mass_fraction(40.0)
    assert mixture.makes.mass_kg == pytest.approx(mixture.take[0].mass_kg * fractions, rel=1e-12)
    # Buoyancy: the lighter liquid loses more of its weight, so shown masses nearly, not quite, add up.
    assert mixture.take[0].shown_kg + mixture.add.shown_kg == pytest.approx(mixture.makes.shown_kg, rel=1e-4)


def test_warm_spirit_and_cold_water_are_measured_each_at_its_own_temperature() -> None:
    warm = bring(
        [by_volume(Liquid("spirit", 60.0, 30.0), 10.0)], 40.0, Liquid("water", 0.0, 8.0), temp_c=20.0
    )
    assert warm.add is not None
    assert (warm.take[0].temp_c, warm.add.temp_c, warm.makes.temp_c) == (30.0, 8.0, 20.0)
    assert warm.take[0].volume_20_l < warm.take[0].volume_l
    same = bring([by_volume(Liquid("spirit", 60.0), warm.take[0].volume_20_l)], 40.0)
    assert warm.makes.volume_l == pytest.approx(same.makes.volume_l, rel=1e-9)


def test_several_spirits_are_taken_in_their_proportion() -> None:
    spirits = [by_volume(Liquid("a", 80.0), 4.0), by_volume(Liquid("b", 60.0), 12.0)]
    part = make(spirits, 40.0, volume_l=10.0)
    whole = bring(spirits, 40.0)
    assert part.take[1].mass_kg / part.take[0].mass_kg == pytest.approx(
        spirits[1].mass_kg / spirits[0].mass_kg, rel=1e-12
    )
    assert whole.makes.volume_l > part.makes.volume_l
    closes(part)


def test_doubt_of_the_result_is_that_of_strength_and_scale() -> None:
    spirit = by_volume(Liquid("spirit", 63.0, standard_pct_vol=0.2), 10.0)
    mixture = bring([spirit], 43.0)
    # The alcohol is off by 0.2 in 63, and so is the result nearly in proportion.
    assert mixture.strength.standard == pytest.approx(0.2 * 43.0 / 63.0, rel=0.1)
    assert mixture.shares[0].name == "strength of spirit"
    sloppy = bring([by_volume(Liquid("spirit", 63.0), 10.0)], 43.0, add_standard_share=0.01)
    assert sloppy.strength.standard == pytest.approx(0.14, abs=0.03)


def test_the_amount_of_spirit_counts_in_the_result() -> None:
    """20 L of 71.3 %vol by a dipstick good to ± 1 %, to 63 %vol: the result is good to ± 0.08 %vol.

    By hand: the water stays, so the alcohol by mass moves by p_t (1 - M_spirit / M_all) of the 1 %.
    """
    share = instrument("dip").standard
    spirit = by_volume(Liquid("spirit", 71.3), 20.0, share)
    mixture = bring([spirit], 63.0)
    goal, whole = float(alcohol.mass_fraction(63.0)), mixture.makes.mass_kg
    moved = goal * (1.0 - spirit.mass_kg / whole) * share
    slope = float(alcohol.pct_vol(goal + 1e-6) - alcohol.pct_vol(goal - 1e-6)) / 2e-6
    assert mixture.strength.standard == pytest.approx(moved * slope, rel=0.01)
    assert mixture.strength.half_width == pytest.approx(0.08, abs=0.015)
    assert mixture.lpa.standard / mixture.lpa.value == pytest.approx(share, rel=1e-3)
    assert mixture.proof_gallons.standard / mixture.proof_gallons.value == pytest.approx(share, rel=1e-2)
    assert mixture.taken_as_exact == ("spirit",)


def test_steps_on_one_scale_share_its_error() -> None:
    """Three additions on one scale are as far off as one addition is."""
    spirit = [by_volume(Liquid("spirit", 68.0, standard_pct_vol=0.2), 25.0, 0.005)]
    once = bring(spirit, 43.0, add_standard_share=0.02)
    last = staged(spirit, 43.0, 3, add_standard_share=0.02)[-1].mixture
    assert last.strength.standard == pytest.approx(once.strength.standard, rel=1e-6)
    assert last.lpa.standard == pytest.approx(once.lpa.standard, rel=1e-6)


def test_nothing_to_add_where_it_stands_already() -> None:
    mixture = bring([by_volume(Liquid("spirit", 43.0), 10.0)], 43.0)
    assert mixture.add is None
    assert mixture.contraction_l == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("here", "goal", "other"), [(40.0, 60.0, 0.0), (40.0, 20.0, 50.0), (40.0, 60.0, 50.0), (40.0, 30.0, 40.0)]
)
def test_a_strength_that_does_not_lie_between(here: float, goal: float, other: float) -> None:
    portion = by_volume(Liquid("spirit", here), 10.0)
    with pytest.raises(NoSuchBlend) as refusal:
        bring([portion], goal, Liquid("other", other))
    assert refusal.value.exit_code == 3
    assert f"{goal:g} %vol cannot be mixed" in str(refusal.value)
    with pytest.raises(NoSuchBlend):
        make([Portion(portion.liquid, ENOUGH)], goal, volume_l=5.0, add=Liquid("other", other))


def test_more_than_there_is() -> None:
    with pytest.raises(
        NotEnoughSpirit, match=r"takes 28\.57 L of spirit, and there are 10 L, which make 17\.5 L"
    ):
        make([by_volume(Liquid("spirit", 70.0), 10.0)], 40.0, volume_l=50.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: mix([]),
        lambda: mix([by_volume(Liquid("spirit", 40.0), 0.0)]),
        lambda: bring([by_volume(Liquid("spirit", 40.0), 0.0)], 20.0),
        lambda: make([Portion(Liquid("spirit", 40.0), ENOUGH)], 20.0),
    ],
)
def test_something_is_missing(call: object) -> None:
    with pytest.raises(MissingValue):
        call()  # type: ignore[operator]


@pytest.mark.parametrize(
    "call",
    [
        lambda: by_volume(Liquid("spirit", 40.0), -1.0),
        lambda: by_scale(Liquid("spirit", 40.0), math.inf),
        lambda: by_volume(Liquid("spirit", 140.0), 1.0),
        lambda: bring([by_volume(Liquid("spirit", 40.0), 1.0)], 0.0),
        lambda: bring([by_volume(Liquid("spirit", 40.0), 1.0)], math.nan),
        lambda: make([Portion(Liquid("spirit", 40.0), ENOUGH)], 20.0, volume_l=0.0),
        lambda: make([Portion(Liquid("spirit", 40.0), ENOUGH)], 20.0, scale_kg=-1.0),
        lambda: staged([by_volume(Liquid("spirit", 60.0), 1.0)], 40.0, 0),
        lambda: staged([by_volume(Liquid("spirit", 60.0), 1.0)], 40.0, 3, rest_days=-1.0),
    ],
)
def test_a_number_that_cannot_be(call: object) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()  # type: ignore[operator]
    assert str(refusal.value).endswith(".")


def test_frozen_spirit_is_not_mixed() -> None:
    with pytest.raises(FrozenSample, match="partly frozen"):
        by_volume(Liquid("low wines", 20.0, -12.0), 1.0)
    with pytest.raises(FrozenSample, match="partly frozen"):
        bring([by_volume(Liquid("spirit", 60.0), 1.0)], 10.0, temp_c=-10.0)


def test_hot_spirit_is_not_measured() -> None:
    with pytest.raises(HotSample):
        by_volume(Liquid("spirit", 60.0, 70.0), 1.0)


@given(strengths, st.floats(0.01, 1e4), temps)
def test_a_pour_is_one_amount_in_many_ways(pct_vol: float, mass_kg: float, temp_c: float) -> None:
    one = pour(Liquid("spirit", pct_vol, temp_c), mass_kg)
    assert one.volume_20_l == pytest.approx(alcohol.volume_at_20(one.volume_l, pct_vol, temp_c), rel=1e-12)
    assert one.lpa == pytest.approx(one.volume_20_l * pct_vol / 100.0, rel=1e-9)
    assert one.shown_kg < one.mass_kg
