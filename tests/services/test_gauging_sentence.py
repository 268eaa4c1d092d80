"""A whole question about mixing in loose words, all the way to the amounts."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import (
    CaskwardError,
    InputError,
    MissingValue,
    NoSuchBlend,
    NotEnoughSpirit,
    OptionsClash,
    TooLittleToAdd,
    UnclearValue,
)
from caskward.gauging.mixing import Mixture
from caskward.properties import alcohol
from caskward.services.gauging import MixAnswer, ReduceAnswer
from caskward.services.gauging_asks import LiquidAsk
from caskward.services.gauging_sentence import Wish, answer, schedule, wish


def asked(text: str) -> Mixture:
    return answer(wish(text)).mixture


def reduced(text: str) -> ReduceAnswer:
    found = answer(wish(text))
    assert isinstance(found, ReduceAnswer)
    return found


@pytest.mark.parametrize(
    "text",
    [
        "20 L 71.3% to 63%",
        "20L 71.3% to 63",
        "reduce 20 litres of 71.3 %vol down to 63 %vol",
        "how much water for 20 L 71.3% to 63%",
        "20 L 71.3 % -> 63 %",
        "20 L@71.3% to 63%",
        "20 L of hearts at 71.3 % to 63 % with water",
    ],
)
def test_every_way_to_ask_for_water(text: str) -> None:
    """Against `alcohol.reduce`, which published dilution tables hold."""
    expected = alcohol.reduce(20.0, 71.3, 63.0)
    mixture = asked(text)
    assert mixture.add
    assert mixture.add.mass_kg == pytest.approx(expected.water_kg, rel=1e-9)
    assert mixture.makes.volume_l == pytest.approx(expected.final_l, rel=1e-9)


def test_a_published_example_by_volume() -> None:
    """USSR State Pharmacopoeia, 11th ed. (read): 418.4 mL of 95.6 %vol and 610.6 of water make 1 L of 40.

    Tolerance 0.2 mL: twice the printed step.
    """
    mixture = asked("95.6 % to 1 L of 40 %")
    assert mixture.add
    assert 1000.0 * mixture.take[0].volume_l == pytest.approx(418.4, abs=0.2)
    assert 1000.0 * mixture.add.volume_l == pytest.approx(610.6, abs=0.2)


def test_a_volume_or_a_mass_to_make() -> None:
    assert asked("71.3% to 50 L of 60%").makes.volume_l == pytest.approx(50.0, rel=1e-9)
    assert asked("71.3% to 46 kg of 60%").makes.shown_kg == pytest.approx(46.0, rel=1e-9)
    assert asked("20 L 71.3% to make 5 L of 63%").makes.volume_l == pytest.approx(5.0, rel=1e-9)


@pytest.mark.parametrize(
    "text",
    ["71.3% and 24% to 50 L of 60%", "make 50 L of 60% from 71.3% and 24%", "50 L of 60% from 71.3% and 24%"],
)
def test_which_two_amounts(text: str) -> None:
    mixture = asked(text)
    assert mixture.add
    assert mixture.add.name == "spirit at 24 %"
    assert mixture.makes.volume_l == pytest.approx(50.0, rel=1e-9)
    pure_l = 0.713 * mixture.take[0].volume_20_l + 0.24 * mixture.add.volume_20_l
    assert pure_l == pytest.approx(30.0, rel=1e-9)


def test_several_spirits_give_what_they_hold() -> None:
    mixture = asked("12 L 71.3 % and 5 L 64 % to 63 %")
    assert [one.name for one in mixture.take] == ["spirit 1", "spirit 2"]
    assert mixture.makes.lpa == pytest.approx(12 * 0.713 + 5 * 0.64, rel=1e-9)


@pytest.mark.parametrize(
    "text", ["20 L 63% and 5 L water", "add 5 L water to 20 L 63%", "20 L 63 % + 5 L water"]
)
def test_what_results(text: str) -> None:
    found = answer(wish(text))
    assert isinstance(found, MixAnswer)
    assert found.mixture.makes.lpa == pytest.approx(12.6, rel=1e-9)
    assert found.mixture.makes.pct_vol == pytest.approx(50.79, abs=0.01)


def test_something_else_with_an_amount_goes_in_as_far_as_needed() -> None:
    enough = asked("20 L 71.3% to 63% with 8 L low wines 24 %")
    assert enough.add
    assert enough.add.name == "low wines"
    assert enough.add.volume_l < 8.0
    short = asked("20 L 71.3% to 40% with 8 L low wines 24 %")
    assert [one.name for one in short.take] == ["spirit", "low wines"]
    assert short.take[1].volume_l == pytest.approx(8.0, rel=1e-9)
    assert short.add
    assert short.add.name == "water"
    assert short.makes.pct_vol == pytest.approx(40.0, abs=1e-9)
    stronger = asked("20 L 71.3% to 60% with 8 L hearts 65 %")
    assert stronger.take[1].volume_l == pytest.approx(8.0, rel=1e-9)


def test_backset_is_taken_as_water_and_says_so() -> None:
    found = reduced("20 L 71.3% to 40% with backset")
    assert found.mixture.add
    assert found.mixture.add.name == "backset"
    assert any("misleads a hydrometer" in sentence for sentence in found.assumed)


def test_a_weak_mixture_is_lifted_or_there_is_too_little() -> None:
    lifted = asked("10 L 38% to 40% with 70%")
    assert lifted.add
    assert lifted.makes.lpa == pytest.approx(3.8 + 0.7 * lifted.add.volume_20_l, rel=1e-9)
    with pytest.raises(TooLittleToAdd, match=r"takes 0\.6533 L .* of hearts, and there are 0\.3 L"):
        asked("10 L 38% to 40% with 0.3 L hearts 70%")


def test_a_reading_is_corrected_and_its_doubt_kept() -> None:
    found = reduced("20 L 71.3 % ± 0.2 at 28 C to 63 %")
    true = float(alcohol.true_strength(71.3, 28.0))
    assert found.mixture.take[0].pct_vol == pytest.approx(true, abs=1e-9)
    assert found.mixture.take[0].temp_c == 28.0
    coarse = reduced("20 L 71.3 % ± 0.9 at 28 C to 63 %")
    assert coarse.mixture.strength.standard > 2.0 * found.mixture.strength.standard


def test_one_temperature_for_all() -> None:
    found = reduced("20 L 71.3% to 63% at 8 C")
    mixture = found.mixture
    assert mixture.add
    assert {mixture.take[0].temp_c, mixture.add.temp_c, mixture.makes.temp_c} == {8.0}


def test_over_days_an_addition_a_day() -> None:
    steps = reduced("20 L 71.3% to 63% over 5 days").steps
    assert len(steps) == 5
    assert sum(step.rest_days for step in steps) == pytest.approx(4.0)
    total = sum(step.mixture.add.mass_kg for step in steps if step.mixture.add)
    assert total == pytest.approx(alcohol.reduce(20.0, 71.3, 63.0).water_kg, rel=1e-9)
    assert [round(step.rests_at_pct_vol, 2) for step in steps] == [69.64, 67.98, 66.32, 64.66, 63.0]


@pytest.mark.parametrize(
    ("of", "expected"),
    [
        (Wish(), (1, "")),
        (Wish(steps=3), (3, "")),
        (Wish(steps=3, rest="2 d"), (3, "2 d")),
        (Wish(days=1), (1, "")),
        (Wish(days=5), (5, "1 d")),
        (Wish(days=5, steps=3), (3, "2 d")),
        (Wish(days=28), (10, "3 d")),
        (Wish(days=30, rest="5 d"), (6, "5 d")),
    ],
)
def test_days_additions_and_rests(of: Wish, expected: tuple[int, str]) -> None:
    assert schedule(of) == expected


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("", MissingValue, "20 L 71.3% to 63%"),
        ("20 L 71.3%", MissingValue, "a second liquid"),
        ("20 L 71.3% and 64% to 63%", MissingValue, "Spirit 2"),
        ("71.3% to 63%", MissingValue, "how much to make"),
        ("20 L 71.3% to 63% with juice", MissingValue, "Juice needs its strength"),
        ("20 L 71.3% to 63% with 5 L water", OptionsClash, "what results"),
        ("71.3% to 50 L of 60% with 8 L 24%", OptionsClash, "Leave one of them out"),
        ("20 L 71.3% to 63% to 40%", OptionsClash, "once"),
        ("20 L 71.3% to 63% or so", OptionsClash, "Write it like"),
        ("20 L 71.3% to 1.054", UnclearValue, "1.054 %"),
        ("20 L 71.3% to 80%", NoSuchBlend, "stronger than 80 %vol"),
        ("20 L 71.3% to 100 L of 63%", NotEnoughSpirit, "there are 20 L"),
        ("20 L 71.3% to 63% over 999 days", InputError, "365 d"),
        ("20 L 140% to 63%", InputError, "140 proof"),
        ("20 L 71.3% at 65 C to 63%", InputError, "Cool it"),
    ],
)
def test_a_question_that_has_no_answer(text: str, error: type[CaskwardError], says: str) -> None:
    with pytest.raises(error) as refusal:
        asked(text)
    assert says in str(refusal.value)


@pytest.mark.parametrize(
    "of",
    [
        Wish((LiquidAsk("71.3 %", "20 L"),), "63 %", rest="2 d"),
        Wish((LiquidAsk("71.3 %", "20 L"),), "63 %", days=5, steps=3, rest="2 d"),
        Wish((LiquidAsk("71.3 %", "20 L"),), steps=3),
    ],
)
def test_additions_that_do_not_add_up(of: Wish) -> None:
    with pytest.raises(InputError):
        answer(of)


@given(st.text(max_size=40))
def test_whatever_is_typed_ends_in_an_answer_or_in_a_sentence(text: str) -> None:
    with contextlib.suppress(CaskwardError):
        assert answer(wish(text)).mixture.makes.volume_l >= 0.0
