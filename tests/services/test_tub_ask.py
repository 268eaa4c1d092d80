"""What now? The answer about a tub as every face gets it."""

from __future__ import annotations

import json

import pytest

from caskward.errors import NoReadings, NothingToConvert
from caskward.services import still_run, tub_ask_words, tub_mend_words
from caskward.services.plans import starting_point
from caskward.services.tub_ask import TubAnswer, question

RYE = starting_point("rye")


@pytest.fixture(scope="module")
def cold() -> TubAnswer:
    return question(RYE, ["mash 90 min: starch blue, 52 C"])


def test_a_cold_mash_is_warmed_with_amounts(cold: TubAnswer) -> None:
    assert cold.answer.causes[0].key == "cold"
    assert cold.answer.settled
    said = tub_ask_words.headline(cold, "metric")
    assert said.startswith("Most likely the mash is colder than planned.")
    assert "L of boiling water" in said or "boiling water would take" in said
    assert "then test for starch again" in said


def test_the_same_in_us_units(cold: TubAnswer) -> None:
    said = tub_ask_words.headline(cold, "us")
    assert "°F" in said
    assert "gal" in said
    assert "°C" not in said


def test_what_is_not_settled_names_one_check_and_how_to_enter_it() -> None:
    report = question(RYE, ["mash 90 min: starch blue"])
    check = report.answer.check
    assert check is not None
    assert check.after > check.now
    typed = tub_ask_words.how_to_enter(check, report)
    row = typed.partition('"')[2].rstrip('"')
    again = question(RYE, ["mash 90 min: starch blue", row])
    assert len(again.answer.readings) == 1 + len(check.check.quantities)
    assert tub_ask_words.cause_rows(report, "metric")[0][:2] == ["cause", "chance"]
    assert all(tub_mend_words.mends(report, told, "us") for told in report.answer.causes)


@pytest.mark.parametrize("row", ["ferment 18 h: bubbles no, 24 C", "ferment 4 d: 1.030, 28 C, bubbles no"])
def test_a_ferment_can_be_asked(row: str) -> None:
    report = question(RYE, [row])
    assert report.stage == "ferment"
    for system in ("metric", "us"):
        assert all(tub_mend_words.mends(report, told, system) for told in report.answer.causes)


def test_rows_of_the_mash_are_kept_out_of_a_ferment_and_said() -> None:
    report = question(RYE, ["mash 1 h: 62 C", "ferment 4 d: 1.030"])
    assert report.left_out == ("Not used, for the question is about the ferment: mash 1 h: 62 C",)


def test_as_json(cold: TubAnswer) -> None:
    told = json.loads(still_run.as_json(cold))
    assert told["answer"]["causes"][0]["key"] == "cold"
    assert told["answer"]["causes"][0]["mends"][0]["hold_h"] > 0.0


def test_nothing_read_and_nothing_to_convert() -> None:
    with pytest.raises(NoReadings):
        question(RYE, [])
    with pytest.raises(NothingToConvert):
        question(starting_point("pears"), ["mash 1 h: 62 C"])


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["mash 90 min: 62 F"], "Is its unit right?"),
        (["ferment 2 d: 1.040", "ferment 3 d: 1.060"], "which no ferment does"),
    ],
)
def test_a_reading_that_no_tub_has_is_looked_at_before_anything_is_heated(
    given: list[str], said: str
) -> None:
    report = question(RYE, given)
    assert said in tub_ask_words.doubted_sentences(report, "metric")[0]
    assert "before you do anything" in tub_ask_words.headline(report, "metric")


def test_a_sour_wash_gets_chalk_and_never_acid() -> None:
    report = question(RYE, ["ferment 3 d: 1.040, 26 C, pH 2.9"])
    sour = next(told for told in report.answer.causes if told.key == "sour")
    said = tub_mend_words.mends(report, sour, "metric")[0]
    assert "chalk" in said
    assert "acid on" not in said
    mash = question(RYE, ["mash 90 min: starch blue, 65 C, pH 7.0"])
    alkaline = next(told for told in mash.answer.causes if told.key == "alkaline")
    said = tub_mend_words.mends(mash, alkaline, "metric")[0]
    assert "food-grade acid on" in said
    assert "chalk" not in said


def test_nothing_is_done_where_waiting_is_as_quick_and_checks_are_typed_in_the_makers_units() -> None:
    report = question(RYE, ["ferment 3 d: 1.030"])
    for told in report.answer.causes:
        acts = [m for m in told.mends if m.way in ("warm wash", "pitch", "feed")]
        waits = [m for m in told.mends if m.way == "wait"]
        if acts and waits and acts[0].dry_h and waits[0].dry_h:
            assert acts[0].dry_h < waits[0].dry_h
    assert any(told.mends[0].way == "wait" for told in report.answer.causes)
    assert report.answer.check is not None
    assert "second thermometer 75 F" in tub_ask_words.how_to_enter(report.answer.check, report, "us")


def test_ice_that_would_run_over_is_said_to() -> None:
    report = question(RYE, ["mash 1 h: 88 C, starch blue"])
    hot = next(told for told in report.answer.causes if told.key == "hot")
    cool = hot.mends[0]
    assert cool.ice_kg is not None
    assert cool.ice_kg > report.tub_spare_l
    assert "of ice, more than the tub has room for" in tub_mend_words.mend(report, cool, "metric")


def test_a_rye_whose_thinning_product_goes_into_the_pot_can_be_asked() -> None:
    """What is thinned in the pot has a warmth of its own in every world of every cause."""
    hot = RYE.replace('window = ["60 C", "75 C"]', 'window = ["80 C", "95 C"]')
    assert hot != RYE
    report = question(hot, ["mash 60 min: starch blue, 73 C"])
    assert report.answer.causes[0].key == "hot"
