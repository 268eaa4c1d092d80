"""A batch's tub: its readings among all rows, how long its stage has gone on, and the question what now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final, Literal

from caskward.book.accounts import name_of
from caskward.errors import InputError, NoReadings
from caskward.planning.forecast import forecast
from caskward.planning.readings import QUANTITIES, Reading
from caskward.planning.sizing import Sized, worlds_for
from caskward.services import tub_ask
from caskward.services.book import batch_record, plan_kept
from caskward.services.book.batch_record import BatchRecord, readings_in
from caskward.services.book.opened import Book
from caskward.services.book.yeasts import is_yeast
from caskward.services.tub_ask import TubAnswer
from caskward.units import show

TubStage = Literal["mash", "ferment"]
STAGES: Final[tuple[TubStage, TubStage]] = ("mash", "ferment")
_ENOUGH_WORLDS: Final = 512
"""A question about a tub follows from the likely batch; a picture of it needs no more either."""
_LONGEST: Final = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class Clock:
    """How long a stage has gone on. begun: None where the book does not tell. words: as a row begins."""

    stage: TubStage
    begun: datetime | None
    words: str


def stage_of(of: BatchRecord) -> TubStage:
    """Which stage its tub is in: fermenting once yeast went in or a ferment was read."""
    if any(row.stage == "ferment" for row in of.rows_read) or yeast_at(of) is not None:
        return "ferment"
    return "mash"


def clock(of: BatchRecord, stage: TubStage, now: datetime) -> Clock:
    """How long a stage of its tub has gone on, to the minute of a mash and the hour of a ferment."""
    begun = _begun(of, stage)
    if begun is None or not timedelta(0) <= now - begun <= _LONGEST:
        return Clock(stage, None, stage)
    hours = (now - begun) / timedelta(hours=1)
    return Clock(stage, begun, f"{stage} {show.duration(_rounded(hours, stage))}")


def _rounded(hours: float, stage: TubStage) -> float:
    return round(hours * 60.0) / 60.0 if stage == "mash" or hours < 1.0 else float(round(hours))


def _begun(of: BatchRecord, stage: TubStage) -> datetime | None:
    """By the last reading that said how long it had gone on; else by the deed that began it."""
    for one in reversed(of.happened):
        rows = one.details.get("rows") if one.kind == "measured" else None
        for row in rows if isinstance(rows, tuple) else ():
            read = _readings(str(row))
            if read and read[0].stage == stage:
                return one.at - timedelta(hours=read[0].at_h)
    return yeast_at(of) if stage == "ferment" else _mashed_at(of)


def _readings(row: str) -> tuple[Reading, ...]:
    try:
        return readings_in(row)
    except InputError:
        return ()


def _mashed_at(of: BatchRecord) -> datetime | None:
    """When all was together: the last pot."""
    return next((one.at for one in reversed(of.happened) if one.kind == "mashed"), None)


def yeast_at(of: BatchRecord) -> datetime | None:
    """When yeast first went in; None before."""
    return next(
        (
            one.at
            for one in of.happened
            if any(p.account.startswith("used/") and is_yeast(name_of(p.commodity)) for p in one.postings)
        ),
        None,
    )


def over(of: BatchRecord, stage: TubStage) -> str:
    """That a stage of its tub is over, in a sentence; empty while it goes on, or before."""
    moved = batch_record.stage_now(of) not in ("", "cook", "convert", "ferment")
    if moved:
        return (
            "This tub is over: its wash is gauged, or gone on to the still. What was read of it stands below."
        )
    fermenting = yeast_at(of) is not None or any(row.stage == "ferment" for row in of.rows_read)
    return "The mash is over: it ferments." if stage == "mash" and fermenting else ""


# Readings and the question -----------------------------------------------------------------------


def readings(of: BatchRecord) -> tuple[Reading, ...]:
    """What was read of its tub, each thing once at each moment: what was read again holds."""
    found: dict[tuple[str, str, float], Reading] = {}
    for one in of.read:
        if one.stage in STAGES and not one.bound and one.quantity in QUANTITIES:
            found[(one.stage, one.quantity, one.at_h)] = one
    return tuple(found.values())


def sized(book: Book, of: BatchRecord) -> Sized:
    """Its plan, opened again, in as many worlds as a tub needs; raises `NothingPlanned`."""
    whole = plan_kept.sized_of(book, of.name).sized
    intent = replace(whole.intent, worlds=min(whole.intent.worlds, _ENOUGH_WORLDS))
    return Sized(intent, whole.method, forecast(intent, whole.method, worlds_for(intent)), worlds_for(intent))


def what_now(plan: Sized, of: BatchRecord, stage: TubStage) -> TubAnswer:
    """What may be wrong with its tub, by its own readings of one stage.

    Raises:
        NoReadings: none of that stage. InputError: a mash without starch.
    """
    own: Sequence[Reading] = [one for one in readings(of) if one.stage == stage]
    if not own:
        raise NoReadings
    return tub_ask.of_batch(plan, own)
