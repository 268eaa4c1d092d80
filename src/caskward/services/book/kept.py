"""The book as a whole: proved, copied, brought back, written out as lines and read in again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

from caskward.errors import UnreadableNotes
from caskward.services.book.opened import to_read, to_write, where
from caskward.store import backup, exchange
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
        "first_bad": found.first_bad,
        "findings": [asdict(one) for one in found.findings],
    }


def check_sentences(found: Checked) -> tuple[str, ...]:
    """What was found, the first bad entry first."""
    entries = _entries(found.entries)
    if found.whole:
        keep = (f"Its newest hash is {found.head}; keep that elsewhere.",) if found.head else ()
        return (f"The book is whole: {entries}, chain, sums and balances hold.", *keep)
    count = len(found.findings)
    said = [one.sentence for one in found.findings[:20]]
    left = count - len(said)
    first = (
        "no single entry is to blame"
        if found.first_bad is None
        else f"the first bad entry is No {found.first_bad}"
    )
    return (
        f"The book does not hold: {count} {'finding' if count == 1 else 'findings'} in {entries}; {first}.",
        *said,
        *([f"... and {left} more."] if left else []),
        "Do not write on: keep a copy of it as it is, and bring back the last backup that passes its check.",
    )


@dataclass(frozen=True, slots=True)
class Done:
    """What was done with the whole book: a sentence, and its figures."""

    sentence: str
    figures: Mapping[str, object]


def back_up(file: str, *, overwrite: bool = False) -> Done:
    """Copy the book into a file, in one step and while it is in use; the copy is proved."""
    with to_read() as book:
        saved = backup.back_up(book, _path(file), overwrite=overwrite)
    sentence = f"{_entries(saved.entries)} copied to {saved.file} and proved."
    return Done(sentence, {"file": str(saved.file), "entries": saved.entries, "head": saved.head})


def restore(file: str, *, overwrite: bool = False) -> Done:
    """Bring the book back from a backup."""
    done = backup.restore(_path(file), where(), overwrite=overwrite)
    sentence = f"The book at {where()} is that of {file} again: {_entries(done.entries)}."
    if done.aside:
        sentence += f" What was there before is kept at {done.aside}."
    figures = {"entries": done.entries, "before": done.entries_before, "aside": str(done.aside or "")}
    return Done(sentence, figures)


def export(file: str) -> Done:
    """Write every entry as a line of JSON into a new file."""
    with to_read() as book:
        lines = exchange.write_export(book, _path(file))
    return Done(f"{_entries(lines)} written to {file}.", {"file": file, "entries": lines})


def lines() -> Iterator[str]:
    """Every entry as a line of JSON."""
    with to_read() as book:
        yield from exchange.export_lines(book)


def take_in(file: str) -> Done:
    """Take an export into an empty book: the same hashes, the same balances.

    Raises:
        InputError: the book is not empty, or a line was changed.
    """
    try:
        with _path(file).open(encoding="utf-8") as handle, to_write() as book:
            taken = exchange.import_lines(book.link, handle)
    except UnicodeDecodeError:
        raise UnreadableNotes(file, "it is not plain text (UTF-8)") from None
    except OSError as error:
        raise UnreadableNotes(file, error.strerror or "it cannot be opened") from None
    return Done(f"{_entries(taken)} taken in from {file}.", {"file": file, "entries": taken})


def _path(file: str) -> Path:
    return Path(file).expanduser()


def _entries(count: int) -> str:
    return f"{count:,} {'entry' if count == 1 else 'entries'}"
