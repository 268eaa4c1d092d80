"""A batch's tub: its readings with few taps, its course against what was expected, and what now."""

from __future__ import annotations

import re

import pytest

from caskward.desk.beside import Beside
from caskward.errors import MissingValue
from caskward.services.book import batch_tub, batches
from caskward.services.book.asked import Asked
from tests.desk.conftest import PASSPHRASE
from tests.desk.test_batches import MAUD, planned, text_of

PAGE = "/batches/rye 5/tub"
HOT = "mash 90 min: starch blue, 65 C, pH 5.6"
STUCK = ("ferment 1 d: 1.050, 26 C", "ferment 4 d: 1.049, 25 C, bubbles no")


def said_of(desk, query: str = "") -> str:
    return text_of(desk.browser.get(f"{PAGE}?wait=1{query}"))


def test_what_now_weighs_the_batchs_own_readings(make_desk) -> None:
    desk = planned(make_desk, HOT)
    said = said_of(desk)
    book, of = desk.house.book.to_read(), desk.house.records.of(desk.house.book.to_read(), "rye 5")
    answer = batch_tub.what_now(batch_tub.sized(book, of), of, "mash")
    for told in answer.answer.causes:
        assert told.words in said
    assert "What explains the readings" in said
    assert "About" in said, "the check that tells most has its minutes"
    assert "Caution" in said


def test_a_ferment_is_asked_about_by_itself(make_desk) -> None:
    desk = planned(make_desk, HOT, *STUCK)
    said = said_of(desk)
    assert "What to do" in said
    assert "starch" not in said.partition("What now?")[2].partition("Its course")[0]
    assert "The mash is over" in said_of(desk, "&stage=mash"), "nothing of it is asked any more"


def test_a_tub_that_was_moved_on_is_over_and_nothing_is_asked(make_desk) -> None:
    desk = planned(make_desk, HOT, *STUCK, "wash: 6.0 %, 300 L")
    for stage in ("mash", "ferment"):
        said = said_of(desk, f"&stage={stage}").partition("Its course")[0]
        assert "This tub is over" in said
        assert "What explains the readings" not in said


def test_contradictions_of_the_batch_stand_on_its_tub(make_desk) -> None:
    desk = planned(make_desk, "ferment 2 d: 1.020", "ferment 2 d: 1.050")
    desk.browser.get("/batches/rye 5?wait=1")
    assert "Look again" in said_of(desk).partition("What now?")[2]


def test_its_course_is_drawn_with_its_readings_and_figures(make_desk) -> None:
    desk = planned(make_desk, *STUCK)
    page = desk.browser.get(f"{PAGE}?wait=1").text
    assert page.count('class="cross"') == 4, "two gravities, two temperatures"
    assert page.count('class="shade"') == 8
    said = text_of(desk.browser.get(f"{PAGE}?wait=1"))
    for words in ("ferment gravity, 24 h 1.050", "ferment gravity, 4 d 1.049", "after °C gravity"):
        assert words in said
    desk.browser.cookies.set("caskward-units", "us")
    assert "Warmth, °F" in said_of(desk)


def test_a_page_waits_for_no_answer(make_desk, monkeypatch) -> None:
    monkeypatch.setattr(Beside, "_wake", lambda self: None)
    desk = planned(make_desk, HOT)
    page = desk.browser.get(PAGE)
    assert page.status_code == 200
    assert 'action="/record"' in page.text, "a reading can be recorded meanwhile"
    for part in ("now", "course"):
        assert "load delay" in desk.browser.get(f"{PAGE}/{part}?stage=mash", headers={"HX-Request": "1"}).text


def test_without_plan_or_readings_it_says_what_it_takes(make_desk) -> None:
    desk = make_desk(empty=True)
    batches.begin(desk.house.book.to_write(), Asked("begin", ("rye 5",)), MAUD)
    said = text_of(desk.browser.get(PAGE))
    assert "It takes a batch with a plan" in said
    assert "nothing is expected of it" in said


