"""What a maker reads, ready for a likelihood: one quantity, one value, one moment, one error.

A reading keeps what was typed. Its value is in the one unit its quantity is kept in; a yes or no is 1 or 0.
Errors are one standard deviation of a careful reading with a usual instrument; *common practice, no source*.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, get_args

from caskward.errors import OutOfRange, ReadingOutOfPlace

Stage = Literal["mash", "ferment", "wash", "strip", "charge", "run", "heart", "cask"]
"""Where a batch is read, in the order of its way: mash, ferment and cask by hours, strip and run
by litres."""
STAGES: Final[tuple[Stage, ...]] = get_args(Stage)

Bound = Literal["", "over", "under"]


@dataclass(frozen=True)
class Quantity:
    """Something that can be read.

    unit: the unit it is kept in ("" for a plain number, "yes" for a yes or no). low, high: what any
    instrument could show. sd: error of one reading, of some a share of it (`relative`). minutes: its work.
    """

    key: str
    words: str
    stages: tuple[Stage, ...]
    unit: str
    low: float
    high: float
    sd: float
    minutes: float

    @property
    def relative(self) -> bool:
        """True where the error is a share of the reading."""
        return self.unit in ("L", "g/L")

    @property
    def yes_or_no(self) -> bool:
        """True where the answer is a yes or a no."""
        return self.unit == "yes"


_LIQUIDS: Final[tuple[Stage, ...]] = ("wash", "strip", "charge", "heart", "cask")
_BOTH: Final[tuple[Stage, ...]] = ("mash", "ferment")
_MASH: Final[tuple[Stage, ...]] = ("mash",)
_FERMENT: Final[tuple[Stage, ...]] = ("ferment",)


_STRONGEST: Final = 97.2
"""Where ethanol and water boil together unchanged [%vol at 20 °C]; 95.6 % by mass, handbook value from
memory."""


def _asked(key: str, words: str, stages: tuple[Stage, ...], minutes: float) -> Quantity:
    """A quantity that is a yes or a no."""
    return Quantity(key, words, stages, "yes", 0.0, 1.0, 0.0, minutes)


QUANTITIES: Final = {
    q.key: q
    for q in (
        Quantity("temperature", "temperature", _BOTH, "C", -5.0, 105.0, 0.7, 2.0),
        Quantity("second_thermometer", "second thermometer", _BOTH, "C", -5.0, 105.0, 0.5, 5.0),
        Quantity("ph", "pH", _BOTH, "", 0.0, 14.0, 0.12, 5.0),
        Quantity("ph_checked", "pH by a strip, or a meter set anew", _BOTH, "", 0.0, 14.0, 0.2, 5.0),
        Quantity("gravity", "gravity", (*_BOTH, "wash"), "sg", 0.95, 1.2, 0.0015, 8.0),
        Quantity("gravity_checked", "gravity, cooled and strained", _BOTH, "sg", 0.95, 1.2, 0.0008, 15.0),
        Quantity("volume", "volume", (*_BOTH, *_LIQUIDS), "L", 0.1, 100_000.0, 0.02, 5.0),
        _asked("starch", "starch test", _BOTH, 4.0),
        _asked("grits", "hard white bits or lumps", _MASH, 4.0),
        Quantity("glucose", "sugar by a glucose strip", _MASH, "g/L", 0.0, 400.0, 0.15, 6.0),
        _asked("label_thin", "window on the thinning label as entered", _MASH, 2.0),
        _asked("label_sweeten", "window on the sweetening label as entered", _MASH, 2.0),
        _asked("jar_warmer", "starch test of a jar kept 10 °C warmer for 20 minutes", _MASH, 30.0),
        _asked("jar_dosed", "starch test of a jar dosed three times over, after 20 minutes", _MASH, 30.0),
        _asked("bubbles", "bubbles", _FERMENT, 1.0),
        _asked("sour", "sour or vinegary smell or taste", _FERMENT, 2.0),
        _asked("spoiled", "skin on top, or a smell of vinegar or butter", _FERMENT, 2.0),
        _asked("lid_tight", "lid and airlock tight with soapy water", _FERMENT, 5.0),
        Quantity("pitched_at", "temperature as the yeast went in", _FERMENT, "C", -5.0, 105.0, 1.0, 2.0),
        _asked("yeast_packet", "yeast in date, and as much of it as planned", _FERMENT, 2.0),
        _asked("food_packet", "yeast food given as planned", _FERMENT, 1.0),
        _asked("ammonium", "colour on an ammonium strip", _FERMENT, 6.0),
        _asked("jar_warm", "bubbles in a jar of it kept warm, after 12 hours", _FERMENT, 10.0),
        _asked("jar_pitched", "bubbles in a warm jar with fresh yeast, after 4 hours", _FERMENT, 20.0),
        _asked("jar_fed", "bubbles in a warm jar with yeast food, after 12 hours", _FERMENT, 20.0),
        Quantity("strength", "strength", (*_FERMENT, *_LIQUIDS), "pct_vol", 0.0, _STRONGEST, 0.3, 15.0),
        Quantity("spout", "strength at the spout", ("strip", "run"), "pct_vol", 0.0, _STRONGEST, 0.5, 2.0),
    )
}  # fmt: skip
"""Everything that can be read of a mash or a ferment; minutes are *common practice, no source*."""


@dataclass(frozen=True)
class Reading:
    """One reading: stage, quantity, value, hours since the stage began, error, and the words it came in.

    at_l: litres collected, of a strength at the spout. bound: "over" or "under" where the instrument ends and
    the value is only its end.
    """

    stage: Stage
    quantity: str
    value: float
    at_h: float
    sd: float
    said: str = ""
    at_l: float = 0.0
    bound: Bound = ""

    @property
    def of_whole(self) -> bool:
        """True for a strip's volume or strength: what came over in all, measured when it has ended."""
        return self.stage == "strip" and self.quantity != "spout"

    @property
    def moment(self) -> tuple[int, bool, float, float]:
        """Where it has its place on the batch's way: its stage, and how far that had come."""
        return STAGES.index(self.stage), self.of_whole, self.at_h, self.at_l

    def __post_init__(self) -> None:
        """Refuse what no instrument could show and what no stage has."""
        quantity = QUANTITIES[self.quantity]
        if self.stage not in quantity.stages:
            raise ReadingOutOfPlace(quantity.words, self.stage, quantity.stages)
        what = quantity.words if quantity.key == "ph" else quantity.words[:1].upper() + quantity.words[1:]
        if not quantity.low <= self.value <= quantity.high:
            hint = _NO_STRONGER if quantity.unit == "pct_vol" and self.value > quantity.high else ""
            unit = _UNIT_WORDS.get(quantity.unit, quantity.unit)
            raise OutOfRange(what, self.value, unit, quantity.low, quantity.high, hint)
        most_h = MOST_HOURS.get(self.stage, 0.0)
        if not 0.0 <= self.at_h <= most_h:
            what, hours = f"The time of a {self.stage} reading", self.at_h
            if self.stage == "cask":
                raise OutOfRange(what, hours / 24.0, "days", 0.0, most_h / 24.0, _CASK_LATER)
            raise OutOfRange(what, hours, "h", 0.0, most_h)


MOST_HOURS: Final[dict[Stage, float]] = {"mash": 72.0, "ferment": 24.0 * 60.0, "cask": 24.0 * 120.0}
"""Longest a stage is followed [h]; of a cask, what the air takes is left out for so long."""


_CASK_LATER: Final = "After that the air has taken a share that this plan does not follow: gauge the cask."


_UNIT_WORDS: Final = {"pct_vol": "%vol", "C": "°C", "sg": ""}
_NO_STRONGER: Final = "No still passes this, where ethanol and water boil together unchanged: is it proof?"


def reading_of(
    stage: Stage,
    quantity: str,
    value: float,
    at_h: float = 0.0,
    said: str = "",
    at_l: float = 0.0,
    bound: Bound = "",
) -> Reading:
    """A reading with the usual error of its quantity."""
    kind = QUANTITIES[quantity]
    sd = max(kind.sd * value, kind.sd) if kind.relative else kind.sd
    return Reading(stage, quantity, value, at_h, sd, said, at_l, bound)


def of_quantity(readings: Iterable[Reading], *quantities: str) -> tuple[Reading, ...]:
    """The readings of some quantities, in order of time."""
    return tuple(sorted((r for r in readings if r.quantity in quantities), key=lambda r: r.at_h))
