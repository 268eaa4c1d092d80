"""A folder of files that may be lost at any time: where answers that took long are kept, within bounds.

Nothing here ever raises for the folder's sake: what cannot be read is not there, what cannot be written is
worked out again next time. Files are written whole or not at all.
"""

from __future__ import annotations

import contextlib
import os
import platform
import sys
import tempfile
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Final

import numpy as np

import caskward

SWITCH: Final = "CASKWARD_CACHE"
"""The environment's word: "off" keeps nothing, a path keeps it there."""
MOST_BYTES: Final = 96 * 2**20
"""Room that the folder may take; about fifteen batches, each read along its whole way."""
_MARK_BYTES: Final = 16
_KIND: Final = ".kept"
_PARTS_OF_A_VERSION: Final = (".py", ".toml", ".csv")


def folder() -> Path | None:
    """Where it is: as the environment says, else where this system keeps such things; None for nowhere."""
    said = os.environ.get(SWITCH, "").strip()
    if said.casefold() in ("off", "no", "none", "0"):
        return None
    if said:
        return Path(said)
    with contextlib.suppress(RuntimeError):  # a user without a home
        return _usual()
    return None


def _usual() -> Path:
    own = os.environ.get("XDG_CACHE_HOME", "")
    if own and Path(own).is_absolute():
        return Path(own) / "caskward"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "caskward"
    if os.name == "nt" and os.environ.get("LOCALAPPDATA"):
        return Path(os.environ["LOCALAPPDATA"]) / "caskward" / "cache"
    return Path.home() / ".cache" / "caskward"


def name_of(*parts: str) -> str:
    """A file's name for what follows from these parts alone: by them, and by this version of Caskward."""
    whole = blake2b(version().encode(), digest_size=20)
    for part in parts:
        whole.update(b"\0")
        whole.update(part.encode())
    return whole.hexdigest() + _KIND


@cache
def version() -> str:
    """A digest of every line of code and every fact that an answer may hang on, and of what it runs on."""
    found = blake2b(digest_size=20)
    home = Path(caskward.__file__).parent
    for path in sorted(p for p in home.rglob("*") if p.suffix in _PARTS_OF_A_VERSION):
        found.update(path.relative_to(home).as_posix().encode() + b"\0")
        found.update(path.read_bytes())
    runs_on = (sys.version, np.__version__, platform.machine(), os.environ.get("OPENBLAS_NUM_THREADS", ""))
    found.update(repr(runs_on).encode())
    return found.hexdigest()


def read(name: str) -> bytes | None:
    """A file's content; None where there is none that can be read. It counts as used just now."""
    home = folder()
    if home is None:
        return None
    try:
        whole = (home / name).read_bytes()
    except OSError:
        return None
    mark, content = whole[:_MARK_BYTES], whole[_MARK_BYTES:]
    if mark != _mark(content):
        return None
    with contextlib.suppress(OSError):
        os.utime(home / name)
    return content


def _mark(content: bytes) -> bytes:
    """By what a file that was cut off or changed is known: it stands before the content."""
    return blake2b(content, digest_size=_MARK_BYTES).digest()


def write(name: str, content: bytes, most_bytes: int = MOST_BYTES) -> None:
    """Keep a file, and let go of those used least lately where room is short."""
    home = folder()
    if home is None or len(content) > most_bytes:
        return
    with contextlib.suppress(OSError):
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
        _write_whole(home / name, _mark(content) + content)
        _keep_within(home, most_bytes)


def _write_whole(path: Path, content: bytes) -> None:
    handle, beside = tempfile.mkstemp(prefix=".new-", suffix=_KIND, dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(beside).replace(path)
    except OSError:
        Path(beside).unlink(missing_ok=True)
        raise


def _keep_within(home: Path, most_bytes: int) -> None:
    """Also of a file that a broken write left behind: it is used by nobody, so it goes in its turn."""
    found = []
    for path in home.iterdir():
        if path.suffix == _KIND:
            with contextlib.suppress(OSError):
                stat = path.stat()
                found.append((stat.st_mtime, stat.st_size, path))
    room = sum(size for _, size, _ in found)
    for _, size, path in sorted(found):
        if room <= most_bytes:
            break
        with contextlib.suppress(OSError):
            path.unlink()
        room -= size
