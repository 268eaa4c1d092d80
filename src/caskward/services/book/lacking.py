"""What the book lacks of the work before: a cook, the malt, a run that is not in the accounts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from caskward.services.book import batch_work
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.batch_work import Cards, Work
from caskward.units.types import UnitSystem

_NTH: Final = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
_WHOLE_HEART: Final = {"metric": "heart: 11 L, 70 %", "us": "heart: 2.9 gal, 70 %"}


def of_mash(of: BatchRecord, cards: Cards, malt: Sequence[str]) -> str:
    """Cooks and malt that are not recorded; "" where all is there, and of a mash that was only read.

    malt: what is stirred in after the cooks, by name.
    """
    count = batch_work.count_of(cards.get("cook"), "cooks") if "cook" in cards else 0
    done, is_in = batch_work.cooks_done(of, cards), batch_work.is_malt_in(of, cards)
    if not done and not is_in:
        return ""
    found = [_cooks(done, count)] if done < count else []
    if malt and not is_in:
        found.append(f"Nothing of the {' and '.join(malt)} is in the book; record it if it is in the tub.")
    return " ".join(found)


def _cooks(done: int, count: int) -> str:
    if count == 1:
        return "The cook is not in the book; record it if it is in the tub."
    there = f"{done or 'None'} of {count} cooks {'are' if done > 1 else 'is'} in the book"
    if not done:
        return f"{there}; record them if they are in the tub."
    if count - done > 1:
        return f"{there}; record the others if they are in the tub."
    last = _NTH[count - 1] if count <= len(_NTH) else "last"
    return f"{there}; record the {last} if it is in the tub."


def of_runs(of: BatchRecord, work: Work, system: UnitSystem) -> tuple[str, ...]:
    """Before a later spirit run: that one before it is not in the accounts, and how a maker stops early."""
    before = work.number - 1
    if before < 1 or work.step == "runs":
        return ()
    out = (
        ()
        if of.runs.is_entered(("run", before))
        else (f"Spirit run {before} is not in the accounts yet: Run day has the deed ready.",)
    )
    return (
        *out,
        f"To stop after run {before}, record the whole heart instead, such as {_WHOLE_HEART[system]}.",
    )
