"""Pages over a long book: so much at once, and reports that no page waits for."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from datetime import datetime
from pathlib import Path
from threading import Event
from time import monotonic, sleep
from urllib.parse import unquote

import pytest

from caskward.desk import finished
from caskward.desk.apart import Apart
from caskward.desk.beside import MOST_WAITING, Beside
from caskward.desk.routes import book as book_routes
from caskward.desk.routes import reports
from caskward.errors import NoBookYet
from caskward.errors.desk_work import NotWorkedOut, PutAside
from caskward.services.book import kept, opened
from caskward.services.book.looked import Looked
from caskward.store.checking import check_book
from tests.desk.conftest import Desk

SOON_S = 60.0
ROOT = Path(__file__).resolve().parents[2]


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
    year = datetime.now().astimezone().year
    path = f"/book/period?q={year}-01-01+to+{year + 1}-12-31"
    before = desk.browser.get(path).text
    words = {"verb": "sample", "words": '"cask 3" 100 mL tasting', "key": "a key of its own", "at": ""}
    assert desk.send("/record", words).status_code == 303
    after = desk.browser.get(path).text
    assert "tasting" not in before
    assert "tasting" in after


def _record(desk: Desk, key: str) -> None:
    words = {"verb": "sample", "words": '"cask 3" 10 mL tasting', "key": key, "at": ""}
    assert desk.send("/record", words).status_code == 303


def test_a_report_is_finished_though_the_book_moves_on_and_says_how_far_it_goes(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reports, "QUICK_ENTRIES", 0)
    begun, go_on = Event(), Event()
    made = reports.period_report

    def slowly(known: Looked, wanted):
        begun.set()
        assert go_on.wait(SOON_S)
        return made(known, wanted)

    monkeypatch.setattr(reports, "period_report", slowly)
    first = desk.browser.get("/book/period?q=2025").text
    assert begun.wait(SOON_S)
    for n in range(3):
        _record(desk, f"moved on {n}")
    again = re.search(r'hx-get="([^"]*)"', first)
    assert again
    ask = again[1].replace("&amp;", "&")
    assert "Reading the whole book" in desk.browser.get(ask).text
    go_on.set()
    said = desk.browser.get(f"{ask}1").text
    assert "This is the book up to entry 240; while it was made, the book went on to entry 243." in said
    # Who asks only now gets everything.
    assert "up to entry" not in desk.browser.get("/book/period?q=2025&wait=1").text


def test_two_reports_asked_for_at_once_are_both_made_and_each_only_once(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reports, "QUICK_ENTRIES", 0)
    begun: list[str] = []
    made = reports.period_report

    def counted(known: Looked, wanted):
        begun.append(wanted.words)
        return made(known, wanted)

    monkeypatch.setattr(reports, "period_report", counted)
    paths = [f"/book/period?q={year}" for year in (2024, 2025)] * 3
    for path in paths:
        desk.browser.get(path)
    answers = [desk.browser.get(f"{path}&wait=1").text for path in paths]
    assert all("Every figure is invented." in text for text in answers)
    assert sorted(begun) == ["2024-01-01 to 2024-12-31", "2025-01-01 to 2025-12-31"]


def test_a_period_that_is_none_is_refused_before_the_book_is_read(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desk.house.seen.reports, "made", None)
    for words in ("next spring", "9999", "0000-01"):
        answer = desk.browser.get(f"/book/period?q={words}", headers={"hx-request": "true"})
        assert (answer.status_code, 'role="alert"' in answer.text) == (422, True)


def test_what_is_put_aside_says_so_to_whoever_waits_for_it() -> None:
    beside, hold = Beside(), Event()
    beside.answer("held", lambda: hold.wait(SOON_S))
    waiting = [beside.answer(n, lambda n=n: n) for n in range(MOST_WAITING + 1)]
    assert waiting[0].wait(0.0)
    assert "put aside" in waiting[0].failed
    hold.set()
    assert waiting[-1].wait(SOON_S)
    assert waiting[-1].value == MOST_WAITING
    anew = beside.answer(0, lambda: "anew")
    assert (anew.wait(SOON_S), anew.value) == (True, "anew")
    beside.close()


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
    assert all("cask 3" in unquote(name).replace("/", " ") for name in found)
    assert "No account with “zebra”" in desk.browser.get("/book/accounts?q=zebra").text


def test_a_long_book_is_read_by_a_process_of_its_own(make_desk, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = ("/book/period?q=2025&wait=1", "/book/costs?wait=1", "/api/v1/trace?of=cask+2")
    desk = make_desk()
    here = [desk.browser.get(path) for path in paths]
    desk = make_desk()
    monkeypatch.setattr(finished, "APART_ENTRIES", 0)
    monkeypatch.setattr(Looked, "trace", None)  # nothing is made in this process
    apart = [desk.browser.get(path) for path in paths]
    assert [one.status_code for one in apart] == [200, 200, 200]
    assert [_tables(one.text) for one in apart] == [_tables(one.text) for one in here]
    assert _tables(here[0].text)
    assert apart[2].json() == here[2].json()
    # A refusal is the same one, from a process or not.
    answer = desk.browser.get("/api/v1/trace?of=nothing+like+it")
    assert answer.status_code == 404
    desk.house.seen.reports.apart.rest()
    assert desk.browser.get("/book/costs?wait=1").status_code == 200
    desk.house.seen.close()


def _tables(text: str) -> list[str]:
    return re.findall(r"<table.*?</table>", text, re.DOTALL)


def test_a_process_that_is_ended_is_said_and_begun_anew() -> None:
    apart = Apart()
    with pytest.raises(NotWorkedOut):
        apart.made("nowhere.sqlite", _ends_itself)
    with pytest.raises(NoBookYet):
        apart.made("nowhere.sqlite", len)
    apart.close()
    with pytest.raises(PutAside):
        apart.made("nowhere.sqlite", len)


def test_a_process_that_nobody_needs_any_more_is_ended(desk: Desk) -> None:
    apart, place = Apart(rest_s=0.3), opened.named(desk.house.book.to_read())
    for _ in range(2):
        number, up_to = apart.made(place, _own_number)
        assert up_to == 240
        until = monotonic() + SOON_S
        while _runs(number) and monotonic() < until:
            sleep(0.05)
        assert not _runs(number)
    apart.close()


def _own_number(_: Looked) -> int:
    return os.getpid()


def test_half_an_answer_does_not_get_in_the_way_of_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    half = "import pickle, sys; sys.stdout.buffer.write(pickle.dumps('x' * 900)[:-9])"
    apart = Apart()
    with monkeypatch.context() as patched:
        patched.setattr("caskward.desk.apart._COMMAND", (sys.executable, "-c", half))
        with pytest.raises(NotWorkedOut):
            apart.made("nowhere.sqlite", len)
    with pytest.raises(NoBookYet):
        apart.made("nowhere.sqlite", len)
    apart.close()


def test_a_report_that_failed_is_tried_again_when_it_is_asked_for_again(desk: Desk) -> None:
    asked = []

    def fails_once(known: Looked) -> int:
        asked.append(1)
        if len(asked) == 1:
            raise MemoryError
        return len(known.entries)

    with pytest.raises(NotWorkedOut):
        desk.house.seen.reports.made("one", fails_once, SOON_S)
    made = desk.house.seen.reports.made("one", fails_once, SOON_S)
    assert made is not None
    assert made.report == made.up_to == 240


def test_a_report_follows_a_book_that_was_brought_back_from_a_copy(desk: Desk, tmp_path: Path) -> None:
    kept.back_up(str(tmp_path / "copy.sqlite"))
    for key in ("first key", "second key"):
        _record(desk, key)
    reports_of = desk.house.seen.reports
    before = reports_of.made("one", _newest_hash, SOON_S)
    kept.restore(str(tmp_path / "copy.sqlite"), overwrite=True)
    _record(desk, "third key")
    after = reports_of.made("one", _newest_hash, SOON_S)
    assert before is not None
    assert after is not None
    head = desk.house.book.to_read().head()
    assert head is not None
    assert (after.up_to, after.report) == (head.number, head.hash)
    assert after.up_to < before.up_to, "the copy is older than what was read before"


def _newest_hash(known: Looked) -> str:
    return known.entries[-1].hash


def test_a_file_put_in_the_book_s_place_is_the_book(desk: Desk, tmp_path: Path) -> None:
    file, copy, aside = (tmp_path / f"{name}.sqlite" for name in ("book", "copy", "aside"))
    kept.back_up(str(copy))
    _record(desk, "of the old book")
    for ending in ("", "-wal", "-shm"):
        (tmp_path / f"book.sqlite{ending}").replace(tmp_path / f"aside.sqlite{ending}")
    copy.replace(file)
    _record(desk, "of the new book")
    desk.house.book.close()
    for place, keys in ((file, ("of the new book",)), (aside, ("of the old book",))):
        with opened.to_read(str(place)) as book:
            assert tuple(entry.key for entry in book.entries(240)) == keys
            assert check_book(book.link).whole


@pytest.mark.skipif(os.name != "posix", reason="a parent's number tells it there")
def test_the_process_ends_with_the_desk_also_in_the_middle_of_a_report(tmp_path: Path) -> None:
    told = tmp_path / "told"
    begin = "from caskward.desk.apart import Apart; from tests.desk.test_seen import Tells"
    parent = subprocess.Popen(
        [sys.executable, "-c", f"{begin}; Apart().made('', Tells({str(told)!r}))"], cwd=ROOT
    )
    try:
        until = monotonic() + SOON_S
        while not (told.exists() and told.read_text("utf-8")) and monotonic() < until:
            sleep(0.05)
        number = int(told.read_text("utf-8"))
        parent.kill()
        parent.wait()
        while _runs(number) and monotonic() < until:
            sleep(0.1)
        assert not _runs(number)
    finally:
        parent.kill()
        parent.wait()


def _runs(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    return True


class Tells:
    """What writes down which process reads it, and is never done."""

    def __init__(self, place: str) -> None:
        self.place = place

    def __reduce__(self):
        return _tell, (self.place,)


def _tell(place: str) -> None:
    Path(place).write_text(str(os.getpid()), "utf-8")
    sleep(60.0)


class _EndsItself:
    """What cannot even be read."""

    def __reduce__(self):
        return os._exit, (3,)


_ends_itself = _EndsItself()
