"""Whether a book holds: small checks, each returning what it finds.

`check_book` runs all of them; its findings come in the order of the entries: the first names the first
bad entry.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from caskward.book import rules
from caskward.book.chain import breaks
from caskward.book.corrections import meant_kind
from caskward.book.entry import Entry
from caskward.book.finding import Finding
from caskward.book.state import State
from caskward.book.words import name_in_words, said
from caskward.errors import CaskwardError


class Judge:
    """Looks at entries one after another, in one pass: sums, keys, rules; `state` is the fold so far."""

    def __init__(self) -> None:
        self.state = State()

    def take(self, entry: Entry) -> Iterator[Finding]:
        """What does not hold of the next entry, which is then taken in; one that cannot be is left out."""
        found = [*sums(entry), *keys(entry, self.state)] or [*lawful(entry, self.state)]
        try:
            self.state.apply(entry)
        except CaskwardError as problem:
            found.append(Finding("rules", entry.number, f"Entry {entry.number} makes no sense: {problem}"))
        yield from found


def sums(entry: Entry) -> Iterator[Finding]:
    """Whether the postings come to nothing in each commodity."""
    left: dict[str, int] = {}
    for part in entry.postings:
        left[part.commodity] = left.get(part.commodity, 0) + part.amount
    for commodity, amount in sorted(left.items()):
        if amount:
            what = f"{said(amount, commodity)} of {name_in_words(commodity)}"
            yield Finding("sums", entry.number, f"Entry {entry.number} does not add up: {what} is left over.")


def keys(entry: Entry, state: State) -> Iterator[Finding]:
    """Whether the client key is in the book already."""
    older = state.by_key.get(entry.key)
    if older is not None:
        sentence = f"Entry {entry.number} has the key of entry {older.number}: one of them is too many."
        yield Finding("keys", entry.number, sentence)


def lawful(entry: Entry, state: State) -> Iterator[Finding]:
    """Whether the book would have refused the entry, in its own place and time."""
    try:
        rules.check(entry, state, entry.recorded_at)
    except CaskwardError as refusal:
        yield Finding("rules", entry.number, f"Entry {entry.number} should have been refused: {refusal}")


def projections(state: State, stored: Mapping[str, Mapping[str, int]]) -> Iterator[Finding]:
    """Balances that a store keeps and that do not follow from its entries. Zeros count as nothing."""
    for account in sorted({*state.balances, *stored}):
        true, kept = state.contents(account), stored.get(account, {})
        for commodity in sorted({*true, *kept}):
            is_kept, is_true = kept.get(commodity, 0), true.get(commodity, 0)
            if is_kept != is_true:
                yield Finding("balances", None, _kept_wrong(account, commodity, is_kept, is_true))


def _kept_wrong(account: str, commodity: str, kept: int, true: int) -> str:
    shown = said(kept, commodity, decimals=6), said(true, commodity, decimals=6)
    what = f"{name_in_words(commodity)} in {account}"
    return f"The balance that is kept of {what} is {shown[0]}; by the entries it is {shown[1]}."


def overtaken_gauges(entries: Sequence[Entry]) -> Iterator[Finding]:
    """Gauges of a place whose earlier entry was corrected since: the place should be gauged again."""
    gauged: dict[str, int] = {}
    for entry in entries:
        of = entry.details.get("of")
        if entry.kind == "gauged" and isinstance(of, str):
            gauged[of] = entry.number
        if entry.corrects is None or meant_kind(entry) == "gauged":
            continue
        for account in sorted({part.account for part in entry.postings}):
            if gauged.get(account, 0) > entry.corrects:
                earlier = f"Entry {entry.number} corrects what was before entry {gauged[account]}"
                yield Finding("gauges", entry.number, f"{earlier}, a gauge of {account}. Gauge it again.")


def check_book(
    entries: Sequence[Entry], stored: Mapping[str, Mapping[str, int]] | None = None
) -> list[Finding]:
    """Everything that makes a book whole: chain, sums, keys, rules, and balances if a store keeps some."""
    judge = Judge()
    found = [*breaks(entries), *(finding for entry in entries for finding in judge.take(entry))]
    found.sort(key=lambda finding: finding.number or 0)
    if stored is not None:
        found += projections(judge.state, stored)
    return found
