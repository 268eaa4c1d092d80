"""One fact: a value with the band a maker meets 8 times in 10, and where it comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any

from caskward.errors import BadCatalogueEntry

HOW = ("read", "memory", "common practice", "derived", "label", "maker")
_KEYS = ("low", "likely", "high", "source", "how", "note")


@dataclass(frozen=True, slots=True)
class Fact:
    """A value and its doubt: `low` and `high` are the 10th and 90th percentile a maker meets.

    `how` says how the value was obtained: "read" from the source, from "memory" of it, "common practice"
    without a source, "derived" from other facts, from a product's "label", or given by the "maker".
    """

    low: float
    likely: float
    high: float
    source: str
    how: str
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse a band that is out of order, and an unknown `how`."""
        if not self.low <= self.likely <= self.high:
            raise BadCatalogueEntry(
                "A fact",
                f"low {self.low:g}, likely {self.likely:g}, high {self.high:g} are out of order",
                "Put them so that low <= likely <= high.",
            )
        if self.how not in HOW:
            raise BadCatalogueEntry(
                "A fact", f"how = {self.how!r} is not known", f"Use one of: {', '.join(HOW)}."
            )

    @property
    def is_certain(self) -> bool:
        """True when the band has no width."""
        return self.low == self.high

    def scaled(self, factor: float) -> Fact:
        """The same fact times a positive factor [-]; it becomes "derived" unless the factor is one."""
        if factor == 1.0:
            return self
        low, likely, high = self.low * factor, self.likely * factor, self.high * factor
        return Fact(low, likely, high, self.source, "derived", self.note)


ZERO = Fact(0.0, 0.0, 0.0, "by-definition", "derived")


def read_fact(where: str, raw: object, source: str, how: str) -> Fact:
    """Read a fact from a TOML value: a plain number, or a table of low, likely, high, source, how, note.

    `where` [text] names file, entry and key for the sentence of a refusal; `source` and `how` [text] stand in
    when the table names none. A plain number means low = likely = high.
    """
    table: Mapping[str, Any] = raw if isinstance(raw, Mapping) else {"likely": _plain_number(where, raw)}
    for key in table:
        if key not in _KEYS:
            raise BadCatalogueEntry(where, f"{key!r} is not part of a fact", f"Use: {', '.join(_KEYS)}.")
    low, likely, high = _band(where, table)
    origin, manner, note = table.get("source", source), table.get("how", how), table.get("note", "")
    for text in (origin, manner, note):
        if not isinstance(text, str):
            raise BadCatalogueEntry(where, f"{text!r} is not text", "Write source, how and note in quotes.")
    try:
        return Fact(low, likely, high, origin, manner, note)
    except BadCatalogueEntry as fault:
        raise BadCatalogueEntry(where, fault.problem, fault.advice) from None


def _band(where: str, raw: Mapping[str, object]) -> tuple[float, float, float]:
    """Low, likely and high; likely must be there and stands in for a low or high that is not."""
    if "likely" not in raw:
        raise BadCatalogueEntry(
            where, "the likely value is missing", "Write { low, likely, high } or a number."
        )
    low, likely, high = (
        _number(f"{where} {key}", raw.get(key, raw["likely"]), "Write it without quotes.")
        for key in ("low", "likely", "high")
    )
    return low, likely, high


def _plain_number(where: str, raw: object) -> float:
    return _number(where, raw, "Write a number, or { low, likely, high }.")


def _number(where: str, raw: object, advice: str) -> float:
    if isinstance(raw, bool) or not isinstance(raw, (int, float)) or not isfinite(raw):
        raise BadCatalogueEntry(where, f"{raw!r} is not a finite number", advice)
    return float(raw)
