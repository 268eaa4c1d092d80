"""Whether one run keeps its element covered, and by how many litres collected it must end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.services.still_gear import Gear
from caskward.services.still_mend import amount, rounded
from caskward.stages.distil import Profile
from caskward.units.types import UnitSystem


@dataclass(frozen=True)
class RunsDry:
    """A run that would bare its element [L at 20 °C].

    least_l: what covers it. left_l: the least that is left in the pot at the stop, over all worlds. stop_l:
    collected until then, it stays covered in every world.
    """

    least_l: float
    left_l: float
    stop_l: float


def runs_dry(profile: Profile, least_l: float) -> RunsDry | None:
    """Whether the pot boils down under what covers its element in any world; None where in none."""
    left_l, over_l = (v.reshape(len(v), -1) for v in (profile.pot_volume_l, profile.volume_l))
    lowest_l = float(np.min(left_l[-1]))
    if least_l <= 0.0 or lowest_l >= least_l:
        return None
    ends_l = [float(np.interp(-least_l, -left, over)) for left, over in zip(left_l.T, over_l.T, strict=True)]
    return RunsDry(least_l, lowest_l, min(ends_l))


def dry_words(dry: RunsDry, gear: Gear, system: UnitSystem) -> str:
    """What would be bared, and the stop that keeps it covered."""
    what = "the element" if gear.element else "what --least must cover"
    stop_l, left_l = (rounded(v, system, "down") for v in (dry.stop_l, dry.left_l))
    begin = (
        f"This run would bare {what}: {amount(dry.least_l, system)} cover it, and the pot may boil down to "
        f"{amount(left_l, system)}."
    )
    if stop_l <= 0.0:
        return f"{begin} Do not run it like this: charge more, or put water to it."
    stop = amount(stop_l, system)
    return f'{begin} End it by {stop} collected (--stop "{stop}"), charge more, or put water to it.'
