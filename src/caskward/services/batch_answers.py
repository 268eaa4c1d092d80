"""What a batch's page says of its plan, each answer as text: how sure, whose doubt, what to read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from caskward.planning.plan import Band
from caskward.planning.readings import QUANTITIES, Reading, Stage
from caskward.planning.strengths import said
from caskward.services import (
    plan_doubt_words,
    plan_ferment_words,
    plan_remedy_words,
    plan_update_words,
)
from caskward.services.plan_doubt import Next, Possible, Share, Why
from caskward.services.plan_glimpse import FirstLook, Glimpse
from caskward.services.plan_remedy import RemedyReport
from caskward.services.plan_update import PlanUpdate
from caskward.services.words import banded, counted, figure
from caskward.units import show
from caskward.units.types import UnitSystem

CARD_OF: Final[dict[str, str]] = {
    "mash": "convert",
    "ferment": "ferment",
    "wash": "separate",
    "strip": "strip",
    "charge": "charge",
    "run": "spirit",
    "heart": "spirit",
    "cask": "fill",
}
"""The plan's stage in which each stage of the readings is read."""
_LEAST_SHARE: Final = 0.05
_DOUBTS, _OFFERS, _OTHERS = 4, 4, 3


@dataclass(frozen=True)
class Sure:
    """How sure the cask fills. low, mid, high, wanted: of the fill, as shares of one scale, 0 to 1."""

    headline: str
    expected: str
    width: str
    low: float
    mid: float
    high: float
    wanted: float
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class ChanceLine:
    """How sure the cask fills, in a line. again: what to look at again first; more: how many others."""

    sentence: str
    again: str
    more: int


@dataclass(frozen=True)
class Doubt:
    """Whose the doubt is: the sentence, and the largest parts with their share of it."""

    sentence: str
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class NextRead:
    """The reading to take next.

    stage: among the readings. card: the plan's stage. begin, example: how its row begins and goes on.
    """

    stage: Stage
    title: str
    target: str
    worth: str
    card: str
    begin: str
    example: str
    others: tuple[str, ...]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Move:
    """Something that can still be done: the chance then, what to do, what it costs."""

    chance: str
    words: str
    takes: str


@dataclass(frozen=True)
class Surer:
    """What would make it surer."""

    sentence: str
    moves: tuple[Move, ...]


@dataclass(frozen=True)
class Foreseen:
    """What a reading comes to, and what it would do to the cask, before it is recorded."""

    reads: tuple[str, ...]
    moves: str


def sure(of: PlanUpdate, system: UnitSystem, *, read: bool) -> Sure:
    """How sure the cask fills. read: whether anything of the batch was read yet."""
    cautions = (
        *plan_ferment_words.standing_sentences(of.ferment.stands if of.ferment else None),
        *plan_update_words.doubted_sentences(of, system),
        *((plan_update_words.ROUGH,) if of.rough else ()),
    )
    return Sure(
        headline=f"The cask fills with {show.in_ten(of.chance_now)} confidence.",
        expected=_expected(of.fill_now, of.wanted_l, of.entry_pct_vol, system),
        width=_since(of, system) if read else "Nothing was read of it yet: this is the plan.",
        **_on_one_scale(of.fill_now, of.wanted_l),
        cautions=cautions,
        notes=(*of.notes, plan_update_words.BANDS),
    )


def first_sure(of: FirstLook, system: UnitSystem) -> Sure:
    """About how sure the cask fills after the last rows, while all of it is still being worked out."""
    seen = of.glimpse
    return Sure(
        headline=f"The cask fills with {_roughly(seen)} confidence.",
        expected=_expected(seen.fill_l, of.wanted_l, of.entry_pct_vol, system),
        width=f"It was {show.in_ten(of.chance_before)} before. A first look: the rest is being worked out.",
        **_on_one_scale(seen.fill_l, of.wanted_l),
        cautions=(),
        notes=(),
    )


def chance_line(of: PlanUpdate, was: float | None, system: UnitSystem) -> ChanceLine:
    """How sure the cask fills now, and what the last record changed of it. was: the chance before that."""
    cautions = sure(of, system, read=True).cautions
    return ChanceLine(
        sentence=_chance_now(show.in_ten(of.chance_now), was, "The last record left it so."),
        again=cautions[0] if cautions else "",
        more=max(len(cautions) - 1, 0),
    )


def first_chance(of: FirstLook) -> ChanceLine:
    """About the same, while all of it is being worked out."""
    now = _roughly(of.glimpse)
    return ChanceLine(_chance_now(now, of.chance_before, "The last record leaves it so."), "", 0)


def _chance_now(now: str, was: float | None, same: str) -> str:
    before = "" if was is None else show.in_ten(was)
    if not before or before == now.removeprefix("about "):
        return f"The cask fills with {now} confidence.{f' {same}' if before else ''}"
    return f"The cask fills with {now} confidence, was {before} before the last record."


def look_again(of: PlanUpdate, system: UnitSystem) -> tuple[str, ...]:
    """Readings that contradict each other, or are hard to believe."""
    return tuple(plan_update_words.doubted_sentences(of, system))


def _roughly(seen: Glimpse) -> str:
    """A chance as a first look has it: about so much, where it is not over or under something anyway."""
    chance = show.in_ten(seen.chance)
    return chance if seen.exact or not chance[0].isdigit() else f"about {chance}"


def _expected(fill: Band, wanted_l: float, entry_pct_vol: float, system: UnitSystem) -> str:
    return (
        f"Expect {banded(fill, 'L', system)} at {said(entry_pct_vol, system)}; "
        f"{figure(wanted_l, 'L', system)} is wanted."
    )


