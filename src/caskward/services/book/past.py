"""What was entered before, as far as a deed has to look back: of a batch, of a place, of all."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from caskward.book.entry import Entry
from caskward.book.state import State
from caskward.store.journal import Journal

_POSTINGS = 100
"""So many of a place's newest postings are looked at for one of a later time."""


def _none(_: object) -> Sequence[Entry]:
    return ()


@dataclass(frozen=True, slots=True)
class Past:
    """Entries by what is asked: all after a number, those of a batch, a place's newest in order."""

    after: Callable[[int], Iterable[Entry]] = _none
    of_batch: Callable[[str], Sequence[Entry]] = _none
    touching: Callable[[str], Sequence[Entry]] = _none

    def since_begun(self, batch: str) -> list[Entry]:
        """All entries since a batch began; none if it never did."""
        own = self.of_batch(batch)
        return list(self.after(own[0].number - 1)) if own else []


def past_of(book: Journal) -> Past:
    """That of a book."""

    def touching(account: str) -> Sequence[Entry]:
        numbers = sorted({line.number for line in book.account_page(account, limit=_POSTINGS).lines})
        return [entry for entry in map(book.entry, numbers) if entry is not None]

    return Past(book.entries, book.of_batch, touching)


def past_in(state: State) -> Past:
    """That of a replayed book."""
    entries = state.entries
    return Past(
        lambda number: entries[number:],
        lambda batch: [entry for entry in entries if entry.batch == batch],
        lambda account: [one for one in entries if any(part.account == account for part in one.postings)],
    )
