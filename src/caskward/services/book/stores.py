"""Materials and dry goods: received, mashed, added, weighed and counted, thrown away; bought spirit, too."""

from __future__ import annotations

import difflib
from dataclasses import replace
from typing import Final

from caskward.book import deeds
from caskward.book.accounts import BULK, family_of, name_of
from caskward.book.amounts import Liquid
from caskward.book.deeds import Act, Goods
from caskward.book.deeds.act import held
from caskward.book.entry import Reading
from caskward.book.words import said
from caskward.errors import InputError, MissingValue, OptionsClash, OutOfRange, UnclearValue
from caskward.errors.book import MoreThanIsHeld
from caskward.errors.book_asked import HotOntoFermented
from caskward.errors.book_typed import LessThanBefore, NoMaterial, NoUnit, WhyWanted
from caskward.services.book import words
from caskward.services.book.acting import Made, with_readings
from caskward.services.book.amount_said import Measured, Tools
from caskward.services.book.asked import GOODS_ROOTS, Asked, Reader, View, joined, of_material, plain
from caskward.services.book.delivered import delivered, supplier_in
from caskward.services.book.ferment import check_in_order
from caskward.services.book.goods_said import EXAMPLE, MOST_WORDS, Weighed, weighed
from caskward.services.book.kept_readings import kept_reading
from caskward.services.book.measured import measured
from caskward.units import parse
from caskward.units.types import UnitSystem

_BOILS_DOWN_TO: Final = 0.8
"""Share of what stood in a vessel that is there at least after a cook in it; *common practice, no source*."""
_DETAILS = (("product", "product"), ("supplier-lot", "supplier_lot"), ("use-by", "use_by"))


def receive(asked: Asked, act: Act, view: View) -> Made:
    """`receive 50 kg rye from Hill Farm`; liquids with the place they went into."""
    reader = Reader(asked, view)
    supplier, where = _from_and_into(asked, reader)
    details = {key: asked.option(name) for name, key in _DETAILS if asked.option(name)}
    if where is not None:
        return _liquid(asked, act, (reader, where, supplier), details)
    goods, readings, costs = [], [], list(act.costs)
    for number, item in enumerate(reader.items()):
        part = delivered(item.rest())
        account = _new_lot(asked, view, part, number)
        goods.append(Goods(account, f"{part.family}/{part.name}", part.amount))
        readings.append(_read(part))
    if not goods:
        raise NoUnit(asked.text, EXAMPLE)
    if asked.option("price") and len(goods) > 1:
        raise OptionsClash(
            f"--price {asked.option('price')}", "several goods", "Enter each with its own price."
        )
    costs = [replace(cost, account=cost.account or goods[0].account) for cost in costs]
    act = replace(with_readings(act, readings), costs=tuple(costs))
    return Made(deeds.receive(act, goods, supplier, details))


def mash(asked: Asked, act: Act, view: View) -> Made:
    """`mash 35 kg rye, 12 kg malt into tub 1 180 L`: the volume is all that is in it then."""
    goods, place, readings, rest = _goods_into(asked, view, act.system, "180 L")
    if not rest:
        raise MissingValue("book mash", "what the vessel holds then", f'"{name_of(place)}" 180 L')
    check_in_order(view, act, place)
    there = held(view.holdings, place)
    done = _all_there(rest, there, place, asked, act.system)
    if done.liquid.bulk_ul < _BOILS_DOWN_TO * there.bulk_ul:
        amounts = (said(ul, BULK, act.system) for ul in (there.bulk_ul, done.liquid.bulk_ul))
        raise LessThanBefore(words.place(place), *amounts)
    act = with_readings(act, (*readings, *done.readings))
    return Made(deeds.mash(act, goods, place, done.liquid.bulk_ul - there.bulk_ul), done.notes)


