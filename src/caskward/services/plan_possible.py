"""Readings that can still be taken of a batch: of the stage read last, and of those that come next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from caskward.planning.log_slips import log_of
from caskward.planning.readings import MOST_HOURS, QUANTITIES, STAGES, Reading, Stage
from caskward.services.plan_ferment import StandsStill, is_dry
from caskward.services.plan_update import Told, first_stage
from caskward.units.rounding import nice_volume

_STILL_AHEAD: Final = 2
"""Stages after the one read last whose readings are ranked."""


def possible(
    batch: Told, doubted: Sequence[Reading] = (), stands: StandsStill | None = None
) -> Iterator[Reading]:
    """Readings still to take: of the stage read last, later than its last, and of the next ones.

    doubted: readings that may be wrong. Of the stage read last they can be read again. stands: a ferment that
    stands or may: it is read a day on.
    """
    begin = STAGES.index(batch.last or first_stage(batch.now))
    taken = {(r.stage, r.quantity) for r in batch.readings}
    for stage in STAGES[begin : begin + 1 + _STILL_AHEAD]:
        for at_h, at_l, quantities in _moments(batch, stage, stands):
            for quantity in (*quantities, *_other_instruments(doubted, stage)):
                at_a_moment = at_h > 0.0 or at_l > 0.0
                again = any((r.stage, r.quantity) == (stage, quantity) for r in doubted)
                if at_a_moment or (stage, quantity) not in taken or again:
                    kind = QUANTITIES[quantity]
                    yield Reading(stage, quantity, kind.low, at_h, kind.sd, at_l=at_l)


def _other_instruments(doubted: Sequence[Reading], stage: Stage) -> list[str]:
    """What may be read by another instrument in the place of a row of a log that may be wrong."""
    rows = (log_of(r) for r in doubted if r.stage == stage)
    return list(dict.fromkeys(of.second for of in rows if of is not None))


def possible_now(
    batch: Told, tried: Sequence[Reading], stands: StandsStill | None = None
) -> Iterator[Reading]:
    """Of these the ones that can be taken at this point; if that is none, what comes first.

    They are of the nearest moment of what is under way, or of what can begin at once where that is over. A
    ferment that stands, or may, is not over.
    """
    current = batch.last or first_stage(batch.now)
    over = _is_over(batch, current) and stands is None
    begins = STAGES[min(STAGES.index(current) + 1, len(STAGES) - 1)] if over else current
    found = [r for stage in {current, begins} for r in _nearest(tried, stage) if _is_at_hand(batch, r)]
    yield from found or _nearest(tried, next((r.stage for r in tried), current))


def tells_the_end(batch: Told, reading: Reading, stands: StandsStill | None) -> bool:
    """True for a gravity that shows whether a ferment stands, where it may, or should be over and is not."""
    if (batch.last, reading.stage, reading.quantity) != ("ferment", "ferment", "gravity"):
        return False
    return stands is not None or (_last_h(batch, "ferment") >= _due_h(batch) and not is_dry(batch.read))


def _due_h(batch: Told) -> float:
    """When a usual ferment should be over [h]."""
    return 24.0 * round(batch.sized.intent.yeast.ferment_days.likely)


def _nearest(tried: Sequence[Reading], stage: Stage) -> list[Reading]:
    """Readings of a stage's nearest moment; what is read of its whole comes when it has ended."""
    of = [r for r in tried if r.stage == stage]
    running = [r for r in of if r.at_h > 0.0 or r.at_l > 0.0]
    if not running:
        return of
    first = min((r.at_h, r.at_l) for r in running)
    return [r for r in running if (r.at_h, r.at_l) == first]


def _is_at_hand(batch: Told, reading: Reading) -> bool:
    """False for a tub that is pitched only now: its first reading is days away."""
    return reading.stage != "ferment" or batch.last == "ferment" or first_stage(batch.now) == "ferment"


