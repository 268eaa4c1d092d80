"""Which units an answer is shown in: those asked for, else those that were typed."""

from __future__ import annotations

import re
from collections.abc import Iterable

from caskward.errors import UnknownName
from caskward.units.types import UnitSystem

_US_AMOUNT = re.compile(
    r"\d\s*(?:us\s+)?(?:gal|gallon|qt|quart|pt|pint|fl\.?\s?oz|oz|ounce|lb|pound)s?\b", re.IGNORECASE
)
_IMPERIAL = re.compile(r"\b(?:imp|imperial|uk)\s+(?:gal|gallon|qt|quart|pt|pint|fl)", re.IGNORECASE)
_METRIC_AMOUNT = re.compile(r"\d\s*(?:[mcdh]?l|lit(?:re|er)s?|k?g|t|tonnes?)\b(?!/)", re.IGNORECASE)
_PROOF = re.compile(r"\d\s*°?\s*(?:us\s+)?proof\b", re.IGNORECASE)
_SYSTEMS: dict[str, UnitSystem] = {"metric": "metric", "us": "us"}


def system_for(shown: str, typed: Iterable[str], usual: UnitSystem = "metric") -> UnitSystem:
    """The units asked for; else those of the amounts typed, US ones for a proof alone, else `usual`.

    Raises:
        UnknownName: no such system.
    """
    if shown:
        if shown.casefold() not in _SYSTEMS:
            raise UnknownName("system of units", shown, None, tuple(_SYSTEMS))
        return _SYSTEMS[shown.casefold()]
    text = " ; ".join(typed)
    if _METRIC_AMOUNT.search(text) or _IMPERIAL.search(text):
        return "metric"
    return "us" if _US_AMOUNT.search(text) or _PROOF.search(text) else usual
