"""A correction is an entry that takes back what an older one posted and posts what is right.

Its postings begin with the opposite of the old ones, one for one; its details say how many those are
(`reverses`), what the right entry is a case of (`as`, empty if nothing happened at all), when that was
(`done_at`), its details (`right`), and why (`why`).
"""

from __future__ import annotations

from caskward.book.entry import Deed, Entry, Posting
from caskward.book.frozen import FrozenMap
from caskward.book.holdings import Holdings
from caskward.errors.book import AlreadyCorrected, BadField, NoSuchEntry, NotCorrectable, NotItsReverse

_INSTEAD = {
    "begun": "Close the batch with a note, and begin the right one.",
    "declared": "Declare the vessel again; the last volume holds.",
    "planned": "Plan the batch again; the last plan holds.",
}


def entered_part(deed: Deed) -> tuple[Posting, ...]:
    """The postings that say what happened, without those that take an older entry back."""
    return deed.postings[_reversed_count(deed) :]


def meant_kind(deed: Deed) -> str:
    """The kind of what happened; of a correction what the right entry is a case of, empty if of nothing."""
    if deed.kind != "corrected":
        return deed.kind
    kind = deed.details.get("as")
    return kind if isinstance(kind, str) else ""


def meant_details(deed: Deed) -> FrozenMap:
    """The details of what happened; of a correction those of the right entry."""
    if deed.kind != "corrected":
        return deed.details
    right = deed.details.get("right")
    return right if isinstance(right, FrozenMap) else FrozenMap()


def reverse(postings: tuple[Posting, ...]) -> tuple[Posting, ...]:
    """The opposite of each posting, in the same order."""
    return tuple(Posting(part.account, part.commodity, -part.amount) for part in postings)


def check_correctable(old: Entry) -> None:
    """Raise `NotCorrectable` for an entry that is mended in another way."""
    kind = meant_kind(old)
    if kind in _INSTEAD:
        raise NotCorrectable(old.number, kind, _INSTEAD[kind])
    if old.kind == "corrected" and not kind and not old.postings:
        raise NotCorrectable(old.number, old.kind, "Enter what happened as a new entry.")


def check_correction(deed: Deed, holdings: Holdings) -> Entry | None:
    """The entry that a correction corrects, None if it is no correction; raises what is wrong with it."""
    if (deed.kind == "corrected") != (deed.corrects is not None):
        raise BadField("kind", deed.kind, "corrected if, and only if, it names an older entry")
    if deed.corrects is None:
        return None
    old = holdings.entry(deed.corrects)
    if old is None:
        raise NoSuchEntry(deed.corrects, holdings.last_number())
    by = holdings.corrected_by(old.number)
    if by is not None:
        raise AlreadyCorrected(old.number, by)
    check_correctable(old)
    count = _reversed_count(deed)
    if deed.postings[:count] != reverse(entered_part(old)):
        raise NotItsReverse(old.number)
    return old


def _reversed_count(deed: Deed) -> int:
    if deed.kind != "corrected":
        return 0
    count = deed.details.get("reverses")
    if isinstance(count, bool) or not isinstance(count, int) or not 0 <= count <= len(deed.postings):
        raise BadField("reverses in the details", count, "how many postings take the old entry back")
    return count
