"""What must be known of a book to judge a deed, and what an entry changes of it.

`State` answers from a replay, a journal from the balances that it keeps. Whoever keeps them applies
`effects(entry)`, and nothing else; so the two cannot come apart in what an entry means.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

from caskward.book.entry import Deed, Entry
from caskward.book.frozen import FrozenMap
from caskward.errors.book import BadField

Standing = Literal["open", "closed"]


class Holdings(Protocol):
    """What a deed is judged by."""

    def contents(self, account: str) -> Mapping[str, int]:
        """Every amount that is not zero, by commodity; empty for an account never heard of."""
        ...

    def room_ul(self, account: str) -> int | None:
        """The declared volume [µL], None if there is none."""
        ...

    def rooms_of(self, accounts: Iterable[str]) -> Mapping[str, int]:
        """The declared volumes [µL] of those of these accounts that have one."""
        ...

    def standing(self, batch: str) -> Standing | None:
        """Whether a batch is open or closed; None if it was never begun."""
        ...

    def standings(self) -> Mapping[str, Standing]:
        """Every batch that was ever begun, and whether it is open or closed."""
        ...

    def corrected_by(self, number: int) -> int | None:
        """The number of the entry that corrects this one, if there is one."""
        ...

    def entry(self, number: int) -> Entry | None:
        """An entry by its number."""
        ...

    def last_number(self) -> int:
        """The number of the last entry; 0 in an empty book."""
        ...

    def names(self, of: Literal["declared", "batch"]) -> Iterable[str]:
        """Declared accounts, or batches: only asked to say what was probably meant."""
        ...


@dataclass(frozen=True, slots=True)
class Effects:
    """What an entry changes: sums to add by account and commodity, and values to set."""

    amounts: Mapping[tuple[str, str], int] = field(default_factory=dict)
    rooms_ul: Mapping[str, int] = field(default_factory=dict)
    batches: Mapping[str, Standing] = field(default_factory=dict)
    corrected: int | None = None


def effects(deed: Deed, corrected: Deed | None = None) -> Effects:
    """What a deed or an entry changes; `corrected` is the entry that it corrects, if it does."""
    amounts: dict[tuple[str, str], int] = {}
    for part in deed.postings:
        place = part.account, part.commodity
        amounts[place] = amounts.get(place, 0) + part.amount
    return Effects(
        amounts={place: amount for place, amount in amounts.items() if amount},
        rooms_ul=declared_rooms(deed),
        batches=_batches(deed, corrected),
        corrected=deed.corrects,
    )


def declared_rooms(deed: Deed) -> dict[str, int]:
    """Volumes [µL] by account that a `declared` entry sets, from its details `rooms_ul`."""
    if deed.kind != "declared":
        return {}
    rooms = deed.details.get("rooms_ul")
    if not isinstance(rooms, FrozenMap) or not rooms:
        raise BadField("rooms_ul in the details", rooms, "a volume for each account")
    return {account: _room(account, volume_ul) for account, volume_ul in rooms.items()}


def _room(account: str, volume_ul: object) -> int:
    if isinstance(volume_ul, bool) or not isinstance(volume_ul, int) or volume_ul <= 0:
        raise BadField(f"volume of {account}", volume_ul, "a whole number of µL over nothing")
    return volume_ul


def _batches(deed: Deed, corrected: Deed | None) -> dict[str, Standing]:
    """A correction of the end of a batch opens it again."""
    if corrected is not None and corrected.kind == "closed" and corrected.batch:
        return {corrected.batch: "open"}
    if deed.kind in ("begun", "closed") and deed.batch:
        return {deed.batch: "open" if deed.kind == "begun" else "closed"}
    return {}
