"""Volumes that cannot be: more than a tub or a cask holds, more than went into the still.

What is only hard to believe stays in: its likelihood gives it next to no weight, and it is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.planning.readings import Reading, Stage
from caskward.planning.sizing import Sized

_MEASURES_ALIKE: Final = 1.1
"""How far two measures of the same litres may lie apart; *common practice, no source*."""
_TUB, _CASK = "the tub", "the cask"


@dataclass(frozen=True)
class Most:
    """The most that a reading may show, and of what: a vessel, or a reading of what went in."""

    volume_l: float
    of: str


def most_of(reading: Reading, readings: Sequence[Reading], sized: Sized) -> Most | None:
    """The most litres that a volume may show; None where nothing limits it.

    readings: all of the batch. A charge has no limit of its own: there may be more of them than planned.
    """
    if reading.quantity != "volume" or reading.bound == "under":
        return None
    gear, count = sized.intent.gear, sized.method.ferments
    tubs = Most(_MEASURES_ALIKE * gear.tub.volume_l * count, _TUB if count == 1 else f"each of {count} tubs")
    if reading.stage in ("mash", "ferment"):
        return Most(_MEASURES_ALIKE * gear.tub.volume_l, _TUB)
    if reading.stage == "wash":
        return None if sized.method.late.rinse is not None else tubs
    if reading.stage == "strip":
        return _read(readings, "wash") or tubs
    if reading.stage == "heart":
        charges = float(np.max(sized.course.charge.volume_l))
        return _read(readings, "charge") or Most(_MEASURES_ALIKE * charges, "any charge of this plan")
    return Most(_MEASURES_ALIKE * sized.intent.cask.capacity_l, _CASK) if reading.stage == "cask" else None


def _read(readings: Sequence[Reading], stage: Stage) -> Most | None:
    """What was read of a whole stage, where it was: its largest figure."""
    own = [r for r in readings if (r.stage, r.quantity, r.bound) == (stage, "volume", "")]
    if not own:
        return None
    largest = max(own, key=lambda r: r.value)
    return Most(_MEASURES_ALIKE * largest.value, repr(largest.said))
