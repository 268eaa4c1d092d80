"""Labels of casks and bottles: what stands on them, what their code opens, and whose law decides."""

from __future__ import annotations

import pytest

from caskward.sheets import labels
from tests.desk.conftest import PASSPHRASE
from tests.desk.test_batches import text_of

BOTTLES = "/bottles/rye L25-1/label"


def test_a_cask_label_says_what_it_was_filled_with(desk) -> None:
    said = text_of(desk.browser.get("/casks/3/label"))
    for words in ("Batch rye 3", "Filled on 2025-04-24", "Filled with 24.2 L", "Strength 63.0 %vol",
                  "Pure alcohol 15.246 L", "Every figure is invented."):  # fmt: skip
        assert words in said
    desk.browser.cookies.set("caskward-units", "us")
    said = text_of(desk.browser.get("/casks/3/label"))
    assert "Filled with 6.393 gal" in said
    assert "Strength 125.9 proof" in said


def test_its_code_opens_the_cask_on_a_network_and_else_says_the_same(desk, lan_desk) -> None:
    alone = desk.browser.get("/casks/3/label.svg")
    assert alone.headers["content-type"].startswith("image/svg+xml")
    lan_desk.sign_in("Wren", PASSPHRASE)
    address = f"{lan_desk.house.settings.address}casks/3"
    assert lan_desk.browser.get("/casks/3/label.svg").content == labels.code(address)
    assert address in text_of(lan_desk.browser.get("/casks/3/label"))
    assert alone.content not in (labels.code(address), labels.code(""))


def test_bottles_have_their_data_and_the_law_decides(desk) -> None:
    said = text_of(desk.browser.get(BOTTLES))
    for words in ("46 % vol", "500 mL", "Lot rye L25-1", "Bottled on 2025-12-01", "Bottles 87",
                  "your own law says", "± 0.3 %vol"):  # fmt: skip
        assert words in said


@pytest.mark.parametrize("path", ["/casks/3/label.pdf", f"{BOTTLES}.pdf"])
def test_each_is_there_to_print(desk, path) -> None:
    answer = desk.browser.get(path)
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    assert answer.headers["content-disposition"].startswith("inline")


@pytest.mark.parametrize(
    "path",
    [
        "/casks/1/label",
        "/casks/nope/label",
        "/bottles/nope/label",
        "/casks/1/label.pdf",
        "/casks/1/label.svg",
    ],
)
def test_what_holds_nothing_has_no_label(desk, path) -> None:
    assert desk.browser.get(path).status_code == 404


def test_all_labels_are_found_from_the_casks(desk) -> None:
    assert 'href="/labels"' in desk.browser.get("/casks").text
    said = text_of(desk.browser.get("/labels"))
    assert "rye L25-1 35 bottles" in said
    assert "cask 1" not in said, "it is empty"


def test_an_empty_book_has_nothing_to_label(make_desk) -> None:
    assert "nothing to label" in text_of(make_desk(empty=True).browser.get("/labels"))


def test_many_labels_are_shown_in_parts(desk, monkeypatch) -> None:
    monkeypatch.setattr("caskward.desk.routes.labels.AT_ONCE", 2)
    first = desk.browser.get("/labels").text
    assert first.count('/label"') == 3, "two casks, one lot"
    last = desk.browser.get("/labels?after=4").text
    assert last.count('/label"') == 1
    assert "More labels" not in last
