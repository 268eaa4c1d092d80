"""The book as reports read it: all its entries at one moment, and whether it is an invented one."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from caskward.book.accounts import root_of
from caskward.book.chain import breaks
from caskward.book.entry import Entry
from caskward.book.flow import Flow
from caskward.book.history import Happening, as_put_right
from caskward.book.state import State, replay
from caskward.book.trace import Trace, trace_of
from caskward.errors import EntryDamaged, UnclearValue
from caskward.errors.book_read import AccountUnheard
from caskward.services.book.marks import Marks, marks_of
from caskward.services.book.opened import to_read
from caskward.services.book.own_units import system_typed
from caskward.units.types import UnitSystem


@dataclass(frozen=True)
class Looked:
    """Entries of a book; what follows from them is worked out when it is asked for."""

    entries: Sequence[Entry]

    @cached_property
    def state(self) -> State:
        """Balances as booked."""
        return replay(self.entries)

    @cached_property
    def put_right(self) -> Sequence[Happening]:
        """What happened, each correction in the place of what it corrects."""
        return as_put_right(self.entries)

    @cached_property
    def trace(self) -> Trace:
        """Where everything came from, corrections put right."""
        return trace_of(self.put_right)

    @property
    def flow(self) -> Flow:
        """What everything is made of."""
        return self.trace.flow

    @cached_property
    def marks(self) -> Marks:
        """The maker's own marks."""
        return marks_of(self.entries)

    @cached_property
    def system(self) -> UnitSystem:
        """The units that were typed last."""
        return system_typed(str(entry.details.get("asked", "")) for entry in reversed(self.entries))

    @property
    def invented(self) -> bool:
        """Whether the book says of itself that it is made up."""
        first = self.entries[0] if self.entries else None
        return first is not None and first.details.get("invented") is True

    def until(self, known_at: datetime | None) -> Looked:
        """The book as it was then, by the time of record."""
        if known_at is None:
            return self
        return Looked([entry for entry in self.entries if entry.recorded_at <= known_at])

    @cached_property
    def accounts(self) -> tuple[str, ...]:
        """Every account that an entry names, in order."""
        found = {part.account for entry in self.entries for part in entry.postings}
        return tuple(sorted(found | set(self.state.rooms_ul)))

    def account(self, typed: str) -> str:
        """The account that a maker means by `cask 12`, `cask/12`, `rye 25-1`; a batch is what it made.

        Raises:
            AccountUnheard: none is called so. UnclearValue: several are.
        """
        wanted = _alike(typed)
        whole = [account for account in self.accounts if _alike(account) == wanted]
        short = [account for account in self.accounts if wanted in _short_names(account)]
        places = [account for account in short if root_of(account).holds]
        for found in (whole, places, short):
            if len(found) > 1:
                raise UnclearValue("a place", typed, tuple(repr(one) for one in found))
            if found:
                return found[0]
        names = {_alike(account): account for account in self.accounts if root_of(account).holds}
        names |= {short: account for account in names.values() for short in _short_names(account)}
        close = difflib.get_close_matches(wanted, names, n=1)
        raise AccountUnheard(typed, names[close[0]].replace("/", " ", 1) if close else None)


def look(place: str = "") -> Looked:
    """All entries of the book, each as it was recorded.

    Raises:
        NoBookYet: there is none. EntryDamaged: one was changed since, so that no report can be made of it.
    """
    with to_read(place) as book:
        found = tuple(book.entries())
    for broken in breaks(found):
        raise EntryDamaged(broken.number or 0, "the chain of hashes breaks there")
    return Looked(found)


def look_on(was: Looked, place: str = "") -> Looked | None:
    """The book with all that was entered since; None where it is not the same book any more.

    Raises:
        NoBookYet: there is none. EntryDamaged: a newer entry was changed since.
    """
    last = was.entries[-1] if was.entries else None
    with to_read(place) as book:
        head = book.head()
        if last is None or head is None or head.number < last.number:
            return None
        new = tuple(book.entries(last.number))
    if not new:
        return was if head.hash == last.hash else None
    if new[0].before != last.hash:
        return None
    for broken in breaks(new, last):
        raise EntryDamaged(broken.number or 0, "the chain of hashes breaks there")
    return Looked((*was.entries, *new))


def _short_names(account: str) -> set[str]:
    """What an account is called without its root; what was made, by its batch; what was used, not at all."""
    root, _, name = account.partition("/")
    if root in ("used", "changed", "unaccounted"):
        return set()
    return {_alike(name.rpartition("/")[2] if root == "made" else name)}


def _alike(name: str) -> str:
    return " ".join(name.replace("/", " ").casefold().split())
