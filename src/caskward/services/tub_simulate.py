"""One tub of a plan before and while it is made: from the file of a wish and what was read, to a report."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from caskward.catalogue.load import load
from caskward.errors import NothingToConvert, OutOfRange, ReadingsOutOfOrder, UnreadableNotes
from caskward.planning.advice import broken
from caskward.planning.cards import heated_by, tags_of
from caskward.planning.intent import Intent
from caskward.planning.readings import QUANTITIES, Reading
from caskward.planning.sizing import Sized, size
from caskward.planning.tub.simulate import Setup, TubCourse, simulate
from caskward.services import tub_typed
from caskward.services.plans import intent_text, starting_point, wish
from caskward.services.tub_brew_parts import ferment_part, pitch_part, separate_part
from caskward.services.tub_mash_parts import added_parts, cook_part, landing_part, mash_part
from caskward.services.tub_report import TubReport
from caskward.units import show
from caskward.units.types import UnitSystem

JSON_DIGITS = 6
MOST_DAYS = 60.0
ROOMS_C = (-10.0, 45.0)


@dataclass(frozen=True)
class TubAsk:
    """A tub as it is asked for: the wish's file or starting point, readings as typed, a log, how it is kept.

    at_h: hours of the ferment to have rows of, too.
    """

    name: str
    rows: tuple[str, ...] = ()
    log: str = ""
    set_point_c: float | None = None
    room_c: float | None = None
    days: float | None = None
    at_h: tuple[float, ...] = ()


def intent_of(name: str) -> Intent:
    """The wish of a file or a starting point.

    Raises:
        InputError: one sentence about what cannot be used.
    """
    if not Path(name).exists() and not Path(name).suffix:
        starting_point(name)  # names the nearest where there is none
    return intent_text(*wish(name))


def report(ask: TubAsk, intent: Intent, system: UnitSystem) -> TubReport:
    """Size the plan, take one tub of it, follow it.

    Raises:
        InputError: one sentence about what cannot be used. ImpossibleIntent: no batch fills this cask.
    """
    _check(ask)
    readings = readings_of(ask)
    if any(r.stage == "mash" for r in readings) and not _has_starch(intent):
        raise NothingToConvert
    sized = size(intent)
    room_c = intent.site.room_c if ask.room_c is None else ask.room_c
    course = simulate(sized, Setup(room_c, ask.set_point_c, ask.days, readings, ask.at_h))
    return _report(course, ask, system)


def as_json(of: TubReport) -> str:
    """A report as JSON: bands as low, mid, high; units stand in the names; what never comes is null."""
    return json.dumps(_rounded(asdict(of)), ensure_ascii=False, indent=2, allow_nan=False)


def _rounded(value: object) -> object:
    """Figures with six digits: what lies beyond is the arithmetic's."""
    if isinstance(value, float):
        return float(f"{value:.{JSON_DIGITS}g}") + 0.0 if math.isfinite(value) else None
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    return [_rounded(one) for one in value] if isinstance(value, list | tuple) else value


def readings_of(ask: TubAsk) -> tuple[Reading, ...]:
    """Readings of the log and those typed beside it.

    Raises:
        InputError: a log that is missing, out of order or not understood; a reading of another stage.
    """
    return tub_typed.rows((*_log_rows(ask.log), *ask.rows))


def _log_rows(log: str) -> tuple[str, ...]:
    if not log:
        return ()
    try:
        content = Path(log).read_bytes()
    except OSError as error:
        raise UnreadableNotes(log, error.strerror or "it cannot be opened") from None
    rows = tub_typed.log_rows(content, log)
    _in_order(log, rows)
    return rows


def _in_order(log: str, rows: Sequence[str]) -> None:
    """A log is written as time goes on: a row that goes back has its time wrong, or its stage."""
    latest: dict[str, tuple[float, str]] = {}
    for row in rows:
        for reading in tub_typed.row_of(row)[:1]:
            before_h, before = latest.get(reading.stage, (0.0, ""))
            if reading.at_h < before_h:
                raise ReadingsOutOfOrder(log, before, row.strip())
            latest[reading.stage] = (reading.at_h, row.strip())


def _check(ask: TubAsk) -> None:
    if ask.days is not None and not 0.5 <= ask.days <= MOST_DAYS:
        raise OutOfRange("The number of days", ask.days, "", 0.5, MOST_DAYS)
    if ask.room_c is not None and not ROOMS_C[0] <= ask.room_c <= ROOMS_C[1]:
        raise OutOfRange("The room", ask.room_c, "°C", *ROOMS_C)
    for hour in ask.at_h:
        if not 0.0 <= hour <= 24.0 * MOST_DAYS:
            raise OutOfRange("The hour to show", hour, "h", 0.0, 24.0 * MOST_DAYS)


def _has_starch(intent: Intent) -> bool:
    return any(i.material.prepare in ("cook", "mash") for i in intent.bill)


def _report(course: TubCourse, ask: TubAsk, system: UnitSystem) -> TubReport:
    sized = course.sized
    intent, method = sized.intent, sized.method
    names = {i.material.key: i.material.name for i in intent.bill}
    return TubReport(
        name=intent.name,
        place=intent.place,
        invented=intent.invented,
        show=system,
        tub=intent.gear.tub.name,
        ferments=method.ferments,
        bill_kg=tuple((names[key], kg / method.ferments) for key, kg in method.bill_kg.items()),
        cook=cook_part(course),
        landing=landing_part(course),
        mash=mash_part(course),
        additions=added_parts(course),
        pitch=pitch_part(course),
        ferment=ferment_part(course, ask.at_h),
        separate=separate_part(course),
        left_out=tuple(_left_out(course)),
        minds=tuple(_minds(course)),
        unused=tuple(_unused(course)),
        cautions=_cautions(sized),
        worlds=course.worlds.count,
        seed=course.worlds.seed,
    )


def _left_out(course: TubCourse) -> Iterator[str]:
    prepared = {i.material.prepare for i in course.sized.intent.bill}
    if course.mash is None:
        yield "No cook and no mash: this bill holds no starch to convert."
    elif course.cooked is None:
        raw = "malt" if "mash" in prepared else "bill"
        yield f"No cook: nothing in this bill is cooked, the {raw} is stirred into warm water."


def _minds(course: TubCourse) -> Iterator[str]:
    if broken(course.sized):
        yield "This plan does not fit as it stands; caskward plan, with the same file, says what would help."


def _unused(course: TubCourse) -> Iterator[str]:
    """Readings that say what is wrong rather than how far it is."""
    for reading in course.unused:
        yield (
            f"Not used here: {reading.said!r}, the {QUANTITIES[reading.quantity].words}. Ask what is wrong "
            "with it by: caskward tub ask"
        )


def _cautions(sized: Sized) -> dict[str, tuple[str, ...]]:
    """Short cautions by stage, as a plan's cards put them."""
    cautions, tags = load().cautions, tags_of(sized)
    stages = ("cook", "convert", "pitch", "ferment", "separate")
    return {
        stage: tuple(
            show.temperatures_in(c.text, sized.intent.show)
            for c in cautions.at(stage, *tags, heated_by(sized, stage))
        )
        for stage in stages
    }
