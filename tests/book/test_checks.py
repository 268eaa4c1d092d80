"""A book that does not hold says where, and the first bad entry first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from caskward.book.chain import seal
from caskward.book.checks import check_book
from caskward.book.entry import Deed, Entry, Posting
from caskward.book.frozen import FrozenMap
from tests.support.keeper import small_farm


def forged(change: Callable[[Deed], Deed], number: int) -> list[Entry]:
    """The small farm's book with one deed changed, and every hash made anew."""
    entries: list[Entry] = []
    for entry in small_farm().entries:
        deed = change(entry.deed) if entry.number == number else entry.deed
        entries.append(seal(deed, entries[-1] if entries else None, entry.recorded_at))
    return entries


def test_a_whole_book_has_no_findings() -> None:
    book = small_farm()
    assert check_book(book.entries, book.state.balances) == []
    assert check_book([], {}) == []


def test_a_changed_entry_is_the_first_named() -> None:
    entries = small_farm().entries
    entries[8] = replace(entries[8], note="something else")
    found = check_book(entries)
    assert [(finding.check, finding.number) for finding in found] == [("chain", 9)]


@pytest.mark.parametrize(
    ("change", "check", "words"),
    [
        (lambda deed: replace(deed, postings=deed.postings[:-1]), "sums", "is left over"),
        (lambda deed: replace(deed, key="key 2"), "keys", "the key of entry 2"),
        (lambda deed: replace(deed, batch=None), "rules", "the name of a batch"),
        (lambda deed: replace(deed, corrects=99), "rules", "corrected if"),
        (
            lambda deed: replace(
                deed, postings=(Posting("jar/x", "alcohol", -1), Posting("jar/y", "alcohol", 1))
            ),
            "rules",
            "no pure alcohol in jar/x",
        ),
        (lambda deed: replace(deed, kind="declared", details=FrozenMap()), "rules", "rooms_ul"),
    ],
)
def test_what_the_book_would_have_refused_is_found(
    change: Callable[[Deed], Deed], check: str, words: str
) -> None:
    first = check_book(forged(change, 6))[0]
    assert (first.check, first.number) == (check, 6)
    assert words in first.sentence


def test_a_balance_that_was_tampered_with_is_found() -> None:
    book = small_farm()
    kept = {account: dict(there) for account, there in book.state.balances.items()}
    kept["cask/1"]["alcohol"] += 1
    del kept["jar/feints"]
    kept["jar/ghost"] = {"bulk": 5}
    kept["jar/empty"] = {"bulk": 0}
    found = check_book(book.entries, kept)
    assert [finding.number for finding in found] == [None] * 4
    said = " ".join(finding.sentence for finding in found)
    assert "pure alcohol in cask/1 is 6.500001 L; by the entries it is 6.5 L" in said
    assert "jar/ghost" in said
    assert "jar/feints" in said
