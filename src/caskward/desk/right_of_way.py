"""Who goes first in the one interpreter: a page before a first look, a first look before all other thought.

Nobody waits for long: what has the right of way has it only for a moment, then all go on side by side.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Final


class Rank(IntEnum):
    """The higher goes first."""

    THOUGHT = 0
    LOOK = 1
    PAGE = 2


_LONGEST_S: Final = {Rank.THOUGHT: 0.0, Rank.LOOK: 1.0, Rank.PAGE: 0.15}
"""So long others stand still for one of a rank: a page that works something out itself has it no longer."""


@dataclass(eq=False, slots=True)
class _Going:
    rank: Rank
    until_s: float


@dataclass(frozen=True)
class RightOfWay:
    """One desk's."""

    _changed: threading.Condition = field(default_factory=threading.Condition)
    _going: set[_Going] = field(default_factory=set)

    @contextmanager
    def first(self, rank: Rank) -> Iterator[Callable[[], None]]:
        """Lower ranks stand still for this; what it yields ends that early."""
        mine = _Going(rank, time.monotonic() + _LONGEST_S[rank])
        if rank > Rank.THOUGHT:
            with self._changed:
                self._going.add(mine)

        def end() -> None:
            with self._changed:
                self._going.discard(mine)
                self._changed.notify_all()

        try:
            yield end
        finally:
            end()

    def give_way(self, rank: Rank) -> None:
        """Stand still while anyone of a higher rank goes first."""
        if not self._going:  # nearly always, and asked a thousand times a second
            return
        with self._changed:
            while (longest_s := self._longest_s(rank)) > 0.0:
                self._changed.wait(longest_s)

    def _longest_s(self, rank: Rank) -> float:
        now_s = time.monotonic()
        return max((one.until_s - now_s for one in self._going if one.rank > rank), default=0.0)


_ends: ContextVar[Callable[[], None] | None] = ContextVar("ends the page's turn", default=None)


@contextmanager
def as_page(way: RightOfWay) -> Iterator[Callable[[], None]]:
    """A request is answered."""
    with way.first(Rank.PAGE) as end:
        before = _ends.set(end)
        try:
            yield end
        finally:
            _ends.reset(before)


def page_waits() -> None:
    """The page of this request waits for what others work out: they need not stand still for it."""
    end = _ends.get()
    if end is not None:
        end()
