"""What was typed for one deed: its verb, its words as the shell parted them, its options; and what is there.

A name of several words needs no quotes where the book knows it: the longest name that fits is taken. A new
name of several words does, or it ends where an amount begins.
"""

from __future__ import annotations

import difflib
import re
import shlex
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from caskward.book.accounts import ROOTS, family_of, name_of, root_of
from caskward.book.holdings import Holdings
from caskward.errors import MissingValue, UnclearValue
from caskward.errors.book_typed import PlaceUnknown, SlashInName
from caskward.services.book.past import Past

LIQUID_ROOTS = tuple(name for name, root in ROOTS.items() if root.liquid)
GOODS_ROOTS = ("lot", "goods")
PLACE_ROOTS = tuple(name for name, root in ROOTS.items() if root.holds)
FILLERS = frozenset({"from", "to", "into", "in", "of", "the", "out", "onto", "and", "with"})
_AMOUNT = re.compile(r"[+-]?[\d.,]*\d")
_LONGEST = 6
_KEPT_APART = frozenset({"key", "by", "json", "show", "yes"})

Contents = Mapping[str, int]


def in_words(text: str) -> tuple[str, ...]:
    """The words as a command would have them: a name in quotes is one, a stray quote is only a letter."""
    try:
        return tuple(shlex.split(text))
    except ValueError:
        return tuple(text.split())


@dataclass(frozen=True, slots=True)
class Asked:
    """A deed as it was typed. `options`: by name without dashes, every value of each."""

    verb: str
    parts: tuple[str, ...] = ()
    options: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def option(self, name: str) -> str:
        """The value of an option; empty if it was not given."""
        return next(iter(self.options.get(name, ())), "")

    def every(self, name: str) -> tuple[str, ...]:
        """Every value of an option that may be given several times."""
        return self.options.get(name, ())

    @property
    def text(self) -> str:
        """All of it in one line; two that say the same have the same."""
        said = [part.strip() for part in self.parts if part.strip()]
        for name in sorted(set(self.options) - _KEPT_APART):
            for value in self.options[name]:
                said += [f"--{name}", value] if value else [f"--{name}"]
        return shlex.join([*self.verb.split(), *said])


@dataclass(frozen=True, slots=True)
class View:
    """What is there as a deed is worked out: what it is judged by, and every place that has a name.

    next_number: the number that the entry gets if nobody else writes meanwhile.
    """

    holdings: Holdings
    places: Mapping[str, Contents]
    past: Past = field(default_factory=Past)

    @property
    def next_number(self) -> int:
        """The number that the next entry gets."""
        return self.holdings.last_number() + 1

    @property
    def open_batches(self) -> tuple[str, ...]:
        """Batches that were begun and not closed."""
        every = self.holdings.names("batch")
        return tuple(name for name in every if self.holdings.standing(name) == "open")

    def named(self, name: str, roots: Sequence[str]) -> list[str]:
        """Places of these roots that a maker may mean by a name: `tub 1`, `jar 7`, `cask/12`."""
        wanted = _alike(name)
        found = [place for place in self.places if place.partition("/")[0] in roots]
        whole = [place for place in found if wanted in (_alike(place), _alike(place.replace("/", " ", 1)))]
        return whole or [place for place in found if _alike(name_of(place)) == wanted]


@dataclass(frozen=True, slots=True)
class Token:
    """One word; words of one part in quotes share their group."""

    text: str
    group: int


