"""What a report, an inventory and a trace cost in a long book, beside reading its entries at all.

As ratios within one run, the entries' own reading as the measure: a report that works in one pass stays
within a few times of it, however many casks there are.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from book import BEGAN, long_book

from caskward.services.book.cask_list import cask_list
from caskward.services.book.looked import Looked
from caskward.services.book.period_report import period_report
from caskward.services.book.periods import Period
from caskward.services.book.stock_report import stock_report
from caskward.services.book.trace_report import trace_report

SIZES = (10_000, 100_000)
YEAR = Period(BEGAN - timedelta(days=1), BEGAN + timedelta(days=364), "a year")


def taken_s(call: Callable[[], object]) -> float:
    """How long a call takes [s]."""
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def questions(entries: tuple[object, ...]) -> dict[str, Callable[[], object]]:
    """Each asked of a book that nothing was worked out of yet."""
    return {
        "a year's report": lambda: period_report(Looked(entries), YEAR),
        "all casks": lambda: cask_list(Looked(entries), YEAR.end),
        "the stock": lambda: stock_report(Looked(entries)),
        "a trace": lambda: trace_report(Looked(entries), "cask/77"),
    }


def main() -> None:
    """All of it, in a folder that is thrown away; numbers of postings may be given."""
    sizes = [int(word) for word in sys.argv[1:]] or SIZES
    with tempfile.TemporaryDirectory(dir=os.environ.get("BENCH_FOLDER")) as folder:
        for size in sizes:
            with long_book(Path(folder) / f"book {size}.sqlite", size) as journal:
                start = time.perf_counter()
                entries = tuple(journal.entries())
                reading_s = time.perf_counter() - start
            print(f"{size:,} postings in {len(entries):,} entries, read in {reading_s:.2f} s")
            for name, call in questions(entries).items():
                took_s = taken_s(call)
                print(f"   {name:<16}{took_s:8.2f} s   {took_s / reading_s:6.2f} times the reading")


if __name__ == "__main__":
    main()
