"""What is recorded: entries, what is where, an account leaf by leaf; as data and as rows."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from caskward.book.accounts import ALCOHOL, BULK, ROOTS, family_of, root_of
from caskward.book.amounts import Liquid
from caskward.book.canonical import entry_line, moment_from_text
from caskward.book.entry import Entry, Posting, Reading
from caskward.book.stock import OPEN
from caskward.book.words import name_in_words, said
from caskward.errors.book import NoSuchEntry
from caskward.errors.book_typed import PlaceUnknown
from caskward.services.book import words
from caskward.services.book.acting import Recorded, view_of
from caskward.services.book.asked import PLACE_ROOTS
from caskward.services.book.moments import shown
from caskward.services.book.opened import Book
from caskward.services.book.own_units import last_typed
from caskward.units.types import UnitSystem


@dataclass(frozen=True, slots=True)
class Leaf:
    """A part of an account: its postings, newest first, and what it holds now."""

    account: str
    there: Mapping[str, int]
    room_ul: int | None
    lines: tuple[tuple[int, str, str, str, int, int], ...]
    more: bool


def entries(book: Book, last: int = 20, batch: str = "") -> tuple[Entry, ...]:
    """The newest entries, the newest last; or all of a batch."""
    if batch:
        return book.of_batch(batch)
    return tuple(reversed(book.newest(limit=last)))


def typed(book: Book) -> tuple[str, ...]:
    """What was typed of late: whose units a maker writes in is theirs to read, too."""
    return (last_typed(str(entry.details.get("asked", "")) for entry in book.newest(limit=20)),)


def one(book: Book, number: int) -> tuple[Entry, ...]:
    """One entry by its number; raises `NoSuchEntry`."""
    found = book.entry(number)
    if found is None:
        head = book.head()
        raise NoSuchEntry(number, head.number if head else 0)
    return (found,)


def after(book: Book, of: Recorded) -> dict[str, Mapping[str, int]]:
    """The places and open differences that an entry touched, and what they hold now."""
    touched = (part.account for part in of.entry.postings)
    places = dict.fromkeys(at for at in touched if root_of(at).holds or at.startswith(OPEN))
    with book.holdings() as holdings:
        return {account: dict(holdings.contents(account)) for account in places}


def account(book: Book, name: str, last: int = 30) -> Leaf:
    """An account by its path or by what a maker calls the place; raises `PlaceUnknown`."""
    path = _path(book, name)
    page = book.account_page(path, limit=last)
    with book.holdings() as holdings:
        there, room_ul = dict(holdings.contents(path)), holdings.room_ul(path)
    if not page.lines and not there and room_ul is None:
        raise PlaceUnknown(name, None, may_be_declared=False)
    lines = tuple(
        (line.number, line.done_at, line.kind, line.commodity, line.amount, line.after) for line in page.lines
    )
    return Leaf(path, there, room_ul, lines, page.older is not None)


def _path(book: Book, name: str) -> str:
    root = name.partition("/")[0]
    if root in ROOTS and (root not in PLACE_ROOTS or _is_known(book, name)):
        return name
    with view_of(book) as view:
        found = view.named(name, PLACE_ROOTS)
    if found:
        return found[0]
    if root in ROOTS:
        return name
    first, _, rest = name.partition(" ")
    if first.casefold() in PLACE_ROOTS and rest:
        return f"{first.casefold()}/{rest}"
    # A place that is empty by now has its postings all the same.
    emptied = (f"{root}/{name}" for root in PLACE_ROOTS)
    return next((path for path in emptied if book.account_page(path, limit=1).lines), f"vessel/{name}")


def _is_known(book: Book, account: str) -> bool:
    """Whether the book has an account of exactly this name, so that none need be looked for."""
    if book.account_page(account, limit=1).lines:
        return True
    with book.holdings() as holdings:
        return holdings.room_ul(account) is not None


# Rows --------------------------------------------------------------------------------------------


def entry_rows(found: Iterable[Entry], system: UnitSystem) -> list[tuple[str, ...]]:
    """Entries as rows: number, time, by, kind, what."""
    head = ("No", "done", "by", "what", "")
    return [head, *(_entry_row(one, system) for one in found)]


def _entry_row(one: Entry, system: UnitSystem) -> tuple[str, ...]:
    return (str(one.number), shown(one.done_at), one.author, one.kind, words.summary(one, system))


def balance_rows(balances: Mapping[str, Mapping[str, int]], system: UnitSystem) -> list[tuple[str, ...]]:
    """What is where: account, liquid, strength, pure alcohol; goods as an amount."""
    rows: list[tuple[str, ...]] = [("account", "liquid", "strength", "pure alcohol")]
    for name in in_order(balances):
        there = balances[name]
        bulk, pure = there.get(BULK, 0), there.get(ALCOHOL, 0)
        if bulk or pure:
            strong = words.strength(Liquid(pure, bulk), system) if 0 < pure <= bulk else ""
            rows.append((name, _or_nothing(bulk, BULK, system), strong, _or_nothing(pure, ALCOHOL, system)))
        for what, amount in there.items():
            if family_of(what) not in (ALCOHOL, BULK):
                rows.append((name, said(amount, what, system), name_in_words(what), ""))
    return rows


def in_order(accounts: Iterable[str]) -> list[str]:
    """Accounts as they are listed: by what they are, `cask/12` after `cask/2`."""
    return sorted(accounts, key=_place_in_order)


def leaf_rows(leaf: Leaf, system: UnitSystem) -> list[tuple[str, ...]]:
    """An account's postings, the newest last: entry, time, kind, amount, what was there then."""
    rows: list[tuple[str, ...]] = [("No", "done", "kind", "of", "amount", "then there")]
    for number, done_at, kind, commodity, amount, then in reversed(leaf.lines):
        sign = "+" if amount > 0 else "-"
        rows.append(
            (
                str(number),
                shown(moment_from_text(done_at)),
                kind,
                name_in_words(commodity),
                f"{sign}{said(abs(amount), commodity, system)}",
                said(then, commodity, system),
            )
        )
    return rows


