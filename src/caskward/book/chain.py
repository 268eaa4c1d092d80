"""The chain of hashes: each entry holds the hash of the one before, so none can be changed unseen."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from datetime import datetime

from caskward.book.canonical import canonical, hashed_data
from caskward.book.entry import Deed, Entry, utc
from caskward.book.finding import Finding

GENESIS = "0" * 64
"""What the first entry holds as the hash before it."""


def hash_of(deed: Deed, number: int, recorded_at: datetime, before: str) -> str:
    """SHA-256 over the canonical form of an entry without its hash, as 64 hexadecimal signs."""
    written = canonical(hashed_data(deed, number, recorded_at, before))
    return hashlib.sha256(written.encode("utf-8")).hexdigest()


def seal(deed: Deed, head: Entry | None, now: datetime) -> Entry:
    """The deed as the entry after `head` (None: as the first of the book).

    The time of record never runs backward: with a clock put back it stays at the head's.
    """
    number, before = (head.number + 1, head.hash) if head else (1, GENESIS)
    recorded_at = max(utc(now, "time of record"), head.recorded_at) if head else utc(now, "time of record")
    return sealed_at(deed, number, recorded_at, before)


def sealed_at(deed: Deed, number: int, recorded_at: datetime, before: str) -> Entry:
    """The deed as an entry of that number, for a journal that keeps only the last number, time and hash."""
    recorded_at = utc(recorded_at, "time of record")
    content = deed.deed if isinstance(deed, Entry) else deed
    return Entry(
        **{name: getattr(content, name) for name in Deed.__dataclass_fields__},
        number=number,
        recorded_at=recorded_at,
        before=before,
        hash=hash_of(content, number, recorded_at, before),
    )


def breaks(entries: Iterable[Entry], after: Entry | None = None) -> Iterator[Finding]:
    """What is wrong with numbers, times, links and hashes, in the order of the entries.

    `after`: the entry that they follow; None if they begin the book.
    """
    number, before, recorded_at = (
        (after.number, after.hash, after.recorded_at) if after else (0, GENESIS, None)
    )
    for entry in entries:
        number += 1
        if entry.number != number:
            yield Finding(
                "chain", number, f"Entry {number} is missing: entry {entry.number} is in its place."
            )
            number = entry.number
        if entry.before != before:
            yield Finding("chain", number, f"Entry {number} does not follow the one before it.")
        if hash_of(entry, entry.number, entry.recorded_at, entry.before) != entry.hash:
            yield Finding("chain", number, f"Entry {number} was changed after it was recorded.")
        if recorded_at is not None and entry.recorded_at < recorded_at:
            yield Finding("chain", number, f"Entry {number} was recorded before the entry above it.")
        before, recorded_at = entry.hash, entry.recorded_at
