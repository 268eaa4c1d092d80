"""Everything as lines of JSON, one for each entry, and back into an empty book with the same hashes."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from caskward.book.canonical import entry_from_line, entry_line
from caskward.book.chain import GENESIS, hash_of
from caskward.book.entry import Entry
from caskward.book.holdings import effects
from caskward.errors import BookAlreadyThere, ExportNotWhole, FileAlreadyThere, UnwritableFile
from caskward.store.engine import Link
from caskward.store.journal import Journal
from caskward.store.locking import alone
from caskward.store.reading import Head, head_of
from caskward.store.writing import Writer


def export_lines(journal: Journal) -> Iterator[str]:
    """The entries from the first on, as far as the book goes now; each line without its end."""
    return (entry_line(entry) for entry in journal.entries())


def write_export(journal: Journal, file: Path) -> int:
    """Write all lines to a new file, whole and on disk or not at all; returns how many there are."""
    if file.exists():
        raise FileAlreadyThere(str(file))
    part = file.with_name(f"{file.name}.part")
    lines = 0
    try:
        with part.open("w", encoding="utf-8", newline="\n") as handle:
            for line in export_lines(journal):
                handle.write(f"{line}\n")
                lines += 1
            handle.flush()
            os.fsync(handle.fileno())
        part.replace(file)
    except OSError as error:
        raise UnwritableFile(str(file), error.strerror or str(error)) from error
    finally:
        part.unlink(missing_ok=True)
    return lines


_NOT_EMPTY = "An export can only be taken into an empty book: set CASKWARD_BOOK to a new place."


def import_lines(link: Link, lines: Iterable[str], not_empty: str = _NOT_EMPTY) -> int:
    """Take the lines of an export into an empty book, all or none; returns how many there were.

    Each must follow on the one before by number and hash, and have the hash that its content gives. What was
    recorded is not judged again by today's rules. Raises `BookAlreadyThere` with the words of `not_empty` if
    the book is not empty, `UnreadableEntry` or `ExportNotWhole` for a line that is not good.
    """
    with link.writing() as connection:
        alone(connection)
        writer, head = Writer(connection), head_of(connection)
        if head is not None:
            raise BookAlreadyThere(str(link.place), head.number, not_empty)
        taken = 0
        for turn, line in enumerate(lines, 1):
            if not line.strip():
                continue
            entry = entry_from_line(line, f"Line {turn}")
            _prove(entry, head, turn)
            corrected = writer.entry(entry.corrects) if entry.corrects else None
            writer.take_in(entry, effects(entry, corrected))
            head = Head(entry.number, entry.hash, entry.recorded_at)
            taken += 1
        return taken


def _prove(entry: Entry, head: Head | None, turn: int) -> None:
    number, before = (head.number + 1, head.hash) if head else (1, GENESIS)
    if (entry.number, entry.before) != (number, before):
        raise ExportNotWhole(turn, "it does not follow on the entry before it")
    if hash_of(entry, entry.number, entry.recorded_at, entry.before) != entry.hash:
        raise ExportNotWhole(turn, "it was changed after it was recorded")
