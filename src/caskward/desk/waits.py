"""Requests that wait for what is being worked out: so many at once, so that the desk keeps answering.

A page is made in one of a few dozen threads. One that waits holds its thread, so that enough of them would
stop every other page, a maker's reading too. Whoever comes too late is answered with what is known.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import BoundedSemaphore
from typing import Final

from caskward.errors.desk_api import StillBeingMade

MOST_WAITING: Final = 8


class Waits:
    """The turns of one desk, pages and programs together."""

    def __init__(self, most: int = MOST_WAITING) -> None:
        """`most`: so many wait at once."""
        self._turns, self._proof = BoundedSemaphore(most), BoundedSemaphore(1)

    @contextmanager
    def turn(self, wanted_s: float) -> Iterator[float]:
        """How long this one may wait [s]: as long as it wants, or not at all while too many wait."""
        if wanted_s <= 0.0 or not self._turns.acquire(blocking=False):
            yield 0.0
            return
        try:
            yield wanted_s
        finally:
            self._turns.release()

    @contextmanager
    def proof(self, wanted_s: float) -> Iterator[None]:
        """The one proof of the whole book at a time: it reads all of it, and takes seconds in a long one.

        Raises:
            StillBeingMade: another one goes on for so long, or too many wait already.
        """
        with self.turn(wanted_s) as wait_s:
            if not self._proof.acquire(timeout=wait_s):
                raise StillBeingMade
        try:
            yield
        finally:
            self._proof.release()
