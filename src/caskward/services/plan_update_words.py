"""What a plan with its readings says, in a maker's words and units."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from caskward.planning.plan import Band
from caskward.planning.readings import STAGES
from caskward.planning.strengths import said
from caskward.services import plan_log_words
from caskward.services.plan_ferment_words import outlook_rows
from caskward.services.plan_figures import Figure
from caskward.services.plan_judged import Contradiction, Taken
from caskward.services.plan_update import PlanUpdate
from caskward.services.words import banded, figure, volume_bands_alike, volumes_alike
from caskward.units import convert, show
from caskward.units.types import UnitSystem

STAGE_TITLES: Final = {
    "mash": "Mash",
    "ferment": "Ferment",
    "wash": "Wash",
    "strip": "Low wines",
    "charge": "Charge",
    "run": "Spirit run",
    "heart": "Heart",
    "cask": "Cask",
}
_BOTH_COUNT: Final = "Both count, so the figures settle between the two, or at the one that fits better"
_AS_IF_BOTH: Final = (
    "That counts two readings that contradict each other: until one is left out, trust no narrow band."
)
BANDS: Final = "In brackets: the truth lies inside 8 times in 10."
ROUGH: Final = (
    "These readings lie far from the plan, and the search for batches that fit them was cut short: take the "
    "bands as rough."
)
_SAME: Final = 0.005
_ALL, _SOME = 0.995, 0.05
"""Share of batches without a figure from which there is none, and from which that is said beside it."""
_MISSING: Final = {"heart strength": "no heart", "cask strength": "no spirit"}
_LITTLE: Final = 1.1
"""How many times narrower a band must be to be called so."""
_MOVED: Final = 0.1
"""Share of the plan's band, and chance, by which readings must move the fill to be said to."""


def headline(of: PlanUpdate, system: UnitSystem) -> str:
    """How sure the cask fills now, against before, in one sentence."""
    now, before = show.in_ten(of.chance_now), show.in_ten(of.chance_before)
    if abs(of.chance_now - of.chance_before) < _SAME or now == before:
        begin = f"The cask fills with {now} confidence, as before these readings"
    else:
        begin = f"The cask now fills with {now} confidence, {before} before these readings"
    return (
        f"{begin}: expect {banded(of.fill_now, 'L', system)} at {said(of.entry_pct_vol, system)}, "
        f"{figure(of.wanted_l, 'L', system)} is wanted."
    )


def width_sentence(of: PlanUpdate, system: UnitSystem) -> str:
    """What the readings did to the doubt of the fill."""
    before, now = width(of.fill_before), width(of.fill_now)
    was = f"the plan said {banded(of.fill_before, 'L', system)}"
    wide_before, wide_now = _widths(before, now, system)
    if now <= 0.0 or before / now >= _LITTLE:
        times = "" if now <= 0.0 else f", {before / now:.2g} times narrower"
        told = f"Before, {was}; the band was {wide_before} wide and is {wide_now}"
        return f"{told}. {_AS_IF_BOTH}" if _both_count(of) else f"{told}{times}."
    if now / before >= _LITTLE:
        return (
            f"Before, {was}. The band is wider now, {wide_now} after {wide_before}: "
            "these readings are not what the plan led one to expect."
        )
    moved = of.fill_now.mid - of.fill_before.mid
    if abs(moved) > _MOVED * before or abs(of.chance_now - of.chance_before) > _MOVED:
        less = "less" if moved < 0.0 else "more"
        return (
            f"Before, {was}: expect {litres(abs(moved), system)} {less} now. It is no surer than it was: "
            f"the band was {wide_before} wide and is {wide_now}."
        )
    return f"Before, {was}. These readings say little about how much there will be."


def _widths(before: float, now: float, system: UnitSystem) -> tuple[str, str]:
    """Widths of two bands, in one unit."""
    shown = litres(before, system), litres(now, system)
    if len({text.partition(" ")[2] for text in shown}) == 1:
        return shown
    alike_before, alike_now = volumes_alike((before, now), system)
    return alike_before, alike_now