def entry_dict(one: Entry) -> dict[str, object]:
    """An entry as it is hashed, for JSON."""
    return dict(json.loads(entry_line(one)))


def _or_nothing(amount: int, commodity: str, system: UnitSystem) -> str:
    return said(amount, commodity, system) if amount else ""


def _place_in_order(name: str) -> tuple[int, str]:
    return list(ROOTS).index(root_of(name).name), name


def recorded_json(of: Recorded, held: Mapping[str, Mapping[str, int]]) -> str:
    """What was entered, what is in its places now, and what has to be said of it."""
    data = {
        "entry": entry_dict(of.entry),
        "repeated": of.repeated,
        "places": {at: dict(there) for at, there in held.items() if root_of(at).holds},
        "unexplained": {at: dict(there) for at, there in held.items() if at.startswith(OPEN) and there},
        "notes": list(of.notes),
    }
    return json.dumps(data, ensure_ascii=False, indent=2)


def balances(book: Book, beginning: str = "", *, everything: bool = False) -> dict[str, dict[str, int]]:
    """Accounts and what they hold: places and open differences, or those whose name begins so, or all."""
    found = book.balances(
        beginning.replace(" ", "/", 1) if beginning.partition(" ")[0] in ROOTS else beginning
    )
    if everything or beginning:
        return found
    shown_roots = (*(f"{root}/" for root in PLACE_ROOTS), OPEN)
    return {account: there for account, there in found.items() if account.startswith(shown_roots)}


def leaf_sentence(leaf: Leaf, system: UnitSystem) -> str:
    """What an account holds now; of a source or an end, how much came from it or went to it."""
    if not root_of(leaf.account).holds:
        return _passed(leaf, system)
    room = f" It takes {said(leaf.room_ul, BULK, system)}." if leaf.room_ul else ""
    return f"{words.place(leaf.account)} holds {words.contents(leaf.there, system)}.{room}"


def _passed(leaf: Leaf, system: UnitSystem) -> str:
    named = words.end(leaf.account)
    parts = [
        f"{said(abs(n), what, system)} of {name_in_words(what)} {'came from' if n < 0 else 'went to'} {named}"
        for what, n in leaf.there.items()
    ]
    return f"In all {' and '.join(parts)}." if parts else f"In all nothing came from {named} or went to it."


def leaf_dict(leaf: Leaf) -> dict[str, object]:
    """An account as plain data: whole µL, mg, pieces."""
    names = ("number", "done_at", "kind", "commodity", "amount", "after")
    return {
        "account": leaf.account,
        "holds": dict(leaf.there),
        "room_ul": leaf.room_ul,
        "lines": [dict(zip(names, line, strict=True)) for line in leaf.lines],
        "more": leaf.more,
    }


def entry_lines(found: Iterable[Entry], system: UnitSystem, width: int) -> list[str]:
    """Entries as lines: number, time, who, kind, and what, wrapped beside them."""
    rows = [(*row[:3], f"{row[3]} {row[4]}".strip()) for row in entry_rows(found, system)]
    wide = [max(len(row[column]) for row in rows) for column in range(3)]
    lines = []
    for number, done, by, what in rows:
        head = f"{number.rjust(wide[0])}  {done.ljust(wide[1])}  {by.ljust(wide[2])}  "
        lines += textwrap.wrap(what, width, initial_indent=head, subsequent_indent=" " * len(head)) or [
            head.rstrip()
        ]
    return lines


def whole(one: Entry, system: UnitSystem, width: int) -> list[str]:
    """An entry with its postings and readings."""
    facts = [
        ("done", shown(one.done_at)),
        ("recorded", shown(one.recorded_at)),
        ("by", one.author),
        ("batch", one.batch or ""),
        ("site", one.site),
        ("note", one.note),
        ("typed", str(one.details.get("asked", ""))),
        ("hash", one.hash),
        *(("read", _reading(reading)) for reading in one.readings),
    ]
    lines = textwrap.wrap(f"Entry {one.number}: {one.kind} {words.summary(one, system)}", width)
    for name, text in facts:
        first = f"   {name.ljust(8)}  "
        lines += textwrap.wrap(text, width, initial_indent=first, subsequent_indent=" " * len(first))
    for part in one.postings:
        text = f"{part.account}: {_signed(part, system)}"
        lines += textwrap.wrap(text, width, initial_indent="   ", subsequent_indent=" " * 6)
    return lines


def _signed(part: Posting, system: UnitSystem) -> str:
    sign = "+" if part.amount > 0 else "-"
    return f"{sign}{said(abs(part.amount), part.commodity, system, 6)} {name_in_words(part.commodity)}"


def _reading(of: Reading) -> str:
    warm = f" at {of.temp_c} °C" if of.temp_c else ""
    by = f", {of.instrument}" if of.instrument else ""
    good = f" ± {of.tolerance} {of.unit}" if of.tolerance else ""
    return f"{of.quantity} {of.typed}{warm}{by}{good}"
