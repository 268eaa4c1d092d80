"""Acid, chalk, backset and calcium by what was typed of a trial."""

from __future__ import annotations

import pytest

from caskward.errors import (
    InputError,
    MissingValue,
    MovedTheWrongWay,
    NotUnderstood,
    OptionsClash,
    TargetTheOtherWay,
    UnknownName,
)
from caskward.services.tub_acid import AcidAsk, acid, tried_of
from caskward.services.tub_acid_words import minded, remarks, sentences

ROW = "5 mL moved 5.8 to 5.4 in 1 L"


def test_the_tub_takes_what_the_jar_took_by_its_litres() -> None:
    """5 mL/L moved 0.4, so 0.3 takes 3.75 mL/L, 1.725 L in 460 L."""
    found = acid(AcidAsk(ROW, to="5.5", volume="460 L"))
    assert found.need is not None
    assert found.need.amount == pytest.approx(1725.0)
    assert found.need.low < 1725.0 < found.need.high
    assert found.first == pytest.approx(862.5)
    assert not found.further
    said = " ".join(sentences(found, "metric", "metric"))
    assert "from pH 5.80 to 5.50" in said
    assert "Add half of it first, 863 mL" in said


def test_it_warns_past_what_was_tried_and_more_so_far_out() -> None:
    near = acid(AcidAsk(ROW, to="5.5", volume="460 L"))
    past = acid(AcidAsk(ROW, to="5.3", volume="460 L"))
    far = acid(AcidAsk(ROW, to="5.0", volume="460 L"))
    assert "past the 0.40" not in " ".join(remarks(near))
    assert "past the 0.40" in " ".join(remarks(past))
    assert "guess" not in " ".join(minded(past))
    assert "guess" in " ".join(minded(far))


@pytest.mark.parametrize(
    "rows",
    [
        "5 mL moved 5.8 to 5.4 in 1 L; 10 mL moved 5.8 to 5.1 in 1 L; 4 mL moved 5.8 to 5.5 in 1 L",
        "5 mL moved 5.8 to 5.4 in 1 L 10 mL moved 5.8 to 5.1 in 1 L 4 mL moved 5.8 to 5.5 in 1 L",
        "5 mL of citric acid moved the pH from 5,8 to 5,4 in 1 L, 10 ml moved 5.8->5.1 in 1000 mL and "
        "4 mL citric acid moved pH 5.8 to 5.5 in 1 L",
    ],
)
def test_several_rows_are_read_however_they_are_parted(rows: str) -> None:
    tried = tried_of(rows)
    assert [(t.amount, t.ph_after, t.volume_l) for t in tried.trials] == [
        (5.0, 5.4, 1.0),
        (10.0, 5.1, 1.0),
        (4.0, 5.5, 1.0),
    ]
    assert tried.unit == "mL"


def test_a_bottle_s_own_strength_is_part_of_its_name() -> None:
    tried = tried_of("5 mL of 80 % lactic acid moved 5.8 to 5.4 in 1 L 5 mL moved 5.8 to 5.45 in 1 L.")
    assert tried.what == "80 % lactic acid"
    assert [t.ph_after for t in tried.trials] == [5.4, 5.45]


def test_mixes_of_backset_are_read_one_after_the_other() -> None:
    both = acid(AcidAsk(backset=("10 % moved 5.9 to 5.6 20 % moved 5.9 to 5.3",), to="5.45"))
    assert both.backset is not None
    assert both.backset.share == pytest.approx(0.15)


def test_more_trials_narrow_the_band() -> None:
    one = acid(AcidAsk(ROW, now="5.7", to="5.5", volume="460 L")).need
    two = acid(AcidAsk(f"{ROW}; {ROW}; {ROW}", now="5.7", to="5.5", volume="460 L")).need
    assert one is not None
    assert two is not None
    assert two.high - two.low < one.high - one.low


def test_chalk_goes_up_in_grams() -> None:
    found = acid(AcidAsk("4 g of chalk moved 5.0 to 5.3 in 10 L", now="5.1", to="5.25", volume="460 L"))
    assert found.need is not None
    assert (found.need.unit, found.need.amount) == ("g", pytest.approx(92.0))
    assert "92.0 g" in " ".join(sentences(found, "metric", "metric"))


def test_who_trials_in_ounces_is_answered_in_ounces() -> None:
    found = acid(AcidAsk("1 oz moved 5.0 to 5.3 in 10 gal", to="5.15", volume="100 gal"))
    assert found.need is not None
    assert found.need.amount == pytest.approx(5.0 * 28.3495, rel=1e-5)
    assert "5 oz" in sentences(found, "us", "us")[0].replace("5.00", "5")


def test_backset_and_calcium_stand_alone() -> None:
    some = acid(AcidAsk(backset=("10 % moved 5.9 to 5.6",), to="5.4", liquor="120 L"))
    assert some.backset is not None
    assert some.backset.litres == pytest.approx(20.0)
    assert some.need is None
    salt = acid(AcidAsk(calcium="gypsum", has="20 mg/L", volume="150 L"))
    assert salt.calcium is not None
    assert salt.calcium.reaches_mg_l == pytest.approx(50.0)
    enough = acid(AcidAsk(calcium="gypsum", has="80 mg/L", volume="150 L"))
    assert "is there already" in " ".join(sentences(enough, "metric", "metric"))


def test_a_tub_at_its_ph_takes_nothing_and_gets_no_caution() -> None:
    found = acid(AcidAsk(ROW, now="5.4", to="5.4", volume="460 L"))
    assert "add nothing" in " ".join(sentences(found, "metric", "metric"))
    assert minded(found) == ()


@pytest.mark.parametrize(
    ("ask", "error"),
    [
        (AcidAsk(), MissingValue),
        (AcidAsk(ROW, volume="460 L"), MissingValue),
        (AcidAsk(ROW, to="5.2"), MissingValue),
        (AcidAsk(calcium="gypsum"), MissingValue),
        (AcidAsk("5 moved 5.8 to 5.4 in 1 L", to="5.2", volume="460 L"), NotUnderstood),
        (AcidAsk("5 mL moved 5.8 in 1 L", to="5.2", volume="460 L"), NotUnderstood),
        (AcidAsk(f"{ROW}; 4 g moved 5.8 to 5.4 in 1 L", to="5.2", volume="460 L"), OptionsClash),
        (AcidAsk(f"{ROW}; 4 mL vinegar moved 5.8 to 5.4 in 1 L", to="low", volume="9 L"), NotUnderstood),
        (AcidAsk("5 mL lactic acid moved 5.4 to 5.8 in 1 L", to="5.2", volume="9 L"), MovedTheWrongWay),
        (AcidAsk(ROW, to="6.0", volume="460 L"), TargetTheOtherWay),
        (AcidAsk(calcium="gypsun", volume="9 L"), UnknownName),
        (AcidAsk(calcium="gypsum", has="hard", volume="9 L"), NotUnderstood),
        (AcidAsk(backset=("some moved 5.9 to 5.6",), to="5.4"), InputError),
    ],
)
def test_what_cannot_be_used_is_refused(ask: AcidAsk, error: type[InputError]) -> None:
    with pytest.raises(error):
        acid(ask)
