"""Pages over a long book: so much at once, and reports that no page waits for."""

from __future__ import annotations

import re
from datetime import datetime

import pytest

from caskward.desk.routes import book as book_routes
from caskward.desk.routes import reports
from tests.desk.conftest import Desk


def test_a_long_book_s_report_is_made_beside_the_page_and_asked_for_again(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reports, "QUICK_ENTRIES", 0)
    monkeypatch.setattr(reports, "SHORT_WAIT_S", 0.0)
    first = desk.browser.get("/book/period?q=2025")
    assert first.status_code == 200
    assert "Reading the whole book" in first.text
    again = re.search(r'hx-get="(/book/period[^"]*)"', first.text)
    assert again
    # Who has no script follows the link, which waits.
    link = re.search(r'<a href="([^"]*)">Wait for it</a>', first.text)
    assert link
    whole = desk.browser.get(link[1].replace("&amp;", "&")).text
    assert "Every figure is invented." in whole
    # Once made it is there at once, as the part that was asked for.
    part = desk.browser.get(again[1].replace("&amp;", "&"), headers={"hx-request": "true"}).text
    assert part.lstrip().startswith('<div id="report">')
    assert "Every figure is invented." in part


def test_a_report_that_cannot_be_made_says_so_where_it_was_waited_for(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reports, "QUICK_ENTRIES", 0)
    monkeypatch.setattr(reports, "SHORT_WAIT_S", 5.0)
    answer = desk.browser.get("/book/period?q=next+spring", headers={"hx-request": "true"})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text


def test_a_report_is_made_anew_when_the_book_moved_on(desk: Desk) -> None:
    path = f"/book/period?q={datetime.now().astimezone().year}"
    before = desk.browser.get(path).text
    words = {"verb": "sample", "words": '"cask 3" 100 mL tasting', "key": "a key of its own", "at": ""}
    assert desk.send("/record", words).status_code == 303
    after = desk.browser.get(path).text
    assert "tasting" not in before
    assert "tasting" in after


def test_accounts_come_so_many_at_once_and_by_a_part_of_their_name(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(book_routes, "ACCOUNTS", 5)
    seen: list[str] = []
    path = "/book/accounts?all=1"
    for _ in range(60):
        text = desk.browser.get(path).text
        rows = re.findall(r'<th scope="row"><a href="/book/accounts/([^"]+)"', text)
        assert rows
        assert len(set(rows)) <= 5
        seen += dict.fromkeys(rows)
        more = re.search(r'href="([^"]+)">More accounts', text)
        if not more:
            break
        path = more[1].replace("&amp;", "&")
    monkeypatch.setattr(book_routes, "ACCOUNTS", 10_000)
    whole = re.findall(
        r'<th scope="row"><a href="/book/accounts/([^"]+)"', desk.browser.get("/book/accounts?all=1").text
    )
    assert seen == list(dict.fromkeys(whole))
    some = desk.browser.get("/book/accounts?q=Cask+3").text
    found = set(re.findall(r'<th scope="row"><a href="/book/accounts/([^"]+)"', some))
    assert found
    assert all("cask/3" in name or "cask%203" in name for name in found)
    assert "No account with “zebra”" in desk.browser.get("/book/accounts?q=zebra").text
