"""Casks: the shelf, one cask with its story and outlook, and its acts, tried before they are recorded."""

from __future__ import annotations

import html
import re

import pytest

from tests.desk.test_batches import text_of

CASK = "/casks/3"


def tried(desk, verb: str, words: str, cask: str = CASK) -> str:
    return text_of(desk.browser.get(f"{cask}/foreseen/{verb}", params={"words": words}))


def test_the_shelf_has_level_strength_and_age_of_each(desk) -> None:
    page = desk.browser.get("/casks")
    said = text_of(page)
    assert "5 casks hold spirit, 1 empty." in said
    assert "23.25 L 59.9 %vol" in said
    assert re.search(r"\d+ months room for 1.75 L", said)
    assert 'aria-label="93 % full"' in page.text, "23.25 of 25 L"


def test_a_cask_tells_its_story_in_own_units(desk) -> None:
    said = text_of(desk.browser.get(CASK))
    assert "Filled 2025-04-24" in said
    assert "from rye 3" in said
    assert re.search(r"in a year, on 20\d\d-\d\d-\d\d, it holds [\d.]+ L \([\d.]+–[\d.]+\)", said)
    desk.browser.cookies.set("caskward-units", "us")
    assert re.search(
        r"it holds [\d.]+ gal \([\d.]+–[\d.]+\) at [\d.]+ proof", text_of(desk.browser.get(CASK))
    )


def test_the_picture_has_its_figures_beside_it(desk) -> None:
    page = desk.browser.get(CASK).text
    assert page.count('<polyline class="hard"') == 2, "volume and strength"
    assert page.count('class="shade"') == 8, "a year ahead is doubt"
    table = re.search(r"Levels since it was filled.*?</table>", page, re.DOTALL)
    assert table
    assert len(re.findall("<tr", table[0])) == 1 + 4


@pytest.mark.parametrize(
    ("verb", "words", "comes"),
    [
        ("sample", "100 mL tasting", "cask 3 would hold 23.15 L at 59.9 %vol"),
        ("top", "from reserve 500 mL", "cask 3 would hold 23.75 L"),
        ("gauge", "21 L 58 % at 20 C", "cask 3 would hold 21 L at 58.0 %vol"),
        ("gauge", "21 L 58 % at 20 C", "You will be asked why."),
        ("gauge", "24.9 L 62 % at 20 C", "more than the book had"),
        ("gauge", '"', "is not understood"),
        ("move", "to vat all", "cask 3 would hold nothing."),
        ("vat", "all, cask 2 10 L into vat", "vat would hold 33."),
        ("bottle", "L26-9 10 x 500 mL 59.9 % at 20 C", "would hold 18.25 L"),
        ("sample", "100 L", "cannot be taken"),
        ("sample", "<script>", "says no amount"),
        ("top", "from nowhere 500 mL", "nowhere"),
    ],
)
def test_what_an_act_would_do_is_said_and_not_done(desk, verb, words, comes) -> None:
    before = desk.house.book.newest()
    assert comes in tried(desk, verb, words)
    assert desk.house.book.newest() == before


def test_an_act_is_recorded_as_it_was_tried(desk) -> None:
    would = tried(desk, "sample", "100 mL tasting").partition("would hold ")[2].partition(",")[0]
    fields = {
        "verb": "sample",
        "words": "100 mL tasting",
        "before": '"cask 3"',
        "key": "k" * 24,
        "back": CASK,
    }
    answer = desk.send("/record", fields, accept="application/json")
    assert f"cask 3 now holds {would}" in " ".join(answer.json()["said"])


def test_every_act_has_an_example_that_is_understood(desk) -> None:
    page = desk.browser.get(CASK).text
    verbs = re.findall(r'name="verb" value="(\w+)"', page)
    examples = [html.unescape(one) for one in re.findall(r'class="example">([^<]*)<', page)]
    assert verbs == ["gauge", "sample", "top", "move", "vat", "bottle"]
    for verb, example in zip(verbs, examples, strict=True):
        assert "not understood" not in tried(desk, verb, example), (verb, example)


def test_an_empty_cask_can_only_be_filled(desk) -> None:
    page = desk.browser.get("/casks/1").text
    assert re.findall(r'name="verb" value="(\w+)"', page) == ["fill"]
    assert "Label" not in text_of(desk.browser.get("/casks/1"))
    assert desk.browser.get("/casks/1/foreseen/destroy?words=all").status_code == 404
    assert desk.browser.get("/casks/no such").status_code == 404


def test_a_shelf_of_many_is_shown_in_parts(desk, monkeypatch) -> None:
    monkeypatch.setattr("caskward.desk.routes.casks.AT_ONCE", 2)
    first = desk.browser.get("/casks").text
    assert first.count('class="vessel"') == 2
    assert "Empty" not in text_of(desk.browser.get("/casks"))
    last = desk.browser.get("/casks?after=4")
    assert last.text.count('class="vessel"') == 1
    assert "cask 1, 25 L" in text_of(last)
