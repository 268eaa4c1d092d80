"""What is recorded from a page lands in the book once, with who and when; what cannot be is refused there."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from tests.desk.conftest import ORIGIN

GAUGE = {
    "verb": "gauge",
    "before": '"cask 3"',
    "words": "23.1 L 59.8 % at 20 C",
    "key": "one-key",
    "back": "/casks/3",
}


def _json(desk, fields: dict[str, str]):
    return desk.send("/record", fields, accept="application/json")


def test_a_form_records_and_leads_to_what_is_there_now(desk) -> None:
    answer = desk.send("/record", GAUGE)
    assert (answer.status_code, answer.headers["location"]) == (303, "/recorded/241?back=/casks/3")
    page = desk.browser.get(answer.headers["location"])
    assert "Entry 241" in page.text
    assert "cask 3" in page.text
    assert 'href="/casks/3"' in page.text


def test_sent_twice_it_is_entered_once(desk) -> None:
    first, again = _json(desk, GAUGE).json(), _json(desk, {**GAUGE, "waited_s": "4000"}).json()
    assert (first["number"], first["repeated"]) == (241, False)
    assert (again["number"], again["repeated"]) == (241, True)
    assert desk.house.book.newest() == 241


def test_one_key_for_two_things_is_refused(desk) -> None:
    _json(desk, GAUGE)
    answer = _json(desk, {**GAUGE, "words": "22 L"})
    assert answer.status_code == 422
    assert desk.house.book.newest() == 241


def test_a_reading_that_waited_is_of_the_time_it_was_taken(desk) -> None:
    before = datetime.now(UTC)
    _json(desk, {**GAUGE, "waited_s": "3600"})
    (entry,) = desk.house.book.to_read().newest(limit=1)
    assert abs(entry.done_at - (before - timedelta(hours=1))) < timedelta(seconds=10)


@pytest.mark.parametrize(
    "wrong",
    [
        {"words": "a lot"},
        {"words": ""},
        {"words": "9000 L 60 %"},
        {"verb": "paint"},
        {"at": "someday"},
        {"at": "1000000 d ago"},
        {"at": "0001-01-01T00:00:00+14:00"},
        {"batch": "no such batch"},
        {"before": '"cask 77"'},
        {"waited_s": "-5"},
        {"words": 'an "open quote'},
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence_at_the_field(desk, wrong: dict[str, str]) -> None:
    fields = {**GAUGE, **wrong}
    answer = _json(desk, fields)
    assert answer.status_code == 422
    assert (
        answer.json()["error"].endswith((".", "?", "C", "tasting", '"')) or len(answer.json()["error"]) > 20
    )
    page = desk.send("/record", fields)
    assert page.status_code == 422
    assert 'role="alert"' in page.text
    assert 'value="one-key"' in page.text, "it is still the same deed"
    assert desk.house.book.newest() == 240


def test_a_reading_of_a_batch_is_kept_as_it_was_typed(desk) -> None:
    fields = {
        "verb": "measure",
        "words": "wash: 8.4 %, 340 L",
        "batch": "rye 4",
        "key": "reading",
        "back": "/",
    }
    assert _json(desk, fields).status_code == 200
    assert "wash: 8.4 %, 340 L" in desk.browser.get("/batches/rye 4").text.replace("\u00a0", " ")


def test_a_missing_litre_is_explained_from_its_page(desk) -> None:
    page = desk.browser.get("/book/accounts/unaccounted/open/vessel feints").text
    assert "Say why" in page
    fields = {"verb": "explain", "before": '"vessel feints"', "words": "spilt", "key": "why", "back": "/book"}
    assert _json(desk, fields).status_code == 200
    assert "Not explained yet" not in desk.browser.get("/book").text


def test_the_first_deed_begins_a_book(make_desk) -> None:
    desk = make_desk(empty=True)
    fields = {"verb": "declare", "words": '"mash tub" 600 L', "key": "first", "back": "/gear"}
    assert _json(desk, fields).json()["number"] == 1
    assert "mash tub" in desk.browser.get("/gear").text


def test_a_batch_is_begun_from_its_page(desk) -> None:
    fields = {"verb": "begin", "words": "rye 5", "key": "begun", "back": "/batches"}
    assert _json(desk, fields).status_code == 200
    assert "rye 5" in desk.browser.get("/batches").text


def test_the_book_is_proved_and_copied_from_its_page(desk, tmp_path) -> None:
    assert "The book is whole: 240 entries" in desk.send("/book/check", {}).text
    copy = desk.send("/book/backup", {})
    assert copy.content.startswith(b"SQLite format 3")
    assert "attachment" in copy.headers["content-disposition"]
    lines = desk.send("/book/export", {}).text.splitlines()
    assert len(lines) == 240


def test_a_taken_book_is_not_read_from_memory(desk) -> None:
    """A file that was moved away while the desk had it open is gone for the desk, too."""
    desk.browser.get("/book")
    place = desk.house.book.to_read().place.file
    place.rename(place.with_name("moved.sqlite"))
    assert "Nothing is recorded yet" in desk.browser.get("/book").text


def test_who_sends_json_is_answered_in_json_also_when_refused(desk) -> None:
    answer = desk.browser.post("/record", data={}, headers={"origin": ORIGIN, "accept": "application/json"})
    assert answer.status_code == 403
