"""Liquid moved, filled, topped, mixed, reduced, sampled, sold, destroyed, lost; and gauged."""

from __future__ import annotations

from dataclasses import replace

from caskward.book import deeds
from caskward.book.accounts import BULK
from caskward.book.amounts import Liquid, ul
from caskward.book.deeds import Act, Part
from caskward.book.deeds.act import held, held_or_raise
from caskward.book.entry import Reading
from caskward.book.words import said
from caskward.errors import InputError, MissingValue, OptionsClash
from caskward.errors.book_asked import AllIsNoGauge, HowMuchWater
from caskward.errors.book_typed import HowMuch, WhyWanted
from caskward.properties import alcohol
from caskward.services.book import words
from caskward.services.book.acting import Made, with_readings
from caskward.services.book.amount_said import Measured, Tools, is_nothing
from caskward.services.book.asked import LIQUID_ROOTS, Asked, Reader, View, plain
from caskward.services.book.ferment import check_in_order
from caskward.services.book.measured import measured, volume_20_l
from caskward.services.gauging_said import said as typed
from caskward.units.types import UnitSystem

_OUT = tuple(root for root in LIQUID_ROOTS if root != "bottles")


def move(asked: Asked, act: Act, view: View) -> Made:
    """`move tub 1 to pot still 120 L 8.1 % at 24 C`; `--arrived` what was found there."""
    to, part, done = _from_to(asked, view)
    act = with_readings(act, done.readings)
    if not asked.option("arrived"):
        return Made(deeds.move(act, view.holdings, part, to), done.notes)
    there = measured(asked.option("arrived"), part.liquid, Tools.of(asked.options))
    act = with_readings(act, (replace(one, quantity=f"{one.quantity} arrived") for one in there.readings))
    return Made(deeds.move(act, view.holdings, part, to, there.liquid), (*done.notes, *there.notes))


def fill(asked: Asked, act: Act, view: View) -> Made:
    """`fill tank to cask 12 24.2 L 63 % at 18 C`."""
    cask, part, done = _from_to(asked, view, into=("cask",))
    act = with_readings(act, done.readings)
    costs = tuple(replace(cost, account=cost.account or cask) for cost in act.costs)
    return Made(deeds.fill(replace(act, costs=costs), view.holdings, part, cask), done.notes)


def top(asked: Asked, act: Act, view: View) -> Made:
    """`top cask 12 from jar 7 500 mL 63 % at 18 C`, or from first and cask second."""
    cask, part, done = _from_to(asked, view, into=("cask",))
    return Made(deeds.top(with_readings(act, done.readings), view.holdings, part, cask), done.notes)


def vat(asked: Asked, act: Act, view: View) -> Made:
    """`vat jar 1 all, jar 2 4 L into tank`; `--found` all that is in it then."""
    reader = Reader(asked, view)
    from_here = reader.until("into", "to")
    if from_here is None:
        raise MissingValue("book vat", "where it goes", 'into "tank"')
    to = reader.place("where it goes", _OUT)
    _nothing_left(reader)
    parts: list[Part] = []
    readings: list[Reading] = []
    notes: list[str] = []
    for item in from_here.items():
        place = item.place("what goes in", _OUT)
        there = held_or_raise(view.holdings, place)
        done = measured(item.rest(), there, Tools.of(asked.options), whole=False)
        parts.append(_part(place, done))
        readings += done.readings
        notes += [note for note in done.notes if note not in notes]
    found_ul = None
    if asked.option("found"):
        found_ul = _found_ul(asked.option("found"), _together(held(view.holdings, to), parts))
    return Made(deeds.vat(with_readings(act, readings), view.holdings, parts, to, found_ul), tuple(notes))


def reduce(asked: Asked, act: Act, view: View) -> Made:
    """`reduce tank 4.2 L`: so much water into it; `--found` all that is in it then.

    Without a measured volume the contraction is worked out: the masses add up.
    """
    reader = Reader(asked, view)
    place = reader.place("what is reduced", _OUT)
    there = held_or_raise(view.holdings, place)
    text = reader.rest()
    aim = typed(text).reading
    if aim and not is_nothing(aim):
        raise HowMuchWater(text, words.place(place), _to_come_to(there, text, aim, act.system))
    done = measured(text, Liquid(0, 1_000_000), Tools.of(asked.options))
    if done.unmeasured:
        raise HowMuch(text)
    water_ul = done.liquid.bulk_ul
    if asked.option("found"):
        found_ul = _found_ul(asked.option("found"), Liquid(there.alcohol_ul, there.bulk_ul + water_ul))
        notes = done.notes
    else:
        together_ul = there.bulk_ul + water_ul
        # Weak spirit grows by a few parts in 100,000: too little for an account that asks why.
        found_ul = min(_with_contraction_ul(there, water_ul), together_ul)
        shrunk = said(together_ul - found_ul, "bulk", act.system)
        notes = (*done.notes, f"Contraction was worked out, {shrunk}; --found says what you measured.")
    act = with_readings(act, done.readings)
    return Made(deeds.reduce(act, view.holdings, place, water_ul, found_ul), notes)


def sample(asked: Asked, act: Act, view: View) -> Made:
    """`sample cask 12 100 mL tasting`."""
    part, why, done = out_of(asked, view)
    act = with_readings(act, done.readings)
    return Made(deeds.sample(act, view.holdings, part, why or "tasting"), done.notes)


def lose(asked: Asked, act: Act, view: View) -> Made:
    """`lose jar 7 200 mL spilt`."""
    part, why, done = out_of(asked, view)
    if not why:
        raise WhyWanted("lose", '"jar 7" 200 mL spilt')
    return Made(deeds.lose(with_readings(act, done.readings), view.holdings, part, why), done.notes)


