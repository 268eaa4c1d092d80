"""Into bottles, and bottles out of the house."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

from caskward.book import deeds
from caskward.book.accounts import family_of, name_of
from caskward.book.amounts import Liquid, ul
from caskward.book.deeds import Act, Bottling, Goods, Part
from caskward.book.deeds.act import held_or_raise
from caskward.book.entry import Reading
from caskward.errors import InputError, MissingValue, NotUnderstood
from caskward.errors.book_asked import NoLotNamed
from caskward.errors.book_typed import WhyWanted
from caskward.services.book import words
from caskward.services.book.acting import Made, with_readings
from caskward.services.book.amount_said import Tools
from caskward.services.book.asked import LIQUID_ROOTS, Asked, Reader, View, holding, joined, plain
from caskward.services.book.goods_said import weighed
from caskward.services.book.kept_readings import kept_reading, rounded
from caskward.services.book.measured import measured
from caskward.services.book.stores import taken
from caskward.services.gauging_said import said
from caskward.units import parse

_COUNTED = re.compile(r"(\d{1,6})(?:\s*[x×]\s*|\s+bottles?\s+(?:of\s+)?)(\d.*)", re.IGNORECASE)
_COUNT = re.compile(r"(\d{1,6}|all)(?:\s+bottles?)?(?:\s+(.*))?", re.IGNORECASE | re.ASCII)
_EXAMPLE = "40 x 500 mL 46 % at 20 C"
_SOURCES = tuple(root for root in LIQUID_ROOTS if root != "bottles")


def bottle(asked: Asked, act: Act, view: View) -> Made:
    """`bottle tank to L26-1 40 x 500 mL 46 % at 20 C`; `--taken` what left the tank, all if it is empty."""
    reader = Reader(asked, view)
    source = reader.place("where it comes from", _SOURCES)
    there = held_or_raise(view.holdings, source)
    reader.skip()
    if _COUNTED.fullmatch(joined(reader.left)):
        line = joined(reader.left)
        raise NoLotNamed(line, f'bottle "{words.place(source)}" to L26-1 {line}')
    lot = f"bottles/{_without_root(reader.name('the name of the lot', 'L26-1'))}"
    text = reader.rest()
    matched = _COUNTED.fullmatch(text)
    if not matched:
        raise NotUnderstood("bottles, their size and strength", text, _EXAMPLE)
    one = measured(matched[2], there, Tools.of(asked.options))
    size_ul = ul(rounded(parse.volume_l(_size(matched[2]))))
    count, pct = int(matched[1]), _pct(one.liquid)
    goods = _empty_bottles(asked, view, count, size_ul)
    dry = tuple(part for text in asked.every("with") for part in taken(view, weighed(text), act.system))
    bottling = Bottling(lot, goods, size_ul, pct, dry)
    part, readings, notes = _part(asked, source, there, bottling.filled)
    act = with_readings(act, (*readings, kept_reading("count", matched[1]), *one.readings))
    made = deeds.bottle(act, view.holdings, part, bottling)
    return Made(made, notes)


def send(asked: Asked, act: Act, view: View, whom: str = "") -> Made:
    """Bottles sold, destroyed, lost, sampled or moved: `sell L26-1 12 to farm shop`."""
    reader = Reader(asked, view)
    lot = reader.place("which bottles", ("bottles",), new=())
    target = reader.until("to", "into") if asked.verb == "move" else None
    matched = _COUNT.fullmatch((target or reader).rest())
    if not matched:
        raise NotUnderstood("a number of bottles", reader.rest(), "12")
    there = view.holdings.contents(lot)
    total = sum(amount for commodity, amount in there.items() if family_of(commodity) == "piece")
    count = total if matched[1].casefold() == "all" else int(matched[1])
    act = with_readings(act, (kept_reading("count", str(count)),))
    to = _where(asked, matched[2] or "", whom, reader if target else None)
    return Made(deeds.send_bottles(act, view.holdings, lot, count, to))


def is_of_bottles(asked: Asked, view: View) -> bool:
    """Whether the deed is of a lot of bottles."""
    try:
        Reader(asked, view).place("", ("bottles",), new=())
    except InputError:
        return False
    return True


# The parts ---------------------------------------------------------------------------------------

_ENDS = {"sell": "sold", "destroy": "destroyed", "lose": "lost", "sample": "sampled"}


def _where(asked: Asked, words: str, whom: str, to: Reader | None) -> str:
    if asked.verb == "sell":
        return f"sold/{whom}"
    if to is not None:
        return f"bottles/{_without_root(to.name('the other lot', 'L26-2'))}"
    why = asked.option("why") or words or ("tasting" if asked.verb == "sample" else "")
    if not why:
        raise WhyWanted(asked.verb, "L26-1 2 broken")
    return f"{_ENDS[asked.verb]}/{plain(why)}"


def _without_root(name: str) -> str:
    return plain(re.sub(r"bottles[ /]", "", name, flags=re.IGNORECASE))


def _size(text: str) -> str:
    """The volume at the beginning of `500 mL 46 % at 20 C`."""
    size = said(text).volume
    if not size:
        raise NotUnderstood("the size of a bottle", text, _EXAMPLE)
    return size


def _pct(of: Liquid) -> Decimal:
    if not of.bulk_ul:
        raise MissingValue("Bottles", "their strength", _EXAMPLE)
    return Decimal(rounded(of.pct_vol, 6))


def _empty_bottles(asked: Asked, view: View, count: int, size_ul: int) -> Goods:
    """Counted empty bottles of that size if there are any; else those that nobody counted."""
    if asked.option("bottles"):
        found = taken(view, weighed(f"{count} {asked.option('bottles')}"), "metric")
        return found[0]
    size = f"{size_ul / 1000:g} mL"
    fitting = holding(
        view, lambda _, there: any(_is_bottle(what, size) and n >= count for what, n in there.items())
    )
    for place in fitting:
        if place.startswith("goods/"):
            commodity = next(what for what in view.places[place] if _is_bottle(what, size))
            return Goods(place, commodity, count)
    return Goods("received/not counted", f"piece/bottle {size}", count)


def _is_bottle(commodity: str, size: str) -> bool:
    name = name_of(commodity).casefold().replace(" ", "")
    return family_of(commodity) == "piece" and "bottle" in name and size.casefold().replace(" ", "") in name


def _part(
    asked: Asked, source: str, there: Liquid, filled: Liquid
) -> tuple[Part, tuple[Reading, ...], tuple[str, ...]]:
    """What left the place: as measured; else just what is in the bottles."""
    if not asked.option("taken"):
        return Part(source, filled), (), ()
    done = measured(asked.option("taken"), there, Tools.of(asked.options), whole=False)
    within = done.within if done.all else Liquid(0, 0)
    readings = tuple(replace(one, quantity=f"{one.quantity} taken") for one in done.readings)
    return Part(source, done.liquid, empties=done.all, within=within), readings, done.notes
