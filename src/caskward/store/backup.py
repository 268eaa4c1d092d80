"""A copy of the whole book that is proved before it is kept, and a book brought back from one.

A backup is always one SQLite file, whatever keeps the book itself: it can be opened where no server is.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from caskward.errors import (
    BookAlreadyThere,
    BookDamaged,
    CaskwardError,
    CopyNotGood,
    DiskTrouble,
    NoBookYet,
    NotABook,
    UnwritableFile,
)
from caskward.store.checking import Checked, check_book
from caskward.store.engine import Link, is_there, make_folder
from caskward.store.exchange import export_lines, import_lines
from caskward.store.journal import Journal
from caskward.store.place import Place
from caskward.store.reading import head_of
from caskward.store.setaside import LOG_FILES, copy_aside, copy_file, keep_no_log, logs_of, move_aside
from caskward.store.upgrade import make_ready

_BEFORE = "before-restore"


@dataclass(frozen=True, slots=True)
class Saved:
    """A backup: where it is, and how far the book went when it was made."""

    file: Path
    entries: int
    head: str


@dataclass(frozen=True, slots=True)
class Restored:
    """A book brought back: how far it goes, how far the one before it went (None: unreadable)."""

    entries: int
    entries_before: int | None
    aside: Path | None


_NEVER_OVER = (
    "A book on a server is never written over, not even with --overwrite. Restore into a new, empty database "
    "and set CASKWARD_BOOK to that."
)


def back_up(journal: Journal, file: Path, *, overwrite: bool = False) -> Saved:
    """Copy the book to `file` in one step, while it is in use, and prove the copy before it gets its name.

    Raises `BookAlreadyThere` if there is such a file and it is not to be overwritten, `CopyNotGood` if the
    copy does not pass the checks; then nothing is left of it.
    """
    if is_there(file) and (not overwrite or _is_the_book(journal, file)):
        raise BookAlreadyThere(str(file), _entries_at(file), "Name another file for the backup.")
    make_folder(file)
    with _part_of(file) as part:
        _copy(journal, part)
        done = _proved(part, file)
        keep_no_log(part)
        _name(part, file)
    return Saved(file, done.entries, done.head)


def restore(file: Path, place: Place, *, overwrite: bool = False) -> Restored:
    """Bring the book at `place` back from a backup, which is proved first.

    A book that is there is refused (`BookAlreadyThere`) unless it is to be overwritten; then it is copied
    aside first. On a server a book is never overwritten, since the database refuses to forget.
    """
    if not is_there(file):
        raise NoBookYet(str(file))
    if place.file is None:
        return _restore_to_server(file, place)
    make_folder(place.file)
    with _part_of(place.file) as part:
        copy_file(file, part)
        _bring_up_to_date(part)
        done = _proved(part, file)
        before = _entries_at(place.file) if place.file.exists() else 0
        if before != 0 and not overwrite:
            how = (
                "To put the backup in its place all the same (it is copied aside first): "
                f'caskward book restore "{file}" --overwrite'
            )
            raise BookAlreadyThere(str(place), before, how)
        aside = _put_in_place(part, place.file)
    return Restored(done.entries, before, aside)


def _restore_to_server(file: Path, place: Place) -> Restored:
    link = Link(place)
    try:
        make_ready(link)
        with _part_in_temporary_folder() as part:
            copy_file(file, part)
            _bring_up_to_date(part)
            done = _proved(part, file)
            with closing(Journal(Link(Place(file=part)))) as copy:
                import_lines(link, export_lines(copy), _NEVER_OVER)
    finally:
        link.close()
    return Restored(done.entries, 0, None)


def _copy(journal: Journal, part: Path) -> None:
    if journal.place.file is not None:
        copy_file(journal.place.file, part)
        return
    link = Link(Place(file=part))
    try:
        make_ready(link)
        import_lines(link, export_lines(journal))
    finally:
        link.close()


def _bring_up_to_date(part: Path) -> None:
    link = Link(Place(file=part))
    try:
        make_ready(link, create=False, aside=False)
    finally:
        link.close()


def _proved(part: Path, shown: Path) -> Checked:
    link = Link(Place(file=part))
    try:
        done = check_book(link)
    finally:
        link.close()
    if not done.whole:
        raise CopyNotGood(str(shown), done.findings[0].sentence)
    return done


def _is_the_book(journal: Journal, file: Path) -> bool:
    return journal.place.file is not None and journal.place.file.samefile(file)


def _entries_at(file: Path) -> int | None:
    """How many entries a file holds; None if it is no book that can be read."""
    if not file.stat().st_size and not logs_of(file):
        return 0
    link = Link(Place(file=file))
    try:
        with link.reading() as connection:
            head = head_of(connection)
        return head.number if head else 0
    except CaskwardError:
        return None
    finally:
        link.close()


def _put_in_place(part: Path, file: Path) -> Path | None:
    """Make the proved copy the book; returns where the one before it is now."""
    if not file.exists():
        # What SQLite kept beside a file that is gone would be taken for the new one's.
        aside = move_aside(file, _BEFORE) if logs_of(file) else None
        _name(part, file)
        return aside
    try:
        aside = copy_aside(file, _BEFORE)
        # In one transaction, so that whoever has the book open sees the old one or the new one.
        copy_file(part, file)
    except (BookDamaged, NotABook, DiskTrouble):
        aside = move_aside(file, _BEFORE)
        _name(part, file)
    return aside


def _name(part: Path, file: Path) -> None:
    try:
        for log in logs_of(file):
            log.unlink()
        part.replace(file)
    except OSError as error:
        raise UnwritableFile(str(file), error.strerror or str(error)) from error


@contextmanager
def _part_of(file: Path) -> Iterator[Path]:
    """A place beside a file for what is to become it; nothing is left there."""
    part = file.with_name(f"{file.name}.{os.getpid()}.part")
    try:
        yield part
    finally:
        for ending in ("", *LOG_FILES):
            part.with_name(part.name + ending).unlink(missing_ok=True)


@contextmanager
def _part_in_temporary_folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="caskward-") as folder:
        yield Path(folder) / "copy.sqlite"
