"""What stands on a cask's label, and the data for a bottle's: facts of the book, no design and no law."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final, Literal

from caskward.book.accounts import BULK, family_of
from caskward.book.amounts import Liquid
from caskward.book.corrections import meant_details, meant_kind
from caskward.book.entry import Entry
from caskward.book.words import said
from caskward.errors.book_read import NothingOfIt
from caskward.properties import alcohol
from caskward.services import gauging
from caskward.services.book import words
from caskward.services.book.cask_story import Level, story
from caskward.services.book.moments import shown
from caskward.services.book.opened import Book
from caskward.services.book.pages import INVENTED
from caskward.units.types import UnitSystem

Paper = Literal["a4", "us-letter"]
BY_LAW: Final = (
    "How far a label's strength and volume may be from what is in the bottle, how large they are printed and "
    "what else stands beside them, your own law says. Ask it before you print."
)
_MOST_BOTTLINGS: Final = 40


@dataclass(frozen=True, slots=True)
class Label:
    """A label as text.

    account: of the cask or lot. title: the largest line. lines: name and figure, in the order of reading.
    plain: all of it as a few lines of text, for a code that is read without a network. notes: what to mind,
    not printed on the label itself. mark: said on paper of an invented book.
    """

    account: str
    title: str
    lines: tuple[tuple[str, str], ...]
    plain: str
    notes: tuple[str, ...]
    paper: Paper
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """A law's room around the strength on a label, as Caskward knows it. checked: whether it was read."""

    law: str
    room: str
    checked: bool


def cask_label(book: Book, account: str, now: datetime, system: UnitSystem, *, invented: bool) -> Label:
    """The label of a cask as it was filled.

    Raises:
        NothingOfIt: it holds nothing.
    """
    found = story(book, account, now)
    if found.filled_at is None:
        raise NothingOfIt("filled cask", f"called {words.place(account)}")
    with book.holdings() as holdings:
        room_ul = holdings.room_ul(account)
    begun = _as_filled(found.levels)
    lines = (
        ("Batch", ", ".join(found.batches)),
        ("Filled on", shown(found.filled_at)[:10]),
        ("Filled with", said(begun.bulk_ul, BULK, system)),
        ("Strength", words.strength(begun, system)),
        ("Pure alcohol", words.pure_alcohol(begun.alcohol_ul, system).removesuffix(" of pure alcohol")),
        ("Takes", said(room_ul, BULK, system) if room_ul else ""),
    )
    return _label(account, words.place(account), lines, (), system, invented=invented)


def _as_filled(levels: Sequence[Level]) -> Liquid:
    """What was there after the fill, which may have come from several jars."""
    filled = levels[0]
    for level in levels[1:]:
        if level.kind != "filled":
            break
        filled = level
    return filled.liquid


def bottle_label(book: Book, account: str, system: UnitSystem, *, invented: bool) -> Label:
    """The data for the label of a lot of bottles, as it was last bottled.

    Raises:
        NothingOfIt: no such lot was bottled.
    """
    name = words.place(account).removeprefix("bottles ")
    entry, count = _bottled(book, account)
    if entry is None:
        raise NothingOfIt("lot of bottles", f"called {name}")
    details = meant_details(entry)
    size_ul, pct = int(str(details["size_ul"])), Decimal(str(details["pct_vol"]))
    lines = (
        ("Lot", name),
        ("Contents", f"{size_ul / 1000:g} mL"),
        ("Alcohol", _strength(pct, system)),
        ("Bottled on", shown(entry.done_at)[:10]),
        ("Bottles", str(count)),
    )
    return _label(account, f"{_one_decimal(pct)} % vol · {size_ul / 1000:g} mL", lines, (BY_LAW,), system,
                  invented=invented)  # fmt: skip


def tolerances() -> tuple[Tolerance, ...]:
    """Every rule about the strength on a label that Caskward knows, as its gauging has them."""
    return tuple(
        Tolerance(rule.name, f"± {rule.tolerance:g} %vol", rule.checked)
        for rule in gauging.rules()
    )  # fmt: skip


def _label(
    account: str,
    title: str,
    lines: Sequence[tuple[str, str]],
    notes: tuple[str, ...],
    system: UnitSystem,
    *,
    invented: bool,
) -> Label:
    kept = tuple((name, text) for name, text in lines if text)
    plain = "\n".join((title, *(f"{name}: {text}" for name, text in kept)))
    paper: Paper = "us-letter" if system == "us" else "a4"
    return Label(account, title, kept, plain, notes, paper, INVENTED if invented else "")


def _bottled(book: Book, account: str) -> tuple[Entry | None, int]:
    """The newest bottling of a lot, and how many bottles it was in all its bottlings."""
    numbers = sorted({line.number for line in book.account_page(account, limit=6 * _MOST_BOTTLINGS).lines})
    entries = [found for number in numbers if (found := book.entry(number)) is not None]
    put_right = {entry.corrects for entry in entries if entry.corrects}
    bottled = [one for one in entries if meant_kind(one) == "bottled" and one.number not in put_right]
    pieces = sum(
        part.amount
        for one in bottled
        for part in one.postings
        if part.account == account and family_of(part.commodity) == "piece" and part.amount > 0
    )
    return (bottled[-1], pieces) if bottled else (None, 0)


def _one_decimal(pct: Decimal) -> str:
    return f"{float(pct):.1f}".removesuffix(".0")


def _strength(pct: Decimal, system: UnitSystem) -> str:
    by_volume = f"{_one_decimal(pct)} % vol"
    if system != "us":
        return by_volume
    proof = float(alcohol.proof_60f(float(pct)))
    return f"{by_volume}, {proof:.1f} proof"
