"""What the condenser has to carry off, and the water that takes it away."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.planning.plan import Band, band
from caskward.properties import heat
from caskward.stages.distil import Profile

USUAL_WATER_C = 15.0
LEAVES_C = 50.0
"""Temperature at which cooling water runs off the condenser; *common practice, no source*."""


@dataclass(frozen=True)
class Cooling:
    """Heat to the cooling water over the run, the most at once, and the water from and to these degrees.

    duty_kw and water_l_h: the most at any time of the run, condenser and dephlegmator together.
    """

    heat_kwh: Band
    duty_kw: Band
    water_l: Band
    water_l_h: Band
    water_c: float
    leaves_c: float


def cooling_of(profile: Profile, water_c: float) -> Cooling:
    """Cooling of a run with water that comes at a temperature [°C] and leaves at the usual one."""
    rise_k = LEAVES_C - water_c
    carried_kwh = profile.condenser_kwh + profile.dephlegmator_kwh
    hours = np.diff(profile.hours, axis=0)
    kw = np.diff(carried_kwh, axis=0) / np.where(hours > 0.0, hours, np.inf)
    most_kw = np.max(kw, axis=0)
    return Cooling(
        heat_kwh=band(carried_kwh[-1]),
        duty_kw=band(most_kw),
        water_l=band(np.asarray(heat.cooling_water_l(carried_kwh[-1], rise_k))),
        water_l_h=band(np.asarray(heat.cooling_water_l(most_kw, rise_k))),
        water_c=water_c,
        leaves_c=LEAVES_C,
    )
