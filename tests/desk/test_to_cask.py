"""From the heart to the cask: each step stands ready on the batch's page, in the book's own places."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest

from caskward.properties import alcohol
from caskward.services.book import batch_record, to_cask, verbs
from caskward.services.book.asked import Asked
from tests.desk.conftest import Desk
from tests.desk.test_batches import MAUD, PAGE, planned, text_of

PART = f"{PAGE}/to-cask"


def done(desk: Desk, verb: str, words: str, batch: str = "rye 5") -> None:
    """Something recorded, as if from anywhere."""
    book = desk.house.book.to_write()
    verbs.done_in(book, Asked(verb, tuple(_parts(words))), replace(MAUD, batch=batch))


def _parts(words: str) -> list[str]:
    return [one.strip('"') for one in re.findall(r'"[^"]*"|\S+', words)]


@pytest.fixture
def after_the_run(make_desk) -> Desk:
    """A heart of two jars, entered, and a third that was not chosen."""
    desk = planned(make_desk)
    for words in ("still 150 L", "spirit 60 L", "tub 600 L"):
        done(desk, "declare", words, "")
    done(desk, "receive", '60 L 26 % at 20 C into still from "Old Mill"', "")
    into = '"jar 1" 5 L 70 % at 20 C, "jar 2" 6 L 68 % at 20 C, "jar 3" 4 L 62 % at 20 C'
    done(desk, "distil", f"still into {into}, left 44 L 10.2 % at 20 C")
    for row in ("begins: run 1", "jar 1: 5 L, 70 %", "jar 2: 6 L, 68 %", "jar 3: 4 L, 62 %"):
        done(desk, "measure", f'"{row}"')
    return desk


def form_of(desk: Desk, path: str = PAGE) -> dict[str, str]:
    """The step's form as a browser would send it."""
    page = desk.browser.get(path).text
    part = re.search(r'<div id="to-cask-.*?</form>', page, re.DOTALL)
    assert part, text_of(desk.browser.get(path))
    fields = re.findall(r'<input[^>]*name="(\w+)"[^>]*value="([^"]*)"', part[0])
    fields += re.findall(r'<textarea[^>]*name="(\w+)"[^>]*>([^<]*)</textarea>', part[0])
    return {name: html.unescape(value) for name, value in fields if name != "token"}


def test_nothing_is_said_before_there_is_a_heart(make_desk) -> None:
    desk = planned(make_desk)
    assert "Into the cask" not in text_of(desk.browser.get(PAGE))
    done(desk, "measure", '"wash: 7.6 %, 330 L"')
    assert "Into the cask" not in text_of(desk.browser.get(PART))


def test_a_run_whose_heart_is_not_chosen_leads_nowhere(after_the_run) -> None:
    assert "Into the cask" not in text_of(after_the_run.browser.get(PART))


def test_each_step_is_ready_to_be_sent_until_the_label(after_the_run) -> None:
    desk = after_the_run
    done(desk, "measure", '"taken: jar 1, jar 2"')
    assert form_of(desk)["words"] == '"jar 1" all, "jar 2" all into "spirit"'
    assert form_of(desk, "/")["words"] == form_of(desk)["words"], "the Bench says the same"
    assert desk.send("/record", form_of(desk)).status_code == 303
    reduce = form_of(desk)
    # Water from 11 L of 68.909 % to the plan's 63 %, by weight. Source: oiml-r22-1975.
    needed = float(alcohol.reduce(11.0, (5 * 70 + 6 * 68) / 11.0, 63.0).water_kg)
    assert reduce["words"] == f'"spirit" {needed:.2f} kg'
    assert desk.send("/record", reduce).status_code == 303
    declare = form_of(desk)
    assert (declare["verb"], declare["words"]) == ("declare", '"cask 1" 25 L')
    assert "batch" not in declare, "a cask is the house's"
    assert desk.send("/record", declare).status_code == 303
    assert "63.0 %vol" in text_of(desk.browser.get(PART)), "as strong as the plan wants it"
    fill = form_of(desk)
    assert fill["words"] == '"spirit" "cask 1" all'
    assert desk.send("/record", fill).status_code == 303
    assert 'href="/casks/1/label"' in desk.browser.get(PART).text
    of = batch_record.record_of(desk.house.book.to_read(), "rye 5")
    assert batch_record.casks(of) == ("cask/1",)


def test_what_stands_there_is_not_sent_again_under_someones_hands(after_the_run) -> None:
    desk = after_the_run
    done(desk, "measure", '"taken: jar 1, jar 2"')
    again = re.search(r'hx-get="([^"]*to-cask[^"]*)"', desk.browser.get(PAGE).text)
    assert again
    path = html.unescape(again[1])
    assert desk.browser.get(path).status_code == 204
    done(desk, "vat", '"jar 1" all, "jar 2" all into spirit')
    assert desk.browser.get(path).status_code == 200


def test_more_than_the_cask_takes_stays_over(after_the_run) -> None:
    desk = after_the_run
    done(desk, "receive", '20 L 63 % at 20 C into spirit from "Old Mill"', "")
    done(desk, "measure", '"taken: jar 1, jar 2"')
    done(desk, "vat", '"jar 1" all, "jar 2" all into spirit')
    done(desk, "declare", '"cask 4" 25 L', "")
    desk.send("/record", form_of(desk))
    assert form_of(desk)["words"] == '"spirit" "cask 4" 24.25 L', "97 % of the cask"
    assert "stays over" in text_of(desk.browser.get(PART))


def test_us_makers_read_pounds_and_gallons(after_the_run) -> None:
    desk = after_the_run
    done(desk, "measure", '"taken: jar 1, jar 2"')
    done(desk, "vat", '"jar 1" all, "jar 2" all into spirit')
    desk.browser.cookies.set("caskward-units", "us")
    assert re.fullmatch(r'"spirit" [\d.]+ lb', form_of(desk)["words"])
    assert not re.search(r"\d (L|kg|%vol)\b", text_of(desk.browser.get(PART)))


def test_a_choice_that_the_accounts_do_not_know_leads_to_run_day(make_desk) -> None:
    desk = planned(make_desk, "begins: run 1", "jar 1: 5 L, 70 %", "jar 2: 6 L, 68 %", "taken: jar 1, jar 2")
    said = desk.browser.get(PART)
    assert "not in the accounts yet" in text_of(said)
    assert f'href="{PAGE.replace(" ", "%20")}/run"' in said.text


def test_a_batch_without_a_plan_is_left_alone(make_desk) -> None:
    desk = make_desk()
    book = desk.house.book.to_read()
    names = [one.name for one in desk.house.seen.batches()]
    steps = [to_cask.step_of(book, batch_record.record_of(book, name), "metric") for name in names]
    assert steps == [None] * len(names)
