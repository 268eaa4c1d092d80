"""One tub of a batch's plan over its hours: what was expected of it, what is believed by its readings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from caskward.errors import NothingToConvert
from caskward.planning.plan import Band
from caskward.planning.readings import Reading
from caskward.planning.sizing import Sized
from caskward.planning.tub.simulate import Setup, TubCourse, simulate
from caskward.services import tub_ferment_words
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.batch_tub import TubStage, readings
from caskward.services.still_words import degree, warmth
from caskward.services.tub_brew_parts import ferment_part
from caskward.services.tub_mash_parts import mash_part
from caskward.services.tub_report import FermentPart, FermentRow, MashPart, MashRow
from caskward.units import convert
from caskward.units.types import UnitSystem

_ALONG: Final[dict[TubStage, tuple[float, str]]] = {
    "mash": (1.0, "hours since all is together"),
    "ferment": (24.0, "days since the yeast"),
}
FEW_WORLDS: Final = 40.0
"""Possible ferments under which a band is rough; *common practice, no source*."""


@dataclass(frozen=True)
class Course:
    """Both stages of a tub: as expected before any reading, and by all of them.

    The parts of the mash are None without starch.
    """

    mash_before: MashPart | None
    mash_now: MashPart | None
    ferment_before: FermentPart
    ferment_now: FermentPart
    read: tuple[Reading, ...]


@dataclass(frozen=True)
class Plotted:
    """A figure over time in own units. expected: moment, low, middle, high; now: moment and middle."""

    title: str
    expected: tuple[tuple[float, float, float, float], ...]
    now: tuple[tuple[float, float], ...]
    read: tuple[tuple[float, float], ...]
    least_span: float = 0.0


def course(plan: Sized, of: BatchRecord) -> Course:
    """Carry its tub through every hour, without its readings and with them.

    Raises:
        InputError: readings that cannot be of such a tub.
    """
    read, room_c = readings(of), plan.intent.site.room_c
    hours = tuple(one.at_h for one in read if one.stage == "ferment")
    before = simulate(plan, Setup(room_c, at_h=hours))
    if before.mash is None and any(one.stage == "mash" for one in read):
        raise NothingToConvert
    now = simulate(plan, Setup(room_c, readings=read)) if read else before
    return Course(mash_part(before), mash_part(now), _ferment(before), _ferment(now), read)


def _ferment(of: TubCourse) -> FermentPart:
    return ferment_part(of, ())


# In words and figures ----------------------------------------------------------------------------


def plots(of: Course, stage: TubStage, system: UnitSystem) -> tuple[Plotted, ...]:
    """Gravity, warmth and, where it was read, pH over the hours of a mash or the days of a ferment."""
    if stage == "mash" and (of.mash_before is None or of.mash_now is None):
        return ()
    unit_h, along = _ALONG[stage]
    rows = _rows(of, stage)
    return (
        _plot(of, stage, "gravity", f"Gravity, by {along}", rows, lambda r: r.gravity, float, unit_h),
        _plot(
            of, stage, "temperature", f"Warmth, {degree(system)}, by {along}",
            rows, lambda r: warmth(r.temp_c, system), _degrees(system), unit_h,
        ),
        *_ph(of, stage, along, unit_h),
    )  # fmt: skip


Rows = tuple[Sequence[MashRow | FermentRow], Sequence[MashRow | FermentRow]]


def _rows(of: Course, stage: TubStage) -> Rows:
    if stage == "ferment":
        return of.ferment_before.rows, of.ferment_now.rows
    assert of.mash_before is not None
    assert of.mash_now is not None
    return of.mash_before.rows, of.mash_now.rows


def _plot(
    of: Course,
    stage: TubStage,
    quantity: str,
    title: str,
    rows: Rows,
    band: Callable[[MashRow | FermentRow], Band],
    shown: Callable[[float], float],
    unit_h: float,
) -> Plotted:
    before, now = rows
    found = [(row.at_h / unit_h, band(row)) for row in before]
    return Plotted(
        title=title,
        expected=tuple((at, b.low, b.mid, b.high) for at, b in found),
        now=tuple((row.at_h / unit_h, band(row).mid) for row in now) if of.read else (),
        read=_read(of, stage, (quantity, f"{quantity}_checked"), shown, unit_h),
    )


def _read(
    of: Course, stage: TubStage, names: Sequence[str], shown: Callable[[float], float], unit_h: float
) -> tuple[tuple[float, float], ...]:
    own = (one for one in of.read if one.stage == stage and one.quantity in names)
    return tuple((one.at_h / unit_h, shown(one.value)) for one in own)


def _degrees(system: UnitSystem) -> Callable[[float], float]:
    return convert.fahrenheit_from_celsius if system == "us" else float


def _ph(of: Course, stage: TubStage, along: str, unit_h: float) -> tuple[Plotted, ...]:
    """A mash's pH beside that of its rests; a ferment's as it was read, for no course of it is forecast."""
    read = _read(of, stage, ("ph", "ph_checked"), float, unit_h)
    if not read:
        return ()
    rests = of.mash_before.rests if stage == "mash" and of.mash_before else ()
    planned = [point for rest in rests for point in ((rest.from_h, rest.ph), (rest.to_h, rest.ph))]
    if len({*planned, *read}) < 2:
        return ()
    return (Plotted(f"pH, by {along}", (), tuple(planned), read, least_span=1.0),)


def fit_rows(of: Course, stage: TubStage, system: UnitSystem) -> tuple[tuple[str, ...], ...]:
    """Each reading beside what was expected before and after all of them; the names of the columns first."""
    fits = tuple(one for one in of.ferment_now.fits if one.stage == stage)
    return tuple(tuple(row) for row in tub_ferment_words.fit_rows(fits, system)) if fits else ()


def figure_rows(of: Course, stage: TubStage, system: UnitSystem) -> tuple[tuple[str, ...], ...]:
    """The figures of the picture: time, gravity, warmth, as believed now; the names of the columns first."""
    room = 100
    if stage == "ferment":
        rows = tub_ferment_words.ferment_rows(of.ferment_now.rows, system, room)
    elif of.mash_now is not None:
        rows = tub_ferment_words.mash_rows(of.mash_now, system, room)
    else:
        return ()
    return tuple(tuple(row) for row in rows)


def sentences(of: Course, stage: TubStage) -> tuple[str, ...]:
    """What fits badly, and when bands are rough."""
    bad = [one for one in of.ferment_now.fits if one.badly and one.stage == stage]
    said = [
        f"The {one.words} after {tub_ferment_words.at_words(one.at_h)} ({one.said!r}) fits badly with all "
        "else: take it again before you act on it."
        for one in bad
    ]
    part = of.ferment_now
    if stage == "ferment" and of.read and not bad and part.worlds_fit < FEW_WORLDS:
        said.append("Few of the possible ferments fit these readings: take the bands as rough.")
    return tuple(said)
