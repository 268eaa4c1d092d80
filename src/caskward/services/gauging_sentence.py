"""A whole question about mixing in loose words: `20 L 71.3 % to 63 %`, `50 L of 60 % from 71 % and 24 %`.

Words become a `Wish`, to which a face adds what its own fields say; `answer` makes a reduction or a mixture
of it. What is added with an amount (`with 8 L low wines 24 %`) goes in as far as needed, and water does the
rest.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from caskward.errors import MissingValue, NoSuchBlend, OptionsClash, OutOfRange, TooLittleToAdd, UnclearValue
from caskward.services.gauging import mix, reduce
from caskward.services.gauging_asks import LiquidAsk, MixAnswer, MixAsk, ReduceAnswer, ReduceAsk
from caskward.services.gauging_said import Piece, liquid, pieces
from caskward.units import numbers, parse

if TYPE_CHECKING:
    from caskward.gauging.liquids import Pour

_FIRST = re.compile(
    r"(?:how much water(?: do i add| to add| goes)?(?: to| for| in| into)?|reduce|bring|take|dilute|cut"
    r"|i have|mix|blend|proof(?: down)?|what (?:results|do i get) (?:if|from))\s+",
    re.IGNORECASE,
)
_TO = re.compile(r"\s*(?:->|→|=>)\s*|\s+(?:down |up )?to\s+(?:make\s+)?", re.IGNORECASE)
_MAKE = re.compile(r"(?:to )?makes?\s+(.+?)\s+(?:from|out of|using|with)\s+(.+)", re.IGNORECASE)
_FROM = re.compile(r"(.+?)\s+(?:from|out of|using)\s+(.+)", re.IGNORECASE)
_ADD = re.compile(r"add\s+(.+?)\s+(?:to|into)\s+(.+)", re.IGNORECASE)
_WITH = re.compile(r"\s+(?:with|using|by adding)\s+", re.IGNORECASE)
_AND = re.compile(r"\s+(?:and|plus)\s+|\s*&\s*|\s+\+\s+|\s*;\s*", re.IGNORECASE)
_OVER = re.compile(r",?\s*\bover\s+(\d+)\s*d(?:ays?)?\b", re.IGNORECASE | re.ASCII)
_STEPS = re.compile(r",?\s*\bin\s+(\d+)\s*(?:steps?|goes|additions)\b", re.IGNORECASE | re.ASCII)
WATER = "water"
_ALCOHOL_FREE = frozenset({WATER, "backset", "stillage", "spent wash", "dunder"})
MOST_DAYS = 365
_DAILY_UP_TO = 10
"""Up to so many days there is an addition a day; over more days there are so many additions."""
_EXAMPLE = "20 L 71.3% to 63%"


@dataclass(frozen=True, slots=True)
class Wish:
    """What is wanted of liquids: to bring `spirits` to a strength, or with no strength to mix them.

    add              what is added; water if nothing is said; with an amount, water does the rest
    make             how much is to be made: `50 L`, `46 kg`; empty uses all there is
    temp             how warm everything is when it is measured; otherwise 20 °C
    days, steps      over how many days and in how many additions; 0 where it was not said
    rest             between two additions: `2 d`
    by               key of the scale or jug that what is added is measured with
    """

    spirits: tuple[LiquidAsk, ...] = ()
    to: str = ""
    add: LiquidAsk | None = None
    make: str = ""
    temp: str = ""
    days: int = 0
    steps: int = 0
    rest: str = ""
    by: str = "scale"


def wish(text: str) -> Wish:
    """A question in loose words.

    Raises:
        InputError: words that make no question, or a value that makes no sense.
    """
    plain = _FIRST.sub("", numbers.tidied(text), count=1) if _FIRST.match(numbers.tidied(text)) else text
    plain, days = _counted(numbers.tidied(plain), _OVER)
    plain, steps = _counted(plain, _STEPS)
    if not plain:
        return Wish(days=days, steps=steps)
    return replace(_question(plain), days=days, steps=steps)


def answer(of: Wish) -> ReduceAnswer | MixAnswer:
    """A reduction if a strength is wanted, else what results.

    Raises:
        InputError: text that makes no sense, or an amount that is missing.
        ImpossibleIntent: a strength that cannot be mixed, or more than there is.
    """
    of = _two_without_amounts(of)
    spirits = _named_apart(tuple(_measured_at(one, of.temp) for one in of.spirits))
    add = _named(_measured_at(of.add, of.temp)) if of.add else None
    if not of.to:
        return _mixed(of, (*spirits, *([known(add)] if add else [])))
    if add:
        _check_added(of, add)
    steps, rest = schedule(of)
    ask = ReduceAsk(spirits, of.to, add, temp=of.temp, steps=steps, rest=rest, by=of.by)
    if of.make:
        by_mass = any(piece.kind == "mass" for piece in pieces(of.make))
        ask = replace(ask, make_mass=of.make) if by_mass else replace(ask, make_volume=of.make)
    done = _reduced(ask, of.temp)
    return replace(done, assumed=(*done.assumed, *_taken_as_water(add)))


def schedule(of: Wish) -> tuple[int, str]:
    """How many additions, and the rest between two of them, from days, additions and rest."""
    if not 0 <= of.days <= MOST_DAYS:
        raise OutOfRange("Days to reduce over", of.days, "d", 1, MOST_DAYS)
    if of.days == 0:
        if of.rest and not of.steps:
            raise MissingValue("A rest between additions", "how many there are", "--steps 3, or --days 5")
        return of.steps or 1, of.rest
    if of.steps and of.rest:
        raise OptionsClash("Days and additions", "a rest", "The rest follows from the two: leave it out.")
    if of.rest:
        rest_d = parse.duration_h(of.rest, what="the rest") / 24.0
        return int((of.days - 1) / max(rest_d, 1e-3) + 1e-9) + 1, of.rest
    # The first addition is on the first day, the last on the last.
    steps = of.steps or min(of.days, _DAILY_UP_TO)
    return steps, f"{(of.days - 1) / (steps - 1):.3g} d" if steps > 1 else ""


# The parts ---------------------------------------------------------------------------------------


def _question(plain: str) -> Wish:
    """What is there, what is wanted, what is added."""
    adding = _ADD.fullmatch(plain)
    if adding and not _is_strength_alone(adding[2]):
        return Wish(_liquids(f"{adding[2]} and {adding[1]}"))
    made = _MAKE.fullmatch(plain) or (None if _TO.search(plain) else _FROM.fullmatch(plain))
    if made:
        return _aimed(_with_liquids(made[2]), made[1])
    there, *goal = _TO.split(plain, maxsplit=1)
    if not goal:
        return Wish(_liquids(_WITH.sub(" and ", there)))
    return _aimed(_with_liquids(there), goal[0])


def _with_liquids(text: str) -> Wish:
    """`20 L 71 % with backset`: what is there, and what is added."""
    there, *added = _WITH.split(text, maxsplit=1)
    return Wish(_liquids(there), add=liquid(added[0]) if added else None)


def _aimed(of: Wish, goal: str) -> Wish:
    """The wish with its goal: `50 L of 60 % at 15 C with backset`."""
    wanted, *added = _WITH.split(goal, maxsplit=1)
    if added:
        of = replace(of, add=liquid(added[0]))
    make, to, temp = "", "", ""
    for piece in pieces(wanted):
        if piece.kind in ("volume", "mass"):
            make = _said_once("how much to make", make, piece)
        elif piece.kind in ("reading", "number"):
            _check_strength(piece)
            to = _said_once("the strength wanted", to, piece)
        elif piece.kind == "temp":
            temp = _said_once("a temperature", temp, piece)
        else:
            raise OptionsClash(repr(wanted), "a strength", f"Write it like {_EXAMPLE}.")
    return replace(of, to=to, make=make, temp=temp)


def _check_strength(piece: Piece) -> None:
    """A number of three decimals near 1 is a gravity, which no strength is reduced to."""
    if piece.kind == "number" and re.fullmatch(r"[01]?[.,]\d{3,}", piece.text):
        raise UnclearValue("the strength wanted", piece.text, (f"{piece.text} %", "a strength like 40 %"))


def _said_once(what: str, before: str, piece: Piece) -> str:
    if before:
        raise OptionsClash(before, piece.text, f"Say {what} once.")
    return piece.text


def _liquids(text: str) -> tuple[LiquidAsk, ...]:
    return tuple(known(liquid(part)) for part in _AND.split(text) if part.strip())


def known(ask: LiquidAsk) -> LiquidAsk:
    """The liquid with a strength where its name says it: water, and what a still leaves behind, hold none."""
    return replace(ask, strength="0 %") if ask.name.casefold() in _ALCOHOL_FREE and not ask.strength else ask


def _is_strength_alone(text: str) -> bool:
    return {piece.kind for piece in pieces(text)} <= {"reading", "number"}


def _counted(text: str, pattern: re.Pattern[str]) -> tuple[str, int]:
    found = pattern.search(text)
    if not found:
        return text, 0
    return f"{text[: found.start()]} {text[found.end() :]}".strip(), int(found[1])


def _measured_at(ask: LiquidAsk, temp: str) -> LiquidAsk:
    """The liquid as warm as everything else, where nothing else is said of it."""
    if not temp or ask.temp or any(piece.kind == "temp" for piece in pieces(ask.strength)):
        return ask
    return replace(ask, temp=temp)


def _named_apart(asks: tuple[LiquidAsk, ...]) -> tuple[LiquidAsk, ...]:
    """Spirits without a name are numbered where there are several of them."""
    bare = [one for one in asks if not one.name]
    called = {id(one): "spirit" if len(bare) == 1 else f"spirit {n}" for n, one in enumerate(bare, start=1)}
    return tuple(replace(one, name=one.name or called[id(one)]) for one in asks)


def _named(ask: LiquidAsk) -> LiquidAsk:
    """What is added, under a name that tells it from what is there."""
    if ask.name or not ask.strength:
        return ask
    return replace(ask, name=f"spirit at {ask.strength.partition(' at ')[0]}")


def _water(temp: str) -> LiquidAsk | None:
    return LiquidAsk(name="water", temp=temp) if temp else None


def _mixed(of: Wish, everything: tuple[LiquidAsk, ...]) -> MixAnswer:
    if of.make or of.days or of.steps or of.rest:
        raise MissingValue("A reduction", "the strength wanted", "to 63%")
    if len(everything) < 2:
        raise MissingValue("A mixture", "a strength to reach, or a second liquid", _EXAMPLE)
    return mix(MixAsk(everything, of.temp))


def _two_without_amounts(of: Wish) -> Wish:
    """Of two spirits without amounts the second is what is added: so much of each."""
    bare = [one for one in of.spirits if not _has_amount(one)]
    if of.make and len(of.spirits) == len(bare) == 2 and of.add is None:
        return replace(of, spirits=of.spirits[:1], add=of.spirits[1])
    return of


def _check_added(of: Wish, add: LiquidAsk) -> None:
    """Refuse what would be guessed at: a strength that was not said, an amount beside what decides it."""
    free = add.name.casefold() in _ALCOHOL_FREE
    if not add.strength and not free:
        raise MissingValue(
            add.name.capitalize() or "What is added", "its strength", f"{add.name} 24 %".strip()
        )
    if _has_amount(add) and of.make:
        raise OptionsClash("An amount to make", "an amount of what is added", "Leave one of them out.")
    if _has_amount(add) and add.name.casefold() == WATER:
        advice = "Leave one of them out; without the strength you are told what results."
        raise OptionsClash("A strength to reach", "an amount of water", advice)


def _reduced(ask: ReduceAsk, temp: str) -> ReduceAnswer:
    """With as much as is needed of what is added; where there is not so much of it, water does the rest."""
    some = ask.add
    if some is None or not _has_amount(some):
        return reduce(replace(ask, add=some or _water(temp)))
    plenty = replace(ask, add=replace(some, volume="", mass=""))
    try:
        one_go = reduce(replace(plenty, steps=1))
    except NoSuchBlend:
        one_go = None  # as strong as the spirit or stronger: all of it goes in, and then water
    added = one_go.mixture.add if one_go else None
    if one_go and (added is None or _covers(some, added)):
        return reduce(plenty)
    if one_go and added and added.pct_vol > one_go.to_pct_vol:
        raise TooLittleToAdd(added.name, some.volume or some.mass, added.volume_l, added.shown_kg)
    return reduce(replace(ask, spirits=(*ask.spirits, known(some)), add=_water(temp)))


def _covers(some: LiquidAsk, needed: Pour) -> bool:
    """Whether so much of a liquid is as much as is needed."""
    if some.volume:
        return parse.volume_l(some.volume, what=f"the volume of {needed.name}") >= needed.volume_l
    return parse.mass_kg(some.mass, what=f"the mass of {needed.name}") >= needed.shown_kg


def _has_amount(ask: LiquidAsk) -> bool:
    return bool(ask.volume or ask.mass)


def _taken_as_water(ask: LiquidAsk | None) -> tuple[str, ...]:
    """What to know where something without a strength is added that is no water."""
    if ask is None or ask.strength or ask.name.casefold() == WATER:
        return ()
    return (
        f"{ask.name[:1].upper()}{ask.name[1:]} is taken to hold no alcohol. What is dissolved in it is not "
        "counted and misleads a hydrometer: distil a sample to gauge the result.",
    )
