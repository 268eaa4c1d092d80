"""Long work that lets what is urgent go first: it asks between its steps.

A program that answers people while it thinks has one interpreter for both. It says how one of its threads
gives way; the models breathe between their steps and know nothing of why.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_GIVES_WAY: ContextVar[Callable[[], None] | None] = ContextVar("gives way", default=None)


def breathe() -> None:
    """Between two steps of long work: waits as long as whoever set it on its way says, mostly not at all."""
    give_way = _GIVES_WAY.get()
    if give_way is not None:
        give_way()


@contextmanager
def giving_way(to: Callable[[], None]) -> Iterator[None]:
    """Work of this thread calls this between its steps, whose results it does not change."""
    before = _GIVES_WAY.set(to)
    try:
        yield
    finally:
        _GIVES_WAY.reset(before)
