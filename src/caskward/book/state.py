"""Where everything is: the fold of all entries.

`replay(entries)` is the state of a book, and nothing else is: whatever a store keeps beside its entries must
equal it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Literal

from caskward.book import rules
from caskward.book.chain import seal
from caskward.book.entry import Deed, Entry
from caskward.book.holdings import Effects, Standing, effects
from caskward.units.types import UnitSystem

_NONE: dict[str, int] = {}


class State:
    """Balances, volumes, batches and corrections after some entries; answers as `Holdings` does."""

    def __init__(self) -> None:
        self.balances: dict[str, dict[str, int]] = {}
        self.rooms_ul: dict[str, int] = {}
        self.batches: dict[str, Standing] = {}
        self.corrections: dict[int, int] = {}
        self.entries: list[Entry] = []
        self.by_key: dict[str, Entry] = {}

    # What Holdings asks ------------------------------------------------------------------------------

    def contents(self, account: str) -> Mapping[str, int]:
        """Every amount in an account that is not zero, by commodity."""
        return self.balances.get(account, _NONE)

    def room_ul(self, account: str) -> int | None:
        """The declared volume of a place [µL]."""
        return self.rooms_ul.get(account)

    def rooms_of(self, accounts: Iterable[str]) -> Mapping[str, int]:
        """The declared volumes [µL] of those of these accounts that have one."""
        return {account: room for account in accounts if (room := self.rooms_ul.get(account)) is not None}

    def standing(self, batch: str) -> Standing | None:
        """Whether a batch is open or closed."""
        return self.batches.get(batch)

    def standings(self) -> Mapping[str, Standing]:
        """Every batch, and whether it is open or closed."""
        return self.batches

    def corrected_by(self, number: int) -> int | None:
        """The number of the entry that corrects this one."""
        return self.corrections.get(number)

    def entry(self, number: int) -> Entry | None:
        """An entry by its number."""
        return self.entries[number - 1] if 0 < number <= len(self.entries) else None

    def last_number(self) -> int:
        """The number of the last entry."""
        return len(self.entries)

    def names(self, of: Literal["declared", "batch"]) -> Iterable[str]:
        """Declared accounts, or batches."""
        return self.rooms_ul if of == "declared" else self.batches

    # What changes it ---------------------------------------------------------------------------------

    def apply(self, entry: Entry) -> None:
        """Take in the next entry, as it stands: what is recorded is not judged again."""
        corrected = self.entry(entry.corrects) if entry.corrects is not None else None
        self._take(entry, effects(entry, corrected))

    def append(self, deed: Deed, now: datetime, system: UnitSystem = "metric") -> Entry:
        """Check a deed, seal it as the next entry and take it in: a journal in memory.

        A deed that is in already, by its key, changes nothing.
        """
        if deed.key in self.by_key:
            return rules.check_repeat(deed, self.by_key[deed.key])
        changes = rules.check(deed, self, now, system)
        entry = seal(deed, self.entries[-1] if self.entries else None, now)
        self._take(entry, changes)
        return entry

    def _take(self, entry: Entry, changes: Effects) -> None:
        self.entries.append(entry)
        self.by_key.setdefault(entry.key, entry)
        for (account, commodity), amount in changes.amounts.items():
            there = self.balances.setdefault(account, {})
            there[commodity] = there.get(commodity, 0) + amount
            if not there[commodity]:
                del there[commodity]
                if not there:
                    del self.balances[account]
        self.rooms_ul.update(changes.rooms_ul)
        self.batches.update(changes.batches)
        if changes.corrected is not None:
            self.corrections[changes.corrected] = entry.number

    def totals(self) -> dict[str, int]:
        """The sum over all accounts by commodity: nothing but zeros, if every entry adds up."""
        sums: dict[str, int] = {}
        for there in self.balances.values():
            for commodity, amount in there.items():
                sums[commodity] = sums.get(commodity, 0) + amount
        return sums


def replay(entries: Iterable[Entry]) -> State:
    """The state after these entries, which begin with the first of the book."""
    state = State()
    for entry in entries:
        state.apply(entry)
    return state
