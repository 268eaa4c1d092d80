"""Readings of a tub as a maker types them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import (
    InputError,
    NotUnderstood,
    OutOfRange,
    ReadingOutOfPlace,
    SameReadingTwice,
    UnknownName,
)
from caskward.planning.readings import QUANTITIES, reading_of
from caskward.services.tub_typed import log_rows, row_of, rows


def test_a_row_of_a_mash() -> None:
    found = {r.quantity: r.value for r in row_of("mash 90 min: starch blue, 62 C, pH 5.4, 1.041, 480 L")}
    assert found == {"starch": 1.0, "temperature": 62.0, "ph": 5.4, "gravity": 1.041, "volume": 480.0}
    assert {r.at_h for r in row_of("mash 90 min: starch blue, 62 C")} == {1.5}


def test_a_row_of_a_ferment_in_us_units() -> None:
    found = {r.quantity: r.value for r in row_of("ferment 4 d: 12 P, 86 F, bubbles no, strength 16 proof")}
    assert found["gravity"] == pytest.approx(1.0484, abs=1e-4)
    assert found["temperature"] == pytest.approx(30.0)
    assert found["bubbles"] == 0.0
    assert found["strength"] == pytest.approx(8.0, abs=0.05)


@pytest.mark.parametrize(
    ("row", "error"),
    [
        ("mash", NotUnderstood),
        ("boil 90 min: 62 C", UnknownName),
        ("mash soon: 62 C", NotUnderstood),
        ("mash 90 min: banana", UnknownName),
        ("mash 90 min: starch maybe", NotUnderstood),
        ("mash 90 min: bubbles no", ReadingOutOfPlace),
        ("mash 90 min: 300 C", OutOfRange),
        ("mash 90 min: pH sour", NotUnderstood),
        ("mash 9 d: 62 C", OutOfRange),
        ("mash -3 h: 62 C", InputError),
        ("mash 1 h: gravity 62 C", InputError),
    ],
)
def test_what_is_not_understood_says_so(row: str, error: type[InputError]) -> None:
    with pytest.raises(error):
        row_of(row)


def test_a_reading_of_another_stage_is_told_each_that_has_it() -> None:
    with pytest.raises(ReadingOutOfPlace, match="pH is no reading of a wash, but of a mash or a ferment"):
        reading_of("wash", "ph", 3.8)


def test_one_moment_is_read_once() -> None:
    with pytest.raises(SameReadingTwice):
        rows(["mash 30 min: 62 C", "mash 0.5 h: 60 C"])


def test_rows_come_back_in_order_of_time() -> None:
    found = rows(["ferment 2 d: 1.030", "mash 2 h: 60 C", "mash 1 h: 62 C"])
    assert [(r.stage, r.at_h) for r in found] == [("mash", 1.0), ("mash", 2.0), ("ferment", 48.0)]


def test_a_log_has_notes_and_empty_lines() -> None:
    log = "\ufeff# Low Marl Farm, invented\n\nmash 1 h: 62 C\n  # cooled\nmash 2 h: 61 C\n".encode()
    assert log_rows(log, "log.txt") == ("mash 1 h: 62 C", "mash 2 h: 61 C")


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_in_a_sentence(text: str) -> None:
    try:
        assert all(r.quantity in QUANTITIES for r in row_of(text))
    except InputError as error:
        assert str(error).endswith((".", "?"))  # noqa: PT017 - most texts end here


@pytest.mark.parametrize(
    ("row", "means"),
    [
        ("mash 90 min: starch gone", {"starch": 0.0}),
        ("mash 90 min: no starch", {"starch": 0.0}),
        ("ferment 2 d: no bubbles, 24 C", {"bubbles": 0.0, "temperature": 24.0}),
        ("ferment 2d:1.030,24C", {"gravity": 1.03, "temperature": 24.0}),
        ("ferment day 2: 1030", {"gravity": 1.03}),
        ("ferment 2 days: SG 998", {"gravity": 0.998}),
        ("ferment 48 h: 1,030", {"gravity": 1.03}),
    ],
)
def test_writings_of_a_hurried_hand(row: str, means: dict[str, float]) -> None:
    found = {r.quantity: r.value for r in row_of(row)}
    assert found == pytest.approx(means)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("mash 90: starch blue", "90 min, 90 h or 90 d"),
        ("mash 90 min: 62", "its unit is missing"),
        ("ferment 2 d: 24 degrees", "its unit is missing"),
        ("mash 90 min: starch maybe", "starch blue or starch clear"),
        ("mash 90 min: pH 54", "pH is 54"),
    ],
)
def test_what_could_be_two_things_is_asked_back(row: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        row_of(row)


def test_one_reading_written_down_twice_is_one() -> None:
    assert len(rows(["mash 90 min: starch blue", "mash 1.5 h: starch yes"])) == 1
