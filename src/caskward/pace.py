"""Long work that lets what is urgent go first: it asks between its steps.

A program that answers people while it thinks has one interpreter for both. It says how one of its threads
gives way; the models breathe between their steps and know nothing of why.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cached_property
from typing import Any, TypeVar, overload

T = TypeVar("T")

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


class once(cached_property[T]):  # noqa: N801 # a decorator, named as those of the standard library are
    """`functools.cached_property` without its lock, as from Python 3.12 on.

    In 3.11 one lock serves a property of all instances: work that breathes in it would hold up the same work
    of others, which is what it makes way for. Two threads may work the same out for one instance; both come
    to the same.
    """

    @overload
    def __get__(self, instance: None, owner: type[Any] | None = None) -> once[T]: ...
    @overload
    def __get__(self, instance: object, owner: type[Any] | None = None) -> T: ...
    def __get__(self, instance: object, owner: type[Any] | None = None) -> once[T] | T:
        """What is kept, else what the function returns, which is kept."""
        if instance is None:
            return self
        name = str(self.attrname)
        kept = instance.__dict__
        if name not in kept:
            kept[name] = self.func(instance)
        found: T = kept[name]
        return found
