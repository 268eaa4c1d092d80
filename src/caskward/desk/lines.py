"""Connections to the desk: none is kept for who only half asks, and no one address gets them all.

The server's own limit counts connections, and its own timer only runs between two requests: a few hundred
requests that are never finished would shut the desk for everybody. What a request sends after its head is
watched by the guard, which answers it.
"""

from __future__ import annotations

import asyncio
from typing import Final

from uvicorn.protocols.http.h11_impl import H11Protocol, RequestResponseCycle

HEAD_S: Final = 10.0
"""A request's head must be there so long after its connection, or the answer before it [s]."""
MOST_OF_ONE: Final = 48
"""So many connections one address may have at once: a browser opens six."""


class Line(H11Protocol):
    """One connection, as the server has it."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override] # as uvicorn's
        """Somebody calls; where there are too many lines already, the one that idles longest makes room."""
        super().connection_made(transport)
        self._due: asyncio.TimerHandle | None = None
        others = [
            one
            for one in self.connections
            if isinstance(one, Line) and one is not self and not one.transport.is_closing()
        ]
        own = [one for one in others if one.client and self.client and one.client[0] == self.client[0]]
        if len(own) >= MOST_OF_ONE:
            _make_room(own, self)
        elif self.limit_concurrency is not None and len(others) + 1 >= self.limit_concurrency:
            _make_room(others, self)
        self._watch()

    def data_received(self, data: bytes) -> None:
        """Something came; it does not make the time longer."""
        super().data_received(data)
        self._watch()

    def on_response_complete(self) -> None:
        """A request is answered; the next may follow."""
        super().on_response_complete()
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """It is over."""
        self._stop()
        super().connection_lost(exc)

    def _watch(self) -> None:
        asked: RequestResponseCycle | None = self.cycle  # there is none before the first request
        if asked is not None and not asked.response_complete:
            self._stop()  # it is the desk's turn
        elif self._due is None and not self.transport.is_closing():
            self._due = self.loop.call_later(HEAD_S, self.transport.abort)

    def _stop(self) -> None:
        if self._due is not None:
            self._due.cancel()
            self._due = None


def _make_room(lines: list[Line], newest: Line) -> None:
    """End the line whose time is up first; if the desk is busy with every one, the newest."""
    idle = {one: one._due.when() for one in lines if one._due is not None}
    (min(idle, key=lambda one: idle[one]) if idle else newest).transport.abort()