def _on_one_scale(fill: Band, wanted_l: float) -> dict[str, float]:
    scale = 1.05 * max(fill.high, wanted_l)
    return {
        "low": fill.low / scale,
        "mid": fill.mid / scale,
        "high": fill.high / scale,
        "wanted": wanted_l / scale,
    }


def _since(of: PlanUpdate, system: UnitSystem) -> str:
    before, now = show.in_ten(of.chance_before), show.in_ten(of.chance_now)
    was = "as before its readings" if before == now else f"{before} before its readings"
    return f"It was {was}. {plan_update_words.width_sentence(of, system)}"


def doubt(of: Why) -> Doubt:
    """Whose the doubt of the fill is."""
    told = sorted((s for s in of.shares if s.now >= _LEAST_SHARE), key=lambda s: -s.now)
    if not told:
        return Doubt("Nothing is left in doubt that stands out.", ())
    parts = tuple((_capital(s.words), _percent(s)) for s in told[:_DOUBTS])
    first = told[0]
    most = "Most of it is" if first.now >= 0.5 else "The largest part is"
    return Doubt(f"{most} {first.words}.", parts)


def _percent(of: Share) -> str:
    return f"{100.0 * of.now:.0f} %"


def next_read(of: Next, system: UnitSystem) -> NextRead | None:
    """What to read next; nothing where all that can be read is read."""
    if not of.readings:
        return None
    first = next((one for one in of.readings if one.now), of.readings[0])
    begin = row_begin(first, system)
    others = tuple(
        f"{_capital(plan_doubt_words.place(one, system))}"
        for one in of.readings
        if one is not first and one.now
    )
    return NextRead(
        stage=first.stage,
        title=_capital(plan_doubt_words.place(first, system)),
        target=f"Expect {plan_update_words.reach(first.expects, first.unit, system)}.",
        worth=_worth(first, of, system),
        card=CARD_OF[first.stage],
        begin=begin,
        example=_example(first, system),
        others=others[:_OTHERS],
    )


def _worth(one: Possible, of: Next, system: UnitSystem) -> str:
    wide = plan_update_words.width(of.now)
    work = f"About {counted(one.minutes, 'minute')} of work"
    if wide <= 0.0 or one.width_after > 0.98 * wide:
        return f"{work}. It takes little off the doubt."
    before, after = plan_doubt_words.alike([wide, one.width_after], of.unit, system)
    return f"{work}; the doubt of the fill is expected to narrow from {before} to {after}."


def row_begin(one: Possible, system: UnitSystem) -> str:
    """How the row of a reading begins: `strip 2.55 L`."""
    if one.at_l > 0.0:
        return f"{one.stage} {show.volume(one.at_l, system)}"
    return f"{one.stage} {show.duration(one.at_h)}" if one.at_h > 0.0 else one.stage


def _example(one: Possible, system: UnitSystem) -> str:
    """What a maker types of it: its middle, in the maker's units."""
    if one.quantity == "starch":
        return "starch clear"
    text = plan_update_words.value(one.expects.mid, one.unit, system)
    text = text.removesuffix("vol").rstrip() if one.unit == "pct_vol" else text
    said = f"{_SAID.get(one.quantity, '')} {text}".strip()
    return f"{one.quantity.replace('_', ' ')} yes" if QUANTITIES[one.quantity].yes_or_no else said


_SAID: Final = {
    "second_thermometer": "second thermometer",
    "ph": "pH",
    "ph_checked": "pH checked",
    "gravity_checked": "gravity cooled",
    "pitched_at": "pitched at",
    "glucose": "glucose",
}
"""What stands before a figure that would else be of the usual instrument."""


def surer(of: RemedyReport, system: UnitSystem) -> Surer:
    """What can still be done, the best first; before all, what puts a ferment right that stands."""
    first = tuple(Move("first", words, "") for words in plan_remedy_words.mend_rows(of, system))
    moves = tuple(
        Move(
            chance=show.in_ten(one.chance),
            words=plan_remedy_words.move(one, system),
            takes=f"takes {plan_remedy_words.taken_in_all(one)} of a batch",
        )
        for one in of.offers
        if one.helps
    )
    return Surer(plan_remedy_words.headline(of, system), (*first, *moves)[:_OFFERS])


def foreseen(
    read: tuple[Reading, ...], now: float | None, then: Glimpse | None, system: UnitSystem
) -> Foreseen:
    """What a row comes to, and where the chance goes.

    Args:
        read: the row's readings. now: the chance as it stands. then: with the row; nothing without a plan.
    """
    reads = tuple(
        f"{_capital(of_stage(one.stage))}: {QUANTITIES[one.quantity].words}"
        f"{f' {one.bound}' if one.bound else ''} "
        f"{plan_update_words.value(one.value, QUANTITIES[one.quantity].unit, system)}"
        f"{' at 20 °C' if QUANTITIES[one.quantity].unit == 'pct_vol' else ''}"
        for one in read
    )
    if then is None:
        return Foreseen(reads, "")
    about = "" if then.exact else "about "
    begin = f"The cask would fill with {_roughly(then)} confidence"
    was = "" if now is None else f", {show.in_ten(now)} now"
    return Foreseen(reads, f"{begin}{was}: {about}{banded(then.fill_l, 'L', system)}.")


def of_stage(stage: Stage) -> str:
    """A stage as a heading names it."""
    return plan_update_words.STAGE_TITLES[stage].lower()


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
