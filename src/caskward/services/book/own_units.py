"""Whose units a maker writes in is theirs to read: those of what was typed last."""

from __future__ import annotations

import re
from collections.abc import Iterable

from caskward.services.gauging_systems import system_for
from caskward.units.types import UnitSystem

_BOTTLES = re.compile(r"\d+\s*x\s*\d+(?:[.,]\d+)?\s*(?:m|c)?l\b", re.IGNORECASE)
"""A bottle is named by its millilitres wherever it is filled, so it says nothing of its maker's units."""


def last_typed(newest_first: Iterable[str]) -> str:
    """The newest text that has units of one system or the other; nothing if none has."""
    for text in newest_first:
        left = _BOTTLES.sub("", text)
        if system_for("", [left], "metric") == system_for("", [left], "us"):
            return left
    return ""


def system_typed(newest_first: Iterable[str]) -> UnitSystem:
    """The system of the newest amount typed; metric if there is none."""
    return system_for("", [last_typed(newest_first)])
