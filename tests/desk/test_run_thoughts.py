"""A run's forecast is worked out once, however many parts of its page ask at the same moment."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest

from caskward.desk import run_thoughts
from caskward.desk.run_thoughts import RunThoughts
from caskward.desk.thoughts import Thought
from caskward.services.book.batch_record import BatchRecord


@pytest.fixture
def thought() -> Thought:
    found = Thought(BatchRecord(name="rye 5", is_open=True, entries=(), plan=1))
    found.put("now", "what is believed")
    return found


def test_parts_that_ask_at_once_share_one_forecast(thought: Thought, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[object] = []
    others_came = Event()

    def slowly(believed: object, key: object) -> str:
        asked.append((believed, key))
        assert others_came.wait(20.0)
        return "the forecast"

    monkeypatch.setattr(run_thoughts.batch_follow, "run_of", slowly)
    monkeypatch.setattr(run_thoughts, "_TURN_S", 20.0)
    runs = RunThoughts()
    with ThreadPoolExecutor(7) as threads:
        parts = [threads.submit(runs.known, thought, ("run", 1), work=True) for _ in range(7)]
        while not asked:
            pass
        others_came.set()
        assert {part.result(20.0).forecast for part in parts} == {"the forecast"}
    assert asked == [("what is believed", ("run", 1))]
    assert runs.known(thought, ("run", 2), work=False).waiting, "another run is another forecast"


def test_who_comes_while_it_is_worked_out_waits_only_a_moment(
    thought: Thought, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, go_on = Event(), Event()

    def slowly(believed: object, key: object) -> str:
        begun.set()
        assert go_on.wait(20.0)
        return "the forecast"

    monkeypatch.setattr(run_thoughts.batch_follow, "run_of", slowly)
    monkeypatch.setattr(run_thoughts, "_TURN_S", 0.0)
    runs = RunThoughts()
    with ThreadPoolExecutor(1) as threads:
        first = threads.submit(runs.known, thought, ("run", 1), work=True)
        assert begun.wait(20.0)
        assert runs.known(thought, ("run", 1), work=True).waiting
        go_on.set()
        assert first.result(20.0).forecast == "the forecast"
