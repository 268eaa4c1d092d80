"""Where a tub is pitched: one temperature for the plan, its tub by the hour, its readings, and its faults."""

from __future__ import annotations

from typing import Final

import numpy as np

from caskward.planning.doses import food_grams, pitch_grams
from caskward.planning.forecast import Chain
from caskward.planning.intent import Intent
from caskward.planning.method import Method
from caskward.planning.tub.brew import Kept, Pitch, Supplies, first_draw, first_worlds, peaks_c, pitched_with
from caskward.planning.tub.brew_doubts import course_worlds
from caskward.planning.tub.schedule import MashSchedule
from caskward.planning.unknowns import Draw
from caskward.stages.stream import Stream

NEARLY: Final = 0.9
_LOOK_H: Final = np.arange(0.0, 73.0, 4.0)
_LOOK_WORLDS, _LOOK_STEP_K = 64, 1.0


def pitching_c(
    intent: Intent,
    method: Method,
    kept: Kept,
    tub: Stream | None = None,
    rests: MashSchedule | None = None,
) -> float:
    """Where to pitch [°C]: the controller's temperature, or the warmest from which a tub stays in its window.

    Left to itself a tub warms as it works. From the window's likely temperature down to its lower end, the
    first from which nine worlds in ten of a few of the plan's own stay under its upper end; the lower end
    where none does.

    Args:
        kept: the controller or the room; a log is of no account, for where to pitch is settled before it.
        tub: the plan's batch before yeast in its worlds, where it is known already; its first ones are
            looked at. rests: the plan's rests, where they are known already.
    """
    if kept.set_point_c is not None:
        return kept.set_point_c
    few = first_draw(course_worlds(intent, _LOOK_WORLDS), min(_LOOK_WORLDS, intent.worlds))
    part = Chain(intent, method, few, rests).mash.tub if tub is None else first_worlds(tub, few.count)
    window = intent.yeast.window_c
    from_c = np.append(np.arange(window.likely, window.low, -_LOOK_STEP_K), window.low)
    peaks = peaks_c(intent, few, *_tub(intent, method, few, part), Kept(kept.room_c), from_c, _LOOK_H)
    stays = np.quantile(peaks, NEARLY, axis=1) <= window.high
    return float(from_c[np.argmax(stays)]) if np.any(stays) else window.low


def _tub(intent: Intent, method: Method, worlds: Draw, batch: Stream) -> tuple[Stream, Pitch]:
    """One tub of a batch, and what the plan gives it."""
    yeast_g = pitch_grams(intent.yeast, float(np.median(batch.volume_l)))
    given = Supplies(yeast_g / method.ferments, food_grams(intent, method, batch) / method.ferments)
    wash = batch.scaled(1.0 / method.ferments)
    return wash, pitched_with(intent, method, worlds, wash, given, intent.yeast.window_c.likely)
