"""What is believed of batches, worked out beside the pages part by part, so that no page waits.

One thread thinks, in the order in which pages ask. What a plan and its rows lead to is thought once and kept
for a while; a new row is a new thought, and the one on the rows before it ends there: whoever records one
thing after another waits for the last alone.
"""

from __future__ import annotations

import queue
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from caskward.desk.beside import LAST_STEP_S
from caskward.desk.kept import OpenBook
from caskward.errors import CaskwardError
from caskward.services.book import batch_follow
from caskward.services.book.batch_record import BatchRecord

PARTS: Final = ("plan", "first", "cards", "now", "next", "why", "remedy")
"""In the order in which they are worked out; each needs only earlier ones, or what was thought before."""
MOST_KEPT: Final = 12
_OVERTAKEN: Final = "Something was recorded meanwhile. Ask again."


@dataclass(frozen=True, slots=True)
class Failed:
    """Why a part cannot be had."""

    sentence: str


class Thought:
    """What is known so far of one batch as it stood."""

    def __init__(self, of: BatchRecord, before: Thought | None = None) -> None:
        """`before`: of the same batch and plan, before its last rows."""
        self.of = of
        self.before = before
        self.ended = False
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
        self._kept: OrderedDict[tuple[str, int, tuple[str, ...]], Thought] = OrderedDict()
        self._asked: queue.SimpleQueue[Thought | None] = queue.SimpleQueue()
        self._newest: dict[str, Thought] = {}
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self._closing = False

    def of(self, record: BatchRecord) -> Thought:
        """The thought of a batch as it stands; begun if it is new."""
        with self._lock:
            found = self._kept.get(record.mark)
            if found is None or found.ended:
                found = self._kept[record.mark] = Thought(record, self._before(record))
                self._asked.put(found)
                self._wake()
            self._newest[record.name] = found
            self._kept.move_to_end(record.mark)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            return found

    def _before(self, record: BatchRecord) -> Thought | None:
        """The newest thought that this one goes on from."""
        for mark, thought in reversed(self._kept.items()):
            name, plan, rows = mark
            goes_on = rows == record.followed[: len(rows)]
            if (name, plan) == (record.name, record.plan) and goes_on and thought.good("now"):
                thought.before = None  # a chain of all that was ever thought would stay in memory
                return thought
        return None

    def known(self, record: BatchRecord) -> Thought | None:
        """The thought of a batch if it was begun."""
        with self._lock:
            return self._kept.get(record.mark)

    def close(self) -> None:
        """Nothing more is thought; waits a moment for the part that is being worked out."""
        self._closing = True
        with self._lock:
            self._kept.clear()
            self._newest.clear()
        self._asked.put(None)
        if self._thread is not None:
            self._thread.join(LAST_STEP_S)

    def _wake(self) -> None:
        if self._thread is None:
            self._thread = threading.Thread(target=self._think, name="thoughts", daemon=True)
            self._thread.start()

    def _think(self) -> None:
        while (thought := self._asked.get()) is not None:
            if self._is_kept(thought):
                self._work_out(thought)

    def _is_kept(self, thought: Thought) -> bool:
        with self._lock:
            return self._kept.get(thought.of.mark) is thought

    def _work_out(self, thought: Thought) -> None:
        for name in PARTS:
            if self._closing:
                return
            if self._is_overtaken(thought):
                _end(thought, name, _OVERTAKEN)
                return
            try:
                found: Any = WORK[name](self._book, thought)
            except CaskwardError as error:
                found = Failed(str(error))
            except Exception as error:  # the thread goes on with the next batch, whatever this one did
                found = Failed(f"This could not be worked out ({type(error).__name__}). The record is whole.")
            thought.put(name, found)
            if isinstance(found, Failed) and name in ("plan", "now"):
                _end(thought, name, found.sentence)
                return

    def _is_overtaken(self, thought: Thought) -> bool:
        """Whether more was recorded of its batch; it ends half thought, to begin anew if it holds again."""
        with self._lock:
            thought.ended = self._newest.get(thought.of.name) is not thought
            return thought.ended


def _end(thought: Thought, at: str, sentence: str) -> None:
    """Nothing more is worked out of it, so nobody should wait for it."""
    for name in PARTS[PARTS.index(at) :]:
        thought.put(name, Failed(sentence))


def _plan(book: OpenBook, of: Thought) -> Any:
    """The plan; it is the same one as before the last rows."""
    return of.before.good("plan") if of.before else batch_follow.opened(book.to_read(), of.of)


def _first(_: OpenBook, of: Thought) -> Any:
    """About what the last rows do, before all of it is worked out; nothing of a batch seen anew."""
    now = of.before.good("now") if of.before else None
    return batch_follow.first_look(of.of, now) if now else None


def _cards(_: OpenBook, of: Thought) -> Any:
    known = of.before.good("cards") if of.before else None
    return known or batch_follow.cards_of(of.part("plan"))


WORK: Final[dict[str, Callable[[OpenBook, Thought], Any]]] = {
    "plan": _plan,
    "first": _first,
    "cards": _cards,
    "now": lambda _, of: batch_follow.now(of.part("plan"), of.of),
    "next": lambda _, of: batch_follow.next_of(of.part("now")),
    "why": lambda _, of: batch_follow.why_of(of.part("now")),
    "remedy": lambda _, of: batch_follow.remedy_of(of.part("now")),
}
