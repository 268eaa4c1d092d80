"""What the book says, in sentences and figures in the maker's own units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from caskward.book.accounts import ALCOHOL, BULK, family_of, name_of, root_of
from caskward.book.amounts import Liquid
from caskward.book.corrections import entered_part, meant_details, meant_kind
from caskward.book.entry import Entry, Posting
from caskward.book.frozen import FrozenMap
from caskward.book.stock import OPEN
from caskward.book.words import name_in_words, said
from caskward.properties import alcohol
from caskward.services.book.acting import Recorded
from caskward.services.book.moments import shown
from caskward.services.book.shares_shown import proof_gallon
from caskward.services.book.shares_shown import pure as pure_shown
from caskward.units import show
from caskward.units.types import UnitSystem

_PLAIN = ("vessel", "lot", "goods")


def place(account: str) -> str:
    """A place as a maker calls it: `tub 1`, `cask 12`, `jar 7`; other accounts as they are."""
    root = root_of(account)
    if not root.holds:
        return end(account)
    return name_of(account) if root.name in _PLAIN else account.replace("/", " ", 1)


def listed(account: str) -> str:
    """An account in a list of all: a place as a maker calls it, the others by their whole path."""
    return place(account) if root_of(account).holds else account


def end(account: str) -> str:
    """Where something came from or went for good: `Hill Farm`, `lost (spilt)`, `fermentation of rye 5`."""
    root, first, last = [*account.split("/", 2), ""][:3]
    if root in ("received", "sold"):
        return first
    if root == "made":
        return f"{first} of {last}"
    if root == "used":
        return f"used for {first}"
    if root == "unaccounted":
        return "unaccounted" if first == "open" else f"unaccounted ({first})"
    return f"{root} ({first})"


def strength(liquid: Liquid, system: UnitSystem) -> str:
    """How strong a liquid is: `63.0 %vol`, `126.3 proof`; of what holds none, `no alcohol`."""
    if not liquid.alcohol_ul:
        return "no alcohol"
    pct = liquid.pct_vol
    proof = float(alcohol.proof_60f(pct)) if system == "us" and pct >= _LEAST_PROOF else None
    return show.strength(pct, system, proof_60f=proof)


_LEAST_PROOF = 20.0
"""Below this a US maker reads %vol, too: nobody calls a wash by its proof; *common practice, no source*."""


def amount(liquid: Liquid, system: UnitSystem) -> str:
    """`120 L at 8.1 %vol, 9.72 L of pure alcohol`."""
    bulk = said(liquid.bulk_ul, BULK, system)
    if not liquid.alcohol_ul:
        return bulk
    if not liquid.bulk_ul:
        return pure_alcohol(liquid.alcohol_ul, system)
    return f"{bulk} at {strength(liquid, system)}, {pure_alcohol(liquid.alcohol_ul, system)}"


def pure_alcohol(amount_ul: int, system: UnitSystem) -> str:
    """`9.72 L of pure alcohol`; a US maker counts it as reports do: `5.116 proof gal`."""
    if system == "us":
        unit = proof_gallon()
        return f"{pure_shown(amount_ul, unit)} {unit.short}"
    return f"{said(amount_ul, ALCOHOL, system)} of pure alcohol"


def contents(there: Mapping[str, int], system: UnitSystem) -> str:
    """What is in a place: liquid and goods."""
    parts = []
    if there.get(ALCOHOL) or there.get(BULK):
        parts.append(amount(Liquid(there.get(ALCOHOL, 0), there.get(BULK, 0)), system))
    goods = ((what, n) for what, n in there.items() if family_of(what) not in (ALCOHOL, BULK))
    parts += [f"{said(n, what, system)} of {name_in_words(what)}" for what, n in goods]
    return "; ".join(parts) or "nothing"


# Entries -----------------------------------------------------------------------------------------


def flows(postings: Sequence[Posting], system: UnitSystem) -> tuple[str, str]:
    """Where things came from and went to, in short: the places and ends, with the amounts that went in."""
    sums: dict[str, dict[str, int]] = {}
    for part in postings:
        there = sums.setdefault(part.account, {})
        there[part.commodity] = there.get(part.commodity, 0) + part.amount
    outs = [account for account, there in sums.items() if _leads(there) < 0 and not _changed(account)]
    ins = {account: there for account, there in sums.items() if _leads(there) > 0 and not _changed(account)}
    went = [f"{place(account)}: {_short(account, there, system)}" for account, there in ins.items()]
    return ", ".join(place(account) for account in outs), "; ".join(went)


def summary(entry: Entry, system: UnitSystem) -> str:
    """One line of what an entry says: `tub 1 -> pot still: 120 L at 8.1 %vol`."""
    kind, details = meant_kind(entry), meant_details(entry)
    line = _what(entry, kind, details, system)
    if entry.kind != "corrected":
        return line
    if not kind:
        return f"entry {entry.corrects} taken back: {entry.details.get('why', '')}"
    return f"entry {entry.corrects} should say: {line} ({entry.details.get('why', '')})"


def _what(entry: Entry, kind: str, details: FrozenMap, system: UnitSystem) -> str:
    outs, ins = flows(entered_part(entry), system)
    if outs or ins:
        return " -> ".join(part for part in (outs, ins) if part)
    if kind == "declared" and isinstance(rooms := details.get("rooms_ul"), FrozenMap):
        return ", ".join(f"{place(a)} {said(int(str(v)), BULK, system)}" for a, v in rooms.items())
    if kind == "gauged":
        return f"{place(str(details.get('of', '')))} as the book has it"
    if kind == "measured" and isinstance(rows := details.get("rows"), tuple):
        return "; ".join(str(row) for row in rows)
    return entry.note or entry.batch or ""


def _is_place(account: str) -> bool:
    return root_of(account).holds


def _changed(account: str) -> bool:
    return root_of(account).name == "changed"


def _leads(there: Mapping[str, int]) -> int:
    """The amount that says which way an account went: pure alcohol before liquid, and liquid before goods."""
    for family in (ALCOHOL, BULK):
        if there.get(family):
            return there[family]
    return next((amount for amount in there.values() if amount), 0)


def _short(account: str, there: Mapping[str, int], system: UnitSystem) -> str:
    bulk, pure = there.get(BULK, 0), there.get(ALCOHOL, 0)
    if bulk > 0 and 0 <= pure <= bulk:
        liquid = Liquid(pure, bulk)
        alone = said(bulk, BULK, system)
        return f"{alone} at {strength(liquid, system)}" if pure else alone
    if pure > 0:
        return pure_alcohol(pure, system)
    goods = [(said(n, what, system), name_in_words(what)) for what, n in there.items() if n > 0]
    # The name of a lot says what is in it.
    own = root_of(account).holds
    return ", ".join(amount if own and name in account else f"{amount} of {name}" for amount, name in goods)


# What was recorded -------------------------------------------------------------------------------


def recorded(of: Recorded, after: Mapping[str, Mapping[str, int]], system: UnitSystem) -> tuple[str, ...]:
    """Sentences of what was entered, what is in each place now, and what is asked.

    after: the places and open differences of the entry, and what they hold.
    """
    entry = of.entry
    first = f"Entry {entry.number}, {shown(entry.done_at)}, {entry.author}: {_headline(entry, system)}."
    if of.repeated:
        return (f"That was recorded before, as entry {entry.number}; nothing was changed.", first)
    now = [
        f"{place(at)} now holds {contents(there, system)}." for at, there in after.items() if _is_place(at)
    ]
    asks = [_asked(at, there, system) for at, there in after.items() if not _is_place(at) and there]
    return (first, *now, *asks)


def _headline(entry: Entry, system: UnitSystem) -> str:
    line = summary(entry, system)
    named = {"begun": "batch begun", "closed": "batch closed"}.get(entry.kind, entry.kind)
    if entry.kind == "corrected":
        return line
    return f"{named} {line}".strip()


def _asked(account: str, there: Mapping[str, int], system: UnitSystem) -> str:
    """A difference that nobody has explained yet is asked about."""
    where = account.removeprefix(OPEN).removeprefix("vessel ")
    found = " and ".join(difference(what, amount, system) for what, amount in there.items())
    why = "evaporation" if min(there.values()) > 0 else "misread before"
    return f'Not explained, {where}: {found}. Why? Say it with: caskward book explain "{where}" "{why}"'


def difference(commodity: str, amount_ul: int, system: UnitSystem) -> str:
    """`0.4 L of pure alcohol less than the book had`."""
    way = "less" if amount_ul > 0 else "more"
    if commodity == ALCOHOL:
        return f"{pure_alcohol(abs(amount_ul), system)} {way} than the book had"
    return f"{said(abs(amount_ul), commodity, system)} of {name_in_words(commodity)} {way} than the book had"
