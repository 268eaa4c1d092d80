"""Corrections: an entry is never changed, a new one takes it back and says what is right."""

from __future__ import annotations

from caskward.book.canonical import moment_text
from caskward.book.corrections import check_correctable, entered_part, meant_kind, reverse
from caskward.book.deeds.act import Act
from caskward.book.entry import Deed, Entry
from caskward.book.frozen import FrozenMap
from caskward.errors.book import BadField, NotCorrectable

_NOT_RIGHT = frozenset({"declared", "begun", "planned", "closed", "corrected"})


def correct(act: Act, old: Entry, right: Deed, why: str) -> Deed:
    """What an older entry should have said.

    `right` is made as if it were entered in the old one's place: for a gauge, from the state before the old
    entry. It stands for the whole of it, costs and readings too. Its author and key do not count; `act` says
    who corrects, and when.
    """
    if right.kind in _NOT_RIGHT:
        raise BadField("kind of the right entry", right.kind, "something that was done")
    if meant_kind(old) == "closed":
        raise NotCorrectable(old.number, old.kind, "Withdraw it, which opens the batch again.")
    said: dict[str, object] = {
        "as": right.kind,
        "right": right.details,
        "done_at": moment_text(right.done_at),
    }
    return _corrected(act, old, right, said, why)


def withdraw(act: Act, old: Entry, why: str) -> Deed:
    """An entry of something that did not happen; that a batch was closed is taken back in the same way."""
    return _corrected(act, old, None, {}, why)


def _corrected(act: Act, old: Entry, right: Deed | None, said: dict[str, object], why: str) -> Deed:
    check_correctable(old)
    taken_back = reverse(entered_part(old))
    return Deed(
        key=act.key,
        kind="corrected",
        done_at=act.done_at,
        author=act.author,
        site=act.site,
        batch=right.batch if right else old.batch,
        corrects=old.number,
        readings=right.readings if right else act.readings,
        postings=taken_back + (right.postings if right else ()),
        details=FrozenMap({**said, "reverses": len(taken_back), "why": why}),
        note=act.note,
    )
