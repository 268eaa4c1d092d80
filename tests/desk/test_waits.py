"""However many wait for what takes long, the desk keeps answering: past a number nobody waits any more."""

from __future__ import annotations

import threading
from contextlib import ExitStack

import pytest

from caskward.desk.beside import Answer
from caskward.desk.thoughts import Thought
from caskward.desk.waits import MOST_WAITING, Waits
from caskward.errors.desk_api import StillBeingMade
from tests.desk.test_batches import planned

PAGES = (
    "/batches/rye 5?wait=1",
    "/batches/rye 5/run?of=strip-1&wait=1",
    "/batches/rye 5/tub?wait=1",
    "/batches/rye 5/plan?wait=1",
    "/batches/rye 5/run-sheet.pdf",
    "/book/period?q=&wait=1",
    "/api/v1/batches/rye 5/forecast?wait_s=20",
    "/api/v1/trace?of=cask 3",
)


@pytest.fixture
def waited(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """How long each request would have waited; nothing is ever ready."""
    found: list[float] = []
    monkeypatch.setattr(Thought, "part", lambda _, __, wait_s=0.0: found.append(wait_s))
    monkeypatch.setattr(Answer, "wait", lambda _, seconds: bool(found.append(seconds)))
    monkeypatch.setattr(Answer, "work_out", lambda _: None)
    monkeypatch.setattr("caskward.desk.thoughts.Thoughts._think", lambda *_: None)
    return found


@pytest.mark.parametrize("path", PAGES)
def test_past_so_many_nobody_waits_any_more(make_desk, waited, path) -> None:
    desk = planned(make_desk)
    desk.browser.get(path)
    assert max(waited) > 10.0
    with ExitStack() as others:
        for _ in range(MOST_WAITING):
            assert others.enter_context(desk.house.waits.turn(1.0)) == 1.0
        waited.clear()
        answer = desk.browser.get(path)
        assert max(waited) < 0.5
        assert answer.status_code in (200, 503)
        assert "being" in answer.text or "thinking" in answer.text or "…" in answer.text
    waited.clear()
    desk.browser.get(path)
    assert max(waited) > 10.0, "a turn is given back"


def test_a_turn_is_given_back_whatever_happens() -> None:
    waits = Waits(1)

    def fails() -> None:
        with waits.turn(5.0) as given:
            assert given == 5.0
            with waits.turn(5.0) as other:
                assert other == 0.0
            raise KeyError

    with pytest.raises(KeyError):
        fails()
    with waits.turn(5.0) as given:
        assert given == 5.0


def test_the_book_is_proved_by_one_at_a_time() -> None:
    waits, held, go_on = Waits(), threading.Event(), threading.Event()

    def other() -> None:
        with waits.proof(1.0):
            held.set()
            go_on.wait(10.0)

    thread = threading.Thread(target=other)
    thread.start()
    held.wait(10.0)
    with pytest.raises(StillBeingMade), waits.proof(0.05):
        pass
    go_on.set()
    thread.join()
    with waits.proof(0.05):
        pass


def test_a_proof_that_comes_too_late_says_so_on_the_page_and_to_programs(desk, monkeypatch) -> None:
    monkeypatch.setattr("caskward.desk.routes.book.PROOF_S", 0.05)
    monkeypatch.setattr("caskward.desk.api.reports.LONGEST_WAIT_S", 0.05)
    with desk.house.waits.proof(1.0):
        page = desk.send("/book/check", {})
        program = desk.browser.get("/api/v1/check")
    assert (page.status_code, program.status_code) == (503, 503)
    assert "Ask for the same again" in page.text
    assert desk.send("/book/check", {}).status_code == 200
