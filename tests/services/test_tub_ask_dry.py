"""A finished ferment is called so first; hours to dry agree with the tub that is followed by the hour."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from caskward.errors import EmptyLog, MoreThanNothing, MoreThanThePot, OutOfRange
from caskward.services import still_run, tub_ask_words, tub_mend_words, tub_typed
from caskward.services.plans import starting_point
from caskward.services.tub_acid import AcidAsk, acid
from caskward.services.tub_ask import TubAnswer, question
from caskward.services.tub_files import log
from caskward.services.tub_pot import fill
from caskward.services.tub_pot_typed import PotAsk
from caskward.services.tub_simulate import TubAsk, intent_of, report

RYE = starting_point("rye")


@pytest.fixture(scope="module")
def finished() -> TubAnswer:
    return question(RYE, ["ferment 10 d: 0.998, 20 C"])


def test_a_finished_ferment_is_strained_and_nothing_is_mended(finished: TubAnswer) -> None:
    said = tub_ask_words.headline(finished, "metric")
    assert said.startswith("It is dry: strain it and go on.")
    assert "in 100 have used up their sugar" in said
    assert "A sound one ends between 0.99" in said
    assert all(told.mends == () for told in finished.answer.causes)
    assert finished.answer.check is None
    assert any("Wet grain is heavy" in one for one in finished.cautions)
    told = json.loads(still_run.as_json(finished))
    assert told["dry"] is True
    assert told["dryness"]["chance"] > 0.9


def test_a_ferment_that_still_has_sugar_is_not_called_dry() -> None:
    for row in ("ferment 6 d: 1.030, 22 C, bubbles no", "ferment 36 h: 1.025, 29 C"):
        found = question(RYE, [row])
        assert not found.dry
        assert "It is dry" not in tub_ask_words.headline(found, "metric")
        assert all(told.mends for told in found.answer.causes)


def test_what_stays_on_its_grain_goes_to_the_still_and_a_rise_is_looked_at_first() -> None:
    pears = question(starting_point("pears"), ["ferment 12 d: 1.005, 18 C"])
    assert tub_ask_words.headline(pears, "metric").startswith("It is dry: go on to the still")
    rising = question(RYE, ["ferment 5 d: 0.990, 20 C", "ferment 10 d: 0.998, 20 C"])
    assert not rising.dry
    assert "what you read first" in tub_ask_words.headline(rising, "metric")


def test_dryness_that_is_not_sure_is_a_note() -> None:
    found = question(RYE, ["ferment 8 d: 1.002, 20 C"])
    assert found.dryness is not None
    assert 0.5 <= found.dryness.chance < 0.9
    assert "read it again tomorrow" in tub_ask_words.dry_notes(found)[0]


@pytest.mark.parametrize(
    ("row", "now_h"),
    [
        ("ferment 24 h: 1.047, 27 C", 24.0),
        pytest.param("ferment 36 h: 1.025, 29 C", 36.0, marks=pytest.mark.slow),
        ("ferment 60 h: 1.002", 60.0),
    ],
)
def test_hours_to_dry_agree_with_the_tub_followed_by_the_hour(row: str, now_h: float) -> None:
    """The same words, asked and followed: half a day apart at most, for each draws worlds of its own."""
    told = next(t for t in question(RYE, [row]).answer.causes if t.key == "time")
    assert told.mends[0].way == "wait"
    assert told.mends[0].dry_h is not None
    followed = report(TubAsk("rye", (row,)), intent_of("rye"), "metric").ferment.dry_d
    assert followed.mid is not None
    assert told.mends[0].dry_h == pytest.approx(max(24.0 * followed.mid - now_h, 0.0), abs=12.0)


@pytest.mark.parametrize(
    "row",
    [
        "mash 90 min: starch blue, 126 F",
        "mash 1 h: 190 F, starch blue",
        "mash 90 min: starch blue, grits yes",
        "ferment 6 d: 1.030, 72 F, bubbles no",
    ],
)
def test_a_us_maker_s_mends_hold_no_metric_figure(row: str) -> None:
    found = question(RYE, [row])
    said = [line for told in found.answer.causes for line in tub_mend_words.mends(found, told, "us")]
    said += tub_ask_words.cautions(found, "us")
    text = " ".join(said)
    for metric in (" L ", " mL", "°C", " kg", " g of", "litre", "LPA"):
        assert metric not in text


def test_cautions_are_those_of_what_is_told_to_do() -> None:
    recook = " ".join(question(RYE, ["mash 90 min: starch blue, 65 C, grits yes"]).cautions)
    for word in (
        "sticks to skin",
        "never lift or tip a full one",
        "sensitise the lungs",
        "Carry boiling water",
    ):
        assert word in recook
    sour = " ".join(question(RYE, ["ferment 3 d: 1.040, 26 C, pH 2.9"]).cautions)
    assert "never water into acid" in sour
    assert "never lift or tip" not in sour


# What is typed wrong ------------------------------------------------------------------------------------


def test_nothing_of_something_is_refused() -> None:
    row = "5 mL moved 5.8 to 5.4 in 1 L"
    asks = (
        AcidAsk("5 mL moved 5.8 to 5.4 in 0 L", "5.5", volume="460 L"),
        AcidAsk("0 mL moved 5.8 to 5.4 in 1 L", "5.5", volume="460 L"),
        AcidAsk(row, "5.5", volume="0 L"),
        AcidAsk(to="5.5", backset=("10 % moved 5.9 to 5.6",), liquor="0 L"),
        AcidAsk(to="5.5", backset=("0 % moved 5.9 to 5.6",), liquor="300 L"),
        AcidAsk(calcium="gypsum", volume="0 L"),
    )
    for one in asks:
        with pytest.raises(MoreThanNothing, match="but must be more than 0"):
            acid(one)


@pytest.mark.parametrize("kg", ["85 kg", "130 kg", "500 kg"])
def test_more_grain_than_the_pot_holds_is_refused_with_what_it_holds(kg: str) -> None:
    with pytest.raises(MoreThanThePot, match=r"brim-full of dry grain it takes 8\d\.\d kg"):
        fill(PotAsk(f"{kg} in 120 L rye"))
    assert fill(PotAsk("80 kg in 120 L rye")).share.high <= 1.0
    with pytest.raises(MoreThanThePot, match=" lb"):
        fill(PotAsk("300 lb in 32 gal rye"))


def test_water_for_grain_is_refused_in_its_own_unit_and_a_gravity_by_its_range() -> None:
    with pytest.raises(OutOfRange, match=r"is 0.2 L/kg, but must lie between 0.5 and 50 L/kg"):
        fill(PotAsk("20 % of 120 L rye", water="0.2 L/kg"))
    with pytest.raises(OutOfRange, match=r"Gravity is 1.5, but must lie between 0.95 and 1.2"):
        tub_typed.rows(["ferment 3 d: 1.500"])


def test_a_log_without_a_row_is_refused(tmp_path: Path) -> None:
    empty = tmp_path / "tub.txt"
    for content in ("", "# only a note\n\n"):
        empty.write_text(content, "utf-8")
        with pytest.raises(EmptyLog, match="holds no reading"):
            log(empty)
        with pytest.raises(EmptyLog):
            report(TubAsk("rye", log=str(empty)), intent_of("rye"), "metric")
