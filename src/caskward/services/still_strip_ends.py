"""Where each strip of a wash ends: as it is typed, and whether the wash ever gets there."""

from __future__ import annotations

import numpy as np

from caskward.errors import InputError, NotForThisRun, NotUnderstood, OutOfRange
from caskward.errors.batches import StopNeverMet
from caskward.planning.plan import band
from caskward.planning.strengths import said
from caskward.services.still_mend import amount
from caskward.services.still_stops import check_stop, stop_said
from caskward.services.still_typed import stop as typed_stop
from caskward.services.words import banded
from caskward.stages.distil import Profile, Stop
from caskward.units import show
from caskward.units.types import UnitSystem

STRIP_STOP_EXAMPLES = (
    '"3 %" at the spout, "0.5 % in the pot", "99 C in the pot", "20 L" of each charge, or "3 h"'
)


def strip_stop(given: str) -> Stop:
    """A strip's stop from its words.

    Raises:
        InputError: one sentence about what cannot be read, with stops that can.
    """
    try:
        return typed_stop(given)
    except NotForThisRun:
        raise
    except OutOfRange as wrong:
        like = f"Write it like {STRIP_STOP_EXAMPLES}."
        raise OutOfRange(wrong.name, wrong.given, wrong.unit, wrong.low, wrong.high, like) from None
    except InputError:
        raise NotUnderstood("the stop of a strip", given, STRIP_STOP_EXAMPLES) from None


def check_end(stop: Stop, profile: Profile, system: UnitSystem) -> None:
    """Refuse a stop that is met before the first drop, or by no run of this charge.

    Raises:
        NothingRuns, StopNeverMet: with what a run of this charge does.
    """
    check_stop(stop, profile, system)
    if np.any(profile.reached):
        return
    charge = profile.charge
    volume_l, pct_vol = (float(np.mean(v)) for v in (charge.volume_l, charge.strength_pct_vol))
    hours = banded(band(profile.hours[-1]), "h", system)
    raise StopNeverMet(
        stop_said(stop.by, float(np.max(stop.value)), system),
        f"{amount(volume_l, system)} at {said(pct_vol, system)}",
        f"{banded(band(profile.collected.volume_l[-1]), 'L', system)} have come over in {hours} and the pot "
        f"is at {show.temperature(band(profile.pot_c[-1]).mid, system)}",
        STRIP_STOP_EXAMPLES,
    )
