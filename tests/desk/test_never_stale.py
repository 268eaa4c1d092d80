"""After each kind of record a desk that kept what it saw shows what one shows that was just opened."""

from __future__ import annotations

import re
from datetime import datetime
from difflib import unified_diff

import pytest
from starlette.testclient import TestClient

from caskward.desk import wall_clock
from caskward.desk.app import make_app
from tests.desk.conftest import ORIGIN, Desk

PAGES = (
    *("/", "/batches", "/casks", "/stores", "/gear", "/labels", "/book", "/book/accounts"),
    *("/book/accounts?all=1", "/batches/rye 4", "/casks/3", "/batches/new"),
)
DEEDS = (
    ("note", '"the lid was left open"', ""),
    ("declare", '"cask 40" 25 L', ""),
    ("declare", '"new tub" 300 L', ""),
    ("begin", "rye 9", ""),
    ("receive", '50 kg rye from "Hill Farm"', ""),
    ("receive", '200 "wide corks" from "Hill Farm"', ""),
    ("mash", '20 kg rye into "new tub" 80 L', "rye 9"),
    ("add", '60 g "wine and fruit yeast" to "new tub"', "rye 9"),
    ("measure", "mash 3 h: 1.062, 62 C", "rye 9"),
    ("convert", '"new tub" 78 L 8.1 % at 24 C', "rye 9"),
    ("move", '"new tub" to "jar 90" 4 L', "rye 9"),
    ("lose", '"new tub" 1 L spilt', ""),
    ("destroy", '"new tub" all stale', ""),
    ("sample", '"cask 3" 100 mL tasting', ""),
    ("gauge", '"cask 3" 10 L 60 % at 20 C', ""),
    ("explain", '"cask 3" evaporation', ""),
    ("top", '"cask 3" from "jar 90" 200 mL', ""),
    ("fill", '"jar 90" "cask 40" 2 L', "rye 9"),
    ("bottle", '"cask 40" L90-1 3 x 500 mL', ""),
    ("sell", 'L90-1 2 to "farm shop"', ""),
    ("reduce", '"cask 40" 100 mL', ""),
    ("vat", '"jar 90" all, "cask 40" all into "new tub"', ""),
    ("close", "rye 9", "rye 9"),
)


def _shown(browser: TestClient) -> dict[str, str]:
    found = {}
    for path in PAGES:
        answer = browser.get(path)
        assert answer.status_code == 200, path
        # A form's key and a session's word are new each time.
        text = re.sub(r'(name="(?:token|caskward-token)")[^>]*', r"\1", answer.text)
        found[path] = re.sub(r"\b[0-9a-f]{24}\b", "KEY", text)
    return found


def _apart(kept: dict[str, str], afresh: dict[str, str]) -> list[str]:
    found = []
    for path in PAGES:
        both = (re.split(r"(?=<)", text[path]) for text in (kept, afresh))
        found += [f"{path} {line}" for line in unified_diff(*both, lineterm="", n=0)]
    return found


@pytest.mark.parametrize("look_between", [True, False])
def test_what_is_kept_is_never_stale(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, *, look_between: bool
) -> None:
    _shown(desk.browser)
    for number, (verb, words, batch) in enumerate(DEEDS):
        fields = {"verb": verb, "words": words, "batch": batch, "key": f"deed {number}", "meant": "1"}
        sent = desk.send("/record", fields)
        assert sent.status_code == 303, (verb, words, sent.text)
        if look_between or verb in ("fill", "close"):
            _same_as_afresh(desk, monkeypatch, f"{verb} {words}")
    newest = desk.house.book.newest()
    taken_back = 0
    for back in (0, 1, 4, 9):  # the end of a batch, what emptied a cask, a sale, an explanation
        fields = {"never": "yes", "why": "it was not so", "key": f"back {back}"}
        sent = desk.send(f"/book/entries/{newest - back}/wrong", fields)
        taken_back += sent.status_code == 303
        if look_between or back == 9:
            _same_as_afresh(desk, monkeypatch, f"entry {newest - back} taken back, {sent.status_code}")
    assert taken_back >= 2


def _same_as_afresh(desk: Desk, monkeypatch: pytest.MonkeyPatch, after: str) -> None:
    # Pages tell how long ago: both desks are looked at in the same moment.
    moment = datetime.now().astimezone()
    with monkeypatch.context() as held:
        held.setattr(wall_clock, "now", lambda: moment)
        apart = _apart_now(desk)
    assert not apart, (after, "\n".join(apart[:12]))


def _apart_now(desk: Desk) -> list[str]:
    opened = make_app(desk.house.settings)
    afresh = _shown(TestClient(opened, base_url=ORIGIN, cookies={"caskward-read": "1"}))
    opened.state.house.book.close()
    return _apart(_shown(desk.browser), afresh)
