"""Where the numbers come from.

`sources.toml` holds one entry per source (author, title, edition, year, and how it was obtained);
docstrings, catalogue files and tests name a source by its key. `load_sources()` reads them all,
`source(key)` finds one, `Source.citation` writes it as one line for a person.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

from caskward.errors import UnknownName

__all__ = ["HOW", "Source", "load_sources", "source"]

HOW = ("read", "from memory", "common practice", "derived")
"""How a source was obtained; every entry says one of these."""


@dataclass(frozen=True, slots=True)
class Source:
    """One place that numbers were taken from."""

    key: str
    author: str
    title: str
    edition: str
    year: int
    how: str
    note: str = ""

    @property
    def citation(self) -> str:
        """The source as one line: author, title, edition, year (how obtained)."""
        parts = [self.author, self.title]
        if self.edition and self.edition != str(self.year):
            parts.append(self.edition)
        if self.year:
            parts.append(str(self.year))
        return f"{', '.join(part for part in parts if part)} ({self.how})"


@cache
def load_sources() -> Mapping[str, Source]:
    """Every source by key, read once from `sources.toml`."""
    text = resources.files(__name__).joinpath("sources.toml").read_text(encoding="utf-8")
    return MappingProxyType({key: Source(key=key, **entry) for key, entry in tomllib.loads(text).items()})


def source(key: str) -> Source:
    """The source with this key; an unknown key raises `UnknownName` with the nearest known one."""
    sources = load_sources()
    if key in sources:
        return sources[key]
    nearest = difflib.get_close_matches(key, sources, n=1)
    raise UnknownName("source", key, nearest[0] if nearest else None)
