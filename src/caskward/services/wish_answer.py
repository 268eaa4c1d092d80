"""What a wish leads to, a first look within the second and then the whole plan; each as text for a page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Final

from caskward.catalogue.load import load
from caskward.errors import FillOutOfReach
from caskward.planning import learned_file, learned_still
from caskward.planning.advice import broken
from caskward.planning.intent import Intent
from caskward.planning.intent_file import no_batch_closed, nothing_learned, read_intent
from caskward.planning.learned_gear import LearnedGear
from caskward.planning.limits import Limit, limits
from caskward.planning.plan import Band, Plan, ShoppingLine, band
from caskward.planning.planner import plan_of, reason_of, shopping
from caskward.planning.sizing import Sized, size_roughly
from caskward.planning.strengths import said
from caskward.services import kept_beliefs, words
from caskward.services.words import banded, figure
from caskward.units import show
from caskward.units.types import UnitSystem

_BINDING: Final = 4


@dataclass(frozen=True)
class Outcome:
    """What a wish leads to, as far as it was looked at.

    stopped: why it cannot be done; empty where it can. whole: the plan, once it is worked out in full.
    """

    show: UnitSystem
    stopped: str
    broken: tuple[Limit, ...] = ()
    chance: float = 0.0
    fill_l: Band = field(default_factory=lambda: Band(0.0, 0.0, 0.0))
    wanted_l: float = 0.0
    entry_pct_vol: float = 0.0
    bill_kg: tuple[tuple[str, float], ...] = ()
    water_l: float = 0.0
    shopping: tuple[ShoppingLine, ...] = ()
    limits: tuple[Limit, ...] = ()
    currency: str = ""
    whole: Plan | None = None


def read_wish(text: str, files: Mapping[str, str]) -> Intent:
    """The wish in a plan's file; files that it names are looked for among those given, and nowhere else.

    Raises:
        InputError: one sentence about what cannot be used.
    """

    def still(name: str) -> learned_still.LearnedHabits:
        return learned_still.read_learned(files[name], name) if name in files else nothing_learned(name)

    def gear(name: str) -> LearnedGear:
        return learned_file.read_learned(files[name], name) if name in files else no_batch_closed(name)

    return read_intent(text, load(), still, gear)


def first_look(intent: Intent) -> Outcome:
    """About what it leads to, within some percent: for an answer while somebody types."""
    return _outcome(intent, lambda: size_roughly(intent))


def in_full(intent: Intent) -> Outcome:
    """What it leads to, as `plans.plan_text` has it."""
    return _outcome(intent, lambda: kept_beliefs.sized(intent), whole=True)


def _outcome(intent: Intent, sized_by: Callable[[], Sized], *, whole: bool = False) -> Outcome:
    try:
        sized = sized_by()
    except FillOutOfReach as unreachable:
        return Outcome(intent.show, str(unreachable))
    stopped_by = broken(sized)
    if stopped_by:
        return Outcome(intent.show, reason_of(sized, stopped_by[0]), stopped_by)
    names = {item.material.key: item.material.name for item in intent.bill}
    return Outcome(
        show=intent.show,
        stopped="",
        chance=sized.chance,
        fill_l=band(sized.course.available_l),
        wanted_l=sized.method.fill_l,
        entry_pct_vol=sized.method.entry_pct_vol,
        bill_kg=tuple((names[key], kg) for key, kg in sized.method.bill_kg.items()),
        water_l=sized.method.water_l,
        shopping=shopping(sized),
        limits=limits(sized),
        currency=intent.prices.currency,
        whole=plan_of(sized, load()) if whole else None,
    )


def why_not(sized: Sized) -> str:
    """Why a sized batch that breaks a limit cannot be done; empty where it breaks none."""
    stopped_by = broken(sized)
    return _capital(reason_of(sized, stopped_by[0])) if stopped_by else ""


# As text -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Answered:
    """What a page says of a wish. low, mid, high, wanted: of the fill, as shares of one scale, 0 to 1."""

    headline: str
    expected: str
    mash: str
    brief: str
    low: float
    mid: float
    high: float
    wanted: float
    binds: tuple[str, ...]
    effort: tuple[tuple[str, str], ...]
    law: tuple[str, ...]
    drawn: str
    whole: bool


def answered(of: Outcome) -> Answered:
    """A wish that can be done, in words."""
    system = of.show
    scale = 1.05 * max(of.fill_l.high, of.wanted_l)
    about = "" if of.whole else "about "
    sure = show.in_ten(of.chance) if of.whole else f"about {min(max(round(10.0 * of.chance), 1), 9)} in 10"
    low, mid, high, wanted = (v / scale for v in (of.fill_l.low, of.fill_l.mid, of.fill_l.high, of.wanted_l))
    total_kg = sum(kg for _, kg in of.bill_kg)
    return Answered(
        headline=f"The cask fills with {sure} confidence.",
        expected=(
            f"Expect {banded(of.fill_l, 'L', system)} at {said(of.entry_pct_vol, system)}; "
            f"{figure(of.wanted_l, 'L', system)} is wanted."
        ),
        mash=_mash(of),
        brief=f"{sure} sure, {about}{show.weigh_out(total_kg, system)} to mash",
        low=low,
        mid=mid,
        high=high,
        wanted=wanted,
        binds=tuple(_capital(words.limit(one, system)) for one in of.limits[:_BINDING]),
        effort=words.effort(of.whole) if of.whole else (),
        law=of.whole.law if of.whole else (),
        drawn=f"{of.whole.learned} {words.drawn(of.whole)}".strip() if of.whole else "",
        whole=of.whole is not None,
    )


def _mash(of: Outcome) -> str:
    if of.whole:
        return words.answer(of.whole)
    water = f" in {show.volume(of.water_l, of.show)} of water" if of.water_l > 0 else ""
    return f"Mash about {words.bill(of.bill_kg, of.show)}{water}."


def stopped_words(of: Outcome) -> str:
    """Why a wish cannot be done, in one sentence."""
    return f"This cannot be done as it stands. {_capital(of.stopped)}"


def dates(of: Plan, day: date) -> str:
    """When the yeast is done, if the mash begins on a day."""
    begins = f"{day:%a} {day.day} {day:%b}"
    low, mid, high = (day + timedelta(hours=h + of.effort.mashing_h.mid) for h in _ends(of.effort.waiting_h))
    return (
        f"Mashed from {begins}, the yeast is done about {_day(mid)}, between {_day(low)} and {_day(high)} "
        "in 8 batches of 10; the stills follow."
    )


def _ends(of: Band) -> tuple[float, float, float]:
    return of.low, of.mid, of.high


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