class Reader:
    """The words of a deed, read from left to right."""

    def __init__(self, asked: Asked, view: View, parts: Iterable[str] | None = None) -> None:
        self.asked, self.view = asked, view
        self.tokens = list(_tokens(asked.parts if parts is None else parts))
        self.at = 0

    # Where we are ------------------------------------------------------------------------------------

    @property
    def left(self) -> list[Token]:
        """What was not read yet."""
        return self.tokens[self.at :]

    def rest(self) -> str:
        """All that is left, as one text; nothing is left then."""
        text = joined(self.left)
        self.at = len(self.tokens)
        return text

    def skip(self, words: frozenset[str] = FILLERS) -> None:
        """Pass words that only join others."""
        while self.left and self.left[0].text.casefold() in words:
            self.at += 1

    def until(self, *words: str) -> Reader | None:
        """What stands before the first of these words, as a reader of its own; nothing if none is there."""
        for place in range(self.at, len(self.tokens)):
            if self.tokens[place].text.casefold() in words:
                before = self._part(self.at, place)
                self.at = place + 1
                return before
        return None

    def after_last(self, *words: str) -> str:
        """The text behind the last of these words, which is taken away; empty if there is none."""
        for place in range(len(self.tokens) - 1, self.at, -1):
            if self.tokens[place].text.casefold() in words:
                text = joined(self.tokens[place + 1 :])
                del self.tokens[place:]
                return text
        return ""

    def cut(self, word: str, *stops: str) -> Reader | None:
        """What stands behind the last such word, up to a stop, taken out; nothing if it is not there."""
        said = [token.text.casefold() for token in self.tokens]
        if word not in said[self.at :]:
            return None
        begin = len(said) - 1 - said[::-1].index(word)
        end = next((at for at in range(begin, len(said)) if said[at] in stops), len(said))
        found = self._part(begin + 1, end)
        del self.tokens[begin:end]
        return found

    def items(self) -> list[Reader]:
        """What is left, parted at commas and semicolons."""
        found, begun = [], self.at
        for place in range(self.at, len(self.tokens) + 1):
            if place == len(self.tokens) or self.tokens[place].text in (",", ";"):
                if place > begun:
                    found.append(self._part(begun, place))
                begun = place + 1
        self.at = len(self.tokens)
        return found

    def _part(self, begin: int, end: int) -> Reader:
        part = Reader(self.asked, self.view, ())
        part.tokens = self.tokens[begin:end]
        return part

    # Places ------------------------------------------------------------------------------------------

    def place(self, what: str, roots: Sequence[str] = LIQUID_ROOTS, new: Sequence[str] = ("jar",)) -> str:
        """The next place; one of a root in `new` need not be known to the book.

        Raises:
            MissingValue: nothing is left. PlaceUnknown: no place has this name, and which is nearest.
        """
        known = self._known(roots)
        while not known and self.left and self.left[0].text.casefold() in FILLERS:
            self.at += 1  # one by one, since a name may begin with a joining word
            known = self._known(roots)
        if known:
            return known
        if not self.left:
            raise MissingValue(f"book {self.asked.verb}", what, '"tub 1"')
        written = self._written(roots, new)
        if written:
            return written
        name = self._meant()
        raise PlaceUnknown(name, _nearest(name, self.view.places, roots), "cask" in roots)

    def name(self, what: str, example: str) -> str:
        """The next name: a part in quotes whole, else one word and those up to an amount."""
        self.skip()
        if not self.left:
            raise MissingValue(f"book {self.asked.verb}", what, example)
        taken = self._name()
        self.at += len(taken)
        return joined(taken)

    def _known(self, roots: Sequence[str]) -> str:
        for count in range(min(_LONGEST, len(self.left)), self._quoted_jar(), -1):
            words = joined(self.left[:count])
            found = self.view.named(words, roots)
            if len(found) > 1:
                raise UnclearValue("a place", words, tuple(repr(place) for place in found))
            if found:
                self.at += count
                return found[0]
        return ""

    def _quoted_jar(self) -> int:
        """How many words are too few: `"jar foreshots 2"` in quotes is no `jar foreshots`, and 2 of it."""
        same = [token.text for token in self.left if token.group == self.left[0].group]
        if not same:
            return 0
        numbers = [bool(_AMOUNT.match(word)) for word in same]
        numbered = 2 < len(same) <= _LONGEST and numbers[-1] and sum(numbers) == 1
        return len(same) - 1 if numbered and same[0].casefold() == "jar" and "," not in same else 0

    def _written(self, roots: Sequence[str], new: Sequence[str]) -> str:
        """A place by its root and name: `jar 7`, `jar/7`; only one that may be new, or a path."""
        first, slash, name = self.left[0].text.partition("/")
        root = first.casefold()
        if root not in roots or (root not in new and not slash):
            return ""
        if slash and name:
            self.at += 1
            return f"{root}/{name}"
        self.at += 1
        taken = self._name()
        if not taken:
            raise MissingValue(f"A {root}", "its name", f"{root} 7")
        self.at += len(taken)
        return f"{root}/{joined(taken)}"

    def _meant(self) -> str:
        """What an unknown place was called: up to a joining word, or to a number with a unit behind it."""
        left = self.left
        words = [token.text for token in left]
        end = 1
        while end < len(words) and words[end].casefold() not in (*FILLERS, ",", ";", "all"):
            follower = words[end + 1] if end + 1 < len(words) else ""
            names_on = not follower or follower.casefold() in FILLERS or _AMOUNT.match(follower)
            if _AMOUNT.match(words[end]) and not names_on:
                break
            end += 1
        return " ".join(words[: min(end, _LONGEST)])

    def _name(self) -> list[Token]:
        """The words of a name that nobody knows: the rest of its part, but not an amount behind it."""
        left = self.left
        if not left:
            return []
        same = [token for token in left if token.group == left[0].group]
        taken = left[:1]
        for place in range(1, len(same)):
            token = same[place]
            last = place == len(same) - 1
            if token.text in (",", ";") or (_AMOUNT.match(token.text) and not last):
                break
            taken.append(token)
        return taken


def plain(name: str) -> str:
    """A name that becomes a part of an account; raises `SlashInName`."""
    if "/" in name:
        raise SlashInName(name)
    return " ".join(name.split())


def joined(tokens: Iterable[Token]) -> str:
    """The words with a space between."""
    return " ".join(token.text for token in tokens)


def holding(view: View, test: Callable[[str, Contents], bool]) -> list[str]:
    """Places whose account and contents pass a test, in the order of their names, numbers by size."""
    return sorted((place for place, there in view.places.items() if test(place, there)), key=_in_order)


def of_material(view: View, name: str) -> list[str]:
    """Lots and goods of a material by its name, or one lot by its own."""
    lots = view.named(name, GOODS_ROOTS)
    if lots:
        return lots
    wanted = _alike(name)
    return holding(
        view,
        lambda place, there: (
            root_of(place).name in GOODS_ROOTS
            and any(
                family_of(what) not in ("alcohol", "bulk") and _alike(name_of(what)) == wanted
                for what in there
            )
        ),
    )


def _alike(name: str) -> str:
    return " ".join(name.casefold().split())


def _in_order(place: str) -> list[tuple[int, str]]:
    return [(int(part), "") if part.isdigit() else (0, part) for part in re.split(r"(\d+)", place)]


def _nearest(name: str, places: Iterable[str], roots: Sequence[str]) -> str | None:
    known = {place.replace("/", " ", 1): place for place in places if place.partition("/")[0] in roots}
    known |= {name_of(place): place for place in known.values()}
    close = difflib.get_close_matches(name.casefold(), known, n=1, cutoff=0.6)
    return close[0] if close else None


def _tokens(parts: Iterable[str]) -> Iterable[Token]:
    for group, part in enumerate(parts):
        for word in part.split():
            bare = word.rstrip(",;")
            if bare:
                yield Token(bare, group)
            if bare != word:
                yield Token(word[len(bare)], group)
