"""A reading that is hardly meant is asked about before it is entered; a command and a program are told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from caskward.services.book import batch_record, verbs
from caskward.services.book.asked import Asked
from tests.desk.test_batches import MAUD, planned, text_of

FIELDS = {"verb": "measure", "batch": "rye 5", "key": "k" * 24, "back": "/"}


def send(desk, words: str, **more: str):
    return desk.send("/record", {**FIELDS, "words": words, **more}, accept="application/json")


@pytest.mark.parametrize(
    ("words", "question"),
    [
        ("heart: 22 L, 70 %", "Heart comes 6 stages later: the batch is at the mash. Is that meant?"),
        ("wash: 8.4 %", "Wash comes 2 stages later: the batch is at the mash. Is that meant?"),
        ("mash 2 h: -3 C", "-3 °C, 27 °F, is hardly the warmth of a mash. Is that meant?"),
        ("ferment 2 d: 75 C", "75 °C, 167 °F, is hardly the warmth of a ferment. Is that meant?"),
    ],
)
def test_what_is_hardly_meant_is_asked_and_entered_with_a_yes(make_desk, words, question) -> None:
    desk = planned(make_desk, "mash 1 h: 62 C")
    newest = desk.house.book.newest()
    answer = send(desk, words)
    assert (answer.status_code, answer.json()) == (422, {"error": question, "ask": True})
    assert desk.house.book.newest() == newest, "nothing is entered before the yes"
    done = send(desk, words, meant="yes").json()
    assert done["number"] == newest + 1
    assert not any("Is that meant" in said for said in done["said"])
    assert send(desk, words).json()["repeated"], "the same sent again is not asked about once it is in"


@pytest.mark.parametrize("words", ["mash 2 h: 61 C", "ferment 1 d: 1.040, 24 C", "mash 90 min: starch blue"])
def test_what_comes_next_is_not_asked_about(make_desk, words) -> None:
    assert send(planned(make_desk, "mash 1 h: 62 C"), words).status_code == 200


def test_a_stage_that_many_do_not_read_is_passed_by(make_desk) -> None:
    desk = planned(make_desk, "ferment 3 d: 1.000", "wash: 8.4 %, 330 L", "strip: 110 L, 26 %")
    assert send(desk, "run 3 L: 77 %").status_code == 200
    assert send(desk, "cask 2 d: 61 %", key="c" * 24).status_code == 200


def test_a_run_that_has_jars_is_at_the_run(make_desk) -> None:
    desk = planned(make_desk, "charge: 90 L, 28 %", "begins: run 1", "jar: 1 L, 76 %")
    words = "taken: jar 1\nheart: 1 L, 76 %"
    assert send(desk, words).status_code == 200


def test_without_script_the_page_has_the_yes(make_desk) -> None:
    desk = planned(make_desk, "mash 1 h: 62 C")
    page = desk.send("/record", {**FIELDS, "words": "heart: 22 L, 70 %"})
    assert page.status_code == 422
    assert "Yes, it is meant" in text_of(page)
    assert 'name="meant" value="yes"' in page.text
    assert 'name="words" value="heart: 22 L, 70 %"' in page.text


def test_a_tubs_field_takes_what_is_read_of_the_tub(make_desk) -> None:
    desk = planned(make_desk, "mash 1 h: 62 C")
    assert 'name="only" value="tub"' in desk.browser.get("/batches/rye 5/tub").text
    for meant in ("", "yes"):
        answer = send(desk, "wash: 8.4 %", only="tub", before="mash 90 min", meant=meant)
        assert answer.status_code == 422
        assert "and not of the wash" in answer.json()["error"]
        assert "ask" not in answer.json()
    assert send(desk, "starch blue", only="tub", before="mash 90 min").status_code == 200


def test_a_command_is_told_and_the_row_is_in(make_desk) -> None:
    desk = planned(make_desk, "mash 1 h: 62 C")
    book = desk.house.book.to_write()
    own = replace(MAUD, batch="rye 5")
    done = verbs.done_in(book, Asked("measure", ("heart: 22 L, 70 %",)), own)
    assert done.notes[0].startswith("Heart comes 6 stages later")
    assert f"book correct {done.entry.number}" in done.notes[-1]
    asked = Asked("measure", ("mash 3 h: -3 C",), {"yes": ("",)})
    assert verbs.done_in(book, asked, own).notes == ()
    assert batch_record.record_of(book, "rye 5").rows[-2:] == ("heart: 22 L, 70 %", "mash 3 h: -3 C")
