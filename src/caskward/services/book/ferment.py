"""Whether what was gauged can be so: by the mash that is there, the order of the deeds, and the materials."""

from __future__ import annotations

from collections.abc import Mapping

from caskward.book.accounts import ALCOHOL, BULK, family_of, root_of
from caskward.book.amounts import Liquid
from caskward.book.deeds import Act
from caskward.book.deeds.act import held
from caskward.book.flow import flow_of
from caskward.book.history import as_put_right, sides
from caskward.book.rules import CLOCK_GRACE
from caskward.book.words import said
from caskward.errors.book_asked import DatedBeforeOthers, MoreThanItCouldMake, MoreThanWentIn, NoMashThere
from caskward.services.book import words
from caskward.services.book.asked import View
from caskward.services.book.moments import shown

_DISSOLVED_UL_PER_MG = 0.65
"""What sugar adds to the liquid, put in without measuring the volume again [µL/mg]; *common practice, no
source*."""
_GIVEN_UP_UL_PER_MG = 0.1
"""What grain gives up that was in the measured volume: air and swelling [µL/mg]; *common practice, no
source*."""
_MADE_UL_PER_MG = 0.72
"""Pure alcohol from starch, 2 x 46.07 g of it from 162.14 g, at 0.78924 g/mL [µL/mg]; *from memory*."""
_TOO_LITTLE_UL = 1000
"""A film on the wall [µL], which nobody is told of."""


def check_in_order(view: View, act: Act, place: str) -> None:
    """Raise `DatedBeforeOthers` where the place changed after the moment whose content is told."""
    later = [
        one
        for one in as_put_right(view.past.touching(place))
        if one.at > act.done_at + CLOCK_GRACE and any(part.account == place for part in one.postings)
    ]
    if later:
        numbers = [one.said_by.number for one in later]
        newest = shown(max(one.at for one in later))
        raise DatedBeforeOthers(words.place(place), shown(act.done_at), sorted(numbers), newest)


def check_ferment(view: View, act: Act, place: str, found: Liquid, within: Liquid) -> None:
    """Raise what a ferment cannot be: of no mash, of more than went in, stronger than it could become."""
    batch = act.batch or ""
    if view.holdings.standing(batch) is None:
        return  # a batch that was never begun has its own sentence
    if place not in places_of(view, batch):
        others = [one for one in view.open_batches if one != batch and place in places_of(view, one)]
        raise NoMashThere(words.place(place), batch, others)
    before = held(view.holdings, place)
    _check_volume(view, act, place, (before, found, within))
    _check_alcohol(view, act, place, (before, found, within))


def places_of(view: View, batch: str) -> set[str]:
    """Where the mash of a batch was put, and where it was moved on to."""
    found: set[str] = set()
    for one in as_put_right(view.past.since_begun(batch)):
        if one.kind == "mashed" and one.batch == batch:
            found.add(one.into)
        elif one.kind == "moved" and (bulk := sides(one).get(BULK)) and found & set(bulk.outs):
            found |= {account for account in bulk.ins if root_of(account).holds}
    return found


def left_of(view: View, act: Act, batch: str) -> tuple[str, ...]:
    """What is still in vessels and jars of a batch: its alcohol, or mash that never fermented."""
    system, notes = act.system, []
    flow = flow_of(as_put_right(list(view.past.after(0))))
    for place in sorted(view.places):
        if root_of(place).name not in ("vessel", "jar"):
            continue
        of_it = sum(n for tag, n in flow.content(place, ALCOHOL).items() if _made_in(tag.origin, batch))
        if of_it >= _TOO_LITTLE_UL:
            notes.append(f"{said(of_it, ALCOHOL, system)} pure of it is still in {words.place(place)}.")
    for place in sorted(places_of(view, batch)):
        there = held(view.holdings, place)
        if there.bulk_ul >= _TOO_LITTLE_UL and not there.alcohol_ul:
            amount = said(there.bulk_ul, BULK, system)
            notes.append(f"{amount} is still in {words.place(place)}, unfermented.")
    return tuple(notes)


# The parts ---------------------------------------------------------------------------------------

_Gauged = tuple[Liquid, Liquid, Liquid]
"""What the book has, what was found, what the instruments may be wrong by."""


def _check_volume(view: View, act: Act, place: str, gauged: _Gauged) -> None:
    before, found, within = gauged
    mashed_ul = _gave(view, f"changed/mashing/{act.batch}", BULK)
    given_ul = max(_gave(view, f"changed/fermentation/{act.batch}", BULK), 0)
    # Several tubs of one batch share what its materials give up; the mash was measured as well as this.
    share = min(1.0, before.bulk_ul / mashed_ul) if mashed_ul > 0 else 1.0
    room_ul = 2 * within.bulk_ul + max(round(_may_add_ul(view, act) * share) - given_ul, 0)
    if found.bulk_ul > before.bulk_ul + room_ul:
        shown_as = (said(ul, BULK, act.system) for ul in (found.bulk_ul, before.bulk_ul, room_ul))
        raise MoreThanWentIn(words.place(place), *shown_as)


def _check_alcohol(view: View, act: Act, place: str, gauged: _Gauged) -> None:
    before, found, within = gauged
    made_ul = found.alcohol_ul - before.alcohol_ul + _gave(view, f"made/fermentation/{act.batch}", ALCOHOL)
    # Juice and the like came in as liquid: as much sugar as it is heavy, at the most.
    juice_ul = max(before.bulk_ul - max(_gave(view, f"changed/mashing/{act.batch}", BULK), 0), 0)
    could_ul = round((_used_mg(view, act) + juice_ul) * _MADE_UL_PER_MG)
    if made_ul > could_ul + within.alcohol_ul:
        shown_as = (said(ul, ALCOHOL, act.system) for ul in (made_ul, could_ul))
        raise MoreThanItCouldMake(words.place(place), act.batch or "", *shown_as)


def _gave(view: View, account: str, commodity: str) -> int:
    return -view.holdings.contents(account).get(commodity, 0)


def _may_add_ul(view: View, act: Act) -> float:
    """What the materials of a batch may add to the volume that was measured with them or without them."""
    found_ul = 0.0
    for one in as_put_right(view.past.since_begun(act.batch or "")):
        if one.kind == "mashed" and one.batch == act.batch:
            used_mg = sum(part.amount for part in one.postings if root_of(part.account).name == "used")
            measured_then = any(part.commodity == BULK for part in one.postings)
            found_ul += used_mg * (_GIVEN_UP_UL_PER_MG if measured_then else _DISSOLVED_UL_PER_MG)
    return found_ul


def _used_mg(view: View, act: Act) -> int:
    """Materials of the batch by mass [mg]; those by volume count as heavy as water."""
    used: Mapping[str, int] = view.holdings.contents(f"used/{act.batch}")
    return sum(amount for what, amount in used.items() if family_of(what) in ("mass", "volume"))


def _made_in(origin: str, batch: str) -> bool:
    return origin.startswith("made/") and origin.rpartition("/")[2] == batch