def _both_count(of: PlanUpdate) -> bool:
    """True where the doubt hangs on readings that contradict each other."""
    return any(not c.first.follows for c in of.contradictions)


def figure_rows(of: PlanUpdate, system: UnitSystem) -> list[list[str]]:
    """Figures of the stage read last and of all after it: by the plan, and now."""
    from_here = STAGES.index(of.last)
    shown = [f for f in of.figures if STAGES.index(f.stage) >= from_here]
    ferment = [] if of.ferment is None else outlook_rows(of.ferment)
    return [["", "by the plan", "now"], *ferment, *(_row(f, system) for f in shown)]


def _row(of: Figure, system: UnitSystem) -> list[str]:
    words = of.words[:1].upper() + of.words[1:]
    return [words, *figures_alike(of, system)]


def figures_alike(of: Figure, system: UnitSystem) -> tuple[str, str]:
    """A figure before and after: volumes of both in one unit; where there is none of it, that is said."""
    before, now = (of.before, of.none_before), (of.now, of.none_now)
    if of.unit == "L":
        return volume_bands_alike(of.before, of.now, system)
    return _unless_none(of, *before, system), _unless_none(of, *now, system)


def _unless_none(of: Figure, band: Band, none: float, system: UnitSystem) -> str:
    """A strength of what most batches do not have is none."""
    missing = _MISSING.get(of.name, "none")
    if none > _ALL:
        return missing
    shown = banded(band, of.unit, system)
    return f"{shown}; {missing}: {show.in_ten(none)}" if none >= _SOME else shown


def doubted_sentences(of: PlanUpdate, system: UnitSystem) -> list[str]:
    """Readings that are hard to believe or were not foreseen, and pairs of which only one can be right."""
    apart = [_apart(c, system) for c in of.contradictions]
    paired = {id(one) for c in of.contradictions for one in (c.first, c.second)}
    stands = of.ferment.stands if of.ferment else None
    standing = set(stands.rows) if stands is not None and stands.likely else set()
    logged = [*_hard_rows(of.readings, paired, system), *_doubtful_rows(of.readings, paired, system)]
    told = [
        r
        for r in of.readings
        if id(r) not in paired and not r.follows and not (shows_a_ferment(r) and r.said in standing)
    ]
    hard = [_hard(r, system, len(of.readings)) for r in told if r.hard]
    return [*logged, *apart, *hard, *(_unforeseen(r, system, len(of.readings)) for r in told if r.unforeseen)]


def _hard_rows(readings: Sequence[Taken], paired: set[int], system: UnitSystem) -> list[str]:
    """Rows of a log that are rather not followed."""
    rows = [r for r in readings if r.follows and r.hard and id(r) not in paired]
    return [plan_log_words.hard_to_follow(r, _named(r, system), _fits(r, system)) for r in rows]


def _doubtful_rows(readings: Sequence[Taken], paired: set[int], system: UnitSystem) -> list[str]:
    """Rows that are followed and may well be wrong."""
    rows = [r for r in readings if plan_log_words.is_doubtful(r) and id(r) not in paired]
    return [plan_log_words.may_be_wrong(r, _named(r, system)) for r in rows]


def shows_a_ferment(of: Taken) -> bool:
    """True for a gravity of a ferment: what a standstill is seen by."""
    return of.stage == "ferment" and of.unit == "sg"


def _hard(of: Taken, system: UnitSystem, count: int) -> str:
    meant = slip_meant(of, system)
    asks = f", or was it {meant}?" if meant else ";"
    return (
        f"Hard to believe {_beside(count)}: {_named(of, system)} in {of.said!r}{_fits(of, system)}. Check "
        f"the instrument and read it again{asks} {_counts(of, bool(meant))}."
    )


