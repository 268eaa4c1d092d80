"""What the book holds now, kept at hand and moved on by what each new entry changes.

To read it afresh costs the more the more there is, and an entry touches a few places of it. `effects` says
what an entry changes, here as in the book's own balances, so that the two cannot come apart; the chain of
hashes says that the entries follow on what is kept. All stays in the order in which it is shown.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal, get_args

from caskward.book.accounts import ALCOHOL, BULK, ROOTS, family_of, name_of, root_of
from caskward.book.amounts import Liquid
from caskward.book.entry import Entry
from caskward.book.holdings import Effects, Standing, effects
from caskward.book.stock import OPEN, GoodsHeld, LiquidHeld
from caskward.book.words import name_in_words
from caskward.errors import EntryDamaged
from caskward.services.book.asked import PLACE_ROOTS
from caskward.services.book.opened import Book

PLACES: Final = (*(f"{root}/" for root in PLACE_ROOTS), OPEN)
"""What the names of places, and of what nobody has explained, begin with."""
EVERYTHING: Final = ("",)
MOST_NEW: Final = 1000
"""After so many new entries it is quicker to read afresh."""

Listed = Literal["account", "cask", "vessel", "bottles", "lot", "goods", "open", "closed"]
"""What is kept in order; `vessel` are jars, too; `lot` and `goods` are pairs of account and commodity."""
Balances = Mapping[str, Mapping[str, int]]
_NOTHING: Final[Mapping[str, int]] = {}
_PLACE_IN_ROOTS: Final = {name: n for n, name in enumerate(ROOTS)}
_LIQUIDS: Final[Mapping[str, Listed]] = {
    "cask": "cask",
    "vessel": "vessel",
    "jar": "vessel",
    "bottles": "bottles",
}
_GOODS: Final[Mapping[str, Listed]] = {"lot": "lot", "goods": "goods"}


@dataclass(frozen=True, slots=True)
class AtHand:
    """All that follows from the entries up to `number`, whose hash is `mark`; 0 and "" in an empty book.

    begun: the mark at which it was read; touched: since then, each account with the newest entry that touched
    it. of: what the names of the accounts begin with that are kept. balances: amounts that are not zero.
    rooms_ul: declared volumes [µL]. lists: accounts, goods and batches, each in its order.
    """

    number: int
    mark: str
    begun: str
    touched: Mapping[str, int]
    of: tuple[str, ...]
    balances: Balances
    rooms_ul: Mapping[str, int]
    batches: Mapping[str, Standing]
    lists: Mapping[Listed, Sequence[Any]]

    def liquid(self, account: str) -> LiquidHeld:
        """The liquid in a place, if any."""
        there = self.balances.get(account, _NOTHING)
        bulk_ul = there.get(BULK, 0)
        liquid = Liquid(there.get(ALCOHOL, 0), bulk_ul) if bulk_ul else Liquid(0, 0)
        pieces = sum(n for what, n in there.items() if family_of(what) == "piece") if bulk_ul else 0
        return LiquidHeld(account, liquid, self.rooms_ul.get(account), pieces)

    def holds(self, account: str) -> bool:
        """Whether there is any liquid in a place."""
        return bool(self.balances.get(account, _NOTHING).get(BULK))

    def goods(self, of: tuple[str, str]) -> GoodsHeld:
        """How much there is of goods, by account and commodity."""
        account, commodity = of
        return GoodsHeld(account, commodity, self.balances[account][commodity])

    def listed(self, account: str) -> Iterator[tuple[Listed, Any]]:
        """In which lists an account is, and as what."""
        return _listed(account, self.balances.get(account, _NOTHING), room=account in self.rooms_ul)

    def touched_since(self, number: int, accounts: Iterable[str]) -> bool:
        """Whether an entry after this one touched one of these accounts."""
        return any(self.touched.get(name, 0) > number for name in accounts)

    @property
    def alcohol_ul(self) -> int:
        """All pure alcohol in all places [µL]."""
        places = (name for of in ("cask", "vessel", "bottles") for name in self.lists[of])
        return sum(self.balances[name].get(ALCOHOL, 0) for name in places if self.holds(name))

    def under(self, *roots: str) -> dict[str, Mapping[str, int]]:
        """What accounts of these roots hold, in the order of the roots and then of the names."""
        found: dict[str, Mapping[str, int]] = {}
        names: Sequence[str] = self.lists["account"]
        for number in sorted(_PLACE_IN_ROOTS[root] for root in roots):
            first, end = (bisect_left(names, (n, ""), key=_in_book_order) for n in (number, number + 1))
            found.update((name, self.balances[name]) for name in names[first:end])
        return found


def read(book: Book, of: tuple[str, ...] = PLACES) -> AtHand:
    """What the book holds now, read afresh."""
    now = book.moment(of)
    lists: dict[Listed, list[Any]] = {name: [] for name in _KEYS}
    for account in {**now.balances, **now.rooms_ul}:
        there = now.balances.get(account, _NOTHING)
        for name, item in _listed(account, there, room=account in now.rooms_ul):
            lists[name].append(item)
    for batch, standing in now.batches.items():
        lists[standing].append(batch)
    for name, rows in lists.items():
        rows.sort(key=_KEYS[name])
    number, mark = (now.head.number, now.head.hash) if now.head else (0, "")
    return AtHand(number, mark, mark, {}, of, now.balances, now.rooms_ul, now.batches, lists)


def up_to_date(book: Book, kept: AtHand) -> AtHand:
    """What is kept, moved on to the newest entry; read afresh where that is not after what is kept."""
    head = book.head()
    if head is not None and head.hash == kept.mark:
        return kept
    far = 0 if head is None else head.number - kept.number
    try:
        new = tuple(book.entries(kept.number, far)) if 0 < far <= MOST_NEW else ()
    except EntryDamaged:  # whoever shows that entry says so; the balances stand without it
        new = ()
    if not new or new[0].before != kept.mark:  # another book, or one that was begun anew
        return read(book, kept.of)
    return moved_on(kept, new, book)


def moved_on(kept: AtHand, new: Sequence[Entry], book: Book) -> AtHand:
    """What is kept after some more entries, which follow on it."""
    balances, rooms_ul, batches = {**kept.balances}, {**kept.rooms_ul}, {**kept.batches}
    touched: dict[str, int] = {}
    stood: set[str] = set()
    for entry in new:
        changed = effects(entry, book.entry(entry.corrects) if entry.corrects else None)
        _add(balances, changed, kept.of)
        rooms_ul.update(changed.rooms_ul)
        batches.update(changed.batches)
        stood.update(changed.batches)
        names = (*(part.account for part in entry.postings), *changed.rooms_ul)
        touched.update(dict.fromkeys(names, entry.number))
    now = AtHand(
        new[-1].number, new[-1].hash, kept.begun, {**kept.touched, **touched}, kept.of, balances, rooms_ul,
        batches, {},
    )  # fmt: skip
    return replace(now, lists=_relisted(kept, now, touched, stood))


def _relisted(
    kept: AtHand, now: AtHand, touched: Iterable[str], stood: Iterable[str]
) -> dict[Listed, list[Any]]:
    """The lists with what is gone taken out and what has come put in its place."""
    was = {one for account in touched for one in kept.listed(account)}
    is_now = {one for account in touched for one in now.listed(account)}
    for batch in stood:
        was |= {(kept.batches[batch], batch)} if batch in kept.batches else set()
        is_now.add((now.batches[batch], batch))
    lists = {name: [*rows] for name, rows in kept.lists.items()}
    for name, item in was - is_now:
        del lists[name][bisect_left(lists[name], _KEYS[name](item), key=_KEYS[name])]
    for name, item in is_now - was:
        insort(lists[name], item, key=_KEYS[name])
    return lists


def _add(balances: dict[str, Mapping[str, int]], changed: Effects, of: tuple[str, ...]) -> None:
    for (account, commodity), amount in changed.amounts.items():
        if not account.startswith(of):
            continue
        there = {**balances.get(account, _NOTHING)}
        there[commodity] = there.get(commodity, 0) + amount
        left = {what: n for what, n in there.items() if n}
        if left:
            balances[account] = left
        else:
            balances.pop(account, None)


EMPTY: Final = AtHand(0, "", "", {}, PLACES, {}, {}, {}, dict.fromkeys(get_args(Listed), ()))
"""Before there is a book."""


# Order -------------------------------------------------------------------------------------------


def _listed(account: str, there: Mapping[str, int], *, room: bool) -> Iterator[tuple[Listed, Any]]:
    """Where an account is listed: a place with a volume also when it is empty."""
    root = root_of(account).name
    if there:
        yield "account", account
    if root in _LIQUIDS and (there.get(BULK) or (room and root != "bottles")):
        yield _LIQUIDS[root], account
    if root in _GOODS:
        yield from ((_GOODS[root], (account, commodity)) for commodity in there)


def _in_book_order(account: str) -> tuple[int, str]:
    return _PLACE_IN_ROOTS[account.partition("/")[0]], account.partition("/")[2]


def _by_number(account: str) -> tuple[str, int, str, str]:
    """`cask/12` after `cask/2`."""
    name = name_of(account)
    digits = name.rpartition(" ")[2]
    if digits.isdecimal():
        return name.removesuffix(digits), int(digits), name, account
    return name, 0, name, account


def _by_goods(of: tuple[str, str]) -> tuple[str, str, str]:
    account, commodity = of
    return name_in_words(commodity), account, commodity


def _by_name(batch: str) -> str:
    return batch


_KEYS: Final[Mapping[Listed, Callable[[Any], Any]]] = {
    "account": _in_book_order,
    "cask": _by_number,
    "vessel": _by_number,
    "bottles": _by_number,
    "lot": _by_goods,
    "goods": _by_goods,
    "open": _by_name,
    "closed": _by_name,
}
