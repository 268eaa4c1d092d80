"""What is thought of first, what is not thought any more, and how much of it is held."""

from __future__ import annotations

import threading
import time
from collections import Counter
from dataclasses import dataclass, replace
from threading import Event
from typing import Any

import pytest

from caskward.desk import thoughts
from caskward.desk.kept import OpenBook
from caskward.desk.thoughts import PARTS, Thoughts

SOON_S = 10.0


@dataclass(frozen=True)
class Entered:
    number: int


@dataclass(frozen=True)
class Batch:
    """As much of a batch's record as a thought asks for."""

    name: str
    number: int = 1
    followed: tuple[str, ...] = ()
    plan: int = 1

    @property
    def mark(self) -> tuple[str, int, tuple[str, ...]]:
        return self.name, self.plan, self.followed

    @property
    def entries(self) -> tuple[Entered, ...]:
        return (Entered(self.number),)

    def with_row(self, row: str) -> Batch:
        return replace(self, number=self.number + 1, followed=(*self.followed, row))


class Work:
    """Stands for the work: what was worked out in order, and a part that waits until it may go on."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.done: list[tuple[str, str]] = []
        self.held: dict[tuple[str, str], Event] = {}
        self.begun = threading.Semaphore(0)
        for part in PARTS:
            monkeypatch.setitem(thoughts.WORK, part, self._of(part))

    def hold(self, name: str, part: str) -> Event:
        return self.held.setdefault((name, part), Event())

    def _of(self, part: str):
        def work(_: object, of: Any) -> str:
            if event := self.held.get((of.of.name, part)):
                self.begun.release()
                assert event.wait(SOON_S)
            self.done.append((of.of.name, part))
            return f"{part} of {of.of.name} {of.of.followed}"

        return work


@pytest.fixture
def work(monkeypatch: pytest.MonkeyPatch) -> Work:
    return Work(monkeypatch)


@pytest.fixture
def thinking(work: Work):  # the work stands in before a thread asks for it
    found = Thoughts(OpenBook())
    yield found
    for event in work.held.values():
        event.set()
    found.close()


def test_what_is_sure_of_any_batch_comes_before_what_else_there_is_to_say_of_another(thinking, work) -> None:
    go_on = work.hold("a", "next")
    thinking.of(Batch("a"))
    assert work.begun.acquire(timeout=SOON_S)
    b, c = thinking.of(Batch("b")), thinking.of(Batch("c"))
    go_on.set()
    assert b.part("remedy", SOON_S)
    assert c.part("remedy", SOON_S)
    order = [one for one in work.done if one[1] != "first"]
    assert order.index(("b", "now")) < order.index(("a", "why"))
    assert order.index(("c", "now")) < order.index(("b", "plan")), "the newest asked first"
    assert order.index(("c", "remedy")) < order.index(("b", "next")) < order.index(("a", "remedy"))


def test_a_newer_reading_of_the_same_batch_ends_the_older_thought_between_two_parts(thinking, work) -> None:
    go_on = work.hold("a", "next")
    older = thinking.of(Batch("a"))
    assert work.begun.acquire(timeout=SOON_S)
    newer = thinking.of(Batch("a").with_row("wash: 8 %"))
    assert newer.part("first", SOON_S), "while a part of the older is still being worked out"
    begun_s = time.monotonic()
    assert older.part("remedy", SOON_S) is None
    assert time.monotonic() - begun_s < SOON_S, "nobody waits for what will not be"
    go_on.set()
    assert newer.part("remedy", SOON_S)
    assert ("a", "why") in work.done
    assert Counter(work.done) == {
        ("a", part): 1 if part in ("plan", "first", "cards", "why", "remedy") else 2
        for part in ("plan", "first", "cards", "now", "next", "why", "remedy")
    }, "plan and cards are those of before, and the older ended with its next"


def test_a_row_taken_back_goes_on_with_the_thought_of_before(thinking, work) -> None:
    go_on = work.hold("a", "next")
    first = thinking.of(Batch("a"))
    assert work.begun.acquire(timeout=SOON_S)
    thinking.of(Batch("a").with_row("wash: 8 %"))
    again = thinking.of(Batch("a", number=3))
    assert again is first
    go_on.set()
    assert again.part("remedy", SOON_S)


def test_a_page_that_read_the_book_a_moment_ago_does_not_stop_the_newest(thinking, work) -> None:
    newer = thinking.of(Batch("a").with_row("wash: 8 %"))
    older = thinking.of(Batch("a"))
    assert older.part("remedy", SOON_S) is None
    assert newer.part("remedy", SOON_S)


def test_more_open_batches_than_are_held_are_each_thought_over_once(thinking, work, monkeypatch) -> None:
    monkeypatch.setattr(thoughts, "MOST_KEPT", 2)
    monkeypatch.setattr(thoughts, "_QUIET_S", 0.1)
    waiting = {name: Batch(name) for name in "abcdefg"}
    until_s = time.monotonic() + SOON_S
    while waiting and time.monotonic() < until_s:
        for name, record in [*waiting.items()]:  # as pages ask, again and again
            if thinking.of(record).has("remedy"):
                del waiting[name]
        time.sleep(0.01)
    assert not waiting
    assert {count for (_, part), count in Counter(work.done).items() if part != "first"} == {1}


def test_the_bench_fits_into_what_is_held() -> None:
    assert thoughts.ON_THE_BENCH < thoughts.MOST_KEPT


def test_what_is_asked_for_too_much_is_let_go_and_leaves_nobody_waiting(thinking, work, monkeypatch) -> None:
    monkeypatch.setattr(thoughts, "MOST_WAITING", 3)
    go_on = work.hold("a", "now")
    thinking.of(Batch("a"))
    assert work.begun.acquire(timeout=SOON_S)
    asked = [thinking.of(Batch(f"b {n}")) for n in range(5)]
    begun_s = time.monotonic()
    assert asked[0].part("now", SOON_S) is None
    assert time.monotonic() - begun_s < SOON_S
    go_on.set()
    assert asked[-1].part("now", SOON_S)
