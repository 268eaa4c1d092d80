"""The desk's own small files: for their owner alone, written whole or not at all, by one at a time."""

from __future__ import annotations

import os
import secrets
import sys
import threading
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from caskward.errors.desk import DeskFolderShut

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

OWNER_ONLY = 0o600
_turns: defaultdict[Path, threading.RLock] = defaultdict(threading.RLock)


def read(path: Path) -> bytes | None:
    """What is in a file; None if it is not there."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise DeskFolderShut(str(path), error.strerror or "it cannot be read") from None


def write(path: Path, content: bytes) -> None:
    """Put a file in its place whole; raises `DeskFolderShut`."""
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY)
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        part.replace(path)
    except OSError as error:
        with suppress(OSError):
            part.unlink()
        raise DeskFolderShut(str(path.parent), error.strerror or "it cannot be written") from None


@contextmanager
def alone(path: Path) -> Iterator[None]:
    """Read a file, change it and write it, while nobody else does: no thread here, no desk or command beside.

    Raises:
        DeskFolderShut: the folder cannot be used.
    """
    with _turns[path]:
        try:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle = os.open(path.with_name(f".{path.name}.lock"), os.O_RDWR | os.O_CREAT, OWNER_ONLY)
        except OSError as error:
            raise DeskFolderShut(str(path.parent), error.strerror or "it cannot be written") from None
        try:
            with suppress(OSError):  # a folder on a network may know no locks: then one desk must do
                _hold(handle)
            yield
        finally:
            os.close(handle)  # which lets go


def _hold(handle: int) -> None:
    """Wait until nobody else holds it."""
    if sys.platform == "win32":
        msvcrt.locking(handle, msvcrt.LK_LOCK, 1)
    else:
        fcntl.flock(handle, fcntl.LOCK_EX)


def append(path: Path, line: str) -> None:
    """Add a line to a log; a full disk does not stop the work, so a line may be missing."""
    with suppress(OSError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, OWNER_ONLY)
        with os.fdopen(handle, "a", encoding="utf-8") as out:
            out.write(f"{line}\n")
