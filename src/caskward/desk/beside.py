"""Answers that take seconds, worked out beside the pages by one thread, in the order in which they are asked.

Each is kept under a key that says all it follows from; an answer that nobody waits for any more is dropped
before it is begun.
"""

from __future__ import annotations

import queue
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, Final

from caskward.errors import CaskwardError

MOST_KEPT: Final = 24
LAST_STEP_S: Final = 5.0
"""How long a desk that closes waits for what is being worked out; a library's thread dies badly under it."""


class Answer:
    """One of them: its value, or why there is none, once it is done."""

    def __init__(self, work: Callable[[], Any]) -> None:
        """`work` is done once, by `work_out`."""
        self._work: Callable[[], Any] | None = work
        self._done = threading.Event()
        self.value: Any = None
        self.error: CaskwardError | None = None
        self._fault = ""

    @property
    def done(self) -> bool:
        """Whether it is worked out, or failed."""
        return self._done.is_set()

    @property
    def failed(self) -> str:
        """Why there is no answer, as a sentence; empty if there is one."""
        return str(self.error) if self.error else self._fault

    def wait(self, seconds: float) -> bool:
        """Wait for it at the most so long; returns whether it is done."""
        return self._done.wait(seconds)

    def work_out(self) -> None:
        """Work it out, in whatever thread this is."""
        work, self._work = self._work, None  # what it holds on to is not needed any more
        try:
            self.value = work() if work else None
        except CaskwardError as error:
            self.error = error
        except Exception as error:  # a page that waits is told, whatever it was
            self._fault = f"This could not be worked out ({type(error).__name__}). The record is whole."
        finally:
            self._done.set()


class Beside:
    """Every such answer of one kind; threads may share it."""

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, Answer] = OrderedDict()
        self._asked: queue.SimpleQueue[Answer | None] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None

    def answer(self, key: Hashable, work: Callable[[], Any]) -> Answer:
        """The answer of that key, begun if it is new."""
        with self._lock:
            found = self._kept.get(key)
            if found is None:
                found = self._kept[key] = Answer(work)
                self._asked.put(found)
                self._wake()
            self._kept.move_to_end(key)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            return found

    def forget(self) -> None:
        """Nothing that was asked so far counts any more."""
        with self._lock:
            self._kept.clear()

    def close(self) -> None:
        """Nothing more is begun; waits a moment for what is being worked out."""
        self.forget()
        self._asked.put(None)
        if self._thread is not None:
            self._thread.join(LAST_STEP_S)

    def _wake(self) -> None:
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="beside", daemon=True)
            self._thread.start()

    def _work(self) -> None:
        while (answer := self._asked.get()) is not None:
            with self._lock:
                wanted = answer in self._kept.values()
            if wanted:
                answer.work_out()
