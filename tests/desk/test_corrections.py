"""This was wrong: from an entry's page it is taken back or put right, by who may, and said in the book."""

from __future__ import annotations

import pytest

from caskward.services.book import batch_record
from tests.desk.test_batches import planned, text_of

WRONG = "/book/entries/{}/wrong"


def newest(desk) -> int:
    return desk.house.book.newest()


def rows(desk) -> tuple[str, ...]:
    return batch_record.record_of(desk.house.book.to_read(), "rye 5").rows


def test_a_reading_is_put_right_with_new_words(make_desk) -> None:
    desk = planned(make_desk, "wash: 8.4 %, 340 L")
    number = newest(desk)
    assert WRONG.format(number) in desk.browser.get(f"/book/entries/{number}").text
    assert "wash: 8.4 %, 340 L" in text_of(desk.browser.get(WRONG.format(number)))
    fields = {"key": "k" * 24, "verb": "measure", "words": "wash: 8.1 %, 330 L", "why": "read the wrong line"}
    for _ in range(2):
        answer = desk.send(WRONG.format(number), fields)
        assert answer.headers["location"].startswith(f"/recorded/{number + 1}?")
    assert rows(desk) == ("wash: 8.1 %, 330 L",)
    assert newest(desk) == number + 1, "sent twice, it is put right once"
    assert "Put it right" not in text_of(desk.browser.get(WRONG.format(number))), "once it is corrected"


def test_what_never_happened_is_taken_back(make_desk) -> None:
    desk = planned(make_desk, "wash: 8.4 %, 340 L")
    fields = {"key": "k" * 24, "never": "yes", "verb": "measure", "words": "x", "why": "another batch"}
    assert desk.send(WRONG.format(newest(desk)), fields).status_code == 303
    assert rows(desk) == ()


@pytest.mark.parametrize("wrong", [{"why": ""}, {"words": "mush 3 h: 1.06"}, {"verb": "paint"}])
def test_what_cannot_be_is_refused_and_stays_in_the_field(make_desk, wrong) -> None:
    desk = planned(make_desk, "wash: 8.4 %, 340 L")
    number = newest(desk)
    fields = {"key": "k" * 24, "verb": "measure", "words": "wash: 8.1 %", "why": "a slip", **wrong}
    answer = desk.send(WRONG.format(number), fields)
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert fields["words"] in answer.text
    assert newest(desk) == number


def test_a_helper_corrects_what_they_recorded_today_and_a_reader_nothing(lan_desk) -> None:
    lan_desk.sign_in("Jory")
    sent = {"verb": "note", "words": "the lid was open", "batch": "rye 4", "key": "n" * 24}
    number = lan_desk.send("/record", sent, accept="application/json").json()["number"]
    fields = {"key": "k" * 24, "never": "yes", "why": "it was shut"}
    assert lan_desk.send(WRONG.format(40), fields).status_code == 403, "somebody else's"
    assert lan_desk.send(WRONG.format(number), fields).status_code == 303
    lan_desk.browser = lan_desk.make_browser()
    lan_desk.sign_in("Wren")
    assert lan_desk.send(WRONG.format(40), fields).status_code == 403
    log = (lan_desk.house.settings.folder / "refused.log").read_text(encoding="utf-8")
    assert "Jory" in log
    assert "Wren" in log
