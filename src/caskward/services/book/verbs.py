"""Every deed by its verb: what works it out, and whether it is of liquid, of goods or of bottles."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import replace

from caskward.book.deeds import Act
from caskward.errors import MissingValue, UnknownName
from caskward.services.book import bottles, liquids, standing, still, stores
from caskward.services.book.acting import Doing, Made, Maker, Recorded, corrected, record
from caskward.services.book.asked import Asked, Reader, View, plain
from caskward.services.book.opened import Book, to_write


def _leave(asked: Asked, act: Act, view: View) -> Made:
    """Lost, destroyed or sampled: bottles, goods or liquid."""
    if bottles.is_of_bottles(asked, view):
        return bottles.send(asked, act, view)
    if asked.verb != "sample" and stores.is_of_goods(asked, view):
        return stores.discard(asked, act, view)
    return _LIQUID_LEAVES[asked.verb](asked, act, view)


def _sell(asked: Asked, act: Act, view: View) -> Made:
    reader = Reader(asked, view)
    whom = plain(asked.option("to") or reader.after_last("to"))
    if not whom:
        raise MissingValue("book sell", "who bought it", 'to "farm shop"')
    words = replace(asked, parts=_parts(reader))
    if bottles.is_of_bottles(words, view):
        return bottles.send(words, act, view, whom)
    return liquids.sell(words, act, view, whom)


def _parts(reader: Reader) -> tuple[str, ...]:
    """What is left as parts: words that stood in quotes together stand so again."""
    groups: dict[int, list[str]] = {}
    for token in reader.left:
        groups.setdefault(token.group, []).append(token.text)
    return tuple(" ".join(words) for words in groups.values())


def _move(asked: Asked, act: Act, view: View) -> Made:
    if bottles.is_of_bottles(asked, view):
        return bottles.send(asked, act, view)
    return liquids.move(asked, act, view)


def _gauge(asked: Asked, act: Act, view: View) -> Made:
    if stores.is_of_goods(asked, view):
        return stores.gauge(asked, act, view)
    return liquids.gauge(asked, act, view)


_LIQUID_LEAVES: Mapping[str, Maker] = {
    "lose": liquids.lose,
    "destroy": liquids.destroy,
    "sample": liquids.sample,
}
MAKERS: Mapping[str, Maker] = {
    "declare": standing.declare,
    "begin": standing.begin,
    "receive": stores.receive,
    "mash": stores.mash,
    "add": stores.add,
    "convert": still.convert,
    "move": _move,
    "vat": liquids.vat,
    "distil": still.distil,
    "reduce": liquids.reduce,
    "fill": liquids.fill,
    "top": liquids.top,
    "gauge": _gauge,
    "explain": liquids.explain,
    "sample": _leave,
    "bottle": bottles.bottle,
    "sell": _sell,
    "destroy": _leave,
    "lose": _leave,
    "measure": standing.measure,
    "note": standing.note,
    "close": standing.close,
}
"""Every deed that is worked out from its words alone, in the order of a batch."""


def done(asked: Asked, doing: Doing, place: str = "") -> Recorded:
    """Record a deed in the book.

    Raises:
        InputError: what cannot be, with what is there.
    """
    make = maker(asked.verb)
    with to_write(place) as book:
        return record(book, asked, doing, make)


def done_in(book: Book, asked: Asked, doing: Doing) -> Recorded:
    """Record a deed in a book that is open."""
    return record(book, asked, doing, maker(asked.verb))


def put_right(number: int, asked: Asked, doing: Doing, why: str, place: str = "") -> Recorded:
    """Correct an entry: `asked` is what it should have said, without a verb if it never happened."""
    make = maker(asked.verb) if asked.verb else None
    with to_write(place) as book:
        return corrected(book, number, asked, doing, why, make)


def maker(verb: str) -> Maker:
    """What works a deed out; raises `UnknownName`."""
    if verb not in MAKERS:
        close = difflib.get_close_matches(verb, MAKERS, n=1)
        raise UnknownName("deed", verb, close[0] if close else None, tuple(MAKERS))
    return MAKERS[verb]
