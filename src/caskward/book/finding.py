"""What a check of the book finds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that does not hold: name of the check, number of the entry (None: of no one), a sentence."""

    check: str
    number: int | None
    sentence: str