def _all_there(rest: str, there: Liquid, place: str, asked: Asked, system: UnitSystem) -> Measured:
    """What the vessel holds with the mash; a hot one onto something fermented has its own sentence."""
    try:
        return measured(rest, there if there.bulk_ul else Liquid(0, 1_000_000), Tools.of(asked.options))
    except OutOfRange as out:
        if out.unit != "°C" or not there.alcohol_ul:
            raise
        held_now = f"{said(there.bulk_ul, BULK, system)} at {there.pct_vol:.1f} %vol"
        raise HotOntoFermented(words.place(place), held_now, f"{out.given:g} °C") from None


def add(asked: Asked, act: Act, view: View) -> Made:
    """`add 250 g yeast to tub 1`: without a change of its volume."""
    goods, place, readings, rest = _goods_into(asked, view, act.system, "")
    if rest:
        measured(rest)
        raise MissingValue("A mash with its volume", "its own verb", f"caskward book mash ... {rest}")
    return Made(deeds.use(with_readings(act, readings), goods, place))


def gauge(asked: Asked, act: Act, view: View) -> Made:
    """`gauge rye 12 23.5 kg`: weighed or counted."""
    place, text = goods_place(asked, view)
    commodity = _only(view, place)
    if text.casefold() in ("empty", "nothing"):
        return Made(deeds.gauge_goods(act, view.holdings, Goods(place, commodity, 0)))
    part = weighed(text, family_of(commodity))
    within = _within(asked.option("within"), part)
    act = with_readings(act, (_read(part),))
    return Made(deeds.gauge_goods(act, view.holdings, Goods(place, commodity, part.amount), within))


def discard(asked: Asked, act: Act, view: View) -> Made:
    """`lose rye 12 3 kg mice`, `destroy rye 12 all mouldy`."""
    place, text = goods_place(asked, view)
    commodity = _only(view, place)
    why = asked.option("why")
    if text.casefold().partition(" ")[0] == "all":
        amount, why = view.holdings.contents(place).get(commodity, 0), why or text.partition(" ")[2]
        readings: tuple[Reading, ...] = ()
    else:
        part = weighed(text, family_of(commodity))
        amount, why, readings = part.amount, why or part.name, (_read(part),)
    if not why:
        raise WhyWanted(asked.verb, f'"{name_of(place)}" {text} mouldy')
    act = with_readings(act, readings)
    destroyed = asked.verb == "destroy"
    return Made(deeds.discard(act, [Goods(place, commodity, amount)], plain(why), destroyed=destroyed))


def is_of_goods(asked: Asked, view: View) -> bool:
    """Whether the deed is of a lot or of dry goods, and not of liquid."""
    try:
        goods_place(asked, view)
    except UnclearValue:
        return True
    except InputError:
        return False
    return True


def goods_place(asked: Asked, view: View) -> tuple[str, str]:
    """The lot of a deed, by its name or the only one of a material, and the words behind it."""
    reader = Reader(asked, view)
    for count in range(min(MOST_WORDS, len(reader.left)), 0, -1):
        lots = of_material(view, joined(reader.left[:count]))
        if len(lots) > 1:
            raise UnclearValue("a lot", joined(reader.left[:count]), tuple(name_of(lot) for lot in lots))
        if lots:
            reader.at += count
            return lots[0], reader.rest()
    return reader.place("which lot", GOODS_ROOTS, new=()), reader.rest()


# Amounts of goods --------------------------------------------------------------------------------


def taken(view: View, part: Weighed, system: UnitSystem) -> list[Goods]:
    """So much of a material from its lots, the oldest first, or from the lot that was named.

    Raises:
        NoMaterial: no lot holds any. MoreThanIsHeld: they do not hold so much.
    """
    lots = of_material(view, part.name)
    if not lots:
        raise NoMaterial(part.name, *_nearest_material(view, part.name))
    goods, missing = [], part.amount
    for lot in lots:
        for commodity, there in view.holdings.contents(lot).items():
            amount = min(missing, there)
            if family_of(commodity) == part.family and amount > 0:
                goods.append(Goods(lot, commodity, amount))
                missing -= amount
    if missing:
        whole, commodity = part.amount - missing, f"{part.family}/{part.name}"
        shown = said(part.amount, commodity, system), said(whole, commodity, system)
        came = "if more came in, receive it first; if there is more than the book has, gauge it first."
        raise MoreThanIsHeld(", ".join(lots), part.name, *shown, came)
    return goods


