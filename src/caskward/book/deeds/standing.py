"""Deeds that move nothing: vessels, batches, plans, measurements, notes."""

from __future__ import annotations

from collections.abc import Mapping

from caskward.book.deeds.act import Act, deed
from caskward.book.entry import Deed


def declare(act: Act, rooms_ul: Mapping[str, int], details: Mapping[str, object] | None = None) -> Deed:
    """Vessels, casks, jars and their volumes [µL]; declared again, the last volume holds."""
    return deed(act, "declared", details={**(details or {}), "rooms_ul": dict(rooms_ul)})


def begin(act: Act, details: Mapping[str, object] | None = None) -> Deed:
    """Begin `act.batch`."""
    return deed(act, "begun", details=details)


def plan(act: Act, intent_toml: str, method: Mapping[str, object], digest: str) -> Deed:
    """What is meant for `act.batch`: the intent as written, the method, and the digest of the catalogue.

    The three together open the same plan again. Fractions in the method are written as text.
    """
    return deed(act, "planned", details={"intent": intent_toml, "method": dict(method), "catalogue": digest})


def measure(act: Act, account: str = "", details: Mapping[str, object] | None = None) -> Deed:
    """Readings (`act.readings`) of what is in a place, which change no balance."""
    return deed(act, "measured", details={**(details or {}), "of": account})


def note(act: Act, about: str = "", details: Mapping[str, object] | None = None) -> Deed:
    """Words (`act.note`), about a place or a batch."""
    return deed(act, "noted", details={**(details or {}), "about": about})


def close(act: Act) -> Deed:
    """Close `act.batch`: nothing more is entered for it, but corrections and notes."""
    return deed(act, "closed")
