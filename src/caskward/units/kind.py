"""A kind of quantity: volume, mass, strength, and what its unit names stand for.

A name is found as it stands first, then without regard to case, unless case tells two units apart: `MW` is
not `mW`, and `mw` could be either.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from caskward.units.numbers import TwoWays

T = TypeVar("T")
_AROUND_SLASH = re.compile(r"\s*/\s*|\s+per\s+")


@dataclass(frozen=True, slots=True)
class Kind(Generic[T]):
    """One kind of quantity: how it is called, how it is written, and the names of its units."""

    noun: str
    examples: str
    exact: dict[str, T]
    folded: dict[str, T]
    unclear: dict[str, tuple[str, ...]]
    comma_may_group: bool

    def find(self, unit: str) -> T | None:
        """What the unit's name stands for, or nothing; `TwoWays` if the name is not clear."""
        found = self.exact.get(unit)
        if found is not None:
            return found
        plain = _AROUND_SLASH.sub("/", unit.replace(".", "").replace("^", "")).strip()
        folded = plain.casefold()
        if folded in self.unclear:
            raise TwoWays(*self.unclear[folded])
        return self.exact.get(plain, self.folded.get(folded))


def kind(
    noun: str,
    examples: str,
    names: dict[str, T],
    unclear: Mapping[str, tuple[str, ...]] | None = None,
    comma_may_group: bool = True,
) -> Kind[T]:
    """A kind from `"name|other name": meaning`; case is ignored except where it tells two units apart."""
    exact: dict[str, T] = {}
    for several, meaning in names.items():
        for name in several.split("|"):
            if exact.setdefault(name, meaning) != meaning:
                raise ValueError(f"{name} stands for two units of {noun}")
    folded: dict[str, T] = {}
    doubtful: dict[str, tuple[str, ...]] = dict(unclear or {})
    for name, meaning in exact.items():
        key = name.casefold()
        if folded.setdefault(key, meaning) != meaning:
            doubtful[key] = tuple(other for other in exact if other.casefold() == key)
    return Kind(noun, examples, exact, folded, doubtful, comma_may_group)
