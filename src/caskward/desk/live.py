"""Tells every open screen that the book has moved on, whoever wrote in it: this desk or a command beside it.

The book is asked for its newest entry once in a while, and only while somebody listens.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import suppress

LOOK_EVERY_S = 1.0
STILL_HERE_S = 20.0
MOST_LISTENERS = 64


class Broker:
    """Hands the number of the newest entry to everyone who listens."""

    def __init__(self, newest: Callable[[], int], every_s: float = LOOK_EVERY_S) -> None:
        """`newest`: the number of the newest entry, asked in a thread of its own."""
        self._newest, self._every_s = newest, every_s
        self._listeners: set[asyncio.Queue[int]] = set()
        self._watch: asyncio.Task[None] | None = None
        self._told: int | None = None
        self._closing = asyncio.Event()

    @property
    def full(self) -> bool:
        """Whether nobody more can listen."""
        return len(self._listeners) >= MOST_LISTENERS

    async def listen(self) -> AsyncIterator[str]:
        """Server-sent events: the newest number now and whenever it changes, and a sign of life between."""
        queue: asyncio.Queue[int] = asyncio.Queue(maxsize=8)
        self._listeners.add(queue)
        if self._told is not None:
            self._put(queue, self._told)
        if self._watch is None or self._watch.done():
            self._watch = asyncio.create_task(self._look())
        try:
            yield "retry: 3000\n\n"
            while not self._closing.is_set():
                number: int | None = None
                with suppress(TimeoutError):
                    number = await asyncio.wait_for(queue.get(), STILL_HERE_S)
                yield ": still here\n\n" if number is None else f"event: book\ndata: {number}\n\n"
        finally:
            self._listeners.discard(queue)

    async def close(self) -> None:
        """Stop looking, and let every listener go."""
        self._closing.set()
        for queue in self._listeners:
            self._put(queue, 0)
        if self._watch is not None:
            self._watch.cancel()
            with suppress(asyncio.CancelledError):
                await self._watch

    async def _look(self) -> None:
        self._told = None
        while self._listeners:
            # A book that cannot be read just now says so on the page itself; the next look may succeed.
            with suppress(Exception):
                number = await asyncio.to_thread(self._newest)
                if number != self._told:
                    self._told = number
                    for queue in self._listeners:
                        self._put(queue, number)
            await asyncio.sleep(self._every_s)

    @staticmethod
    def _put(queue: asyncio.Queue[int], number: int) -> None:
        """Who is too slow misses numbers between, never the newest."""
        if queue.full():
            queue.get_nowait()
        queue.put_nowait(number)