def slip_meant(of: Taken, system: UnitSystem) -> str:
    """The same figure in another unit, or with its point moved, where that would fit; "" where none would."""
    if of.fits is None:
        return ""
    gallon_l = convert.litres_from_us_gallons(1.0)
    units = {
        "L": ((gallon_l, f"{of.value:.3g} gal"), (1.0 / gallon_l, f"{of.value / gallon_l:.3g} L")),
        "pct_vol": ((0.5, f"{of.value:.3g} proof"), (2.0, f"{2.0 * of.value:.3g} %vol")),
    }
    tens = tuple((by, value(by * of.value, of.unit, system)) for by in (10.0, 0.1))
    tried = (*units[of.unit], *tens) if of.unit in units else ()
    return next((said for by, said in tried if of.fits.low <= by * of.value <= of.fits.high), "")


def _counts(of: Taken, begins: bool = False) -> str:
    """What a reading that is hard to believe still does; begins: as a sentence of its own."""
    if of.agrees is None or of.agrees < _SOME:
        return f"{'It' if begins else 'it'} counts for less until then"
    until, about = "Until" if begins else "until", "roughly " if of.rough else ""
    return f"{until} then it is taken for right {about}{show.in_ten(of.agrees)}, and pulls the figures so far"


def _unforeseen(of: Taken, system: UnitSystem, count: int) -> str:
    return (
        f"Not to be expected {_beside(count)}: {_named(of, system)} in {of.said!r}{_fits(of, system)}. The "
        "figures follow it: read it again before you build on them."
    )


def _beside(count: int) -> str:
    return "beside the plan" if count == 1 else "beside the rest"


def _fits(of: Taken, system: UnitSystem) -> str:
    if of.fits is not None and of.quantity == "starch":
        return f"; blue {show.in_ten(of.fits.mid)} would fit"
    return "" if of.fits is None else f"; {reach(of.fits, of.unit, system)} would fit"


def _apart(of: Contradiction, system: UnitSystem) -> str:
    begin = "Two readings of one moment contradict each other" if of.at_once else "These cannot both be right"
    first, second = (f"{_named(one, system)} in {one.said!r}" for one in (of.first, of.second))
    kept = plan_log_words.likelier(of.first, of.second) if of.first.follows else _BOTH_COUNT
    return (
        f"{begin}: {first}, and {second}. {kept}: check the instrument, read again, and leave the wrong one "
        "out."
    )


def _named(of: Taken, system: UnitSystem) -> str:
    bound = f" {of.bound}" if of.bound else ""
    if of.quantity == "starch":
        return f"{of.words} {'blue' if of.value > 0.5 else 'clear'}"
    return f"{of.words}{bound} {value(of.value, of.unit, system)}"


def followed_sentence(of: PlanUpdate) -> str:
    """Readings that the batch is driven by."""
    rows = {f"{r.words} of the {r.stage}": None for r in of.readings if r.follows and not r.hard}
    if not rows:
        return ""
    return f"Followed as read, unless it is wrong: {', '.join(rows)}."


def value(of: float, unit: str, system: UnitSystem) -> str:
    """A reading's value in the maker's units."""
    return _VALUES[unit](of, system)


def reach(of: Band, unit: str, system: UnitSystem) -> str:
    """From where to where a reading would be expected."""
    if unit == "yes":
        return f"a yes {show.in_ten(of.mid)}"
    low, high = value(of.low, unit, system), value(of.high, unit, system)
    return low if low == high else f"{low} to {high}"


_VALUES: Final[dict[str, Callable[[float, UnitSystem], str]]] = {
    "C": show.temperature,
    "sg": lambda v, _: f"{v:.3f}",
    "L": show.volume,
    "pct_vol": said,
    "g/L": lambda v, _: f"{v:.0f} g/L",
    "": lambda v, _: f"{v:.1f}",
    "yes": lambda v, _: "yes" if v > 0.5 else "no",
}


def width(of: Band) -> float:
    """Width of a band."""
    return of.high - of.low


def litres(volume_l: float, system: UnitSystem) -> str:
    """A width of a band in the maker's units."""
    return show.volume(volume_l, system)


def drawn(worlds: int, seed: int) -> str:
    """How many worlds stand behind the figures, and that they can be had again."""
    return f"{worlds} possible batches, seed {seed}: the same file and readings give the same figures."
