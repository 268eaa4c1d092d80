"""Answers that take seconds, worked out beside the pages by one thread, in the order in which they are asked.

Each is kept under a key that says all it follows from. One that is dropped before it is begun says so to
whoever waits for it.
"""

from __future__ import annotations

import queue
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, Final

from caskward.errors import CaskwardError
from caskward.errors.desk_work import NotWorkedOut, PutAside

MOST_KEPT: Final = 24
MOST_WAITING: Final = 64
"""So many may be asked for before the oldest of them is put aside."""
LAST_STEP_S: Final = 5.0
"""How long a desk that closes waits for what is being worked out; a library's thread dies badly under it."""


class Answer:
    """One of them: its value, or why there is none, once it is done."""

    def __init__(self, work: Callable[[], Any]) -> None:
        """`work` is done once, by `work_out`."""
        self._work: Callable[[], Any] | None = work
        self._lock = threading.Lock()
        self._done = threading.Event()
        self.value: Any = None
        self.error: CaskwardError | None = None
        self.dropped = False

    @property
    def done(self) -> bool:
        """Whether it is worked out, or failed."""
        return self._done.is_set()

    @property
    def failed(self) -> str:
        """Why there is no answer, as a sentence; empty if there is one."""
        return str(self.error) if self.error else ""

    def wait(self, seconds: float) -> bool:
        """Wait for it at the most so long; returns whether it is done."""
        return self._done.wait(seconds)

    def work_out(self) -> None:
        """Work it out, in whatever thread this is; nothing where it was begun or dropped."""
        work = self._taken()
        if work is None:
            return
        try:
            self.value = work()
        except CaskwardError as error:
            self.error = error
        except Exception as error:  # a page that waits is told, whatever it was
            self.error = NotWorkedOut(error)
        finally:
            self._done.set()

    def drop(self) -> None:
        """Don't begin it; what is begun or done stays."""
        if self._taken() is not None:
            self.error, self.dropped = PutAside(), True
            self._done.set()

    def _taken(self) -> Callable[[], Any] | None:
        with self._lock:
            work, self._work = self._work, None  # what it holds on to is not needed any more
            return work


class Beside:
    """Every such answer of one kind; threads may share it."""

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, Answer] = OrderedDict()
        self._asked: queue.SimpleQueue[Answer | None] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self._closing = False

    def answer(self, key: Hashable, work: Callable[[], Any]) -> Answer:
        """The answer of that key, begun if it is new or was dropped."""
        with self._lock:
            found = self._kept.get(key)
            if found is None or found.dropped:
                found = self._kept[key] = Answer(work)
                self._ask(found)
            self._kept.move_to_end(key)
            self._forget_oldest()
            return found

    def ask(self, answer: Answer) -> None:
        """Work out one that is kept elsewhere."""
        with self._lock:
            self._ask(answer)

    def close(self) -> None:
        """Nothing more is begun; waits a moment for what is being worked out."""
        self._closing = True
        self._asked.put(None)
        if self._thread is not None:
            self._thread.join(LAST_STEP_S)

    def _ask(self, answer: Answer) -> None:
        if self._closing:
            answer.drop()
            return
        self._asked.put(answer)
        self._wake()

    def _forget_oldest(self) -> None:
        """What somebody waits for goes last: else, with many asked at once, none would ever be there."""
        done = [key for key, one in self._kept.items() if one.done]
        for key in done[: max(len(done) - MOST_KEPT, 0)]:
            del self._kept[key]
        waiting = [key for key, one in self._kept.items() if not one.done]
        for key in waiting[: max(len(waiting) - MOST_WAITING, 0)]:
            self._kept[key].drop()

    def _wake(self) -> None:
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="beside", daemon=True)
            self._thread.start()

    def _work(self) -> None:
        while (answer := self._asked.get()) is not None:
            if self._closing:
                answer.drop()
            else:
                answer.work_out()
