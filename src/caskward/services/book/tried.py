"""A deed tried before it is recorded: what its places would hold then. Nothing is entered."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.book import rules
from caskward.book.accounts import root_of
from caskward.book.stock import OPEN
from caskward.services.book import words
from caskward.services.book.acting import Doing, act_of, view_of
from caskward.services.book.asked import Asked
from caskward.services.book.opened import Book
from caskward.services.book.verbs import maker


@dataclass(frozen=True, slots=True)
class Tried:
    """What would be: a sentence for each place and open difference, and what is to be known."""

    sentences: tuple[str, ...]
    notes: tuple[str, ...]


def tried(book: Book, asked: Asked, doing: Doing) -> Tried:
    """What a deed would do to its places.

    Raises:
        InputError: what the words or the book refuse, as it would be when recorded.
    """
    act = act_of(doing)
    make = maker(asked.verb)
    with view_of(book) as view:
        made = make(asked, act, view)
        changes = rules.check(made.deed, view.holdings, doing.now(), doing.system)
        after: dict[str, dict[str, int]] = {}
        for (account, commodity), amount in changes.amounts.items():
            there = after.setdefault(account, dict(view.holdings.contents(account)))
            there[commodity] = there.get(commodity, 0) + amount
    shown = {account: _without_nothing(there) for account, there in after.items()}
    said = [_would_hold(at, there, doing) for at, there in shown.items() if root_of(at).holds]
    said += [_would_ask(at, there, doing) for at, there in shown.items() if at.startswith(OPEN) and there]
    return Tried(tuple(said) or ("That changes no amount: it bears out what the book has.",), made.notes)


def _without_nothing(there: dict[str, int]) -> dict[str, int]:
    return {what: amount for what, amount in there.items() if amount}


def _would_hold(account: str, there: dict[str, int], doing: Doing) -> str:
    return f"{words.place(account)} would hold {words.contents(there, doing.system)}."


def _would_ask(account: str, there: dict[str, int], doing: Doing) -> str:
    place = account.removeprefix(OPEN).removeprefix("vessel ")
    parts = [words.difference(what, amount, doing.system) for what, amount in there.items()]
    return f"Not explained then, {place}: {' and '.join(parts)}. You will be asked why."