def test_of_a_tub_that_was_moved_on_nothing_is_asked(desk) -> None:
    said = text_of(desk.browser.get("/batches/rye 4/tub"))
    assert "This tub is over" in said
    assert "Record a reading of this stage" not in said


def test_a_batch_without_readings_has_a_course_and_no_question(make_desk) -> None:
    said = said_of(planned(make_desk))
    assert "Record a reading of this stage" in said
    assert "It takes a batch with a plan" not in said
    assert "Gravity, by hours since all is together" in said


def test_a_reading_is_recorded_at_its_hour(make_desk) -> None:
    desk = planned(make_desk, "mash 30 min: 65 C")
    page = desk.browser.get(PAGE).text
    begins = re.search(r'name="before" value="(mash 3\d min)"', page)
    assert begins, "the clock runs from the last reading"
    fields = {
        "verb": "measure",
        "batch": "rye 5",
        "before": begins[1],
        "words": "starch blue",
        "key": "k" * 24,
    }
    answer = desk.send("/record", fields, accept="application/json")
    assert answer.status_code == 200
    assert f"{begins[1]}: starch blue" in text_of(desk.browser.get(PAGE))


@pytest.mark.parametrize("words", ["bubbles no", "sour yes", "skin yes", "1.040, 24 C, pH 4.2"])
def test_what_a_button_fills_in_is_understood(make_desk, words) -> None:
    desk = planned(make_desk)
    fields = {"verb": "measure", "batch": "rye 5", "before": "ferment 2 d", "words": words, "key": "k" * 24}
    assert desk.send("/record", fields, accept="application/json").status_code == 200


def test_a_time_that_nobody_knows_is_asked_for(make_desk) -> None:
    desk = planned(make_desk)
    page = desk.browser.get(f"{PAGE}?stage=ferment").text
    assert 'name="before" value="ferment"' in page
    assert "add the time yourself" in text_of(desk.browser.get(f"{PAGE}?stage=ferment"))
    fields = {"verb": "measure", "batch": "rye 5", "before": "ferment", "words": "1.040", "key": "k" * 24}
    answer = desk.send("/record", fields, accept="application/json")
    assert answer.status_code == 422


def test_wrong_addresses_lead_nowhere(make_desk) -> None:
    desk = planned(make_desk)
    for path in (f"{PAGE}?stage=still", f"{PAGE}/nothing", "/batches/nope/tub"):
        assert desk.browser.get(path).status_code == 404


def test_a_reader_sees_it_and_has_no_form(lan_desk) -> None:
    lan_desk.sign_in("Wren", PASSPHRASE)
    page = lan_desk.browser.get("/batches/rye 4/tub")
    assert page.status_code == 200
    assert 'action="/record"' not in page.text


# Answers beside the pages ------------------------------------------------------------------------


def test_an_answer_is_worked_out_once_and_a_failure_is_said() -> None:
    beside, asked = Beside(), []

    def work() -> str:
        asked.append(1)
        return "found"

    def refuse() -> None:
        raise MissingValue("A tub", "a reading", "62 C")

    for _ in range(3):
        answer = beside.answer("a", work)
        assert answer.wait(5.0)
        assert answer.value == "found"
    assert len(asked) == 1
    refused = beside.answer("b", refuse)
    assert refused.wait(5.0)
    assert "a reading" in refused.failed
    assert isinstance(refused.error, MissingValue)
    broken = beside.answer("c", lambda: 1 / 0)
    assert broken.wait(5.0)
    assert "ZeroDivisionError" in broken.failed
    after = beside.answer("d", work)
    assert after.wait(5.0)
    assert after.value == "found", "the thread goes on"
    beside.close()
    late = beside.answer("e", work)
    assert (late.wait(0.0), late.dropped, len(asked)) == (True, True, 2), "nothing is begun once it is closed"
