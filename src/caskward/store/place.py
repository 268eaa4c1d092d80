"""Where the book is: a file of one's own, or an address that several share."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote, urlsplit

from caskward.errors import BookPlaceUnclear

ENVIRONMENT = "CASKWARD_BOOK"
_SERVER = re.compile(r"postgres(ql)?(\+psycopg)?://", re.IGNORECASE)
_SCHEME = re.compile(r"[A-Za-z][A-Za-z0-9+.-]+://")


@dataclass(frozen=True)
class Place:
    """A file (SQLite) or the address of a database (PostgreSQL): exactly one of the two."""

    file: Path | None = None
    address: str | None = None

    def __str__(self) -> str:
        """The place as it may be shown: an address without its password."""
        if self.file is not None:
            return str(self.file)
        parts = urlsplit(self.address or "")
        host = parts.netloc.rpartition("@")[2]
        who = f"{unquote(parts.username)}@" if parts.username else ""
        return f"postgresql://{who}{host}{parts.path}"


def place_of(given: str) -> Place:
    """The place that a maker named: a file, `sqlite:///file`, or `postgresql://...`."""
    words = given.strip()
    if _SERVER.match(words):
        return Place(address=_SERVER.sub("postgresql://", words, count=1))
    if words.lower().startswith("sqlite:///"):
        words = unquote(words[len("sqlite:///") :])
    if not words or _SCHEME.match(words) or words == ":memory:" or words.endswith(("/", os.sep)):
        raise BookPlaceUnclear(given)
    return Place(file=Path(words).expanduser().absolute())


def default_place(environment: Mapping[str, str] | None = None) -> Place:
    """Where the book is unless one says otherwise: CASKWARD_BOOK, else a file in the user's data folder."""
    words = os.environ if environment is None else environment
    if words.get(ENVIRONMENT, "").strip():
        return place_of(words[ENVIRONMENT])
    # An XDG folder that is not absolute counts as not set: that is the rule of the XDG base directories.
    named = words.get("XDG_DATA_HOME", "")
    data = Path(named) if named and Path(named).is_absolute() else Path.home() / ".local" / "share"
    return Place(file=data / "caskward" / "book.sqlite")
