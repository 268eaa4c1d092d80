"""What happened, read from the entries in two ways.

*As booked*: each entry when it was made, so that a period once reported stays as it was; a correction counts
when it is made. *As put right*: each correction in the place of the entry that it corrects, which is what
really happened, as far as the book knows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from caskward.book.accounts import root_of
from caskward.book.canonical import moment_from_text
from caskward.book.corrections import entered_part, meant_details, meant_kind
from caskward.book.entry import Entry, Posting
from caskward.book.frozen import FrozenMap


@dataclass(frozen=True, slots=True)
class Happening:
    """One thing that happened; `said_by` is the entry that says so, `number` its place in the order."""

    number: int
    said_by: Entry
    kind: str
    at: datetime
    postings: tuple[Posting, ...]
    details: FrozenMap

    @property
    def batch(self) -> str | None:
        """The batch, if it was for one."""
        return self.said_by.batch

    @property
    def into(self) -> str:
        """The place that what was used went into; empty if the entry says none."""
        into = self.details.get("into")
        return into if isinstance(into, str) else ""

    def net(self) -> dict[tuple[str, str], int]:
        """The sum of the postings by account and commodity, without zeros."""
        sums: dict[tuple[str, str], int] = {}
        for part in self.postings:
            place = part.account, part.commodity
            sums[place] = sums.get(place, 0) + part.amount
        return {place: amount for place, amount in sums.items() if amount}


@dataclass(frozen=True, slots=True)
class Sides:
    """How much of one commodity came out of which accounts and went into which, all above nothing."""

    outs: dict[str, int]
    ins: dict[str, int]


def sides(happening: Happening) -> dict[str, Sides]:
    """Both sides for each commodity. What was used counts as gone into the place that the entry names."""
    found: dict[str, Sides] = {}
    for (account, commodity), amount in happening.net().items():
        side = found.setdefault(commodity, Sides({}, {}))
        if amount < 0:
            side.outs[account] = -amount
            continue
        target = happening.into if happening.into and root_of(account).name == "used" else account
        side.ins[target] = side.ins.get(target, 0) + amount
    return found


def without_changed(side: Mapping[str, int]) -> dict[str, int]:
    """One side without `changed`, from which nothing comes and to which nothing goes but room."""
    return {account: amount for account, amount in side.items() if root_of(account).name != "changed"}


def as_booked(entries: Iterable[Entry]) -> list[Happening]:
    """Every entry as it stands."""
    return [
        Happening(entry.number, entry, entry.kind, entry.done_at, entry.postings, entry.details)
        for entry in entries
    ]


def as_put_right(entries: Sequence[Entry]) -> list[Happening]:
    """What is left when every correction stands in its original's place, in the order of the originals."""
    originals: dict[int, int] = {}
    latest: dict[int, Entry] = {}
    for entry in entries:
        first = originals.get(entry.corrects, entry.corrects) if entry.corrects else entry.number
        originals[entry.number] = first
        latest[first] = entry
    return [_meant(number, latest[number]) for number in sorted(latest) if meant_kind(latest[number])]


def _meant(number: int, entry: Entry) -> Happening:
    at = entry.done_at
    if entry.kind == "corrected":
        written = entry.details.get("done_at")
        at = moment_from_text(written) if isinstance(written, str) else at
    return Happening(number, entry, meant_kind(entry), at, entered_part(entry), meant_details(entry))
