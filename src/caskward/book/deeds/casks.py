"""Casks: filled, topped, sampled."""

from __future__ import annotations

from collections.abc import Mapping

from caskward.book.deeds.act import Act, Postings, deed
from caskward.book.deeds.moves import Part, pour_out
from caskward.book.entry import Deed
from caskward.book.holdings import Holdings


def fill(
    act: Act, holdings: Holdings, part: Part, cask: str, details: Mapping[str, object] | None = None
) -> Deed:
    """Spirit into a cask; the cask's own price is one of `act.costs`, with the cask as its account."""
    return _into_cask(act, holdings, "filled", part, cask, details or {})


def top(act: Act, holdings: Holdings, part: Part, cask: str) -> Deed:
    """More spirit into a cask that holds some."""
    return _into_cask(act, holdings, "topped", part, cask, {})


def sample(act: Act, holdings: Holdings, part: Part, why: str = "tasting") -> Deed:
    """A sample that does not come back."""
    postings = Postings()
    asserts = pour_out(postings, act, holdings, part, f"sampled/{why}")
    return deed(act, "sampled", postings, {"from": part.account, "why": why}, asserts)


def _into_cask(
    act: Act, holdings: Holdings, kind: str, part: Part, cask: str, details: Mapping[str, object]
) -> Deed:
    postings = Postings()
    asserts = pour_out(postings, act, holdings, part, cask)
    return deed(act, kind, postings, {**details, "into": cask}, asserts)