def destroy(asked: Asked, act: Act, view: View) -> Made:
    """`destroy jar 1 all foreshots`."""
    part, why, done = out_of(asked, view)
    if not why:
        raise WhyWanted("destroy", '"jar 1" all foreshots')
    return Made(deeds.destroy(with_readings(act, done.readings), view.holdings, part, why), done.notes)


def sell(asked: Asked, act: Act, view: View, whom: str) -> Made:
    """`sell cask 12 20 L 60 % at 18 C to farm shop`; the buyer was taken off the words."""
    part, extra, done = out_of(asked, view)
    if extra:
        raise MissingValue("A sale", "the word to before the buyer", f"to {extra!r}")
    return Made(deeds.sell(with_readings(act, done.readings), view.holdings, part, whom), done.notes)


def gauge(asked: Asked, act: Act, view: View) -> Made:
    """`gauge cask 12 23.9 L 62.4 % at 14 C`; a dip alone takes the book's strength, and the other way."""
    reader = Reader(asked, view)
    place = reader.place("what was gauged", _OUT)
    check_in_order(view, act, place)
    text = reader.rest()
    if text.casefold() in ("empty", "nothing", "dry"):
        return Made(deeds.gauge(act, view.holdings, place, Liquid(0, 0)))
    done = measured(text, held(view.holdings, place), Tools.of(asked.options))
    if done.unmeasured:
        raise AllIsNoGauge(text, words.place(place))
    act = with_readings(act, done.readings)
    return Made(deeds.gauge(act, view.holdings, place, done.liquid, done.within), done.notes_of_doubt)


def explain(asked: Asked, act: Act, view: View) -> Made:
    """`explain cask 12 evaporation`; an amount behind it explains a part."""
    reader = Reader(asked, view)
    place = reader.place("whose difference", tuple(dict.fromkeys((*LIQUID_ROOTS, "lot", "goods"))))
    why = reader.name("why", "evaporation") if reader.left else ""
    if not why:
        raise WhyWanted("explain", '"cask 12" evaporation')
    part = None
    if reader.left:
        missing = view.holdings.contents(f"unaccounted/open/{place.replace('/', ' ')}")
        there = Liquid(
            min(max(missing.get("alcohol", 0), 0), max(missing.get("bulk", 0), 0)),
            max(missing.get("bulk", 0), 0),
        )
        part = measured(reader.rest(), there, Tools.of(asked.options), whole=False).liquid
    return Made(deeds.explain(act, view.holdings, place, plain(why), part))


# The parts ---------------------------------------------------------------------------------------


def out_of(asked: Asked, view: View) -> tuple[Part, str, Measured]:
    """A place, what is taken from it, and the words behind that."""
    reader = Reader(asked, view)
    place = reader.place("where it is taken from", _OUT)
    there = held_or_raise(view.holdings, place)
    done = measured(reader.rest(), there, Tools.of(asked.options), words=True, whole=False)
    why = plain(asked.option("why"))
    if why and done.words:
        raise OptionsClash(f"--why {why}", repr(done.words), "Say why once.")
    return _part(place, done), why or plain(done.words), done


def _from_to(asked: Asked, view: View, into: tuple[str, ...] = _OUT) -> tuple[str, Part, Measured]:
    reader = Reader(asked, view)
    first = reader.place("where it comes from", _OUT)
    turned = bool(reader.left) and reader.left[0].text.casefold() == "from"
    second = reader.place("where it goes", _OUT if turned else into)
    source, to = (second, first) if turned else (first, second)
    there = held_or_raise(view.holdings, source)
    done = measured(reader.rest(), there, Tools.of(asked.options), whole=False)
    return to, _part(source, done), done


def _part(place: str, done: Measured) -> Part:
    return Part(place, done.liquid, empties=done.all, within=done.within if done.all else Liquid(0, 0))


def _together(there: Liquid, parts: list[Part]) -> Liquid:
    bulk_ul = there.bulk_ul + sum(part.liquid.bulk_ul for part in parts)
    return Liquid(there.alcohol_ul + sum(part.liquid.alcohol_ul for part in parts), bulk_ul)


def _found_ul(text: str, about: Liquid) -> int:
    """A volume found after mixing [µL at 20 °C], of about the strength that it should have."""
    return ul(str(round(volume_20_l(text, "what was found", about.pct_vol), 9)))


def _to_come_to(there: Liquid, text: str, aim: str, system: UnitSystem) -> str:
    """Water that brings what is there to a strength; empty where that is no weaker. Source: oiml-r22-1975."""
    try:
        target = measured(f"1 L {aim} at 20 C" if aim == text.removeprefix("to ") else f"1 L {text}")
    except InputError:
        return ""
    pct_vol = target.liquid.pct_vol
    if not 0.1 <= pct_vol < there.pct_vol:
        return ""
    needed = alcohol.reduce(there.bulk_ul / 1e6, there.pct_vol, pct_vol)
    return said(round(1e6 * float(needed.water_l)), BULK, system)


def _with_contraction_ul(there: Liquid, water_ul: int) -> int:
    """What spirit and water fill together: their masses add up. Source: oiml-r22-1975."""
    fraction = float(alcohol.mass_fraction(there.pct_vol))
    spirit_kg = there.bulk_ul / 1e9 * float(alcohol.density(fraction, 20.0))
    water_kg = water_ul / 1e9 * float(alcohol.density(0.0, 20.0))
    whole_kg = spirit_kg + water_kg
    density = float(alcohol.density(spirit_kg * fraction / whole_kg, 20.0)) if whole_kg else 1.0
    return round(whole_kg / density * 1e9)


def _nothing_left(reader: Reader) -> None:
    if reader.left:
        measured(reader.rest())
