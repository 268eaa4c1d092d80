"""A deed with its planned kilos and litres, ready to be looked over: a cook, the malt, the yeast."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from caskward.book.accounts import BULK, family_of, name_of
from caskward.planning.plan import StageCard
from caskward.properties import water
from caskward.services import words
from caskward.services.book import batch_work
from caskward.services.book.at_hand import AtHand
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.batch_work import Cards, Work
from caskward.services.book.opened import Book
from caskward.services.book.shopping import names_alike
from caskward.services.book.yeasts import is_yeast
from caskward.units.types import UnitSystem

_TUBS: Final = ("tub", "mash tun", "fermenter")


@dataclass(frozen=True, slots=True)
class ReadyDeed:
    """A deed as it is typed, by what its button says.

    taken: what else is in its tub, in a sentence; "" where the tub is its own.
    """

    verb: str
    button: str
    words: str
    taken: str = ""


@dataclass(frozen=True, slots=True)
class Around:
    """What any batch of a book may need: what is weighed out of its stores, and a tub.

    tub: an empty one if there is one. taken_l: what is in it [L at 20 °C].
    """

    book: Book
    weighed: tuple[str, ...]
    tub: str
    taken_l: float = 0.0


def around(book: Book, there: AtHand) -> Around:
    """What there is as the book stands. there: all that it holds now."""
    in_lots = dict.fromkeys(what for lot in there.under("lot").values() for what in lot)
    weighed = [name_of(what) for what in in_lots if family_of(what) == "mass"]
    vessels = sorted(name for name in there.rooms_ul if name.startswith("vessel/"))
    tubs = [name for name in vessels if any(word in name_of(name).casefold() for word in _TUBS)]
    tub = next((name for name in tubs if not there.holds(name)), tubs[0] if tubs else "")
    return Around(book, tuple(weighed), tub, there.liquid(tub).liquid.bulk_ul / 1e6 if tub else 0.0)


def ready(
    at: Around, of: BatchRecord, cards: Cards, work: Work, system: UnitSystem, now: datetime
) -> ReadyDeed | None:
    """What is recorded once the act at hand is done; None where no deed of the tub ends it."""
    card = cards.get(work.key)
    if card is None:
        return None
    made = _Ready(at, of, cards, system)
    if work.key == "cook":
        nth = f" {work.number}" if work.count > 1 else ""
        return ReadyDeed("mash", f"Cook{nth} is in the tub", made.cook(card), made.taken())
    if work.key == "convert" and work.step == "in":
        return ReadyDeed("mash", "All is together in the tub", made.malt(card), made.taken())
    held = work.key == "convert" and batch_work.is_held(cards, work, now)  # before, the yeast would die of it
    if (work.key == "pitch" or held) and "pitch" in cards:
        return made.pitch(cards["pitch"])
    return None


@dataclass(frozen=True, slots=True)
class _Ready:
    at: Around
    of: BatchRecord
    cards: Cards
    system: UnitSystem

    def cook(self, card: StageCard) -> str:
        """One cook, and what the tub holds with it, as hot as it was cooked."""
        volume, hot = batch_work.figure_of(card, "volume"), batch_work.figure_of(card, "temperature")
        hot_c = hot.mid if hot else 20.0
        grows = float(water.density(20.0)) / float(water.density(hot_c))
        litres = self._held_l() * grows + (volume.mid if volume else 0.0)
        return f"{self._goods(card)} into {self._tub()} {self._so_much(litres, hot_c)}"

    def malt(self, card: StageCard) -> str:
        """What is stirred in once it is cooked, and what the tub holds in all."""
        whole = batch_work.figure_of(self.cards.get("pitch"), "volume")
        added = (
            sum(t.band.mid for t in self.cards["pitch"].targets if t.key.startswith("water."))
            if whole
            else 0.0
        )
        rest = batch_work.figure_of(card, "rest")
        litres = (whole.mid - added) if whole else self._held_l()
        return f"{self._goods(card)} into {self._tub()} {self._so_much(litres, rest.mid if rest else 20.0)}"

    def pitch(self, card: StageCard) -> ReadyDeed:
        """The yeast, and with it sugar or fruit."""
        grams = batch_work.figure_of(card, "yeast")
        name = next((t.words for t in card.targets if t.key == "yeast"), "yeast").partition(", each")[0]
        amount = words.figure(grams.mid, "g", self.system) if grams else "100 g"
        yeast = f"{amount} {self._called({name}, name)}"
        more = self._goods(card)
        whole = batch_work.figure_of(card, "volume")
        if not more or whole is None:
            return ReadyDeed("add", "The yeast is in", f"{yeast} to {self._tub()}")
        pitched = batch_work.figure_of(card, "pitched")
        litres = self._so_much(whole.mid, pitched.mid if pitched else 20.0)
        into = f"{more}, {yeast} into {self._tub()} {litres}"
        return ReadyDeed("mash", "All is in, with the yeast", into, self.taken())

    def taken(self) -> str:
        """What is in its tub before anything of the batch is."""
        if self._own() or not self.at.taken_l:
            return ""
        held = words.figure(self.at.taken_l, "L", self.system)
        name = name_of(self.at.tub)
        return f"In {name} the book still has {held}, of something else: empty it first, or name another tub."

    def _goods(self, card: StageCard) -> str:
        """Every material of a stage, called as its lot in store is."""
        parts = []
        for one in card.targets:
            if one.key.startswith("kg."):
                key = one.key.removeprefix("kg.")
                called = self._called(batch_work.names_of(key), key.replace("-", " "))
                parts.append(f"{words.figure(one.band.mid, 'kg', self.system)} {called}")
        return ", ".join(parts)

    def _called(self, names: Iterable[str], otherwise: str) -> str:
        wanted, there = names_alike(*names), self.at.weighed
        alike = next((one for one in there if names_alike(one) & wanted), "")
        # Most stores have one yeast, whatever it is called.
        plain = [one for one in there if is_yeast(otherwise) and is_yeast(one)]
        only = plain[0] if len(plain) == 1 else ""
        return _quoted(alike or only or otherwise[:1].lower() + otherwise[1:])

    def _so_much(self, litres: float, temp_c: float) -> str:
        volume, warm = words.figure(litres, "L", self.system), words.figure(temp_c, "C", self.system)
        return f"{volume} at {warm.replace(' °', ' ')}"

    def _tub(self) -> str:
        return _quoted(name_of(self._place()) if self._place() else "tub")

    def _place(self) -> str:
        """Where its mash is; before there is any, a vessel that is called a tub."""
        return self._own() or self.at.tub

    def _own(self) -> str:
        into = [one.into for one in batch_work.mashed(self.of) if one.into]
        return into[-1] if into else ""

    def _held_l(self) -> float:
        """What of it is in the tub; another batch's is not counted in."""
        place = self._own()
        return self.at.book.balances(place).get(place, {}).get(BULK, 0) / 1e6 if place else 0.0


def _quoted(name: str) -> str:
    return f'"{name}"' if " " in name else name
