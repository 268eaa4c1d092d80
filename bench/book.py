"""What a durable entry costs beside a bare commit, and whether a long book is slower than a short one.

Both as ratios within one run. An entry is held against a bare SQLite transaction with the same settings (WAL,
synchronous=FULL) that writes the entry's text as one row of one table: 3 times at most. Balances and a page
of one account in a book of 1,000,000 postings are held against one of 10,000: 1.5 times at most. A turn of
each is taken by turns, so that a machine that is busy for a while is so for both.
"""

from __future__ import annotations

import gc
import os
import random
import sqlite3
import statistics
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from caskward.book.canonical import entry_line
from caskward.book.entry import Deed, Posting, Reading
from caskward.store.checking import check_book
from caskward.store.journal import Journal, open_journal
from caskward.store.place import Place
from caskward.store.writing import Writer

LITRE = 1_000_000
BEGAN = datetime(2026, 1, 5, 7, tzinfo=UTC)
TUB = "vessel/tub"
CASKS = 200
SMALL, LARGE = 10_000, 1_000_000
POURS = 5
"""Pours of one entry, four postings each."""


def deed(key: str, kind: str, *postings: Posting, **more: object) -> Deed:
    """A deed of an invented distiller."""
    return Deed(key=key, kind=kind, done_at=BEGAN, author="Maud", postings=postings, **more)  # type: ignore[arg-type]


def pour(source: str, target: str, ml: int) -> Iterator[Posting]:
    """Spirit at 60 %vol from one place to another."""
    for commodity, amount in (("alcohol", 600 * ml), ("bulk", 1000 * ml)):
        yield Posting(source, commodity, -amount)
        yield Posting(target, commodity, amount)


def begun() -> Iterator[Deed]:
    """A tub and many casks, and spirit in the tub."""
    rooms = {TUB: 900_000 * LITRE} | {f"cask/{number}": 500 * LITRE for number in range(CASKS)}
    yield deed("rooms", "declared", details={"rooms_ul": rooms})
    yield deed("spirit", "received", *pour("received/Hill Farm", TUB, 900_000_000))


def one_pour(turn: int) -> Deed:
    """What a maker enters most: so much out of one place into another, with a reading."""
    reading = Reading("strength", "60.1 % at 18C", "60.1", "%vol", "alcoholometer 4", "18", "20")
    postings = pour(TUB, f"cask/{turn % CASKS}", 1 + turn % 9)
    return deed(str(uuid.uuid4()), "moved", *postings, readings=(reading,), note="in the cool of the day")


def median_ms(turns: list[Callable[[], object]], times: int) -> list[float]:
    """The middle of the times that each call takes [ms]; the calls take turns."""
    taken: list[list[float]] = [[] for _ in turns]
    gc.collect()
    for _ in range(times):
        for call, times_ms in zip(turns, taken, strict=True):
            start = time.perf_counter()
            call()
            times_ms.append(1000.0 * (time.perf_counter() - start))
    return [statistics.median(times_ms) for times_ms in taken]


def bare_commit(file: Path) -> Callable[[], object]:
    """A transaction of SQLite's own that writes an entry's text and nothing else."""
    base = sqlite3.connect(file, isolation_level=None)
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "fullfsync = ON"):
        base.execute(f"PRAGMA {pragma}")
    base.execute("CREATE TABLE lines (number INTEGER PRIMARY KEY, line TEXT NOT NULL) STRICT")
    with open_journal(Place(file=file.with_name("sample.sqlite"))) as journal:
        text = [entry_line(journal.append(one)) for one in [*begun(), one_pour(1)]][-1]

    def commit() -> None:
        base.execute("BEGIN IMMEDIATE")
        base.execute("INSERT INTO lines (line) VALUES (?)", (text,))
        base.execute("COMMIT")

    return commit


def appends(folder: Path) -> None:
    """A durable entry beside a bare commit."""
    with open_journal(Place(file=folder / "book.sqlite")) as journal:
        for one in begun():
            journal.append(one)
        keys = iter(range(1_000_000))
        bare_ms, entry_ms = median_ms(
            [bare_commit(folder / "bare.sqlite"), lambda: journal.append(one_pour(next(keys)))], 400
        )
        build_ms, _ = median_ms([lambda: one_pour(7), lambda: None], 400)
    print(f"bare commit               {bare_ms:8.3f} ms")
    print(f"an entry, checked, on disk{entry_ms:8.3f} ms   {entry_ms / bare_ms:5.2f} times (3 at most)")
    print(f"  of it making the deed   {build_ms:8.3f} ms")


def long_book(file: Path, postings: int) -> Journal:
    """A book of so many postings, five pours to an entry."""
    journal = open_journal(Place(file=file))
    for one in begun():
        journal.append(one)
    drawn = random.Random(1)
    entries = -(-postings // (4 * POURS))
    done = 0
    while done < entries:
        with journal.link.writing() as connection:
            writer = Writer(connection)
            for turn in range(done, min(done + 2000, entries)):
                casks = [f"cask/{drawn.randrange(CASKS)}" for _ in range(POURS)]
                postings_of = [part for cask in casks for part in pour(TUB, cask, 1)]
                writer.enter(
                    deed(f"turn {turn}", "moved", *postings_of), BEGAN + timedelta(hours=1), "metric"
                )
        done = min(done + 2000, entries)
    return journal


def long_and_short(folder: Path, large: int) -> None:
    """Balances, and pages of an account, in a long and a short book."""
    start = time.perf_counter()
    books = {count: long_book(folder / f"book {count}.sqlite", count) for count in (SMALL, large)}
    print(f"\nbooks of {SMALL:,} and {large:,} postings, made in {time.perf_counter() - start:.0f} s")
    middle = {count: (count // (8 * POURS), 0) for count in books}
    questions: dict[str, Callable[[Journal, int], object]] = {
        "all balances": lambda book, _: book.balances(),
        "a cask's balance": lambda book, _: book.balances("cask/77"),
        "a cask's newest page": lambda book, _: book.account_page("cask/77"),
        "the tub's newest page": lambda book, _: book.account_page(TUB),
        "the tub's middle page": lambda book, count: book.account_page(TUB, before=middle[count]),
        "an entry by its key": lambda book, count: book.find(f"turn {count // 40}"),
        "an entry, on disk": lambda book, _: book.append(one_pour(next(TURNS))),
    }
    for name, ask in questions.items():
        short_ms, long_ms = median_ms(
            [lambda ask=ask, count=count: ask(books[count], count) for count in books],
            200,  # type: ignore[misc]
        )
        print(
            f"{name:<24}{short_ms:8.3f} ms {long_ms:8.3f} ms   {long_ms / short_ms:5.2f} times (1.5 at most)"
        )
    start = time.perf_counter()
    checked = check_book(books[large].link)
    print(f"the whole check of the long book: {time.perf_counter() - start:.0f} s, whole: {checked.whole}")


TURNS = iter(range(10_000_000, 20_000_000))


def main() -> None:
    """All of it, in a folder that is thrown away; a number of postings may be given."""
    large = int(sys.argv[1]) if len(sys.argv) > 1 else LARGE
    with tempfile.TemporaryDirectory(dir=os.environ.get("BENCH_FOLDER")) as folder:
        appends(Path(folder))
        long_and_short(Path(folder), large)


if __name__ == "__main__":
    main()
