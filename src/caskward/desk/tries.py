"""Wrong passphrases counted by who tries what from where; after a few, each further one costs a longer wait.

Whoever guesses at a name from one address is stopped soon. The name alone is stopped far later, else anybody
who guesses would keep its owner out; a browser on which that name signed in before has a count of its own.
"""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable

from caskward.errors.desk import TriedTooOften

FREE, FREE_OF_AN_ADDRESS, FREE_OF_A_NAME = 5, 20, 100
FIRST_WAIT_S, LONGEST_WAIT_S = 15.0, 900.0
_MOST_KEPT = 4096


class Tries:
    """Who has tried how often; forgotten when the desk is closed."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        """`now`: seconds of any clock that goes on."""
        self._now, self._lock = now, threading.Lock()
        self._wrong: OrderedDict[str, tuple[int, float]] = OrderedDict()

    def begin(self, *keys: str, free: int = FREE) -> None:
        """Count a try as wrong before it is looked at, so that many at once are counted, too.

        Args:
            free: so many cost no wait.

        Raises:
            TriedTooOften: there were too many, with how long to wait.
        """
        with self._lock:
            waits = [self._wrong[key][1] - self._now() for key in keys if key in self._wrong]
            if max(waits, default=0.0) > 0.0:
                raise TriedTooOften(max(waits))
            for key in keys:
                count = self._wrong.pop(key, (0, 0.0))[0] + 1
                wait = (
                    min(LONGEST_WAIT_S, FIRST_WAIT_S * 2.0 ** min(count - free, 10)) if count >= free else 0.0
                )
                self._wrong[key] = (count, self._now() + wait)
            while len(self._wrong) > _MOST_KEPT:
                self._wrong.popitem(last=False)

    def right(self, *keys: str) -> None:
        """Forget what was tried: the last one was right."""
        with self._lock:
            for key in keys:
                self._wrong.pop(key, None)
