"""Whatever may be begun or declared has a page; a name that would have none is refused with a better one."""

from __future__ import annotations

from urllib.parse import quote

import pytest

from caskward.errors.book_typed import NameOfNoPage
from caskward.services.book import verbs
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked

NAMES = (
    "rye 99",
    "Rye №7",
    "a?b",
    "50 % malt",
    "x#y",
    "new 1",
    "renew",
    ".rye",
    "rye.",
    "a&b=c",
    "é",
    "plan",
)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_begun_or_declared_has_a_page(desk, name) -> None:
    book = desk.house.book.to_write()
    verbs.done_in(book, Asked("begin", (name,)), Doing())
    answer = desk.browser.get(f"/batches/{quote(name, safe='')}")
    assert answer.status_code == 200
    assert desk.browser.get(f"/batches/{quote(name, safe='')}/photos").status_code == 200
    verbs.done_in(book, Asked("declare", (f"cask {name}", "50 L")), Doing())
    assert desk.browser.get(f"/casks/{quote(name, safe='')}").status_code == 200


@pytest.mark.parametrize("name", ["new", "New", ".", "..", "...", "rye/5", "../people", "a\\b", "labels"])
def test_a_name_that_would_have_no_page_is_refused(desk, name) -> None:
    book, before = desk.house.book.to_write(), desk.house.book.newest()
    with pytest.raises(NameOfNoPage, match="Call it, say,"):
        verbs.done_in(book, Asked("begin", (name,)), Doing())
    assert desk.house.book.newest() == before


@pytest.mark.parametrize("name", ["new", ".", "..", "labels", "a\\b", "a/b/c"])
def test_a_cask_or_vessel_of_such_a_name_is_refused(desk, name) -> None:
    book, before = desk.house.book.to_write(), desk.house.book.newest()
    for declared in (f"cask {name}", name):
        with pytest.raises(NameOfNoPage, match="Call it, say,"):
            verbs.done_in(book, Asked("declare", (declared, "50 L")), Doing())
    assert desk.house.book.newest() == before
