"""From the heart to the cask: the one thing to do next, in the book's own places and by the batch's plan.

What a step is typed as stands ready, so that it can be sent as it is or changed first.
"""

from __future__ import annotations

import shlex
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from caskward.book.accounts import ALCOHOL, BULK, name_of
from caskward.book.amounts import UL_PER_L, Liquid
from caskward.book.holdings import Holdings
from caskward.properties import alcohol
from caskward.services.book import batch_record, batch_work, plan_kept, words
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.opened import Book
from caskward.services.book.run_deed import jar_of
from caskward.services.run_units import typed_litres
from caskward.units import convert, parse, show
from caskward.units.types import UnitSystem

StepKind = Literal["enter", "vat", "reduce", "declare", "fill", "filled"]

NEAR_ENTRY_PCT_VOL: Final = 0.2
"""So near to entry strength needs no more water: none is gauged closer; *common practice, no source*."""
_WEAKER_PCT_VOL: Final = 5.0
"""What is this much weaker than the cask's entry strength is no heart, but feints or low wines."""
_LIKE_THE_PLAN: Final = 0.1
"""An empty cask that differs by no more than this share from the plan's is taken for the plan's."""
_FILL_SHARE: Final = "97 %"
_FOR_SPIRIT: Final = ("spirit", "heart", "tank", "vat")


@dataclass(frozen=True, slots=True)
class Step:
    """What is done next. verb: the deed, "" where nothing is typed here; words: as it is typed."""

    kind: StepKind
    title: str
    sentence: str
    verb: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True)
class _Wish:
    """What the plan wants in its cask."""

    capacity_l: float
    fill_l: float
    entry_pct_vol: float


@dataclass(frozen=True, slots=True)
class _Way:
    """What is asked of the book on the way."""

    holdings: Holdings
    of: BatchRecord
    wish: _Wish
    system: UnitSystem

    def there(self, account: str) -> Liquid:
        held = self.holdings.contents(account)
        return Liquid(held.get(ALCOHOL, 0), held.get(BULK, 0))

    def litres(self, volume_l: float) -> str:
        return show.volume(volume_l, self.system)


def step_of(book: Book, of: BatchRecord, system: UnitSystem) -> Step | None:
    """The step that a batch's heart waits for; None before there is one, and of a batch without a plan.

    None, too, while a spirit run of the plan is still to come: its heart goes into the same cask.
    """
    if not of.plan or not of.is_open:
        return None
    if casks := batch_record.casks(of):
        named = " and ".join(words.place(one) for one in casks)
        return Step("filled", "In the cask", f"{named[:1].upper()}{named[1:]} is filled. Its label is ready.")
    came = _came_into(of)
    if (not came and not of.runs.taken) or batch_work.run_due(of, of.runs_planned[1]):
        return None
    wish = _wish(plan_kept.plan_in(of.name, of.entries))
    with book.holdings() as holdings:
        return _next(_Way(holdings, of, wish, system), came)


def _next(way: _Way, came: Sequence[str]) -> Step | None:
    taken = [_account(name) for name in way.of.runs.taken]
    jars = [one for one in taken if one in came and way.there(one).bulk_ul]
    hearts = [one for one in came if _is_heart(way, one, taken)]
    vessels = [one for one in hearts if one not in jars]
    if len(jars) > 1 or (jars and vessels):
        return _vat(way, jars, vessels)
    if not hearts:
        return _enter() if way.of.runs.taken and not any(one in came for one in taken) else None
    heart = max(hearts, key=lambda one: way.there(one).bulk_ul)
    strong_pct_vol = way.there(heart).pct_vol
    if strong_pct_vol > way.wish.entry_pct_vol + NEAR_ENTRY_PCT_VOL:
        return _reduce(way, heart)
    return _fill(way, heart)


def _came_into(of: BatchRecord) -> tuple[str, ...]:
    """Vessels and jars into which this batch's alcohol came, the last first."""
    found = (
        part.account
        for one in reversed(of.happened)
        for part in one.postings
        if part.amount > 0 and part.commodity == ALCOHOL and part.account.startswith(("vessel/", "jar/"))
    )
    return tuple(dict.fromkeys(found))


def _ran_into(of: BatchRecord) -> set[str]:
    """Places that the still ran into."""
    return {part.account for one in of.happened if one.kind == "distilled" for part in one.postings}


def _is_heart(way: _Way, account: str, taken: Sequence[str]) -> bool:
    """Spirit for the cask: a jar that was chosen, or a vessel of about the entry strength or more."""
    there = way.there(account)
    if not there.bulk_ul or there.pct_vol < way.wish.entry_pct_vol - _WEAKER_PCT_VOL:
        return False
    if account.startswith("jar/"):
        # A jar of the run is only known for the heart's by the choice; one that others went into, by itself.
        return account in taken or account not in _ran_into(way.of)
    return not any(word in name_of(account).casefold() for word in batch_work.NO_HEARTS)


# The steps ---------------------------------------------------------------------------------------


def _enter() -> Step:
    return Step(
        "enter",
        "The heart is chosen",
        "Its jars are not in the accounts yet: Run day has the deed ready, under “Enter the receivers in "
        "the accounts”.",
    )


def _vat(way: _Way, jars: Sequence[str], vessels: Sequence[str]) -> Step:
    whole_ul = sum(way.there(one).bulk_ul for one in jars)
    into = words.place(vessels[0]) if vessels else _empty_vessel(way, whole_ul)
    said = ", ".join(f"{_typed(words.place(one))} all" for one in jars)
    litres = way.litres(whole_ul / UL_PER_L)
    return Step(
        "vat",
        "Put the heart together",
        f"{litres} in {len(jars)} jars went into the heart. Put them together in {into}.",
        "vat",
        f"{said} into {_typed(into)}",
    )


