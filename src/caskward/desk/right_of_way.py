"""Who goes first in the one interpreter: a page before a first look, a first look before all other thought.

Nobody waits for long: what has the right of way has it only for a moment and while it moves, then all go on
side by side. And nobody stands still for longer than it has gone on before, however many pages are asked for.
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
_MOVES_S: Final = 0.05
"""A first look that breathes no more waits itself, perhaps for what one who stands still holds locked."""
_PATIENCE_S: Final = 1.0
"""So long somebody stands still who has gone on for a while; whoever has not, only as long as it went on."""


@dataclass(eq=False, slots=True)
class _Going:
    rank: Rank
    until_s: float
    moved_s: float

    def longest_s(self, now_s: float) -> float:
        moves_s = self.moved_s + _MOVES_S if self.rank == Rank.LOOK else self.until_s  # a page never breathes
        return min(self.until_s, moves_s) - now_s


@dataclass(slots=True)
class _Patience:
    """How long those of a rank may still stand, when they last had stood."""

    left_s: float = field(default_factory=lambda: _PATIENCE_S)
    at_s: float = field(default_factory=time.monotonic)


@dataclass(frozen=True)
class RightOfWay:
    """One desk's."""

    _changed: threading.Condition = field(default_factory=threading.Condition)
    _going: set[_Going] = field(default_factory=set)
    _patience: dict[Rank, _Patience] = field(default_factory=lambda: {rank: _Patience() for rank in Rank})

    @contextmanager
    def first(self, rank: Rank) -> Iterator[Callable[[], None]]:
        """Lower ranks stand still for this; what it yields ends that early."""
        now_s = time.monotonic()
        mine = _Going(rank, now_s + _LONGEST_S[rank], now_s)
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
            begun_s, patience = time.monotonic(), self._patience[rank]
            self._moves(rank, begun_s)
            most_s = min(patience.left_s + begun_s - patience.at_s, _PATIENCE_S)
            now_s = begun_s
            while (longest_s := min(self._longest_s(rank, now_s), begun_s + most_s - now_s)) > 0.0:
                self._changed.wait(longest_s)
                now_s = time.monotonic()
            patience.left_s, patience.at_s = max(most_s - (now_s - begun_s), 0.0), now_s
            self._moves(rank, now_s)

    def _moves(self, rank: Rank, now_s: float) -> None:
        for one in self._going:
            if one.rank == rank:
                one.moved_s = now_s

    def _longest_s(self, rank: Rank, now_s: float) -> float:
        return max((one.longest_s(now_s) for one in self._going if one.rank > rank), default=0.0)


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
