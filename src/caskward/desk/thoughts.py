"""What is believed of batches, worked out beside the pages part by part, so that no page waits.

What a plan and its rows lead to is thought once and kept for a while; a new row is a new thought. Between two
parts the one that matters most goes on: what is sure of any batch comes before what else there is to say of
another, and what was asked for last comes first. First looks have a thread of their own, since one part of
something else may take longer than a maker waits for what was just recorded.
"""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from caskward import pace
from caskward.desk.beside import LAST_STEP_S
from caskward.desk.kept import OpenBook
from caskward.desk.right_of_way import Rank, RightOfWay, page_waits
from caskward.errors import CaskwardError
from caskward.errors.desk_work import NotWorkedOut
from caskward.services.book import batch_follow
from caskward.services.book.batch_record import BatchRecord

PARTS: Final = ("plan", "first", "cards", "now", "next", "why", "remedy")
"""In the order in which they are worked out; each needs only earlier ones, or what was thought before."""
_SOON: Final = ("plan", "first", "cards", "now")
ON_THE_BENCH: Final = 12
"""So many batches are thought over for the Bench."""
MOST_KEPT: Final = ON_THE_BENCH + 4
"""So many are held with all that they are made of, some 40 MB each: the Bench's and a few more."""
MOST_WAITING: Final = 64
_QUIET_S: Final = 5.0
"""Who asks again sooner only waits for it; later, it is asked for anew."""
Mark = tuple[str, int, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Failed:
    """Why a part cannot be had."""

    sentence: str


class Thought:
    """What is known so far of one batch as it stood.

    number: of the newest entry with which it was asked for. asked: how many were asked for before it.
    """

    def __init__(self, of: BatchRecord, before: Thought | None = None) -> None:
        """`before`: of the same batch and plan, before its last rows."""
        self.of = of
        self.before = before
        self.begun, self.number, self.asked = False, 0, 0
        self.heard_s, self.done_s = 0.0, 0.0
        self._found: dict[str, Any] = {}
        self._stopped = False
        self._changed = threading.Condition()

    @property
    def missing(self) -> tuple[str, ...]:
        """Parts that are not worked out yet, in order; none of one that was stopped."""
        with self._changed:
            return () if self._stopped else tuple(name for name in PARTS if name not in self._found)

    @property
    def stopped(self) -> bool:
        """Whether nothing more of it will be worked out."""
        with self._changed:
            return self._stopped

    def has(self, part: str) -> bool:
        """Whether a part is worked out, or failed."""
        with self._changed:
            return part in self._found

    def part(self, name: str, wait_s: float = 0.0) -> Any:
        """A part, a `Failed`, or None while it is not worked out; nobody waits for what was stopped."""
        if wait_s > 0.0 and not self.has(name):
            page_waits()
        with self._changed:
            self._changed.wait_for(lambda: name in self._found or self._stopped, wait_s)
            return self._found.get(name)

    def good(self, name: str) -> Any:
        """A part that is worked out and did not fail, else None."""
        found = self.part(name)
        return None if isinstance(found, Failed) else found

    def put(self, name: str, found: Any) -> None:
        """A part is worked out."""
        with self._changed:
            self._found[name] = found
            if len(self._found) == len(PARTS):
                self.done_s = time.monotonic()
            self._changed.notify_all()

    def stop(self, *, stopped: bool = True) -> None:
        """Nothing more of it is worked out; or it goes on after all."""
        with self._changed:
            self._stopped = stopped
            self._changed.notify_all()


class Thoughts:
    """Every thought of this desk."""

    def __init__(self, book: OpenBook, way: RightOfWay | None = None) -> None:
        """`way`: whom to let go first; nobody else's business where there is none."""
        self._book, self._way = book, way or RightOfWay()
        self._kept: OrderedDict[Mark, Thought] = OrderedDict()
        self._newest: dict[str, Thought] = {}
        self._changed = threading.Condition()
        self._threads: list[threading.Thread] = []
        self._asks = 0
        self._closing = False

    def of(self, record: BatchRecord) -> Thought:
        """The thought of a batch as it stands; begun if it is new."""
        with self._changed:
            found = self._kept.get(record.mark)
            if found is None:
                found = self._kept[record.mark] = self._new(record)
            self._heard(found, record)
            self._kept.move_to_end(record.mark)
            self._let_waiting_go()
            if not self._closing:
                self._wake()
            self._changed.notify_all()
            return found

    def known(self, record: BatchRecord) -> Thought | None:
        """The thought of a batch if it was begun."""
        with self._changed:
            return self._kept.get(record.mark)

    def close(self) -> None:
        """Nothing more is thought; waits a moment for the part that is being worked out."""
        with self._changed:
            self._closing = True
            for thought in self._kept.values():
                thought.stop()
            self._kept.clear()
            self._newest.clear()
            self._changed.notify_all()
        for thread in self._threads:
            thread.join(LAST_STEP_S)

    # What is asked for ---------------------------------------------------------------------------

    def _new(self, record: BatchRecord) -> Thought:
        """A new thought, with what it shares with earlier ones of the same plan."""
        same = [one for one in reversed(self._kept.values()) if _goes_on(record, one.of)]
        before = next((one for one in same if one.good("now")), None)
        found = Thought(record, before)
        if before is None:
            found.put("first", None)
        else:
            before.before = None  # a chain of all that was ever thought would stay in memory
        for part in ("plan", "cards"):
            known = next((one.good(part) for one in same if one.good(part)), None)
            if known:
                found.put(part, known)
        return found

    def _heard(self, found: Thought, record: BatchRecord) -> None:
        """It was asked for: of a batch only the newest goes on."""
        now_s = time.monotonic()
        if now_s - found.heard_s > _QUIET_S:
            self._asks += 1
            found.asked = self._asks
        found.heard_s = now_s
        found.number = max(found.number, record.entries[-1].number if record.entries else 0)
        newest = self._newest.get(record.name)
        if newest is found:
            return
        if newest is not None and newest.number > found.number:
            found.stop()  # asked for by a page that read the book a moment ago
            return
        if newest is not None:
            newest.stop()
        found.stop(stopped=self._closing)
        self._newest[record.name] = found

    def _let_waiting_go(self) -> None:
        waiting = [one for one in self._kept.values() if not one.begun]
        for one in waiting[: max(len(waiting) - MOST_WAITING, 0)]:
            self._forget(one)

    def _forget(self, thought: Thought) -> None:
        """It is not kept any more; who waits for it is told."""
        thought.stop()
        del self._kept[thought.of.mark]
        if self._newest.get(thought.of.name) is thought:
            del self._newest[thought.of.name]

    # What is worked out next ---------------------------------------------------------------------

    def _wake(self) -> None:
        if not self._threads:
            for rank, choose in ((Rank.LOOK, self._a_first_look), (Rank.THOUGHT, self._a_part)):
                thread = threading.Thread(
                    target=self._think, args=(rank, choose), name="thoughts", daemon=True
                )
                self._threads.append(thread)
                thread.start()

    def _think(self, rank: Rank, choose: Callable[[], tuple[Thought, str] | None]) -> None:
        while True:
            with self._changed:
                chosen = None
                while not self._closing and (chosen := choose()) is None:
                    self._changed.wait(_QUIET_S)
                if self._closing or chosen is None:
                    return
            with self._way.first(rank), pace.giving_way(lambda: self._way.give_way(rank)):
                self._work_out(*chosen)
            with self._changed:
                self._changed.notify_all()

    def _a_first_look(self) -> tuple[Thought, str] | None:
        wanted = [one for one in self._kept.values() if "first" in one.missing]
        return (max(wanted, key=lambda one: one.asked), "first") if wanted else None

    def _a_part(self) -> tuple[Thought, str] | None:
        """The part that matters most; what was not begun only where there is room for it.

        None is begun beside a first look, which would take twice as long then.
        """
        if self._a_first_look() is not None:
            return None
        wanted = [
            (one, next(part for part in parts if part != "first"))
            for one in self._kept.values()
            if set(parts := one.missing) - {"first"}
        ]
        wanted.sort(key=lambda pair: (pair[1] not in _SOON, -pair[0].asked))
        for thought, part in wanted:
            if thought.begun or self._is_room():
                thought.begun = True
                return thought, part
        return None

    def _is_room(self) -> bool:
        """Whether one more can be begun, once those are gone that nobody needs any more."""
        over = sum(one.begun for one in self._kept.values()) - MOST_KEPT + 1
        if over <= 0:
            return True
        needless = sorted(filter(_is_needless, self._kept.values()), key=lambda one: not one.stopped)
        for one in needless[:over]:
            self._forget(one)
        return len(needless) >= over

    def _work_out(self, thought: Thought, name: str) -> None:
        try:
            found: Any = WORK[name](self._book, thought)
        except CaskwardError as error:
            found = Failed(str(error))
        except Exception as error:  # the thread goes on with the next batch, whatever this one did
            found = Failed(str(NotWorkedOut(error)))
        thought.put(name, found)
        if isinstance(found, Failed) and name in ("plan", "now"):
            for later in PARTS[PARTS.index(name) + 1 :]:
                if not thought.has(later):
                    thought.put(later, found)


def _goes_on(record: BatchRecord, earlier: BatchRecord) -> bool:
    """Whether a batch's rows go on from those of an earlier look at it, with the same plan."""
    same = (earlier.name, earlier.plan) == (record.name, record.plan)
    return same and earlier.followed == record.followed[: len(earlier.followed)]


def _is_needless(thought: Thought) -> bool:
    """Whether it was looked at since it was done, or nobody came to look; or a newer one goes on from it."""
    if thought.stopped:
        return thought.begun
    done_s = thought.done_s
    return bool(done_s) and (thought.heard_s > done_s or time.monotonic() - done_s > _QUIET_S)


def _first(_: OpenBook, of: Thought) -> Any:
    """About what the last rows do, before all of it is worked out; nothing of a batch seen anew."""
    before = of.before
    now = before.good("now") if before and not of.has("now") else None
    return batch_follow.first_look(of.of, now) if now else None


WORK: Final[dict[str, Callable[[OpenBook, Thought], Any]]] = {
    "plan": lambda book, of: batch_follow.opened(book.to_read(), of.of),
    "first": _first,
    "cards": lambda _, of: batch_follow.cards_of(of.part("plan")),
    "now": lambda _, of: batch_follow.now(of.part("plan"), of.of),
    "next": lambda _, of: batch_follow.next_of(of.part("now")),
    "why": lambda _, of: batch_follow.why_of(of.part("now")),
    "remedy": lambda _, of: batch_follow.remedy_of(of.part("now")),
}
