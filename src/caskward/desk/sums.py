"""What takes a second or more, worked out once beside the pages and kept for a while."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, Final

from caskward.errors import CaskwardError

MOST_KEPT: Final = 16
_AT_ONCE: Final = 1


class Sum:
    """One of them: its value, or why there is none, once it is done."""

    def __init__(self) -> None:
        self.value: Any = None
        self.failed = ""
        self._done = threading.Event()

    @property
    def done(self) -> bool:
        """Whether it is worked out, or failed."""
        return self._done.is_set()

    def wait(self, seconds: float) -> None:
        """Wait for it at the most so long."""
        if seconds > 0:
            self._done.wait(seconds)

    def work(self, how: Callable[[], Any]) -> None:
        """Work it out."""
        try:
            self.value = how()
        except CaskwardError as error:
            self.failed = str(error)
        except Exception as error:  # a page that waits is told, whatever it was
            self.failed = f"This could not be worked out ({type(error).__name__}). The record is whole."
        finally:
            self._done.set()


class Sums:
    """All of them, by what they follow from."""

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, Sum] = OrderedDict()
        self._lock = threading.Lock()
        self._turns = threading.Semaphore(_AT_ONCE)

    def of(self, what: Hashable, how: Callable[[], Any]) -> Sum:
        """The one of that name; begun if it is new."""
        with self._lock:
            found = self._kept.get(what)
            if found is None:
                found = self._kept[what] = Sum()
                threading.Thread(target=self._work, args=(found, how), name="sum", daemon=True).start()
            self._kept.move_to_end(what)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            return found

    def _work(self, found: Sum, how: Callable[[], Any]) -> None:
        with self._turns:
            found.work(how)
