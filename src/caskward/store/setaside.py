"""Whole copies of a book's file, made in one step while others write."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from caskward.errors import UnwritableFile
from caskward.store.faults import of_file

LOG_FILES = ("-wal", "-shm", "-journal")
"""Endings of what SQLite keeps beside a file while it is open, or was when the power went."""

_WAIT_S = 20.0
_TURNS = ("", *(f"-{turn}" for turn in range(2, 100)))


def copy_aside(file: Path, why: str) -> Path:
    """Copy the book's file beside itself under a name that says when and why; return the copy."""
    copy = _name_aside(file, why)
    copy_file(file, copy)
    return copy


def move_aside(file: Path, why: str) -> Path:
    """Give a file that cannot be read as a book, and what SQLite keeps beside it, a name of the same kind."""
    aside = _name_aside(file, why)
    try:
        for ending in ("", *LOG_FILES):
            part = file.with_name(file.name + ending)
            if part.exists():
                part.rename(aside.with_name(aside.name + ending))
    except OSError as error:
        raise UnwritableFile(str(aside), error.strerror or str(error)) from error
    return aside


def logs_of(file: Path) -> list[Path]:
    """What SQLite keeps beside a file just now, or has left there."""
    beside = (file.with_name(file.name + ending) for ending in LOG_FILES)
    return [log for log in beside if log.exists()]


def keep_no_log(file: Path) -> None:
    """Make a file whole in itself, so that it can be read where nothing may be written beside it."""
    try:
        with closing(sqlite3.connect(file, timeout=_WAIT_S)) as book:
            book.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.Error as error:
        raise of_file(error, str(file), _WAIT_S) from error


def _name_aside(file: Path, why: str) -> Path:
    now = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    names = (f"{file.stem}.{why}.{now}{turn}{file.suffix}" for turn in _TURNS)
    return next(aside for name in names if not (aside := file.with_name(name)).exists())


def copy_file(source: Path, target: Path) -> None:
    """Make `target` hold what `source` holds at one moment, whoever writes meanwhile; all of it or nothing.

    A target that is a book already is replaced in one transaction. All pages are copied in one step: copied
    in parts, the copy begins again whenever somebody writes.
    """
    new = not target.exists()
    try:
        with (
            closing(sqlite3.connect(source, timeout=_WAIT_S)) as there,
            closing(sqlite3.connect(target, timeout=_WAIT_S)) as here,
        ):
            there.backup(here, pages=-1)
    except sqlite3.Error as error:
        if new:
            target.unlink(missing_ok=True)
        raise of_file(error, str(target), _WAIT_S) from error
    _sync(target)


def _sync(file: Path) -> None:
    try:
        for path in (file, file.parent):
            handle = os.open(path, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)
    except OSError as error:
        raise UnwritableFile(str(file), error.strerror or str(error)) from error
