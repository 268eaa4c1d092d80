"""A book as long as any maker will have: the invented year over and over, each year with its own names.

Every deed goes through the book's own rules. Between the years' whole batches stand short ones, begun, read
and closed, so that there are as many batches as wanted whatever they post.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from caskward.book import deeds
from caskward.book.accounts import root_of
from caskward.book.canonical import entry_from_line, entry_line
from caskward.book.deeds import Act
from caskward.book.entry import Deed, Entry
from caskward.book.state import State
from caskward.services.book.demo_book import demo_entries
from caskward.services.book.opened import to_write
from caskward.store.exchange import import_lines

OWN: Final = ("cask", "lot", "goods", "bottles")
"""Roots of accounts that each year has anew; vessels and jars are the same ones."""
LEFT_OPEN: Final = 6
"""Batches of the last years that nobody closed."""
_KEPT_ON: Final = ("vessel/feints", "vessel/pear feints", "vessel/reserve", "vessel/vat", "jar/pear reserve")
APART: Final = timedelta(hours=20)
"""A year begins so long after the one before: a big house, whose book has many a batch in one year."""


def write_long_house(file: Path, batches: int, postings: int) -> None:
    """A book of so many batches and about so many postings, in a new file."""
    with to_write(str(file)) as book:
        import_lines(book.link, (entry_line(one) for one in entries_of(batches, postings)))


def entries_of(batches: int, postings: int) -> list[Entry]:
    """Its entries, in order."""
    year = demo_entries()
    whole = list(dict.fromkeys(one.batch for one in year if one.batch))
    years = max(1, min(round(postings / sum(len(one.postings) for one in year)), batches // len(whole)))
    short = batches - years * len(whole)
    renamed, state = _renamer(year), State()
    for turn in range(years):
        for deed in _a_year(state, year, renamed, turn):
            state.append(deed, _now(state, deed))
        for deed in _year_end(state, turn, close=turn < years - LEFT_OPEN):
            state.append(deed, _now(state, deed))
        for one in range(short * turn // years, short * (turn + 1) // years):
            for deed in _short(one, state.entries[-1].done_at):
                state.append(deed, _now(state, deed))
    return state.entries


def _now(state: State, deed: Deed) -> datetime:
    return max(deed.done_at, state.entries[-1].recorded_at) if state.entries else deed.done_at


def _renamer(year: list[Entry]) -> Callable[[str, int], str]:
    """A year's own names, where a text has them, with the year behind them."""
    own = {one.account for entry in year for one in entry.postings if root_of(one.account).name in OWN}
    rooms = {name for entry in year for name in entry.details.get("rooms_ul", ()) if name.startswith("cask/")}
    names = own | rooms | {name.replace("/", " ", 1) for name in own | rooms}
    names |= {entry.batch for entry in year if entry.batch}
    found = re.compile(
        r'(?<=["/])(' + "|".join(sorted(map(re.escape, names), key=len, reverse=True)) + r')(?=["/])'
    )
    return lambda text, turn: found.sub(rf"\1-{turn}", text) if turn else text


def _a_year(state: State, year: list[Entry], renamed: Callable[[str, int], str], turn: int) -> Iterator[Deed]:
    """The year's deeds under names of their own; what is said once of a house stays said."""
    before = len(state.entries)
    for one in year:
        if turn and one.number <= 3:
            continue
        entry = entry_from_line(renamed(entry_line(one), turn))
        fields = {name: getattr(entry, name) for name in Deed.__dataclass_fields__}
        corrects = None if one.corrects is None else before + one.corrects - (3 if turn else 0)
        later = {"key": f"{one.key} {turn}", "done_at": one.done_at + turn * APART, "corrects": corrects}
        yield Deed(**fields | later)


def _year_end(state: State, turn: int, *, close: bool) -> Iterator[Deed]:
    """What is left in the vessels is poured away, and what is open is closed."""
    act = Act(key="", done_at=state.entries[-1].done_at, author="Edda")
    for account in (
        "vessel/feints",
        "vessel/pear feints",
        "vessel/reserve",
        "vessel/vat",
        "jar/pear reserve",
    ):
        if state.contents(account):
            part = deeds.all_of(state, account)
            yield deeds.lose(replace(act, key=f"poured {account} {turn}"), state, part, "poured away")
    for name, standing in list(state.batches.items()) if close else ():
        if standing == "open":
            yield deeds.close(replace(act, key=f"closed {name} {turn}", batch=name))


def _short(number: int, at: datetime) -> Iterator[Deed]:
    """A batch that was only begun, read and closed."""
    act = Act(key="", done_at=at, author="Jory", batch=f"trial {number}")
    yield deeds.begin(replace(act, key=f"begun trial {number}"))
    rows = {"rows": [f"ferment {24 * (number % 3)} h: 1.0{40 + number % 30}, 27 C"]}
    yield deeds.measure(replace(act, key=f"read trial {number}"), "", rows)
    yield deeds.close(replace(act, key=f"closed trial {number}"))
