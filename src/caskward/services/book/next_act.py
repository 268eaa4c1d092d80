"""What a batch needs hands for next, as its plan says it: what, how much, in which window, since when."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from caskward.planning.plan import StageCard, Target
from caskward.services import words
from caskward.services.book import batch_work, lacking
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.batch_work import Cards, Work
from caskward.units import show
from caskward.units.types import UnitSystem

SOON_H: Final = 0.25
"""How long before something is due it is said [h]."""


@dataclass(frozen=True, slots=True)
class NextAct:
    """The next act.

    title, do: what it is, and how much of what. more: what else to know. since: what its clock counts from;
    begun: since when, None where it has no clock. due: what is due or missed, the most pressing first.
    """

    work: Work
    title: str
    do: str
    more: tuple[str, ...]
    since: str
    begun: datetime | None
    due: tuple[str, ...]


def next_act(of: BatchRecord, cards: Cards, now: datetime, system: UnitSystem) -> NextAct | None:
    """The next act of a batch whose plan has these cards; None from the heart on, where `to_cask` leads."""
    work = batch_work.work_at(of, cards, now)
    if work.key not in _WORDS:
        return None
    said = _Said(cards, work, system)
    title, do, *more = _WORDS[work.key](said)
    hours = (now - work.begun) / timedelta(hours=1) if work.begun else None
    return NextAct(
        work=work,
        title=title,
        do=do,
        more=tuple(one for one in (*more, *_lacking(of, said)) if one),
        since=_SINCE.get((work.key, work.step), ""),
        begun=work.begun,
        due=_due(of, said, hours) if hours is not None and hours >= 0.0 else (),
    )


@dataclass(frozen=True, slots=True)
class _Said:
    cards: Cards
    work: Work
    system: UnitSystem

    def has(self, key: str, card: str = "") -> bool:
        """Whether a stage has a figure."""
        return batch_work.figure_of(self.card(card), key) is not None

    def card(self, key: str = "") -> StageCard | None:
        """The stage at hand, or another."""
        return self.cards.get(key or self.work.key)

    def the(self, key: str, card: str = "") -> str:
        """A figure with its unit and band; "" if the stage has none of that key."""
        found = self.card(card)
        one = next((t for t in found.targets if t.key == key), None) if found else None
        return words.target(one, self.system) if one else ""

    def goods(self, card: str = "") -> list[str]:
        """Every material that goes in at a stage, `16.0 kg rye`, and the water with it."""
        found = self.card(card)
        out = []
        for one in found.targets if found else ():
            if one.key.startswith("kg."):
                key = one.key.removeprefix("kg.")
                wet = f"water.{key}", f"water_c.{key}"
                water = f" with {self.the(wet[0], card)} water" if self.has(wet[0], card) else ""
                warm = f" at {self.the(wet[1], card)}" if water and self.has(wet[1], card) else ""
                out.append(f"{words.target(one, self.system)} {_name_of(one)}{water}{warm}")
        return out

    def names(self, card: str) -> list[str]:
        """What every material that goes in at a stage is called."""
        found = self.card(card)
        return [_name_of(one) for one in found.targets if one.key.startswith("kg.")] if found else []

    def doses(self, card: str = "") -> list[str]:
        """Every enzyme of a stage with its window."""
        found = self.card(card)
        names = (
            [t.key.removeprefix("dose.") for t in found.targets if t.key.startswith("dose.")] if found else []
        )
        return [
            f"{self.the(f'dose.{name}', card)} {_small(name)} at {self.the(f'window.{name}', card)}, "
            f"{self.the(f'ph.{name}', card)}, for {self.the(f'hold.{name}', card)}"
            for name in names
        ]

    @property
    def nth(self) -> str:
        """` 2 of 4`; nothing where there is only one."""
        return f" {self.work.number} of {self.work.count}" if self.work.count > 1 else ""


def _name_of(one: Target) -> str:
    return _small(one.words.partition(" in each")[0].partition(",")[0])


def _small(name: str) -> str:
    return name[:1].lower() + name[1:]


def _listed(parts: list[str]) -> str:
    return ", ".join(parts)


def _sentences(parts: list[str]) -> str:
    return f"{'; '.join(parts)}." if parts else ""


# Each stage in words -----------------------------------------------------------------------------


def _cook(of: _Said) -> tuple[str, ...]:
    into = _listed([f"{of.the('water')} water", *of.goods()])
    return (
        f"Cook{of.nth}",
        f"{into}: heat to {of.the('temperature')}, hold {of.the('hold')}.",
        f"Heating takes {of.the('heat_up')}. It fills the pot to {of.the('volume')}, hot.",
    )


def _convert(of: _Said) -> tuple[str, ...]:
    doses = _sentences(of.doses())
    if of.work.step == "in":
        into = f"Stir in {_listed(of.goods())}" if of.goods() else "All together in the tub"
        return ("Bring the mash together", f"{into}; then the rest at {of.the('rest')}.", doses)
    hold_h = batch_work.hold_h(of.cards)
    hold = f" for {show.duration(hold_h)}" if hold_h else ""
    test = f" Test for starch after {of.the('starch_test')}." if of.has("starch_test") else ""
    return ("The mash rests", f"Rest at {of.the('rest')}{hold}.{test}", doses)


def _pitch(of: _Said) -> tuple[str, ...]:
    found = of.card()
    title = found.title if found else "Pitch"
    into = f"{_listed(of.goods())}; " if of.goods() else ""
    yeast = _yeast(found)
    cool = f"Cool to {of.the('pitched')}, then {into}{of.the('yeast')} {_small(yeast)}."
    gravity = f"Expect a gravity of {of.the('gravity')} before it. " if of.has("gravity") else ""
    keep = f"Then keep it between {of.the('temperature').replace(' to ', ' and ')}." if found else ""
    return (title, cool, f"{gravity}{keep}", _sentences(of.doses()))


def _yeast(card: StageCard | None) -> str:
    found = next((t.words for t in card.targets if t.key == "yeast"), "yeast") if card else "yeast"
    return found.partition(", each")[0]


def _ferment(of: _Said) -> tuple[str, ...]:
    keep = of.the("temperature", "pitch").replace(" to ", " and ")
    begin = f"Keep it between {keep}. " if keep else ""
    return (
        "It ferments",
        f"{begin}Dry after {of.the('days')}, at a gravity of {of.the('gravity')}.",
    )


def _separate(of: _Said) -> tuple[str, ...]:
    strong = of.the("strength", "ferment")
    return ("Take the wash off, and gauge it", f"Expect {of.the('wash')} for the still, at {strong}.")


def _strip(of: _Said) -> tuple[str, ...]:
    if of.work.step == "runs":
        return (f"Strip{of.nth} runs", f"Stop when the spout shows {of.the('stop')}.", _running(of))
    return (
        f"Strip{of.nth}",
        f"Charge {of.the('charge')}; stop when the spout shows {of.the('stop')}.",
        f"Heating takes {of.the('heat_up')}. {_running(of)}",
    )


def _running(of: _Said) -> str:
    return f"Running takes {of.the('running')}."


def _charge(of: _Said) -> tuple[str, ...]:
    water = f" Water to stay under the limits: {of.the('water')}." if of.has("water") else ""
    return (
        "Make up the charge",
        f"{of.the('volume')} for all runs, at {of.the('strength')}.{water}",
        f"Never stronger than {of.the('limit')}.",
    )


def _spirit(of: _Said) -> tuple[str, ...]:
    cuts = (
        f"The heart begins near {of.the('heart_from')} and ends at {of.the('heart_to')}, as your nose agrees."
    )
    if of.work.step == "runs":
        return (f"Spirit run{of.nth} goes on", cuts)
    return (
        f"Spirit run{of.nth}",
        f"Charge {of.the('charge')}. {cuts}",
        f"Foreshots set aside: {of.the('foreshots')}. Jars to lay out: {of.the('jars')}.",
    )


def _lacking(of: BatchRecord, said: _Said) -> tuple[str, ...]:
    """What the book lacks of the work before."""
    if said.work.key == "ferment":
        return (lacking.of_mash(of, said.cards, said.names("convert")),)
    return lacking.of_runs(of, said.work, said.system) if said.work.key == "spirit" else ()


_WORDS: Final[dict[str, Callable[[_Said], tuple[str, ...]]]] = {
    "cook": _cook,
    "convert": _convert,
    "pitch": _pitch,
    "ferment": _ferment,
    "separate": _separate,
    "strip": _strip,
    "charge": _charge,
    "spirit": _spirit,
}
_SINCE: Final = {
    ("cook", ""): "since the cook before was in the tub",
    ("convert", "in"): "since the last cook was in the tub",
    ("convert", "rest"): "since all was together",
    ("pitch", ""): "since all was together",
    ("ferment", ""): "since the yeast went in",
}


# What is due -------------------------------------------------------------------------------------


def _due(of: BatchRecord, said: _Said, hours: float) -> tuple[str, ...]:
    if said.work.key == "convert" and said.work.step == "rest":
        return _due_of_mash(of, said, hours)
    if said.work.key == "pitch" and hours >= _SOURS_H:
        return (f"The mash has stood for {show.duration(hours)}: it sours. Cool it and pitch.",)
    if said.work.key == "ferment":
        return _due_of_ferment(of, said, hours)
    return ()


_SOURS_H: Final = 24.0
"""Hours that a mash may stand on its way to the yeast before it sours; *common practice, no source*."""


def _due_of_mash(of: BatchRecord, said: _Said, hours: float) -> tuple[str, ...]:
    found = []
    test = batch_work.figure_of(said.card("convert"), "starch_test")
    tested = any(
        r.stage == "mash" and r.quantity == "starch" and r.at_h >= (test.mid if test else 0) - SOON_H
        for r in of.read
    )
    if test is not None and not tested:
        found.append(_by(hours, test.mid, "The starch test is due", "The starch test was due"))
    hold_h = batch_work.hold_h(said.cards)
    if hold_h:
        found.append(_by(hours, hold_h, "Its hold ends", "Its hold ended"))
    return tuple(one for one in reversed(found) if one)


def _by(hours: float, due_h: float, soon: str, late: str) -> str:
    """What is due soon, now, or was some time ago; nothing long before."""
    late_h = hours - due_h
    if late_h < -SOON_H:
        return ""
    if abs(late_h) < 1.0 / 60.0:
        return f"{soon} now."
    if late_h < 0.0:
        return f"{soon} in {show.duration(-late_h)}."
    return f"{late} {show.duration(late_h)} ago."


_READ_ANEW_H: Final = 12.0
"""Hours after which a ferment's gravity is worth another look; *common practice, no source*."""


def _due_of_ferment(of: BatchRecord, said: _Said, hours: float) -> tuple[str, ...]:
    dry = batch_work.figure_of(said.card("ferment"), "days")
    if dry is None or hours < 24.0 * dry.low:
        return ()
    read = [one.at_h for one in of.read if one.stage == "ferment" and one.quantity == "gravity"]
    if read and hours - max(read) < _READ_ANEW_H:
        return ("It was not dry when you read it last: its Tub says what now.",)
    if hours < 24.0 * dry.high:
        return ("It may be dry by now: read its gravity.",)
    return ("It should be dry by now: read its gravity, and ask what now on its Tub if it is not.",)
