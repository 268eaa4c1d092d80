"""The book as a whole: proved, copied, brought back, written out as lines and read in again."""

from __future__ import annotations

from dataclasses import asdict

from caskward.services.book.opened import to_read
from caskward.store.checking import Checked, check_book


def check() -> Checked:
    """Prove the book: file, guards, chain, sums, balances."""
    with to_read() as book:
        return check_book(book.link)


def check_data(found: Checked) -> dict[str, object]:
    """What was found as plain data."""
    return {
        "whole": found.whole,
        "entries": found.entries,
        "head": found.head,
        "findings": [asdict(one) for one in found.findings],
    }


def check_sentences(found: Checked) -> tuple[str, ...]:
    """What was found, the first bad entry first."""
    entries = f"{found.entries:,} {'entry' if found.entries == 1 else 'entries'}"
    if found.whole:
        keep = (f"Its newest hash is {found.head}; keep that elsewhere.",) if found.head else ()
        return (f"The book is whole: {entries}, chain, sums and balances hold.", *keep)
    said = [one.sentence for one in found.findings[:20]]
    left = len(found.findings) - len(said)
    return (
        f"The book does not hold; {len(found.findings)} findings in {entries}, the first first.",
        *said,
        *([f"... and {left} more."] if left else []),
        "Do not write on: keep a copy of it as it is, and bring back the last backup that passes its check.",
    )
