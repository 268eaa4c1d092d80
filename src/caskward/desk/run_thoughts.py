"""Forecasts of runs, worked out from what is believed of a batch, and kept beside the desk's thoughts.

While a new reading is thought over, the forecast from before it is shown, and said to be that.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from caskward.desk.thoughts import Failed, Thought, Thoughts
from caskward.errors import CaskwardError
from caskward.services.batch_receivers import RunKey
from caskward.services.run_forecast import RunForecast, run_forecast

_LOCK = threading.Lock()
_KEPT: WeakKeyDictionary[Thought, dict[RunKey, RunForecast | Failed]] = WeakKeyDictionary()
_LAST: WeakKeyDictionary[Thoughts, dict[tuple[str, RunKey], RunForecast]] = WeakKeyDictionary()
_MOST_LAST = 24


@dataclass(frozen=True)
class Known:
    """What is known of a run's forecast now. stale: it is the one from before the last reading."""

    forecast: RunForecast | None = None
    waiting: bool = False
    stale: bool = False
    error: str = ""


def known(thoughts: Thoughts, thought: Thought | None, key: RunKey, *, work: bool) -> Known:
    """A run's forecast as far as it is known.

    Args:
        thought: of the batch; None without a plan. work: whether there is time to work it out, a tenth of a
            second, where what it follows from is known.
    """
    if thought is None:
        return Known()
    with _LOCK:
        found = _KEPT.setdefault(thought, {}).get(key)
        last = _LAST.setdefault(thoughts, {}).get((thought.of.name, key))
    if found is None:
        believed = thought.part("now")
        if isinstance(believed, Failed):
            return Known(last, stale=last is not None, error=believed.sentence)
        if believed is None or not work:
            return Known(last, waiting=True, stale=last is not None)
        found = _worked_out(believed.told.now, key)
        _keep(thoughts, thought, key, found)
    return Known(error=found.sentence) if isinstance(found, Failed) else Known(found)


def _worked_out(belief: object, key: RunKey) -> RunForecast | Failed:
    try:
        return run_forecast(belief, key)  # type: ignore[arg-type] # the thought's own, whose type planning has
    except CaskwardError as error:
        return Failed(str(error))


def _keep(thoughts: Thoughts, thought: Thought, key: RunKey, found: RunForecast | Failed) -> None:
    with _LOCK:
        _KEPT.setdefault(thought, {})[key] = found
        if isinstance(found, RunForecast):
            last = _LAST.setdefault(thoughts, {})
            last.pop((thought.of.name, key), None)
            last[thought.of.name, key] = found
            while len(last) > _MOST_LAST:
                last.pop(next(iter(last)))
