"""Once the cask is filled, its batch's pages and addresses say with what, not how likely that was."""

from __future__ import annotations

import re

import pytest

from caskward.desk.thoughts import Thoughts
from tests.desk.conftest import Desk
from tests.desk.test_api import ask
from tests.desk.test_batches import PAGE, foreseen, planned, text_of
from tests.desk.test_to_cask import done

SENTENCE = "Cask 1 is filled: 21.30 L at 63.0 %vol; 24.25 L were wanted, 2.95 L less."


def fill(desk: Desk) -> Desk:
    """Less than the plan's 24.25 L."""
    for verb, words in (("declare", "tank 100 L"), ("declare", "cask 1 25 L")):
        done(desk, verb, words, "")
    done(desk, "receive", '21.3 L 63 % at 20 C into tank from "Old Mill"', "")
    done(desk, "fill", "tank cask 1 all")
    return desk


def test_it_is_said_at_once_with_nothing_worked_out(make_desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Thoughts, "_wake", lambda self: None)
    desk = fill(planned(make_desk))
    page = desk.browser.get(PAGE)
    said = text_of(page)
    assert "Cask 1 is filled. 21.30 L at 63.0 %vol went in; 24.25 L were wanted, 2.95 L less." in said
    assert "Working out how sure" not in said
    for name in ("doubt", "surer"):
        assert re.search(rf'id="part-{name}" hidden', page.text), "it was of the forecast"
    assert SENTENCE in text_of(desk.browser.get("/")), "the Bench"
    assert SENTENCE in text_of(desk.browser.get("/batches"))
    forecast = ask(desk, "/batches/rye 5/forecast")
    assert (forecast["state"], forecast["sentence"], forecast["chance"]) == ("thinking", SENTENCE, None)


def test_no_chance_is_said_of_it_and_the_fill_is_not_asked_for(make_desk) -> None:
    desk = planned(make_desk, "wash: 7.6 %, 330 L")
    assert "The cask fills with" in text_of(desk.browser.get(f"{PAGE}?wait=1"))
    fill(desk)
    said = text_of(desk.browser.get(f"{PAGE}?wait=1"))
    assert not re.search(r"The cask fills with|Measure next", said)
    assert not re.search(r"The cask fills with|Measure next", text_of(desk.browser.get("/")))
    found = ask(desk, "/batches/rye 5/next", wait_s=20)
    assert (found["state"], found["readings"]) == ("ready", [])
    forecast = ask(desk, "/batches/rye 5/forecast", wait_s=20)
    assert (forecast["state"], forecast["sentence"]) == ("ready", SENTENCE)
    assert forecast["wanted_l"] == pytest.approx(24.25)
    assert "would fill" not in foreseen(desk, "62 %", "cask 3 d")


def test_the_strength_of_days_later_can_be_recorded(make_desk) -> None:
    desk = fill(planned(make_desk))
    done(desk, "measure", '"cask 3 d: 62 %"')
    assert "Cask 1 is filled." in text_of(desk.browser.get(f"{PAGE}?wait=1"))


def test_a_us_maker_reads_gallons(make_desk) -> None:
    desk = fill(planned(make_desk))
    desk.browser.cookies.set("caskward-units", "us")
    said = text_of(desk.browser.get("/batches"))
    assert re.search(
        r"Cask 1 is filled: 5\.627 gal at [\d.]+ proof; 6\.406 gal were wanted, 0\.779 gal less\.", said
    )


def test_a_fill_does_not_hide_rows_that_cannot_be(make_desk) -> None:
    desk = fill(planned(make_desk, "strip 300 L: 50 %"))
    assert len(re.findall(r"class=\"error\">[^<]", desk.browser.get(f"{PAGE}?wait=1").text)) == 1
