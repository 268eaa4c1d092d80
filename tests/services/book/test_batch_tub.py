"""A batch's tub by the book: which stage it is in, how long that has gone on, what was read of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from caskward.errors import NoReadings
from caskward.services.book import batch_record, batch_tub
from tests.services.book.conftest import EVENING, MAUD


@pytest.fixture
def tub(book, do):
    """A batch mashed in two pots, with yeast in hand; a deed by its words, so many hours ago."""

    def ago(line: str, hours: float):
        at = (EVENING - timedelta(hours=hours)).isoformat()
        return do(
            line,
            replace(MAUD, at=at, batch="" if line.startswith(("declare", "receive", "begin")) else "rye 5"),
        )

    ago('declare "tub 1" 500 L', 60)
    ago('receive 80 kg rye from "Hill Farm"', 60)
    ago('receive 500 g yeast from "Hill Farm"', 60)
    ago("begin rye 5", 59)
    ago('mash 30 kg rye into "tub 1" 120 L', 52)
    ago('mash 30 kg rye into "tub 1" 240 L', 51)
    return ago


def of(book):
    return batch_record.record_of(book, "rye 5")


def test_a_mash_is_counted_from_its_last_pot(book, tub) -> None:
    assert batch_tub.stage_of(of(book)) == "mash"
    clock = batch_tub.clock(of(book), "mash", EVENING - timedelta(hours=49.5))
    assert clock.words == "mash 1 h 30 min"
    assert batch_tub.clock(of(book), "ferment", EVENING).words == "ferment", "nothing tells when that began"


def test_a_ferment_is_counted_from_its_yeast(book, tub) -> None:
    tub('add 250 g yeast to "tub 1"', 47)
    assert batch_tub.stage_of(of(book)) == "ferment"
    assert batch_tub.clock(of(book), "ferment", EVENING).words == "ferment 1 d 23 h"


def test_a_reading_that_says_its_hour_sets_the_clock(book, tub) -> None:
    tub('add 250 g yeast to "tub 1"', 47)
    tub('measure "ferment 1 d: 1.050, 26 C"', 20)
    assert batch_tub.clock(of(book), "ferment", EVENING).words == "ferment 1 d 20 h"


def test_a_clock_that_cannot_be_is_left_to_the_maker(book, tub) -> None:
    assert batch_tub.clock(of(book), "mash", EVENING + timedelta(days=90)).begun is None
    assert batch_tub.clock(of(book), "mash", EVENING - timedelta(days=90)).words == "mash"


def test_only_what_was_read_of_the_tub_is_asked_about(book, tub) -> None:
    tub('measure "mash 1 h: 62 C, pH 5.4"', 50)
    tub('measure "mash 1 h: 63 C"', 50)
    tub('measure "wash: 8.1 %, 200 L"', 2)
    found = {(one.stage, one.quantity): one.value for one in batch_tub.readings(of(book))}
    assert found == {("mash", "temperature"): 63.0, ("mash", "ph"): 5.4}, "what was read again holds"
    with pytest.raises(NoReadings):
        batch_tub.what_now(None, of(book), "ferment")  # type: ignore[arg-type] # it is not looked at
