"""The desk's own small files: for their owner alone, and written whole or not at all."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path

from caskward.errors.desk import DeskFolderShut

OWNER_ONLY = 0o600


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


def append(path: Path, line: str) -> None:
    """Add a line to a log; a full disk does not stop the work, so a line may be missing."""
    with suppress(OSError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, OWNER_ONLY)
        with os.fdopen(handle, "a", encoding="utf-8") as out:
            out.write(f"{line}\n")
