"""Whether a book holds: small checks, each returning what it finds.

`check_book` runs all of them; its findings come in the order of the entries, so that the first names the first
bad entry.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from caskward.book import rules
from caskward.book.chain import breaks
from caskward.book.corrections import meant_kind
from caskward.book.entry import Entry
from caskward.book.finding import Finding
from caskward.book.state import State
from caskward.book.words import name_in_words, said
from caskward.errors import CaskwardError


def sums(entries: Iterable[Entry]) -> Iterator[Finding]:
    """Entries whose postings do not come to nothing in each commodity."""
    for entry in entries:
        left: dict[str, int] = {}
        for part in entry.postings:
            left[part.commodity] = left.get(part.commodity, 0) + part.amount
        for commodity, amount in sorted(left.items()):
            if amount:
                what = f"{said(amount, commodity)} of {name_in_words(commodity)}"
                yield Finding(
                    "sums", entry.number, f"Entry {entry.number} does not add up: {what} is left over."
                )


def keys(entries: Iterable[Entry]) -> Iterator[Finding]:
    """Client keys that stand twice."""
    seen: dict[str, int] = {}
    for entry in entries:
        if entry.key in seen:
            sentence = (
                f"Entry {entry.number} has the key of entry {seen[entry.key]}: one of them is too many."
            )
            yield Finding("keys", entry.number, sentence)
        seen.setdefault(entry.key, entry.number)


def lawful(entries: Iterable[Entry]) -> Iterator[Finding]:
    """Entries that the book would have refused, in their own place and time."""
    state = State()
    for entry in entries:
        try:
            rules.check(entry, state, entry.recorded_at)
        except CaskwardError as refusal:
            yield Finding("rules", entry.number, f"Entry {entry.number} should have been refused: {refusal}")
        try:
            state.apply(entry)
        except CaskwardError:
            return


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
    found = [*breaks(entries), *sums(entries), *keys(entries), *lawful(entries)]
    found.sort(key=lambda finding: finding.number or 0)
    if stored is not None:
        found += projections(_folded(entries), stored)
    return found


def _folded(entries: Iterable[Entry]) -> State:
    """The state after the entries, up to the first that cannot be taken in; `lawful` has named that one."""
    state = State()
    try:
        for entry in entries:
            state.apply(entry)
    except CaskwardError:
        return state
    return state
