"""What is believed of batches, worked out beside the pages part by part, so that no page waits.

One thread thinks, in the order in which pages ask. What a plan and its rows lead to is thought once and kept
for a while; a new row is a new thought.
"""

from __future__ import annotations

import queue
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from caskward.desk.kept import OpenBook
from caskward.errors import CaskwardError
from caskward.services.book import batch_follow
from caskward.services.book.batch_record import BatchRecord

PARTS: Final = ("plan", "cards", "now", "next", "why", "remedy")
"""In the order in which they are worked out; each needs only earlier ones."""
MOST_KEPT: Final = 12


@dataclass(frozen=True, slots=True)
class Failed:
    """Why a part cannot be had."""

    sentence: str


class Thought:
    """What is known so far of one batch as it stood."""

    def __init__(self, of: BatchRecord) -> None:
        self.of = of
        self._found: dict[str, Any] = {}
        self._changed = threading.Condition()

    def has(self, part: str) -> bool:
        """Whether a part is worked out, or failed."""
        with self._changed:
            return part in self._found

    def part(self, name: str, wait_s: float = 0.0) -> Any:
        """A part, a `Failed`, or None while it is not worked out."""
        with self._changed:
            self._changed.wait_for(lambda: name in self._found, wait_s)
            return self._found.get(name)

    def good(self, name: str) -> Any:
        """A part that is worked out and did not fail, else None."""
        found = self.part(name)
        return None if isinstance(found, Failed) else found

    def put(self, name: str, found: Any) -> None:
        """A part is worked out."""
        with self._changed:
            self._found[name] = found
            self._changed.notify_all()


class Thoughts:
    """Every thought of this desk."""

    def __init__(self, book: OpenBook) -> None:
        self._book = book
        self._kept: OrderedDict[object, Thought] = OrderedDict()
        self._asked: queue.SimpleQueue[Thought] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None

    def of(self, record: BatchRecord) -> Thought:
        """The thought of a batch as it stands; begun if it is new."""
        with self._lock:
            found = self._kept.get(record.mark)
            if found is None:
                found = self._kept[record.mark] = Thought(record)
                self._asked.put(found)
                self._wake()
            self._kept.move_to_end(record.mark)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            return found

    def known(self, record: BatchRecord) -> Thought | None:
        """The thought of a batch if it was begun."""
        with self._lock:
            return self._kept.get(record.mark)

    def _wake(self) -> None:
        if self._thread is None:
            # A desk that is closed does not wait for a thought to end.
            self._thread = threading.Thread(target=self._think, name="thoughts", daemon=True)
            self._thread.start()

    def _think(self) -> None:
        while True:
            thought = self._asked.get()
            if self._is_kept(thought):
                self._work_out(thought)

    def _is_kept(self, thought: Thought) -> bool:
        with self._lock:
            return self._kept.get(thought.of.mark) is thought

    def _work_out(self, thought: Thought) -> None:
        for name in PARTS:
            try:
                found: Any = _WORK[name](self._book, thought)
            except CaskwardError as error:
                found = Failed(str(error))
            except Exception as error:  # the thread goes on with the next batch, whatever this one did
                found = Failed(f"This could not be worked out ({type(error).__name__}). The record is whole.")
            thought.put(name, found)
            if isinstance(found, Failed) and name in ("plan", "now"):
                for later in PARTS[PARTS.index(name) + 1 :]:
                    thought.put(later, found)
                return


_WORK: Final[dict[str, Callable[[OpenBook, Thought], Any]]] = {
    "plan": lambda book, of: batch_follow.opened(book.to_read(), of.of),
    "cards": lambda _, of: batch_follow.cards_of(of.part("plan")),
    "now": lambda _, of: batch_follow.now(of.part("plan"), of.of),
    "next": lambda _, of: batch_follow.next_of(of.part("now")),
    "why": lambda _, of: batch_follow.why_of(of.part("now")),
    "remedy": lambda _, of: batch_follow.remedy_of(of.part("now")),
}
