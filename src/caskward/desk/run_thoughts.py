"""Forecasts of runs, worked out from what is believed of a batch, each once, kept beside the desk's thoughts.

While a new reading is thought over, the forecast from before it is shown, and said to be that.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Final
from weakref import WeakKeyDictionary

from caskward.desk.beside import Answer
from caskward.desk.thoughts import Failed, Thought
from caskward.services.batch_receivers import RunKey
from caskward.services.book import batch_follow
from caskward.services.book.batch_follow import Now
from caskward.services.run_forecast import RunForecast

_MOST_LAST: Final = 24
_TURN_S: Final = 0.5
"""How long a part of the page waits for a forecast that another part has begun."""


@dataclass(frozen=True)
class Known:
    """What is known of a run's forecast now. stale: it is the one from before the last reading."""

    forecast: RunForecast | None = None
    waiting: bool = False
    stale: bool = False
    error: str = ""


class RunThoughts:
    """Every run's forecast of one desk; threads may share it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: WeakKeyDictionary[Thought, dict[RunKey, Answer]] = WeakKeyDictionary()
        self._last: dict[tuple[str, RunKey], RunForecast] = {}

    def known(self, thought: Thought | None, key: RunKey, *, work: bool) -> Known:
        """A run's forecast as far as it is known.

        Args:
            thought: of the batch; None without a plan. work: whether there is time to work it out, a tenth
                of a second, where what it follows from is known.
        """
        if thought is None:
            return Known()
        with self._lock:
            found = self._kept.setdefault(thought, {}).get(key)
            last = self._last.get((thought.of.name, key))
        if found is None:
            believed = thought.part("now")
            if isinstance(believed, Failed):
                return Known(last, stale=last is not None, error=believed.sentence)
            if believed is None or not work:
                return Known(last, waiting=True, stale=last is not None)
            found = self._worked_out(thought, key, believed)
        if not found.wait(_TURN_S):
            return Known(last, waiting=True, stale=last is not None)
        return Known(error=found.failed) if found.failed else Known(found.value)

    def _worked_out(self, thought: Thought, key: RunKey, believed: Now) -> Answer:
        """The forecast, worked out by whoever asks first; several parts of a page ask at once."""
        with self._lock:
            kept = self._kept.setdefault(thought, {})
            found = kept.setdefault(key, Answer(lambda: batch_follow.run_of(believed, key)))
        found.work_out()
        if isinstance(found.value, RunForecast):
            self._keep_last(thought.of.name, key, found.value)
        return found

    def _keep_last(self, name: str, key: RunKey, found: RunForecast) -> None:
        with self._lock:
            self._last.pop((name, key), None)
            self._last[name, key] = found
            while len(self._last) > _MOST_LAST:
                self._last.pop(next(iter(self._last)))
