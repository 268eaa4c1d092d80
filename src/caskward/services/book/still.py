"""A ferment gauged, and a run of the still."""

from __future__ import annotations

import math
from typing import Final

from caskward.book import deeds
from caskward.book.amounts import Liquid
from caskward.book.deeds import Act, Run
from caskward.book.deeds.act import held_or_raise
from caskward.book.entry import Reading
from caskward.errors import MissingValue, NotUnderstood
from caskward.errors.book_asked import AllIsNoGauge
from caskward.errors.book_typed import HowMuch
from caskward.services.book import words
from caskward.services.book.acting import Made, with_readings
from caskward.services.book.amount_said import Measured, Tools
from caskward.services.book.asked import LIQUID_ROOTS, Asked, Reader, View, plain
from caskward.services.book.ferment import check_ferment, check_in_order
from caskward.services.book.measured import measured
from caskward.services.book.run_kind import Kind

_KINDS: Final[dict[str, Kind]] = {
    "strip": "strip",
    "stripping run": "strip",
    "spirit run": "spirit run",
    "spirit": "spirit run",
    "single run": "spirit run",
}
"""A wash that is run once, straight to the cut, is a spirit run to the batch."""
_EXAMPLE = '"jar 1" 500 mL 78 % at 18 C, "jar 2" 4 L 71 % at 18 C'


def convert(asked: Asked, act: Act, view: View) -> Made:
    """`convert tub 1 178 L 8.1 % at 24 C`, or by gravities: `178 L 1.008 at 24 C --original 1.062`."""
    reader = Reader(asked, view)
    place = reader.place("what was gauged", LIQUID_ROOTS, new=())
    text = reader.rest()
    done = measured(text, held_or_raise(view.holdings, place), Tools.of(asked.options))
    if done.unmeasured:
        raise AllIsNoGauge(text, words.place(place))
    check_in_order(view, act, place)
    check_ferment(view, act, place, done.liquid, done.within)
    act = with_readings(act, done.readings)
    return Made(deeds.convert(act, view.holdings, place, done.liquid), done.notes)


def distil(asked: Asked, act: Act, view: View) -> Made:
    """`distil pot still into jar 1 500 mL 78 % at 18 C, jar 2 4 L 71 % at 18 C, left 90 L 1 % at 20 C`.

    What the charge does not tell stands at the end: `as strip`, `as spirit run`.
    """
    reader = Reader(asked, view)
    still = reader.place("which still", LIQUID_ROOTS, new=())
    check_in_order(view, act, still)
    reader.skip()
    read = _Read(asked, view)
    details = _kind(reader)
    behind = reader.cut("left")
    left_words = asked.option("left") or (behind.rest() if behind else "")
    receivers = tuple((item.place("what it ran into"), read.amount(item)) for item in reader.items())
    if not receivers:
        raise MissingValue("book distil", "what ran into which jar", _EXAMPLE)
    left = read.typed(left_words) if left_words else None
    destroyed, lost = read.named("destroyed"), read.named("lost")
    run = Run(receivers, left, lost, destroyed, read.within_ul(held_or_raise(view.holdings, still)))
    act = with_readings(act, read.readings)
    return Made(deeds.distil(act, view.holdings, still, run, details), tuple(read.notes))


def _kind(reader: Reader) -> dict[str, object]:
    """Of which kind the run was, where it is said."""
    text = reader.after_last("as")
    if not text:
        return {}
    while reader.left and reader.left[-1].text in (",", ";"):
        reader.tokens.pop()
    said = " ".join(word for word in text.casefold().split() if word not in ("a", "the"))
    if said not in _KINDS:
        raise NotUnderstood("the kind of a run", text, "as strip, or as spirit run")
    return {"run": _KINDS[said]}


class _Read:
    """Everything that was measured in a run."""

    def __init__(self, asked: Asked, view: View) -> None:
        self.asked, self.view, self.tools = asked, view, Tools.of(asked.options)
        self.readings: list[Reading] = []
        self.notes: list[str] = []
        self.doubts_ul: list[int] = []

    def amount(self, item: Reader) -> Liquid:
        """What ran into a place: its words behind the place."""
        return self._kept(measured(item.rest(), Liquid(0, 0), self.tools)).liquid

    def typed(self, text: str) -> Liquid:
        """What an option says of an amount."""
        return self._kept(measured(text, Liquid(0, 0), self.tools)).liquid

    def named(self, option: str) -> dict[str, Liquid]:
        """Amounts with a reason, each of one option: `foreshots 200 mL 80 % at 18 C`."""
        found: dict[str, Liquid] = {}
        for text in self.asked.every(option):
            done = self._kept(measured(text, Liquid(0, 0), self.tools, words=True))
            if not done.words:
                raise MissingValue(f"--{option}", "what it was", f'"foreshots {text}"')
            found[plain(done.words)] = done.liquid
        return found

    def within_ul(self, charge: Liquid) -> int:
        """What all instruments together may be wrong by: errors of different vessels go by their squares.

        The charge was gauged once, too; it counts with a part in a hundred (*common practice, no source*).
        """
        charge_ul = charge.alcohol_ul // 100
        return round(math.hypot(*self.doubts_ul, charge_ul))

    def _kept(self, done: Measured) -> Measured:
        if done.unmeasured:
            raise HowMuch("all")
        self.readings += done.readings
        self.notes += [note for note in done.notes_of_doubt if note not in self.notes]
        self.doubts_ul.append(done.within.alcohol_ul)
        return done