def _read(part: Weighed) -> Reading:
    what = {"mass": "mass", "volume": "volume", "piece": "count"}[part.family]
    return kept_reading(what, part.typed)


def _within(text: str, part: Weighed) -> int:
    """How far a weighing may be off: as said, else a shop scale's part in a hundred; a count is exact."""
    if text.rstrip().endswith("%"):
        return int(part.amount * parse.share(text, what="the tolerance"))
    if text:
        return weighed(text, part.family).amount
    return 0 if part.family == "piece" else part.amount // 100


def _only(view: View, place: str) -> str:
    there = view.holdings.contents(place)
    return next(iter(there), f"mass/{name_of(place)}")


def _new_lot(asked: Asked, view: View, part: Weighed, number: int) -> str:
    if not plain(part.name):
        raise NoUnit(part.typed, EXAMPLE)
    named = plain(asked.option("lot"))
    if named and number == 0:
        return f"lot/{named}"
    if part.family == "piece":
        return f"goods/{part.name}"
    # The number of the entry makes the name new in every book.
    return f"lot/{part.name} lot {view.next_number}"


def _from_and_into(asked: Asked, reader: Reader) -> tuple[str, Reader | None]:
    """Who it came from and where it went, in whichever order; the amount stays, wherever it stood."""
    source = None if asked.option("from") else reader.cut("from", "into")
    where = reader.cut("into", "from")
    supplier = plain(asked.option("from") or (supplier_in(source) if source else ""))
    if not supplier:
        # What is wrong with the goods themselves is said before what is still missing.
        for item in () if where else reader.items():
            delivered(item.rest())
        raise MissingValue("book receive", "who it came from", 'from "Hill Farm"')
    if source:
        reader.tokens += source.left
    return supplier, where


def _liquid(asked: Asked, act: Act, words: tuple[Reader, Reader, str], details: dict[str, str]) -> Made:
    what, where, supplier = words
    place = where.place("where it went", ("vessel", "jar", "cask"))
    what.tokens += where.left
    amount = measured(what.rest(), Liquid(0, 0), Tools.of(asked.options), words=True)
    if amount.words:
        details = {**details, "product": details.get("product") or amount.words}
    costs = tuple(replace(cost, account=cost.account or place) for cost in act.costs)
    act = replace(with_readings(act, amount.readings), costs=costs)
    return Made(deeds.receive_liquid(act, place, amount.liquid, supplier, details), amount.notes)


def _goods_into(
    asked: Asked, view: View, system: UnitSystem, example: str
) -> tuple[list[Goods], str, list[Reading], str]:
    reader = Reader(asked, view)
    before = reader.until("into", "to", "in")
    if before is None:
        where = f'into "tub 1" {example}'.strip()
        raise MissingValue(f"book {asked.verb}", "where it goes", where)
    place = reader.place("where it goes", ("vessel", "jar", "cask"))
    goods: list[Goods] = []
    readings = []
    for item in before.items():
        part = weighed(item.rest())
        goods += taken(view, part, system)
        readings.append(_read(part))
    if not goods:
        raise NoUnit(asked.text, EXAMPLE)
    return goods, place, readings, reader.rest()


def _nearest_material(view: View, name: str) -> tuple[str | None, tuple[str, ...]]:
    """The material in store whose name is nearest, and some of what there is."""
    known = {
        name_of(what)
        for place, there in view.places.items()
        if place.partition("/")[0] in GOODS_ROOTS
        for what in there
    }
    wanted = name.casefold()
    # "yeast" is rather the distillers' dry yeast in store than wheat.
    close = sorted(one for one in known if wanted in one.casefold())
    close = close or difflib.get_close_matches(wanted, known, n=1, cutoff=0.6)
    return (close[0] if close else None), tuple(sorted(known)[:8])
