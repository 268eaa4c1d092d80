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

from caskward.desk.thoughts import Failed
from caskward.errors import CaskwardError

MOST_KEPT: Final = 24
Work = Callable[[], Any]


class _Answer:
    def __init__(self, work: Work) -> None:
        self.work = work
        self.done = threading.Event()
        self.found: Any = None


class Beside:
    """Every such answer of one desk; threads may share it."""

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, _Answer] = OrderedDict()
        self._asked: queue.SimpleQueue[_Answer] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None

    def answer(self, key: Hashable, work: Work, wait_s: float = 0.0) -> Any:
        """What `work` gives, a `Failed`, or None while it is not worked out."""
        with self._lock:
            found = self._kept.get(key)
            if found is None:
                found = self._kept[key] = _Answer(work)
                self._asked.put(found)
                self._wake()
            self._kept.move_to_end(key)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
        found.done.wait(wait_s)
        return found.found if found.done.is_set() else None

    def _wake(self) -> None:
        if self._thread is None:
            # A desk that is closed does not wait for an answer to end.
            self._thread = threading.Thread(target=self._work, name="beside", daemon=True)
            self._thread.start()

    def _work(self) -> None:
        while True:
            answer = self._asked.get()
            with self._lock:
                wanted = answer in self._kept.values()
            if wanted:
                answer.found = _tried(answer.work)
                answer.done.set()


def _tried(work: Work) -> Any:
    try:
        return work()
    except CaskwardError as error:
        return Failed(str(error))
    except Exception as error:  # the thread goes on with the next, whatever this one did
        return Failed(f"This could not be worked out ({type(error).__name__}). The record is whole.")
