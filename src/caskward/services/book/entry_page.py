"""One entry whole, in the maker's own units: what it says, its facts, its readings, its postings."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.book.entry import Entry, Reading
from caskward.book.words import name_in_words, said
from caskward.services.book import look, words
from caskward.services.book.moments import shown
from caskward.services.book.opened import Book
from caskward.units.types import UnitSystem

_DECIMALS = 6


@dataclass(frozen=True, slots=True)
class WholeEntry:
    """An entry as it is shown: `postings` are path of the account, account in words, amount, of what."""

    summary: str
    facts: tuple[tuple[str, str], ...]
    readings: tuple[str, ...]
    postings: tuple[tuple[str, str, str, str], ...]


def entry_page(book: Book, number: int, system: UnitSystem) -> WholeEntry:
    """An entry by its number; raises `NoSuchEntry`."""
    (entry,) = look.one(book, number)
    return WholeEntry(
        summary=f"{entry.kind} {words.summary(entry, system)}".strip(),
        facts=tuple((name, text) for name, text in _facts(book, entry) if text),
        readings=tuple(_reading(one) for one in entry.readings),
        postings=tuple(
            (part.account, words.place(part.account), _signed(part.amount, part.commodity, system),
             name_in_words(part.commodity))
            for part in entry.postings
        ),
    )  # fmt: skip


def _facts(book: Book, entry: Entry) -> tuple[tuple[str, str], ...]:
    with book.holdings() as holdings:
        later = holdings.corrected_by(entry.number)
    return (
        ("Done", shown(entry.done_at)),
        ("Recorded", shown(entry.recorded_at)),
        ("By", entry.author),
        ("Batch", entry.batch or ""),
        ("Site", entry.site),
        ("Note", entry.note),
        ("Typed", str(entry.details.get("asked", ""))),
        ("Corrects", f"entry {entry.corrects}" if entry.corrects else ""),
        ("Corrected by", f"entry {later}" if later else ""),
        ("Hash", entry.hash),
    )


def _signed(amount: int, commodity: str, system: UnitSystem) -> str:
    return f"{'+' if amount > 0 else '−'}{said(abs(amount), commodity, system, _DECIMALS)}"


def _reading(of: Reading) -> str:
    warm = f" at {of.temp_c} °C" if of.temp_c and "at" not in of.typed else ""
    by = f", {of.instrument}" if of.instrument else ""
    good = f" ± {of.tolerance} {of.unit}" if of.tolerance else ""
    return f"{of.quantity} {of.typed}{warm}{by}{good}"