def _reduce(way: _Way, heart: str) -> Step:
    there, entry = way.there(heart), way.wish.entry_pct_vol
    found = alcohol.reduce(there.bulk_ul / UL_PER_L, there.pct_vol, entry)
    water_kg, makes_l = float(found.water_kg), float(found.final_l)
    name = words.place(heart)
    strength = words.strength(there, way.system)
    wanted = words.strength(Liquid(round(entry * 1e4), 1_000_000), way.system)
    return Step(
        "reduce",
        "Reduce",
        f"{name[:1].upper()}{name[1:]} holds {way.litres(there.bulk_ul / UL_PER_L)} at {strength}. "
        f"{show.mass(water_kg, way.system)} of water, weighed and added slowly, brings it to {wanted}: "
        f"{way.litres(makes_l)}. The cask wants {way.litres(way.wish.fill_l)}.",
        "reduce",
        f"{_typed(name)} {_typed_mass(water_kg, way.system)}",
    )


def _fill(way: _Way, heart: str) -> Step:
    there, name = way.there(heart), words.place(heart)
    cask = _empty_cask(way)
    holds = (
        f"{name[:1].upper()}{name[1:]} holds {way.litres(there.bulk_ul / UL_PER_L)} at "
        f"{words.strength(there, way.system)}."
    )
    if there.pct_vol < way.wish.entry_pct_vol - NEAR_ENTRY_PCT_VOL:
        wanted = words.strength(Liquid(round(way.wish.entry_pct_vol * 1e4), 1_000_000), way.system)
        holds += f" That is weaker than the {wanted} of the plan: gauge it again before you fill."
    if not cask:
        size = way.litres(way.wish.capacity_l)
        return Step(
            "declare",
            "Name the cask",
            f"{holds} No empty cask of about {size} is declared: give yours a name.",
            "declare",
            f"{_typed(f'cask {_free_number(way)}')} {typed_litres(way.wish.capacity_l, way.system)}",
        )
    return Step("fill", "Fill the cask", *_filling(way, heart, cask, holds))


def _filling(way: _Way, heart: str, cask: str, holds: str) -> tuple[str, str, str]:
    """Sentence, verb and words: all of it, or as much as the plan wants in the cask."""
    room_l = (way.holdings.room_ul(cask) or 0) / UL_PER_L
    there_l = way.there(heart).bulk_ul / UL_PER_L
    most_l = way.wish.fill_l * room_l / way.wish.capacity_l
    named = f"{_typed(words.place(heart))} {_typed(words.place(cask))}"
    aim = (
        f"{words.place(cask).capitalize()} takes {way.litres(room_l)}, and {way.litres(most_l)} by the plan."
    )
    if there_l <= most_l * 1.002:
        return f"{holds} {aim} All of it goes in.", "fill", f"{named} all"
    left = f"About {way.litres(there_l - most_l)} stays over."
    return f"{holds} {aim} {left}", "fill", f"{named} {typed_litres(most_l, way.system)}"


# Places ------------------------------------------------------------------------------------------


def _empty_vessel(way: _Way, whole_ul: int) -> str:
    """The smallest empty vessel that takes it, one named for spirit before others; else a jar of its own."""
    found = [
        (not any(word in name_of(one).casefold() for word in _FOR_SPIRIT), room_ul, one)
        for one in way.holdings.names("declared")
        if one.startswith("vessel/")
        and not any(word in name_of(one).casefold() for word in batch_work.NO_HEARTS)
        if (room_ul := way.holdings.room_ul(one) or 0) >= whole_ul and not way.there(one).bulk_ul
    ]
    return words.place(min(found)[2]) if found else f"jar {way.of.name} heart"


def _empty_cask(way: _Way) -> str:
    """The empty cask that is nearest to the plan's; "" where none is like it."""
    wanted_ul = way.wish.capacity_l * UL_PER_L
    found = [
        (abs(room_ul - wanted_ul), one)
        for one in way.holdings.names("declared")
        if one.startswith("cask/") and (room_ul := way.holdings.room_ul(one) or 0)
        if abs(room_ul - wanted_ul) <= _LIKE_THE_PLAN * wanted_ul and not way.there(one).bulk_ul
    ]
    return min(found)[1] if found else ""


def _free_number(way: _Way) -> int:
    names = [name_of(one) for one in way.holdings.names("declared") if one.startswith("cask/")]
    return max((int(name) for name in names if name.isascii() and name.isdigit()), default=0) + 1


def _wish(kept: plan_kept.Kept) -> _Wish:
    cask: dict[str, Any] = tomllib.loads(kept.intent).get("cask", {})
    capacity_l = parse.volume_l(str(cask.get("capacity", "25 L")))
    share = parse.share(cask.get("fill", _FILL_SHARE))
    return _Wish(capacity_l, share * capacity_l, float(str(kept.method["entry_pct_vol"])))


def _account(receiver: str) -> str:
    """The jar of the book that a run's receiver is entered as."""
    return jar_of(receiver).replace(" ", "/", 1)


def _typed(name: str) -> str:
    return shlex.quote(name) if set(name) & set('"\\$`') else f'"{name}"'


def _typed_mass(mass_kg: float, system: UnitSystem) -> str:
    """A mass as a maker types it: `2.51 kg`, `5.53 lb`."""
    return f"{convert.pounds_from_kg(mass_kg):.2f} lb" if system == "us" else f"{mass_kg:.2f} kg"