def _is_over(batch: Told, stage: Stage) -> bool:
    """True where the next stage may be read: this one was read as a whole, or is dry."""
    if stage == "mash":
        return False
    if stage == "ferment":
        return any(r.stage == stage for r in batch.readings) and is_dry(batch.read)
    if stage == "strip":
        return any(r.stage == stage and r.quantity != "spout" for r in batch.readings)
    return stage != "run" or not _run_litres(batch)


Moment = tuple[float, float, Sequence[str]]


def _moments(batch: Told, stage: Stage, stands: StandsStill | None) -> Iterator[Moment]:
    """Hours, litres and quantities at which a stage can still be read."""
    if stage == "mash":
        yield from ((h, 0.0, ("gravity", "gravity_checked", "starch", "volume")) for h in _mash_hours(batch))
    elif stage == "ferment":
        yield from ((h, 0.0, ("gravity", "strength")) for h in _ferment_hours(batch, stands))
    elif stage == "wash":
        yield 0.0, 0.0, ("gravity", "strength", "volume")
    elif stage == "strip":
        yield from ((0.0, at_l, ("spout",)) for at_l in _strip_litres(batch))
        yield 0.0, 0.0, ("volume", "strength")
    elif stage == "run":
        yield from ((0.0, at_l, ("spout",)) for at_l in _run_litres(batch))
    else:
        yield 0.0, 0.0, ("volume", "strength")


def _mash_hours(batch: Told) -> list[float]:
    """Half way and at the end of the rests; where they are over, half an hour after the last reading."""
    settings = batch.now.settings
    if settings is None or settings.rests is None:
        return []
    end_h, last_h = settings.rests.end_h, _last_h(batch, "mash")
    later = [h for h in (_half_hours(0.5 * end_h), _half_hours(end_h)) if h > last_h + 0.1]
    return [h for h in later or [_half_hours(last_h + 0.5)] if h <= MOST_HOURS["mash"]]


def _ferment_hours(batch: Told, stands: StandsStill | None) -> list[float]:
    """After two days and when it should be over; where that is past, or it stands, a day after the last."""
    over_h = _due_h(batch)
    last_h = _last_h(batch, "ferment")
    due = () if stands is not None else (min(48.0, 0.5 * over_h), over_h)
    later = [h for h in dict.fromkeys(due) if h > last_h + 1.0]
    return [h for h in later or [last_h + 24.0] if h <= MOST_HOURS["ferment"]]


def _strip_litres(batch: Told) -> list[float]:
    """A tenth and half of what one strip gives, until the strips are read as a whole."""
    if _is_over(batch, "strip"):
        return []
    all_l = float(np.median(batch.now.course.low_wines.volume_l)) / batch.sized.method.strips
    return _later(batch, "strip", (0.1 * all_l, 0.5 * all_l, 0.8 * all_l))


def _run_litres(batch: Told) -> list[float]:
    """Where the heart of one run begins, at its middle, and near its end."""
    cut, runs = batch.now.course.spirit.receivers, batch.sized.method.spirit_runs
    before_l = float(np.median(cut.foreshots.volume_l + cut.heads.volume_l)) / runs
    heart_l = float(np.median(cut.heart.volume_l)) / runs
    return _later(batch, "run", (before_l, before_l + 0.5 * heart_l, before_l + 0.9 * heart_l))


def _later(batch: Told, stage: Stage, at_l: Sequence[float]) -> list[float]:
    last_l = max((r.at_l for r in batch.readings if r.stage == stage), default=0.0)
    system = batch.sized.intent.show
    return [nice for nice in dict.fromkeys(nice_volume(v, system) for v in at_l) if nice > last_l]


def _last_h(batch: Told, stage: Stage) -> float:
    return max((r.at_h for r in batch.readings if r.stage == stage), default=0.0)


def _half_hours(at_h: float) -> float:
    return max(round(2.0 * at_h) / 2.0, 0.5)
